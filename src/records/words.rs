/*! Words that laboratories put over their columns, and over rows that are no records.

They stand in `data/words/headers.toml`, where anyone can add more. */

use super::cells::column::Column;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// The file, as it was when the program was built.
const FILE: &str = include_str!("../../data/words/headers.toml");

/// Lists of words by what they mean.
type Lists = BTreeMap<String, Vec<String>>;

#[derive(Debug, Default, Deserialize)]
struct Words {
    columns: Lists,
    rows: Lists,
    parts: Lists,
}

// A test reads the file, so that what is built has words.
static WORDS: LazyLock<Words> = LazyLock::new(|| toml::from_str(FILE).unwrap_or_default());

/// The usual words for a column, the more telling one first.
pub(crate) fn words(column: Column) -> &'static [String] {
    of(&WORDS.columns, column.name())
}

/// Words that mark a row which sums others up.
pub(crate) fn summary_words() -> &'static [String] {
    of(&WORDS.rows, "summary")
}

/// True where a header speaks of what the list `name` of parts of words tells.
pub(crate) fn speaks_of(header: &str, name: &str) -> bool {
    let header = header.to_lowercase();
    let parts = of(&WORDS.parts, name);
    parts.iter().any(|part| header.contains(part.as_str()))
}

fn of(lists: &'static Lists, name: &str) -> &'static [String] {
    lists.get(name).map_or(&[], Vec::as_slice)
}

/// A text in lower case, with single blanks for whatever is no letter or digit.
pub(crate) fn plain(text: &str) -> String {
    let letters = |c: char| if c.is_alphanumeric() { c } else { ' ' };
    let lower: String = text
        .chars()
        .map(letters)
        .flat_map(char::to_lowercase)
        .collect();
    lower.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_of_words_are_in_lower_case_as_headers_are_compared() {
        let words: Words = toml::from_str(FILE).unwrap();
        for (list, parts) in &words.parts {
            assert!(!parts.is_empty(), "{list}");
            for part in parts {
                assert_eq!(&part.to_lowercase(), part, "{list}");
            }
        }
        assert!(speaks_of("Korrektur [mK]", "correction") && !speaks_of("Error", "correction"));
    }

    #[test]
    fn the_file_has_words_for_every_column_as_headers_are_compared() {
        let words: Words = toml::from_str(FILE).unwrap();
        for column in Column::ALL {
            assert!(
                words.columns.contains_key(column.name()),
                "{}",
                column.name()
            );
        }
        assert_eq!(words.columns.len(), Column::ALL.len());
        for (list, words) in words.columns.iter().chain(&words.rows) {
            assert!(!words.is_empty(), "{list}");
            for word in words {
                assert_eq!(&plain(word), word, "{list}");
                assert_eq!(
                    words.iter().filter(|w| *w == word).count(),
                    1,
                    "{list}: {word}"
                );
            }
        }
    }
}
