/*! Units as Russian writes them, with the symbol that each is: a header in МПа beside limits in кПа are a thousand apart. */

use crate::records::cells::cell_words::CELL_WORDS;

/// The symbol of a unit in Cyrillic letters; `None` for any other text.
pub(super) fn in_latin(text: &str) -> Option<&'static str> {
    let cyrillic = |c: char| ('\u{400}'..='\u{4ff}').contains(&c);
    if !text.starts_with(cyrillic) {
        return None;
    }
    CELL_WORDS.cyrillic_units.get(text).map(String::as_str)
}

#[cfg(test)]
mod tests {
    use super::super::{Unit, same_unit};
    use super::*;

    #[test]
    fn units_in_cyrillic_are_those_of_the_si() {
        assert_eq!(CELL_WORDS.cyrillic_units.len(), 42);
        for (own, latin) in &CELL_WORDS.cyrillic_units {
            assert_eq!(Unit::parse(own), Unit::parse(latin), "{own}");
            assert!(
                same_unit(own, latin) && Unit::parse(latin).is_some(),
                "{own}"
            );
        }
        assert!(!same_unit("кПа", "MPa") && Unit::parse("Показание").is_none());
    }
}
