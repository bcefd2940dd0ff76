/*! `{year}`, `{month}` and `{date}` in the name of the run folder, from the as-of date. */

use crate::records::date;

/// The words in braces and the part of an ISO 8601 date they stand for.
const WORDS: [(&str, std::ops::Range<usize>); 3] =
    [("{year}", 0..4), ("{month}", 5..7), ("{date}", 0..10)];

/// `template` with its words replaced from `as_of` (days since 1970-01-01).
pub(crate) fn fill(template: &str, as_of: f64) -> String {
    let iso = date::iso(as_of);
    let mut name = template.to_string();
    for (word, part) in WORDS {
        if let Some(text) = iso.get(part) {
            name = name.replace(word, text);
        }
    }
    name
}

/// What stands in braces in `template` and is none of the known words.
pub(crate) fn unknown_word(template: &str) -> Option<String> {
    let mut rest = template.to_string();
    for (word, _) in WORDS {
        rest = rest.replace(word, "");
    }
    let at = rest.find(['{', '}'])?;
    let end = rest[at..].find('}').map_or(rest.len(), |k| at + k + 1);
    Some(rest[at..end].to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_period_names_its_folder() {
        let day = date::parse_iso(b"2026-06-30").unwrap();
        assert_eq!(fill("../reports/{year}-{month}", day), "../reports/2026-06");
        assert_eq!(fill("r/{date}/{year}", day), "r/2026-06-30/2026");
        assert_eq!(fill("plain", day), "plain");
    }

    #[test]
    fn other_words_are_told() {
        assert_eq!(unknown_word("a/{year}-{week}"), Some("{week}".into()));
        assert_eq!(unknown_word("a/{month"), Some("{month".into()));
        assert_eq!(unknown_word("a/{year}"), None);
    }
}
