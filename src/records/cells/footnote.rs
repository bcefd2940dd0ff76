/*! Signs around a number whose meaning stands elsewhere: a mark of a footnote (`5.2*`, `5.2 a)`, `5.2¹`),
and brackets (`(0.12)`), which are a minus in one laboratory and none in another. */

use super::number::written::{MARKS, parts};
use crate::records::cells::digits::begins_with_number;

/// Raised signs that do so directly behind a number.
const RAISED: [char; 17] = [
    '⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹', 'ᵃ', 'ᵇ', 'ᶜ', 'ᵈ', 'ᵉ', '⁽', '⁾',
];

/// A number, with its unit, and the mark of a footnote beside it; `None` where none stands there.
///
/// `100.0013(2)` is none: so an uncertainty in the last digits is written.
pub(crate) fn footnoted(text: &str) -> Option<(&str, &str)> {
    let text = text.trim();
    let counts = |rest: &str| rest.contains(|c: char| c.is_ascii_digit());
    let found = lettered(text).or_else(|| {
        let rest = text.trim_end_matches(MARKS);
        (rest.len() < text.len()).then(|| text.split_at(rest.len()))
    });
    let found = found.or_else(|| {
        let rest = text.trim_end_matches(RAISED);
        // 10³ is a thousand, and m³ a unit.
        let alone = rest.len() < text.len() && parts(rest).1.is_empty() && rest != "10";
        alone.then(|| text.split_at(rest.len()))
    });
    let found = found.or_else(|| {
        let rest = text.trim_start_matches(MARKS);
        (rest.len() < text.len()).then(|| (rest, &text[..text.len() - rest.len()]))
    });
    let (rest, mark) = found?;
    // What stands in brackets behind a number is no mark: `0.8 mm (k = 2)`.
    let whole = rest.matches('(').count() == rest.matches(')').count();
    (whole && counts(rest.trim())).then(|| (rest.trim(), mark.trim()))
}

/// A letter or a number with brackets behind a number: `a)`, `1)`, `(a)`, `[1]`.
fn lettered(text: &str) -> Option<(&str, &str)> {
    let inside = text.strip_suffix([')', ']'])?;
    let by_letter = inside
        .strip_suffix(|c: char| c.is_ascii_lowercase())
        .filter(|rest| !rest.ends_with(char::is_alphabetic));
    let rest = by_letter.unwrap_or(inside.trim_end_matches(|c: char| c.is_ascii_digit()));
    let label = &inside[rest.len()..];
    let letter = by_letter.is_some();
    let number = (1..=2).contains(&label.len()) && label.bytes().all(|b| b.is_ascii_digit());
    let square = text.ends_with(']');
    let start = match rest.strip_suffix(['(', '[']) {
        Some(before) if letter || number && square => before,
        // Without a blank its digits would be those of the number.
        None if !square && number && rest.ends_with(char::is_whitespace) => rest,
        None if !square && letter => rest,
        _ => return None,
    };
    Some(text.split_at(start.len()))
}

/// What stands in brackets where a number does, and nothing else: the 0.12 of `(0.12)`.
pub(crate) fn bracketed(text: &str) -> Option<&str> {
    let inside = text.trim().strip_prefix('(')?.strip_suffix(')')?.trim();
    begins_with_number(inside).then_some(inside)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_of_footnotes_stand_apart_from_numbers() {
        for (text, expected) in [
            ("5.2*", ("5.2", "*")),
            ("5.2 **", ("5.2", "**")),
            ("-0,22 mV*", ("-0,22 mV", "*")),
            ("* 0.5", ("0.5", "*")),
            ("±5*", ("±5", "*")),
            ("5.2¹", ("5.2", "¹")),
            ("5.2²⁾", ("5.2", "²⁾")),
            ("5.2 a)", ("5.2", "a)")),
            ("5.2a)", ("5.2", "a)")),
            ("5.2 1)", ("5.2", "1)")),
            ("5.2 (b)", ("5.2", "(b)")),
            ("5.2 [1]", ("5.2", "[1]")),
            ("0.1 #", ("0.1", "#")),
        ] {
            assert_eq!(footnoted(text), Some(expected), "{text}");
        }
        for text in [
            "5.2",
            "10³",
            "5.2×10³",
            "3 m³",
            "100.0013(2)",
            "5.21)",
            "5 ab)",
            "5 mm)",
            "(0.12)",
            "*",
            "a)",
            "±(1 V)",
            "5.2 mV",
            "",
        ] {
            assert_eq!(footnoted(text), None, "{text}");
        }
    }

    #[test]
    fn brackets_may_hold_a_number_alone() {
        assert_eq!(bracketed("(0.12)"), Some("0.12"));
        assert_eq!(bracketed("( 0,12 mV )"), Some("0,12 mV"));
        assert_eq!(bracketed("(a)"), None);
        assert_eq!(bracketed("0.12 (3)"), None);
    }
}
