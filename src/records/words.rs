/*! Words that laboratories put over their columns, and over rows that are no records.

They stand in `data/words/headers.toml`, where anyone can add more. */

use super::cells::column::Column;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

/// The file, as it was when the program was built.
const FILE: &str = include_str!("../../data/words/headers.toml");

/// Lists of words by what they mean.
type Lists = BTreeMap<String, Vec<String>>;

/// The lists of each part of the file.
static WORDS: LazyLock<BTreeMap<String, Lists>> = LazyLock::new(|| {
    // A test reads the file, so that what is built has words.
    let mut words: BTreeMap<String, Lists> = toml::from_str(FILE).unwrap_or_default();
    words.values_mut().for_each(add_unaccented);
    words
});

/// Letters with an accent by the one list of their file, each with how it is written where a keyboard has none.
type Accents = BTreeMap<String, Vec<[String; 3]>>;

// A test writes words without their accents, so that what is built has letters.
static ACCENTS: LazyLock<Accents> = LazyLock::new(|| {
    toml::from_str(include_str!("../../data/words/accents.toml")).unwrap_or_default()
});

/// Adds each word with accents as it is written without, behind all others; where that is a word of
/// another list, it keeps the meaning that it has there.
fn add_unaccented(lists: &mut Lists) {
    let known: BTreeSet<String> = lists.values().flatten().cloned().collect();
    for words in lists.values_mut() {
        let forms: Vec<String> = words.iter().flat_map(|word| unaccented(word)).collect();
        for form in forms {
            if !known.contains(&form) && !words.contains(&form) {
                words.push(form);
            }
        }
    }
}

/// A word as it is written without accents: each dropped, and in two letters.
pub(crate) fn unaccented(word: &str) -> [String; 2] {
    [false, true].map(|two| {
        let plain = |c: char| {
            let mut letters = ACCENTS.values().flatten();
            match letters.find(|[accented, ..]| accented.contains(c)) {
                Some([_, _, letters]) if two => letters.clone(),
                Some([_, letter, _]) => letter.clone(),
                None => c.to_string(),
            }
        };
        word.chars().map(plain).collect()
    })
}

/// The usual words for a column, the more telling one first.
pub(crate) fn words(column: Column) -> &'static [String] {
    of("columns", column.name())
}

/// The usual words for a column of the register: its own, else those that checks have for it.
pub(crate) fn register_words(name: &str) -> &'static [String] {
    match of("register", name) {
        [] => of("columns", name),
        own => own,
    }
}

/// The usual words for a column of the jobs beyond those of checks.
pub(crate) fn job_words(name: &str) -> &'static [String] {
    of("jobs", name)
}

/// The usual words for where an instrument stands, by the register's own word for it.
pub(crate) fn status_words(name: &str) -> &'static [String] {
    of("statuses", name)
}

/// Words for a unit of time, by the name of the unit: `days`, `weeks`, `months`, `years`.
pub(crate) fn time_words(name: &str) -> &'static [String] {
    of("times", name)
}

/// Headers of a part of a date, by its name: `year`, `month`, `day`.
pub(crate) fn date_part_words(name: &str) -> &'static [String] {
    of("date_parts", name)
}

/// Words for a column that are whole headers, since beside others they mean something else.
pub(crate) fn words_alone(column: Column) -> &'static [String] {
    of("alone", column.name())
}

/// Words in headers of limits: `of_error`, `allowed`, `accuracy_class`, `other_quantities`; whole `names` of limits
/// that do not say on which side.
pub(crate) fn limit_words(name: &str) -> &'static [String] {
    of("limits", name)
}

/// The usual words for a column of raw readings of thermometers, by its name; "water" has those for the triple
/// point of water itself.
pub(crate) fn reading_words(name: &str) -> &'static [String] {
    of("readings", name)
}

/// Words that mark a row which sums others up.
pub(crate) fn summary_words() -> &'static [String] {
    of("rows", "summary")
}

/// Words that say of a row that it states what was left, or what was found.
pub(crate) fn row_words(column: Column) -> impl Iterator<Item = &'static String> {
    let own = match column {
        Column::AsLeft => "left",
        _ => "found",
    };
    words(column).iter().chain(of("rows", own))
}

/// Words that say of a row that it does not count.
pub(crate) fn void_words() -> &'static [String] {
    of("rows", "void")
}

/// Words that say of a row that it counts.
pub(crate) fn valid_words() -> &'static [String] {
    of("rows", "valid")
}

/// Words of the two ways in which one value is approached.
pub(crate) fn approach_words() -> &'static [String] {
    of("rows", "approaches")
}

/// Names of an end of a range, as whole headers: `zero`, `span`.
pub(crate) fn end_words(name: &str) -> &'static [String] {
    of("ends", name)
}

/// Words between the name of an item and its earlier one.
pub(crate) fn former_words() -> &'static [String] {
    of("rows", "formerly")
}

/// Names that a row which sums others up has in the place of an item's, and that mean more elsewhere.
pub(crate) fn summary_names() -> &'static [String] {
    of("rows", "summary_names")
}

/// True where a header speaks of what the list `name` of parts of words tells.
pub(crate) fn speaks_of(header: &str, name: &str) -> bool {
    let header = header.to_lowercase();
    let parts = of("parts", name);
    parts.iter().any(|part| header.contains(part.as_str()))
}

fn of(part: &str, name: &str) -> &'static [String] {
    let list = WORDS.get(part).and_then(|lists| lists.get(name));
    list.map_or(&[], Vec::as_slice)
}

/// A header before its first bracket; one that a bracket begins is whole.
pub(crate) fn before_bracket(header: &str) -> &str {
    let end = header.find(['[', '(', '［', '（']).filter(|end| *end > 0);
    &header[..end.unwrap_or(header.len())]
}

/// A text in lower case, with single blanks for whatever is no letter or digit.
pub(crate) fn plain(text: &str) -> String {
    let letters = |c: char| if c.is_alphanumeric() { c } else { ' ' };
    let lower: String = text
        .chars()
        .map(letters)
        .flat_map(char::to_lowercase)
        // What the Turkish capital İ leaves in lower case beside its i.
        .filter(|c| *c != '\u{307}')
        .collect();
    lower.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_of_words_are_in_lower_case_as_headers_are_compared() {
        let words: BTreeMap<String, Lists> = toml::from_str(FILE).unwrap();
        for (list, parts) in &words["parts"] {
            assert!(!parts.is_empty(), "{list}");
            for part in parts {
                assert_eq!(&part.to_lowercase(), part, "{list}");
            }
        }
        assert!(speaks_of("Korrektur [mK]", "correction") && !speaks_of("Error", "correction"));
    }

    #[test]
    fn words_are_known_without_their_accents() {
        let has = |column, word: &str| words(column).iter().any(|own| own == word);
        assert!(has(Column::Instrument, "geratenummer"));
        assert!(has(Column::Instrument, "geraetenummer"));
        assert!(has(Column::Date, "date d etalonnage"));
        // A word of its own keeps its own meaning.
        assert!(has(Column::InTolerance, "resultat") && !has(Column::AsFound, "resultat"));
        assert!(speaks_of("Incertitude elargie", "expanded"));
        let accented = |words: &Lists| {
            let all = words.values().flatten().flat_map(|word| unaccented(word));
            let latin = |c: char| c.is_alphabetic() && !c.is_ascii() && c < '\u{250}';
            all.filter(|word| word.contains(latin)).collect::<Vec<_>>()
        };
        assert_eq!(accented(&WORDS["columns"]), Vec::<String>::new());
        assert_eq!(accented(&WORDS["rows"]), Vec::<String>::new());
    }

    #[test]
    fn the_file_has_words_for_every_column_as_headers_are_compared() {
        let words: BTreeMap<String, Lists> = toml::from_str(FILE).unwrap();
        for column in Column::ALL {
            assert!(
                words["columns"].contains_key(column.name()),
                "{}",
                column.name()
            );
        }
        assert_eq!(words["columns"].len(), Column::ALL.len());
        assert_eq!(words.len(), 12);
        let of_headers = words.iter().filter(|(part, _)| *part != "parts");
        for (list, words) in of_headers.flat_map(|(_, lists)| lists) {
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
