/*! Days of the week beside a date, in the languages of the headers: `Fri 15 Mar 2024`, `Mo., 3.5.2021`,
`2024年3月15日(金)`. They say nothing that the date does not, and must agree with it. */

use super::date_words::DATE_WORDS;
use chrono::Weekday;

/// What may stand behind a day of the week where it is more than its sign: 金曜日, 星期五, 周五, 금요일, sexta-feira.
const AROUND: [&str; 7] = ["曜日", "曜", "星期", "周", "週", "요일", "-feira"];

/// Letters of the shortest abbreviation in an alphabet.
const SHORTEST: usize = 2;

/// Bytes of the longest text that is looked at.
const LONGEST: usize = 60;

/// The text without a word that may name a day of the week, with the days that it may name; one for each such word.
pub(super) fn without_weekday(text: &str) -> impl Iterator<Item = (String, Vec<Weekday>)> + '_ {
    let looked_at = Some(text).filter(|text| text.len() <= LONGEST);
    looked_at
        .into_iter()
        .flat_map(words)
        .filter_map(move |(start, end)| {
            let named = named(&text[start..end]);
            if named.is_empty() {
                return None;
            }
            let before = text[..start].trim_end_matches(['(', '（', ',', ' ']);
            let behind = text[end..].trim_start_matches(['.', ',', ')', '）', ' ']);
            let parted = match before.is_empty() || behind.is_empty() {
                true => "",
                false => " ",
            };
            Some((format!("{before}{parted}{behind}"), named))
        })
}

/// Where the words of a text stand: letters, and a hyphen between two of them. A sign of a date between figures
/// (2024年3月15日) is none.
fn words(text: &str) -> Vec<(usize, usize)> {
    let mut found: Vec<(usize, usize)> = Vec::new();
    let mut last_was_letter = false;
    let letter = |c: char| c.is_alphabetic() && !matches!(c, '年');
    for (at, c) in text.char_indices() {
        let end = at + c.len_utf8();
        let rest = text[end..].chars().next();
        let hyphen = c == '-' && last_was_letter && rest.is_some_and(letter);
        match (letter(c) || hyphen, last_was_letter, found.last_mut()) {
            (true, true, Some(word)) => word.1 = end,
            (true, ..) => found.push((at, end)),
            (false, ..) => {}
        }
        last_was_letter = letter(c) || hyphen;
    }
    // 3月 and 15日 are parts of the date.
    found.retain(|(start, _)| !text[..*start].ends_with(|c: char| c.is_ascii_digit()));
    found
}

/// The days that a word names.
fn named(word: &str) -> Vec<Weekday> {
    let lower = word.to_lowercase();
    let bare = AROUND.iter().fold(lower.as_str(), |word, part| {
        let word = word.strip_prefix(part).unwrap_or(word);
        word.strip_suffix(part).unwrap_or(word)
    });
    let may_be_short = bare.chars().nth(SHORTEST - 1).is_some();
    let names = |name: &String| match may_be_short {
        true => name.starts_with(bare),
        false => name == bare,
    };
    let days = (0u8..).zip(&DATE_WORDS.weekdays);
    let named = days.filter(|(_, all)| all.iter().any(&names));
    named
        .filter_map(|(day, _)| Weekday::try_from(day).ok())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_word_of_a_day_is_taken_out_of_a_date() {
        for (text, rest, day) in [
            ("Fri 15 Mar 2024", "15 Mar 2024", Weekday::Fri),
            ("Friday, March 15, 2024", "March 15, 2024", Weekday::Fri),
            ("Mo., 3.5.2021", "3.5.2021", Weekday::Mon),
            ("lun. 3 mai 2021", "3 mai 2021", Weekday::Mon),
            ("15.03.2024 (Fr)", "15.03.2024", Weekday::Fri),
            ("2024-03-15 pt", "2024-03-15", Weekday::Fri),
            ("sexta-feira, 15/03/2024", "15/03/2024", Weekday::Fri),
            ("2024年3月15日(金)", "2024年3月15日", Weekday::Fri),
            ("2024/3/15（金曜日）", "2024/3/15", Weekday::Fri),
            (
                "2024年3月15日 星期五 10:30",
                "2024年3月15日 10:30",
                Weekday::Fri,
            ),
        ] {
            let mut found = without_weekday(text);
            let fits = found.any(|(bare, days)| bare == rest && days.contains(&day));
            assert!(
                fits,
                "{text}: {:?}",
                without_weekday(text).collect::<Vec<_>>()
            );
        }
        assert_eq!(without_weekday("2024年3月15日").count(), 0);
        assert_eq!(without_weekday("2024-03-15T10:00Z").count(), 0);
    }

    #[test]
    fn names_are_in_lower_case() {
        for name in DATE_WORDS.weekdays.iter().flatten() {
            assert_eq!(*name, name.to_lowercase());
        }
    }
}
