/*! What the words of a header name. */

use crate::records::cells::column::Column;
use crate::records::words::{plain, words};

/// Where the headers name the items, by their words.
pub(super) fn item_column(headers: &[String]) -> Option<usize> {
    let all: Vec<usize> = (0..headers.len()).collect();
    find(Column::Instrument, &all, |i| &headers[i]).map(|(place, _)| place)
}

/// Where the headers name the dates, by their words.
pub(super) fn date_column(headers: &[String]) -> Option<usize> {
    let all: Vec<usize> = (0..headers.len()).collect();
    find(Column::Date, &all, |i| &headers[i]).map(|(place, _)| place)
}

/// The first word of `column` that a free header is, else that it holds, with the header's place.
pub(super) fn find<'a>(
    column: Column,
    free: &[usize],
    header: impl Fn(usize) -> &'a str,
) -> Option<(usize, &'static str)> {
    // Each header once: a sheet may have thousands.
    let spaced = |place: &usize| (*place, format!(" {} ", folded(header(*place))));
    let free: Vec<(usize, String)> = free.iter().map(spaced).collect();
    let first = |fits: fn(&str, &str) -> bool| {
        words(column).iter().find_map(|word| {
            let spaced = format!(" {word} ");
            let (place, _) = free.iter().find(|(_, header)| fits(header, &spaced))?;
            Some((*place, word.as_str()))
        })
    };
    first(|header, word| header == word).or_else(|| first(holds))
}

/// True where `word` stands among the words of `header`, both with blanks around them; writing
/// that sets no blanks between words is looked through.
fn holds(header: &str, word: &str) -> bool {
    let alone = word.trim();
    header.contains(word) || alone.chars().all(is_unspaced) && header.contains(alone)
}

/// True for a sign of a script that sets no blanks between words: kana and the unified ideographs
/// (Unicode 15, blocks 3040 to 30FF and 4E00 to 9FFF).
fn is_unspaced(c: char) -> bool {
    matches!(c, '\u{3040}'..='\u{30ff}' | '\u{4e00}'..='\u{9fff}')
}

/// True where the words of a header name `column`.
pub(super) fn headed(header: &str, column: Column) -> bool {
    words(column).iter().any(|word| says(header, word))
}

/// Bytes of a header that are looked at; a longer text is no header.
const LONGEST: usize = 300;

/// The header in lower case, without its unit, with single blanks for separators.
pub(super) fn folded(header: &str) -> String {
    let header = &header[..header.floor_char_boundary(LONGEST)];
    let end = header
        .find(['[', '(', '［', '（'])
        .filter(|i| *i > 0)
        .unwrap_or(header.len());
    plain(&header[..end])
}

/// True where `word` stands in the header as whole words.
pub(super) fn says(header: &str, word: &str) -> bool {
    holds(&format!(" {} ", folded(header)), &format!(" {word} "))
}
