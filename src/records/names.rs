/*! Names as integers: instrument and point once in memory, a code in every row. */

use std::hash::{DefaultHasher, Hasher};

/// Distinct (instrument, point) pairs in order of first appearance.
#[derive(Debug, Default)]
pub struct Names {
    text: String,
    spans: Vec<Span>,
    /// Open-addressed table. Length a power of two.
    slots: Vec<Slot>,
    last: Option<u32>,
}

/// Bytes of a pair that stand in the table itself.
const HEAD: usize = 21;

/// A place in the table: code + 1, 0 where free. Hash and beginning of the pair stand
/// beside it, so that a short pair is told without a look at its text far away.
#[derive(Debug, Clone, Copy, Default)]
struct Slot {
    held: u32,
    hash: u32,
    head: Head,
}

/// Lengths of instrument and point, and both one after the other; `None` where longer.
type Head = Option<(u8, u8, [u8; HEAD])>;

fn head(instrument: &str, point: &str) -> Head {
    let (first, second) = (instrument.as_bytes(), point.as_bytes());
    let mut bytes = [0; HEAD];
    bytes.get_mut(..first.len())?.copy_from_slice(first);
    bytes
        .get_mut(first.len()..first.len() + second.len())?
        .copy_from_slice(second);
    Some((first.len() as u8, second.len() as u8, bytes))
}

#[derive(Debug, Clone, Copy)]
struct Span {
    start: u32,
    middle: u32,
    end: u32,
}

impl Names {
    /// Number of distinct pairs.
    pub fn len(&self) -> usize {
        self.spans.len()
    }

    /// The pair of `code`.
    pub fn get(&self, code: u32) -> (&str, &str) {
        let Span {
            start, middle, end, ..
        } = self.spans[code as usize];
        (
            &self.text[start as usize..middle as usize],
            &self.text[middle as usize..end as usize],
        )
    }

    /// All pairs in order of their codes.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        (0..self.spans.len() as u32).map(|code| self.get(code))
    }

    /// The code of a pair, new or known.
    pub fn code(&mut self, instrument: &str, point: &str) -> u32 {
        if let Some(last) = self.last
            && self.is(last, instrument, point)
        {
            return last;
        }
        if self.spans.len() * 2 >= self.slots.len() {
            self.grow();
        }
        let hash = hash(instrument, point);
        let head = head(instrument, point);
        let mask = self.slots.len() - 1;
        let mut slot = hash as usize & mask;
        let code = loop {
            let found = self.slots[slot];
            if found.held == 0 {
                let code = self.append(instrument, point);
                let held = code + 1;
                self.slots[slot] = Slot { held, hash, head };
                break code;
            }
            let code = found.held - 1;
            let alike = found.hash == hash && found.head == head;
            if alike && (head.is_some() || self.is(code, instrument, point)) {
                break code;
            }
            slot = (slot + 1) & mask;
        };
        self.last = Some(code);
        code
    }

    /// True where `code` stands for this pair; compares lengths before bytes.
    fn is(&self, code: u32, instrument: &str, point: &str) -> bool {
        let span = self.spans[code as usize];
        let (start, middle, end) = (span.start as usize, span.middle as usize, span.end as usize);
        let text = self.text.as_bytes();
        middle - start == instrument.len()
            && end - middle == point.len()
            && same(&text[start..middle], instrument.as_bytes())
            && same(&text[middle..end], point.as_bytes())
    }

    /// The pair of `code` as bytes, whose order is that of the text.
    pub fn bytes(&self, code: u32) -> (&[u8], &[u8]) {
        let span = self.spans[code as usize];
        let text = self.text.as_bytes();
        (
            &text[span.start as usize..span.middle as usize],
            &text[span.middle as usize..span.end as usize],
        )
    }

    fn append(&mut self, instrument: &str, point: &str) -> u32 {
        let start = self.text.len() as u32;
        self.text.push_str(instrument);
        let middle = self.text.len() as u32;
        self.text.push_str(point);
        let end = self.text.len() as u32;
        self.spans.push(Span { start, middle, end });
        self.spans.len() as u32 - 1
    }

    fn grow(&mut self) {
        let length = (self.slots.len() * 2).max(64);
        let old = std::mem::replace(&mut self.slots, vec![Slot::default(); length]);
        for held in old.into_iter().filter(|slot| slot.held != 0) {
            let mut slot = held.hash as usize & (length - 1);
            while self.slots[slot].held != 0 {
                slot = (slot + 1) & (length - 1);
            }
            self.slots[slot] = held;
        }
    }
}

/// True for equal texts of one length. Names are a few bytes, for which a loop beats a call.
#[inline]
fn same(a: &[u8], b: &[u8]) -> bool {
    a.iter().zip(b).all(|(a, b)| a == b)
}

fn hash(instrument: &str, point: &str) -> u32 {
    let mut hasher = DefaultHasher::new();
    hasher.write(instrument.as_bytes());
    hasher.write_u8(0xFF);
    hasher.write(point.as_bytes());
    hasher.finish() as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pair_has_one_code() {
        let mut names = Names::default();
        for round in 0..2 {
            for i in 0..1000u32 {
                assert_eq!(names.code(&format!("R{i}"), "100 °C"), i, "round {round}");
            }
        }
        assert_eq!(names.len(), 1000);
        assert_eq!(names.get(7), ("R7", "100 °C"));
        assert_ne!(names.code("ab", "c"), names.code("a", "bc"));
        let long = "a name longer than what the table itself holds of it";
        let code = names.code(long, "x");
        assert_ne!(names.code(long, "y"), code);
        assert_eq!(names.code(long, "x"), code);
    }
}
