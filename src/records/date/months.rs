/*! Names of months as people write them, in the languages of the headers. */

use super::date_words::DATE_WORDS;

/// Letters of the longest name.
const LONGEST: usize = 12;

/// A date with the name of its month as the formats have it; `None` where there is no other name.
pub(crate) fn in_english(date: &str) -> Option<String> {
    // Spanish and Portuguese: 2 de marzo de 2021.
    let date = &*date.replace(" de ", " ").replace(" del ", " ");
    let start = date.find(char::is_alphabetic)?;
    let rest = &date[start..];
    let end = rest
        .find(|c: char| !c.is_alphabetic())
        .unwrap_or(rest.len());
    let name = rest[..end].to_lowercase();
    let letters = name.chars().count();
    if !(3..=LONGEST).contains(&letters) {
        return None;
    }
    let begins = |begin: &String| name.starts_with(begin.as_str());
    let mut months = DATE_WORDS.months.iter();
    let (english, _) = months.find(|(_, beginnings)| beginnings.iter().any(begins))?;
    // An abbreviation's full stop belongs to it, but where the format has one behind the day.
    let behind = rest[end..].strip_prefix('.').unwrap_or(&rest[end..]);
    Some(format!("{}{english}{behind}", &date[..start]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_of_several_languages_are_read() {
        for (text, english) in [
            ("12. März 2021", "12. Mar 2021"),
            ("12 janv. 2024", "12 Jan 2024"),
            ("3 juin 2020", "3 Jun 2020"),
            ("3 juillet 2020", "3 Jul 2020"),
            ("01-Okt-21", "01-Oct-21"),
            ("5 août 2022", "5 Aug 2022"),
            ("7 ottobre 2022", "7 Oct 2022"),
            ("2 de marzo de 2021", "2 Mar 2021"),
        ] {
            assert_eq!(in_english(text).as_deref(), Some(english), "{text}");
        }
        for text in ["2021-03-04", "12 kg", "T10", "channel 2"] {
            assert_eq!(in_english(text), None, "{text}");
        }
    }
}
