/*! What one cell says of points and commas. */

use super::grouped;
use crate::records::cells::digits::{begins_with_digit, has_digit};
use crate::records::cells::number::written::numbers_of;

/// What a cell says, as a set of bits.
pub(super) type Bits = u8;

pub(super) const POINT_IS_DECIMAL: Bits = 1;
pub(super) const COMMA_IS_DECIMAL: Bits = 2;
pub(super) const POINT_GROUPS: Bits = 4;
pub(super) const COMMA_GROUPS: Bits = 8;
/// One point before exactly three digits: both readings fit.
pub(super) const POINT_OPEN: Bits = 16;
pub(super) const COMMA_OPEN: Bits = 32;
/// A whole number of three digits, which grouping would leave as it is.
pub(super) const THREE_DIGITS: Bits = 64;
/// A whole number of more digits, which grouping would have cut.
pub(super) const MORE_DIGITS: Bits = 128;

/// What tells the decimal sign for certain.
pub(super) const SAYS_A_SIGN: Bits =
    POINT_IS_DECIMAL | COMMA_IS_DECIMAL | POINT_GROUPS | COMMA_GROUPS;

/// Bytes of the shortest cell that says something, such as `0.5`.
pub(super) const SHORTEST: usize = 3;

/// What one cell says of points and commas; nothing where it is no number.
pub(super) fn bits(text: &str) -> Bits {
    let text = text.trim();
    let signs = ['-', '+', '\u{2212}'];
    let unsigned = text.strip_prefix(signs).unwrap_or(text);
    let unsigned = unsigned.strip_suffix(['-', '\u{2212}']).unwrap_or(unsigned);
    let digits = unsigned.bytes().filter(u8::is_ascii_digit).count();
    let marks = |mark: char| unsigned.matches(mark).count();
    let (points, commas) = (marks('.'), marks(','));
    if digits == 0 || digits + points + commas != unsigned.len() {
        // An exponent stands behind decimals; another e is a letter of a word.
        return match (has_exponent(unsigned), points, commas) {
            (true, 1, 0) => POINT_IS_DECIMAL,
            (true, 0, 1) => COMMA_IS_DECIMAL,
            _ => around(text),
        };
    }
    match (points, commas) {
        (0, 0) if digits == 3 => THREE_DIGITS,
        (0, 0) if digits > 3 => MORE_DIGITS,
        (0, 0) => 0,
        (1, 0) if !grouped(unsigned, '.') => POINT_IS_DECIMAL,
        (0, 1) if !grouped(unsigned, ',') => COMMA_IS_DECIMAL,
        (1, 0) => POINT_OPEN,
        (0, 1) => COMMA_OPEN,
        (_, 0) if grouped(unsigned, '.') => POINT_GROUPS,
        (0, _) if grouped(unsigned, ',') => COMMA_GROUPS,
        (_, 1) if whole_grouped(unsigned, '.', ',') => POINT_GROUPS | COMMA_IS_DECIMAL,
        (1, _) if whole_grouped(unsigned, ',', '.') => COMMA_GROUPS | POINT_IS_DECIMAL,
        _ => 0,
    }
}

/// True for figures with an e and more figures behind it: `1.5e-6`, `1,5E3 m`.
fn has_exponent(unsigned: &str) -> bool {
    let Some((before, behind)) = unsigned.split_once(['e', 'E']) else {
        return false;
    };
    let figures = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
    let power = behind.trim_start_matches(['+', '-', '\u{2212}']);
    has_digit(before) && before.chars().all(figures) && begins_with_digit(power)
}

/// What the numbers say among which other signs stand, such as a unit, or the dash between two limits (`9.99-10.01`).
fn around(text: &str) -> Bits {
    let said = |number: &str| match number.len() < text.len() {
        true => bits(number),
        false => 0,
    };
    numbers_of(text).fold(0, |all, number| {
        let parts = number.split(['-', '\u{2212}']);
        parts.fold(all, |all, number| all | said(number.trim()))
    })
}

/// The same of the part before the decimal sign.
fn whole_grouped(unsigned: &str, mark: char, decimal: char) -> bool {
    let parts = unsigned.split_once(decimal);
    parts.is_some_and(|(whole, part)| grouped(whole, mark) && !part.contains(mark))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_says_what_its_marks_must_be() {
        let cases = [
            ("0.5", POINT_IS_DECIMAL),
            ("-12,25", COMMA_IS_DECIMAL),
            ("12,25-", COMMA_IS_DECIMAL),
            ("(12,25)", COMMA_IS_DECIMAL),
            ("12,25*", COMMA_IS_DECIMAL),
            ("0.123", POINT_IS_DECIMAL),
            ("1234.567", POINT_IS_DECIMAL),
            ("1.234", POINT_OPEN),
            ("-1,234", COMMA_OPEN),
            ("1.234.567", POINT_GROUPS),
            ("1.234,5", POINT_GROUPS | COMMA_IS_DECIMAL),
            ("1,234.567", COMMA_GROUPS | POINT_IS_DECIMAL),
            ("1.2e3", POINT_IS_DECIMAL),
            ("998", THREE_DIGITS),
            ("1500", MORE_DIGITS),
            ("01.02.2020", 0),
            ("n/a", 0),
            ("9.99-10.01", POINT_IS_DECIMAL),
            ("-0,05-0,05", COMMA_IS_DECIMAL),
            ("1.234-5.678", POINT_OPEN),
            ("2020-01-02", MORE_DIGITS),
        ];
        for (text, expected) in cases {
            assert_eq!(bits(text), expected, "{text}");
        }
    }
}
