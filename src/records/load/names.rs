/*! Names as integers: instrument and point once in memory, a code in every row. */

use std::hash::{DefaultHasher, Hasher};

/// Distinct (instrument, point) pairs in order of first appearance.
#[derive(Debug, Default)]
pub(crate) struct Names {
    text: String,
    spans: Vec<Span>,
    /// The hash of each pair, by its code.
    hashes: Vec<u32>,
    /// Open-addressed table. Length a power of two.
    slots: Vec<Slot>,
    last: Option<(Head, u32)>,
}

/// Bytes of a pair that stand in the table itself.
const HEAD: usize = 22;

/// A place in the table: code + 1, 0 where free. Hash and beginning of the pair stand
/// beside it, so that a short pair is told without a look at its text far away.
#[derive(Debug, Clone, Copy, Default)]
struct Slot {
    held: u32,
    hash: u32,
    head: Head,
}

/// Lengths of instrument and point, and both one after the other, as three words that are
/// compared at once; [`LONG`] where longer.
type Head = [u64; 3];

/// The head of every pair that does not fit into one: its lengths fit no other.
const LONG: Head = [u64::MAX; 3];

fn head(instrument: &str, point: &str) -> Head {
    let (first, second) = (instrument.as_bytes(), point.as_bytes());
    if first.len() + second.len() > HEAD {
        return LONG;
    }
    let mut bytes = [0; HEAD + 2];
    (bytes[0], bytes[1]) = (first.len() as u8, second.len() as u8);
    let places = bytes[2..].iter_mut();
    for (place, byte) in places.zip(first.iter().chain(second)) {
        *place = *byte;
    }
    let word = |i: usize| {
        let part = bytes[8 * i..].first_chunk();
        part.map_or(0, |part| u64::from_le_bytes(*part))
    };
    [word(0), word(1), word(2)]
}

#[derive(Debug, Clone, Copy)]
struct Span {
    start: u32,
    middle: u32,
    end: u32,
}

impl Names {
    /// Number of distinct pairs.
    pub(crate) fn len(&self) -> usize {
        self.spans.len()
    }

    /// The pair of `code`.
    pub(crate) fn get(&self, code: u32) -> (&str, &str) {
        let Span {
            start, middle, end, ..
        } = self.spans[code as usize];
        (
            &self.text[start as usize..middle as usize],
            &self.text[middle as usize..end as usize],
        )
    }

    /// All pairs in order of their codes.
    pub(crate) fn iter(&self) -> impl Iterator<Item = (&str, &str)> {
        (0..self.spans.len() as u32).map(|code| self.get(code))
    }

    /// The code of a pair, new or known.
    pub(crate) fn code(&mut self, instrument: &str, point: &str) -> u32 {
        let head = head(instrument, point);
        if let Some((last, code)) = self.last
            && last == head
            && (head != LONG || self.get(code) == (instrument, point))
        {
            return code;
        }
        if self.spans.len() * 2 >= self.slots.len() {
            self.grow();
        }
        let hash = hash(head, instrument, point);
        let mask = self.slots.len() - 1;
        let mut slot = hash as usize & mask;
        let code = loop {
            let found = self.slots[slot];
            if found.held == 0 {
                let code = self.append(instrument, point);
                self.hashes.push(hash);
                let held = code + 1;
                self.slots[slot] = Slot { held, hash, head };
                break code;
            }
            let code = found.held - 1;
            let alike = found.hash == hash && found.head == head;
            if alike && (head != LONG || self.get(code) == (instrument, point)) {
                break code;
            }
            slot = (slot + 1) & mask;
        };
        self.last = Some((head, code));
        code
    }

    /// The code of a pair that is known.
    pub(crate) fn find(&self, instrument: &str, point: &str) -> Option<u32> {
        let mask = self.slots.len().checked_sub(1)?;
        let head = head(instrument, point);
        let hash = hash(head, instrument, point);
        let mut slot = hash as usize & mask;
        loop {
            let found = self.slots[slot];
            let code = found.held.checked_sub(1)?;
            let alike = found.hash == hash && found.head == head;
            if alike && (head != LONG || self.get(code) == (instrument, point)) {
                return Some(code);
            }
            slot = (slot + 1) & mask;
        }
    }

    /// The hash of the pair of `code`.
    pub(crate) fn hash(&self, code: u32) -> u32 {
        self.hashes[code as usize]
    }

    /// Gives back what only looking up takes, most of the memory of many names: pairs are told by
    /// their codes from now on.
    pub(crate) fn seal(&mut self) {
        (self.slots, self.last) = (Vec::new(), None);
        self.text.shrink_to_fit();
        self.spans.shrink_to_fit();
        self.hashes.shrink_to_fit();
    }

    /// Adds the pairs of `other`, of which none is known here; their codes go on behind those here.
    /// Pairs are only told afterwards, not looked up.
    pub(crate) fn follow(&mut self, other: &Names) {
        let at = self.text.len() as u32;
        self.text.push_str(&other.text);
        let moved = other.spans.iter().map(|span| Span {
            start: span.start + at,
            middle: span.middle + at,
            end: span.end + at,
        });
        self.spans.extend(moved);
        self.hashes.extend(&other.hashes);
        (self.slots, self.last) = (Vec::new(), None);
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

/// The hash of a pair, the same on every machine.
pub(crate) fn hash_of(instrument: &str, point: &str) -> u32 {
    hash(head(instrument, point), instrument, point)
}

fn hash(head: Head, instrument: &str, point: &str) -> u32 {
    if head == LONG {
        let mut hasher = DefaultHasher::new();
        hasher.write(instrument.as_bytes());
        hasher.write_u8(0xFF);
        hasher.write(point.as_bytes());
        return hasher.finish() as u32;
    }
    // Products of 128 bits, folded: every bit of the words moves every bit of the hash. The first
    // digits of π after its point in base 16, which have no pattern.
    const DIGITS: [u64; 3] = [
        0x243f_6a88_85a3_08d3,
        0x1319_8a2e_0370_7344,
        0xa409_3822_299f_31d0,
    ];
    let fold = |a: u64, b: u64| {
        let product = u128::from(a) * u128::from(b);
        product as u64 ^ (product >> 64) as u64
    };
    let two = fold(head[0] ^ DIGITS[0], head[1] ^ DIGITS[1]);
    fold(two ^ head[2], DIGITS[2]) as u32
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
        assert_eq!(names.find("R7", "100 °C"), Some(7));
        assert_eq!(names.find("R7", ""), None);
        assert_eq!(Names::default().find("R7", ""), None);
        assert_ne!(names.code("ab", "c"), names.code("a", "bc"));
        let long = "a name longer than what the table itself holds of it";
        let code = names.code(long, "x");
        assert_ne!(names.code(long, "y"), code);
        assert_eq!(names.code(long, "x"), code);
        assert_eq!(names.find(long, "x"), Some(code));
        assert_eq!(names.find(long, "z"), None);
    }
}
