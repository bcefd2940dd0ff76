/*! A row below the header that states units: no record, and no header either. */

use crate::records::cells::number::Number;
use crate::records::cells::unit;

/// Longest text that is taken for a unit, characters.
const LONGEST: usize = 14;

/// What stands in such a row for a column without a unit, and how dates are to be written.
const FILLERS: [&str; 9] = [
    "-",
    "–",
    "—",
    "/",
    "yyyy-mm-dd",
    "dd.mm.yyyy",
    "dd/mm/yyyy",
    "mm/dd/yyyy",
    "tt.mm.jjjj",
];

/// Units without their prefixes, in lower case. SI brochure (9th edition), tables 2 and 4;
/// the rest is common practice, no source.
const UNITS: [&str; 31] = [
    "k", "°c", "c", "degc", "°f", "ω", "ohm", "g", "m", "s", "v", "a", "w", "j", "n", "f", "h",
    "hz", "pa", "bar", "psi", "min", "d", "l", "mol", "cd", "rad", "nm", "°", "t", "%rh",
];

/// Units that take no prefix.
const WHOLE: [&str; 9] = [
    "%", "‰", "ppm", "ppb", "1e-6", "10^-6", "1e-9", "10^-9", "1",
];

/// True where every field is blank or a unit, some field is one, and none stands in the column
/// `name` of the items, which is looked for only then: one may be called A.
pub(crate) fn is_units_row(fields: &[String], name: impl FnOnce() -> usize) -> bool {
    let filler = |field: &str| FILLERS.contains(&field.to_lowercase().as_str());
    let filled = || fields.iter().map(|f| f.trim()).filter(|f| !f.is_empty());
    if !filled().all(|f| filler(f) || is_unit(f)) || !filled().any(is_unit) {
        return false;
    }
    let item = fields.get(name()).map_or("", |field| field.trim());
    item.is_empty() || filler(item)
}

/// True for the text of a unit, with or without brackets. A number is none, even where it is 1.
fn is_unit(text: &str) -> bool {
    let text = text.trim_matches(['[', ']', '(', ')']).trim();
    if text.is_empty() || text.chars().count() > LONGEST || Number::parse(text, false).is_ok() {
        // 1e-6 reads as a number, and is none a laboratory writes into a row of records alone.
        return matches!(text, "1e-6" | "1e-9");
    }
    let text = text
        .to_lowercase()
        .replace(['µ', 'μ'], "u")
        .replace('\u{2126}', "ω");
    let simple = |part: &str| {
        let part = part.trim();
        let prefixed = |p: &char| {
            part.strip_prefix(*p)
                .is_some_and(|rest| UNITS.contains(&rest))
        };
        UNITS.contains(&part)
            || WHOLE.contains(&part)
            || ['f', 'p', 'n', 'u', 'm', 'c', 'd', 'h', 'k', 'g', 't']
                .iter()
                .any(prefixed)
    };
    text.split(['/', '·', '*']).all(simple)
}

/// A unit without its brackets.
pub(crate) fn bare_unit(text: &str) -> &str {
    text.trim().trim_matches(['[', ']', '(', ')']).trim()
}

/// The headers with the units that stand below them, as `Error [mK]`; a header that states that
/// unit itself stays as it is.
pub(crate) fn with_unit_texts(headers: &[String], units: &[String]) -> Vec<String> {
    let below = |i: usize| units.get(i).map_or("", |unit| bare_unit(unit));
    let with = |(i, header): (usize, &String)| match (header.trim(), below(i)) {
        (header, "") => header.to_string(),
        (header, unit) if unit::of_header(header) == Some(unit) => header.to_string(),
        (header, unit) => format!("{header} [{unit}]"),
    };
    headers.iter().enumerate().map(with).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(fields: &[&str]) -> bool {
        let fields: Vec<String> = fields.iter().map(|f| f.to_string()).collect();
        is_units_row(&fields, || 0)
    }

    #[test]
    fn units_are_told_from_records_and_headers() {
        assert!(row(&["", "", "mK", "(mK)", "[µΩ/Ω]"]));
        assert!(row(&[
            "-",
            "dd.mm.yyyy",
            "%",
            "ppm",
            "k Pa".trim_start_matches("k ")
        ]));
        assert!(row(&["", "", "1e-6", ""]));
        for no in [
            vec!["", "", ""],
            vec!["R-1", "", "mK"],
            vec!["", "2020-01-01", "mK"],
            vec!["", "", "0.3", "mK"],
            vec!["", "", "error"],
            vec!["value", "U"],
            vec!["A", "V"],
        ] {
            assert!(!row(&no), "{no:?}");
        }
    }
}
