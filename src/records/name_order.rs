/*! The order in which names stand in every table, page and list: by their numbers as a person counts, `A2` before `A10` and
500 Hz before 1 kHz. Names that differ in any way differ in it. */

use super::cells::unit::{Quantity, Unit};
use std::cmp::Ordering;

/// Histories by instrument, then by point.
pub(crate) fn by_history(a: (&str, &str), b: (&str, &str)) -> Ordering {
    by_instrument(a.0, b.0).then_with(|| by_point(a.1, b.1))
}

/// Names of items: text as text, and runs of digits as whole numbers.
pub(crate) fn by_instrument(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a.as_bytes(), b.as_bytes());
    loop {
        let order = match (left, right) {
            ([first, ..], [second, ..]) if first.is_ascii_digit() && second.is_ascii_digit() => {
                let (one, rest) = digits(left);
                let (other, others) = digits(right);
                (left, right) = (rest, others);
                one.len().cmp(&other.len()).then_with(|| one.cmp(other))
            }
            ([first, rest @ ..], [second, others @ ..]) => {
                (left, right) = (rest, others);
                first.cmp(second)
            }
            // The longer one, or those that differ by zeros before a number.
            _ => return left.len().cmp(&right.len()).then_with(|| a.cmp(b)),
        };
        if order.is_ne() {
            return order;
        }
    }
}

/// The digits at the beginning without the zeros before them, and what follows.
fn digits(text: &[u8]) -> (&[u8], &[u8]) {
    let end = text.iter().take_while(|byte| byte.is_ascii_digit()).count();
    let (run, rest) = text.split_at(end);
    let zeros = run.iter().take_while(|byte| **byte == b'0').count();
    (&run[zeros..], rest)
}

/// Names of points: numbers with their signs and decimals, those of one quantity by their size, others by the number and
/// then by what stands behind it.
pub(crate) fn by_point(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (Parts::of(a), Parts::of(b));
    loop {
        let order = match (left.next(), right.next()) {
            (Some(one), Some(other)) => one.order(&other),
            (None, None) => return a.cmp(b),
            (one, other) => return one.is_some().cmp(&other.is_some()),
        };
        if order.is_ne() {
            return order;
        }
    }
}

/// A part of the name of a point.
#[derive(Debug, PartialEq)]
enum Part<'a> {
    /// A number; with a unit that is understood its size in the plain unit of the quantity.
    Size {
        quantity: &'static str,
        size: f64,
    },
    Letter(&'a str),
}

impl Part<'_> {
    /// Numbers stand before text.
    fn order(&self, other: &Self) -> Ordering {
        match (self, other) {
            (
                Part::Size { quantity, size },
                Part::Size {
                    quantity: of,
                    size: second,
                },
            ) => quantity.cmp(of).then(size.total_cmp(second)),
            (Part::Letter(one), Part::Letter(second)) => one.cmp(second),
            (Part::Size { .. }, Part::Letter(_)) => Ordering::Less,
            (Part::Letter(_), Part::Size { .. }) => Ordering::Greater,
        }
    }
}

/// The parts of the name of a point, one after the other.
struct Parts<'a> {
    rest: &'a str,
    /// True where a sign may stand next: at the beginning, or behind what separates words.
    signed: bool,
}

impl<'a> Parts<'a> {
    fn of(name: &'a str) -> Self {
        Self {
            rest: name.trim_start(),
            signed: true,
        }
    }
}

impl<'a> Iterator for Parts<'a> {
    type Item = Part<'a>;

    fn next(&mut self) -> Option<Part<'a>> {
        let first = self.rest.chars().next()?;
        if let Some((number, rest)) = number(self.rest, self.signed) {
            self.signed = false;
            let (word, behind) = word(rest);
            let unit = match word {
                "" => None,
                word => Unit::parse(word),
            };
            let known = unit.and_then(|unit| Some((symbol(unit.quantity)?, unit)));
            let (quantity, size) = match known {
                Some((quantity, unit)) => {
                    self.rest = behind;
                    (quantity, number * 10f64.powi(unit.power))
                }
                None => {
                    self.rest = rest;
                    ("", number)
                }
            };
            return Some(Part::Size { quantity, size });
        }
        let (letter, rest) = self.rest.split_at(first.len_utf8());
        self.signed = first.is_whitespace() || "(;:/=".contains(first);
        self.rest = rest;
        Some(Part::Letter(letter))
    }
}

/// The number at the beginning of a text, and what follows it.
fn number(text: &str, signed: bool) -> Option<(f64, &str)> {
    let unsigned = text.strip_prefix(['-', '\u{2212}', '+']);
    let negative = text.starts_with(['-', '\u{2212}']);
    let body = unsigned.filter(|_| signed).unwrap_or(text);
    let run = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let whole = run(body);
    if whole == 0 {
        return None;
    }
    let behind = body[whole..].strip_prefix(['.', ',']).map_or(0, run);
    let (plain, rest) = match behind {
        0 => body.split_at(whole),
        decimals => body.split_at(whole + 1 + decimals),
    };
    let value: f64 = match plain.contains(',') {
        true => plain.replace(',', ".").parse().ok()?,
        false => plain.parse().ok()?,
    };
    let minus = negative && body.len() < text.len();
    Some((if minus { -value } else { value }, rest))
}

/// The word that follows a number, and what stands behind it.
fn word(text: &str) -> (&str, &str) {
    let text = text.trim_start();
    let ends = |c: char| c.is_whitespace() || ";,()".contains(c);
    text.split_at(text.find(ends).unwrap_or(text.len()))
}

/// The symbol of a quantity whose units are compared by their size.
fn symbol(quantity: Quantity) -> Option<&'static str> {
    match quantity {
        Quantity::Kelvin => Some("K"),
        Quantity::Celsius => Some("°C"),
        Quantity::Part => Some("%"),
        Quantity::Of(symbol) => Some(symbol),
        Quantity::Made(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every pair of names that are listed in order.
    fn assert_in_order(names: &[&str], order: fn(&str, &str) -> Ordering) {
        for (i, one) in names.iter().enumerate() {
            for (j, other) in names.iter().enumerate() {
                assert_eq!(order(one, other), i.cmp(&j), "{one:?} and {other:?}");
            }
        }
    }

    #[test]
    fn items_stand_by_their_numbers() {
        assert_in_order(
            &[
                "", "A", "A2", "A10", "A010b", "A10b", "A11", "B-1", "B-2", "B-10", "b1",
            ],
            by_instrument,
        );
        // Digits of any length.
        let long = "9".repeat(400);
        assert_in_order(&["1", "2", "10", &long], by_instrument);
        assert_eq!(by_instrument("A01", "A1"), Ordering::Less);
        assert_eq!(by_instrument("A01x2", "A1x1"), Ordering::Greater);
    }

    #[test]
    fn points_stand_by_size() {
        assert_in_order(&["", "10 Nm", "50 Nm", "100 Nm"], by_point);
        assert_in_order(&["-40 °C", "\u{2212}5 °C", "0 °C", "25 °C"], by_point);
        assert_in_order(&["500 Hz", "1 kHz", "1,5 kHz", "2 MHz"], by_point);
        assert_in_order(&["0.5", "2", "10", "zero"], by_point);
        // Units that nobody knows: the number, then the text.
        assert_in_order(&["1 foo", "2 bars", "2 foo", "10 bars"], by_point);
        assert_in_order(
            &["DC; -1 V", "DC; 100 mV", "DC; 1 V", "DC; 10 V", "Ω; 1 kΩ"],
            by_point,
        );
        assert_in_order(&["P1", "P2", "P10"], by_point);
        // No quantity is mixed with another.
        assert_in_order(&["3", "1 V", "20 s"], by_point);
    }

    #[test]
    fn histories_stand_by_item_first() {
        let order = |a, b| by_history(a, b);
        assert_eq!(order(("A2", "100"), ("A10", "5")), Ordering::Less);
        assert_eq!(order(("A2", "100"), ("A2", "5")), Ordering::Greater);
        assert_eq!(order(("A2", "5"), ("A2", "5")), Ordering::Equal);
    }
}
