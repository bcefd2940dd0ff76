/*! The unit that a header states. */

use super::super::number::power_of_ten::leading;
use super::Unit;
use super::known::{NAMED, PARTS};
use crate::records::words::before_bracket;

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
    let behind = || behind_letters(header).filter(understood);
    let unit = marked.find(understood).or_else(behind);
    let unit = unit.or_else(|| bare(header));
    unit.or_else(|| part_of_whole(header))
}

/// What stands behind a slash that follows a letter of the Far East, where no blank parts them: `示值误差/mg`. Behind a
/// Latin one it may be a ratio or another word (`m/s`, `max/min`).
fn behind_letters(header: &str) -> Option<&str> {
    /// The first of the letters of Chinese, Japanese and Korean.
    const FIRST: char = '\u{2e80}';
    let (before, unit) = header.rsplit_once(['/', '／'])?;
    before.ends_with(|c| c >= FIRST).then_some(unit.trim())
}

/// The sign of a limit in its header.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sign {
    Plus,
    Minus,
}

/// A header before its first bracket, without a unit that stands at its end: `Limit hPa`, `Ref. 1/min`, `Tol + [mK]`.
pub(crate) fn words_of_header(header: &str) -> &str {
    without_bare_unit(before_bracket(header))
}

/// The sign that begins a header or ends it, in brackets or before a unit: `- Tolerance (mm)`, `Tol + [mK]`,
/// `Tol (-) mV`; `None` where there is none, or both.
pub(crate) fn sign_of_header(header: &str) -> Option<Sign> {
    let bare = [without_bare_unit(header), words_of_header(header)];
    let bare =
        bare.map(|text| text.trim_matches(|c: char| c.is_whitespace() || "()[]".contains(c)));
    let both = ["+/-", "+-", "-/+"];
    if both.iter().any(|signs| bare[0].contains(signs)) {
        return None;
    }
    let signed = |sign: &[char]| {
        let mut bare = bare.iter();
        bare.any(|text| text.starts_with(sign) || text.ends_with(sign))
    };
    match (signed(&['+']), signed(&['-', '\u{2212}'])) {
        (true, false) => Some(Sign::Plus),
        (false, true) => Some(Sign::Minus),
        _ => None,
    }
}

fn without_bare_unit(header: &str) -> &str {
    let header = header.trim_end();
    let unit = of_header(header).and_then(|unit| header.strip_suffix(unit));
    let named = |words: &&str| words.contains(char::is_alphabetic);
    unit.filter(named).unwrap_or(header)
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
    // What stands behind its bracket, or behind a sign in it, says something else: `U [%RH], k=2`, `U (% of value; k=2)`.
    let end = header[at..].find([']', ';']);
    let part = &header[at..at + end.unwrap_or(header.len() - at)];
    Some(part.trim_end_matches([')', ']']).trim())
}

/// The unit that ends a header without a mark, as in `Tol %`, `Error mV` and `reading_lx`, or the part that
/// begins it, as in `% error`. A number before it makes both an amount (`U 95 %`), and a symbol of
/// one letter, or one that is a word as well, may be none.
fn bare(header: &str) -> Option<&str> {
    const WORDS: [&str; 4] = ["bar", "fs", "us", "as"];
    const SIGNS: [&str; 6] = ["±", "+", "-", "\u{2212}", "+/-", "+-"];
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
    let between = |c: char| c.is_whitespace() || c == '_';
    let (before, last) = header.rsplit_once(between)?;
    let word = before.rsplit(between).next()?;
    let word = word.trim_matches(['(', ')']);
    let named = word.contains(char::is_alphabetic) || SIGNS.contains(&word);
    let reads = part(last) || !last.is_ascii() || last.len() > 1 && !WORDS.contains(&last);
    (named && reads && Unit::parse(last).is_some()).then_some(last)
}

/// The symbol that ends a header without a mark and may be a unit or part of a name: `Tol K`, `Limit V`, `Limit A`,
/// `Error bar`.
pub(crate) fn may_be_unit(header: &str) -> Option<&str> {
    let (before, last) = header.trim().rsplit_once([' ', '_'])?;
    let named = before.contains(char::is_alphabetic);
    (named && of_header(header).is_none() && Unit::parse(last).is_some()).then_some(last)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_symbol_without_a_mark_may_be_a_unit() {
        for (header, expected) in [
            ("Tol K", Some("K")),
            ("Limit V", Some("V")),
            ("limit_bar", Some("bar")),
            ("Tol [K]", None),
            ("Tol mK", None),
            ("K", None),
            ("Limit ±", None),
        ] {
            assert_eq!(may_be_unit(header), expected, "{header}");
        }
    }

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
            ("Tol + mV", Some("mV")),
            ("Tol (-) dB", Some("dB")),
            ("Tol +/- mV", Some("mV")),
            ("Tol \u{2212} dB", Some("dB")),
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
            ("reading_lx", Some("lx")),
            ("limit_pct", Some("pct")),
            ("deleted_at", None),
            ("measured_as", None),
            ("phase_a", None),
            ("Date (local)", None),
        ] {
            assert_eq!(of_header(header), expected, "{header}");
        }
    }
}
