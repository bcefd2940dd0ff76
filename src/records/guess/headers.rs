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
    let first = |fits: fn(&str, &str) -> bool| {
        words(column).iter().find_map(|word| {
            let place = free.iter().find(|&&i| fits(header(i), word))?;
            Some((*place, word.as_str()))
        })
    };
    first(|header, word| folded(header) == word).or_else(|| first(says))
}

/// True where the words of a header name `column`.
pub(super) fn headed(header: &str, column: Column) -> bool {
    words(column).iter().any(|word| says(header, word))
}

/// The header in lower case, without its unit, with single blanks for separators.
pub(super) fn folded(header: &str) -> String {
    let end = header
        .find(['[', '('])
        .filter(|i| *i > 0)
        .unwrap_or(header.len());
    plain(&header[..end])
}

/// True where `word` stands in the header as whole words.
pub(super) fn says(header: &str, word: &str) -> bool {
    format!(" {} ", folded(header)).contains(&format!(" {word} "))
}
