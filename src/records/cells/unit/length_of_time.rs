/*! A length of time in a cell: a number in the unit of its column, or in its own. */

use crate::records::cells::field::Field;
use crate::records::cells::marks::Marks;
use crate::records::cells::number::Number;
use crate::records::settings::words::TimeUnit;
use crate::records::words::{plain, time_words};

/// True where `word` names the unit: "months", "Monate", "mo".
pub(crate) fn names(unit: TimeUnit, word: &str) -> bool {
    time_words(unit.word()).iter().any(|own| own == word)
}

/// Number and unit of "12 months" and "1 a"; `None` where the text does not end with a unit of time.
pub(crate) fn with_unit(text: &str) -> Option<(&str, TimeUnit)> {
    let number = text.trim_end_matches(|c: char| c.is_alphabetic() || c == '.');
    let word = plain(&text[number.len()..]);
    let unit = TimeUnit::ALL.into_iter().find(|unit| names(*unit, &word))?;
    Some((number.trim(), unit))
}

/// The days that a cell states, its bare number in `unit`; `None` where it cannot be read as a length of time.
pub(crate) fn in_days(field: Field<'_>, unit: TimeUnit, marks: Marks) -> Option<f64> {
    if let Field::Text(text) = field
        && let Some((number, own)) = with_unit(text.trim())
    {
        return Some(own.days(Number::parse(number, marks).ok()?.value));
    }
    let number = field.number(marks).ok().flatten()?;
    Some(unit.days(number.value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_in_its_own_unit_or_in_that_of_its_column() {
        let days = |text| in_days(Field::Text(text), TimeUnit::Months, Marks::from(false));
        for (text, expected) in [
            ("12", Some(365.0)),
            ("6", Some(183.0)),
            ("12 months", Some(365.0)),
            ("2 years", Some(731.0)),
            ("1 a", Some(365.0)),
            ("90 d", Some(90.0)),
            ("26 Wochen", Some(182.0)),
            ("12mo.", Some(365.0)),
            ("yearly", None),
            ("12 volts", None),
            ("", None),
        ] {
            assert_eq!(days(text), expected, "{text}");
        }
        let typed = in_days(Field::Number(24.0), TimeUnit::Months, Marks::from(false));
        assert_eq!(typed, Some(731.0));
    }
}
