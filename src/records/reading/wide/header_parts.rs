/*! What a header of a wide table states, a date, a point or a number, and what stands beside it. */

use crate::records::cells::unit::{self, Unit};
use crate::records::words::plain;

/// What the longest run of words of a header states, as `read` reads it ("3 Mar 2021 found"), and
/// what stands beside it, without a unit in brackets.
pub(crate) fn parts<K>(header: &str, read: impl Fn(&str) -> Option<K>) -> Option<(K, String)> {
    /// Words of a header that states something; every run of them is looked at.
    const MOST_WORDS: usize = 20;
    let split = |text: &'_ str| -> Vec<String> {
        let words = without_unit(text).split([' ', '_', '\n', ':']);
        let words = words.filter(|word| !word.is_empty());
        words.take(MOST_WORDS + 1).map(String::from).collect()
    };
    let words = split(header);
    if words.len() > MOST_WORDS {
        return None;
    }
    if let Some((stated, rest)) = in_brackets(header, &read) {
        return Some((stated, split(&rest).join(" ")));
    }
    let runs = (1..=words.len())
        .rev()
        .flat_map(|length| (0..=words.len() - length).map(move |start| start..start + length));
    runs.into_iter().find_map(|run| {
        let stated = read(&words[run.clone()].join(" "))?;
        let beside = [&words[..run.start], &words[run.end..]].concat().join(" ");
        Some((stated, beside))
    })
}

/// The number that tells a header from others like it, and what stands beside it: `Date 1`, `2nd error [mV]`,
/// `U_3`, `Value4`.
pub(crate) fn numbered_parts(header: &str) -> Option<(usize, String)> {
    let words = plain(without_unit(header));
    let number = |word: &str| {
        let ends = ["st", "nd", "rd", "th"].iter();
        let bare = ends.into_iter().find_map(|end| word.strip_suffix(end));
        bare.unwrap_or(word).parse::<usize>().ok()
    };
    if let Some((first, rest)) = words.split_once(' ')
        && let Some(number) = number(first)
    {
        return Some((number, rest.to_string()));
    }
    let behind = words.trim_end_matches(|c: char| c.is_ascii_digit());
    let number = words[behind.len()..].parse().ok()?;
    let beside = behind.trim_end();
    (!beside.is_empty()).then(|| (number, beside.to_string()))
}

/// What a bracket of a header states (`Error [mK] (0.01 °C)`), and the header without it; a
/// bracket that holds a unit states none.
fn in_brackets<K>(header: &str, read: impl Fn(&str) -> Option<K>) -> Option<(K, String)> {
    let opens = header.match_indices(['[', '(']).map(|(open, _)| open);
    opens.into_iter().find_map(|open| {
        let inside = &header[open + 1..];
        let close = inside.find([']', ')'])?;
        let (inside, after) = (inside[..close].trim(), &inside[close + 1..]);
        let stated = read(inside).filter(|_| Unit::parse(inside).is_none())?;
        Some((
            stated,
            format!("{} {}", &header[..open], after.trim_start()),
        ))
    })
}

/// The same of a date, with whose time of day nothing is stated.
pub(crate) fn dated_parts<K>(
    header: &str,
    read: impl Fn(&str) -> Option<K>,
) -> Option<(K, String)> {
    let (date, beside) = parts(header, read)?;
    let of_time = |word: &str| {
        let number = word.len() == 2 && word.bytes().all(|b| b.is_ascii_digit());
        number || ["AM", "PM"].contains(&word) || matches!(word.as_bytes(), [b'0'..=b'9'])
    };
    let mut words = beside.split(' ');
    let is_time = beside.contains(' ') && words.all(of_time);
    Some((date, if is_time { String::new() } else { beside }))
}

/// A header without a unit that stands in brackets at its end.
pub(crate) fn without_unit(header: &str) -> &str {
    let header = header.trim();
    let unit = unit::of_header(header).filter(|_| header.ends_with([']', ')']));
    // A unit may have brackets of its own: [mW/(m·K)].
    let before = unit.and_then(|unit| header[..header.rfind(unit)?].rfind(['[', '(']));
    let open = before.or_else(|| header.rfind(['[', '(']));
    match open {
        Some(open) if unit.is_some() => header[..open].trim_end(),
        _ => header,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::reading::wide::WideSettings;

    #[test]
    fn dates_of_several_words_are_read_whole() {
        let settings = WideSettings {
            date_format: "%d %b %Y".into(),
            ..WideSettings::default()
        };
        let of = |header: &str| parts(header, |text| settings.date(text));
        let (date, beside) = of("U 3 Mar 2021 (mK)").unwrap();
        assert_eq!(
            (crate::records::date::iso(date), beside),
            ("2021-03-03".into(), "U".into())
        );
        assert_eq!(of("3 Mars"), None);
    }

    #[test]
    fn a_header_of_a_number_alone_or_of_none_has_no_parts() {
        assert_eq!(numbered_parts("Date"), None);
        assert_eq!(numbered_parts("2021"), None);
    }
}
