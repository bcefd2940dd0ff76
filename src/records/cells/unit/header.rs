/*! The unit that a header states. */

use super::super::number::power_of_ten::leading;
use super::Unit;
use super::known::{NAMED, PARTS};

/// The unit that a header states, as its text: `Error [mK]`, `U (µK)`, `Abweichung in mK`,
/// `Nominal / °C`.
pub(crate) fn of_header(header: &str) -> Option<&str> {
    let scaled = |text: &str| {
        let rest = leading(text).map_or("", |(_, rest)| rest);
        rest.starts_with(char::is_alphabetic)
    };
    let understood =
        |text: &'_ &str| Unit::parse(text).is_some() || NAMED.contains(text) || scaled(text);
    let header = header.trim();
    for (open, close) in [('[', ']'), ('(', ')'), ('［', '］'), ('（', '）')] {
        let mut rest = header;
        while let Some((_, inside)) = rest.split_once(open) {
            let (text, after) = inside.split_once(close).unwrap_or((inside, ""));
            // A bracket may stand in the unit: (W/(m·K)).
            let whole = inside.rsplit_once(close).map(|(text, _)| text.trim());
            if let Some(whole) = whole.filter(|whole| whole.len() > text.len() && understood(whole))
            {
                return Some(whole);
            }
            let text = text.trim();
            let text = text.strip_prefix("in ").unwrap_or(text);
            if understood(&text) {
                return Some(text);
            }
            rest = after;
        }
    }
    let last = |mark: &str| header.rsplit_once(mark).map(|(_, text)| text.trim());
    let marked = [" in ", " / ", ", "].into_iter().filter_map(last);
    let mut marked = marked.into_iter();
    let unit = marked.find(understood).or_else(|| bare(header));
    unit.or_else(|| part_of_whole(header))
}

/// The part that a header states with what it is of, known or not, as in `Tol (% of span)`: its
/// numbers are no plain ones. An amount is none (`U (95 %)`).
fn part_of_whole(header: &str) -> Option<&str> {
    let begins = |sign: &str| {
        let at = header.find(sign)?;
        let amount = header[..at]
            .trim_end()
            .ends_with(|c: char| c.is_ascii_digit());
        (!amount).then_some(at)
    };
    let at = ["%", "‰", "ppm"].into_iter().find_map(begins)?;
    Some(header[at..].trim_end_matches([')', ']']).trim())
}

/// The unit that ends a header without a mark, as in `Tol %` and `Error mV`, or the part that
/// begins it, as in `% error`. A number before it makes both an amount (`U 95 %`), and a symbol of
/// one letter, or one that is a word as well, may be none.
fn bare(header: &str) -> Option<&str> {
    const WORDS: [&str; 4] = ["bar", "fs", "us", "as"];
    let part = |text: &str| PARTS.iter().any(|(known, _)| *known == text);
    let words = header.match_indices(' ').map(|(at, _)| &header[at + 1..]);
    let power = |text: &str| leading(text).is_some_and(|(_, rest)| !rest.is_empty());
    let scaled = |text: &&str| power(text) && Unit::parse(text).is_some();
    if let Some(unit) = words.into_iter().find(scaled) {
        return Some(unit);
    }
    let begins = header.split_whitespace().next().filter(|text| part(text));
    if begins.is_some() {
        return begins;
    }
    let (before, last) = header.rsplit_once(char::is_whitespace)?;
    let word = before.rsplit(char::is_whitespace).next()?;
    let named = word.contains(char::is_alphabetic) || word == "±";
    let reads = part(last) || !last.is_ascii() || last.len() > 1 && !WORDS.contains(&last);
    (named && reads && Unit::parse(last).is_some()).then_some(last)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_state_units() {
        for (header, expected) in [
            ("Error [mK]", Some("mK")),
            ("Error [1e-3 V]", Some("1e-3 V")),
            ("Error (×10⁻³ V)", Some("×10⁻³ V")),
            ("Error 10^-3 V", Some("10^-3 V")),
            ("Error [10^-3 psi]", Some("10^-3 psi")),
            ("Error [10 mV]", None),
            ("U (k=2) (µK)", Some("µK")),
            ("Abweichung in mK", Some("mK")),
            ("Nominal / °C", Some("°C")),
            ("U (95 %)", None),
            ("U 95 %", None),
            ("Tol %", Some("%")),
            ("Tol ± %", Some("%")),
            ("% error", Some("%")),
            ("Error mV", Some("mV")),
            ("Fehler °C", Some("°C")),
            ("Accuracy FS", None),
            ("Channel A", None),
            ("Error bar", None),
            ("Tol (% of reading)", Some("% of reading")),
            ("Tol % FS", Some("% FS")),
            ("Error % of reading", Some("% of reading")),
            ("as_found", None),
            ("Date (local)", None),
        ] {
            assert_eq!(of_header(header), expected, "{header}");
        }
    }
}
