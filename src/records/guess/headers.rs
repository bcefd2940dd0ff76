/*! What the words of a header name. */

use crate::records::cells::column::Column;
use crate::records::cells::unit::{self, Sign};
use crate::records::reading::wide::without_unit;
use crate::records::words::{approach_words, limit_words, plain, speaks_of, words, words_alone};
use std::borrow::Cow;
use std::collections::HashSet;

/// Headers as they are compared with words, each folded once: a sheet may have thousands.
pub(super) struct Headers {
    folded: Vec<String>,
    /// The words of them all: one that none of them has is looked for in none.
    words: HashSet<String>,
}

impl Headers {
    pub(crate) fn of<'a>(headers: impl Iterator<Item = &'a str>) -> Self {
        let folded: Vec<String> = headers.map(folded).collect();
        let words = folded.iter().flat_map(|header| header.split(' '));
        let words = words.map(String::from).collect();
        Self { folded, words }
    }

    /// The first word of `column` that a free header is, else that it holds, with the header's
    /// place.
    pub(crate) fn find(
        &self,
        column: Column,
        free: impl Fn(usize) -> bool,
    ) -> Option<(usize, &'static str)> {
        self.find_of(words(column), free)
    }

    /// A free header that is one of the words which mean `column` as whole headers alone.
    pub(crate) fn find_alone(
        &self,
        column: Column,
        free: impl Fn(usize) -> bool,
    ) -> Option<(usize, &'static str)> {
        words_alone(column).iter().find_map(|word| {
            let place = (0..self.folded.len()).find(|i| self.folded[*i] == *word && free(*i))?;
            Some((place, word.as_str()))
        })
    }

    /// The header in place `i` as it is compared.
    pub(crate) fn folded(&self, i: usize) -> &str {
        &self.folded[i]
    }

    /// The same of a list of words.
    pub(crate) fn find_of(
        &self,
        words: &'static [String],
        free: impl Fn(usize) -> bool,
    ) -> Option<(usize, &'static str)> {
        let known = |word: &&String| {
            let has = |part| self.words.contains(part);
            word.split(' ').all(has) || word.chars().all(is_unspaced)
        };
        let known: Vec<&'static String> = words.iter().filter(known).collect();
        let first = |fits: fn(&str, &str) -> bool| {
            known.iter().find_map(|word| {
                let mut places = 0..self.folded.len();
                // What a column holds is looked at last: it may be long.
                let place = places.find(|i| fits(&self.folded[*i], word) && free(*i))?;
                Some((place, word.as_str()))
            })
        };
        first(|header, word| header == word).or_else(|| first(holds))
    }
}

/// Where the headers name the items, by their words.
pub(super) fn item_column(headers: &[String]) -> Option<usize> {
    named(headers, Column::Instrument).or_else(|| {
        let headers = Headers::of(headers.iter().map(String::as_str));
        let (place, _) = headers.find_alone(Column::Instrument, |_| true)?;
        Some(place)
    })
}

/// Where the headers name the dates, by their words.
pub(super) fn date_column(headers: &[String]) -> Option<usize> {
    named(headers, Column::Date)
}

fn named(headers: &[String], column: Column) -> Option<usize> {
    let headers = Headers::of(headers.iter().map(String::as_str));
    headers.find(column, |_| true).map(|(place, _)| place)
}

/// True where `word` stands among the words of a folded header; writing that sets no blanks
/// between words is looked through.
pub(super) fn holds(header: &str, word: &str) -> bool {
    let whole = |(at, found): (usize, &str)| {
        let (before, after) = (&header[..at], &header[at + found.len()..]);
        let ends = |text: &str, end: bool| text.is_empty() || end;
        ends(before, before.ends_with(' ')) && ends(after, after.starts_with(' '))
    };
    let unspaced = || word.chars().all(is_unspaced);
    header
        .match_indices(word)
        .any(|found| whole(found) || unspaced())
}

/// True for a sign of a script that sets no blanks between words, or not between all: kana, the unified
/// ideographs and Hangul (Unicode 15, blocks 3040 to 30FF, 4E00 to 9FFF and AC00 to D7A3).
fn is_unspaced(c: char) -> bool {
    matches!(c, '\u{3040}'..='\u{30ff}' | '\u{4e00}'..='\u{9fff}' | '\u{ac00}'..='\u{d7a3}')
}

/// True where the words of a header name `column`.
pub(super) fn headed(header: &str, column: Column) -> bool {
    let header = folded(header);
    words(column).iter().any(|word| holds(&header, word))
}

/// True where a header is one of the words that mean `column` as whole headers alone.
pub(super) fn is_alone(header: &str, column: Column) -> bool {
    words_alone(column).contains(&folded(header))
}

/// True for a header whose first word is that of a mean.
pub(super) fn names_mean(header: &str) -> bool {
    let header = folded(header);
    let first = header.split(' ').next().unwrap_or("");
    let mean = !matches!(first, "actual" | "ist");
    mean && words_alone(Column::AsFound)
        .iter()
        .any(|word| word == first)
}

/// A header without a unit, known or not, in brackets at its end: `Anzeige 1 [Nm]`; a number there counts.
fn without_brackets(header: &str) -> &str {
    let header = without_unit(header);
    match header.rfind(['[', '(']) {
        Some(open) if open > 0 && header.ends_with([']', ')']) => {
            let inside = &header[open..];
            let worded = inside.contains(char::is_alphabetic);
            if worded {
                header[..open].trim_end()
            } else {
                header
            }
        }
        _ => header,
    }
}

/// True for a header that is one of the words for points and nothing beside it.
pub(crate) fn names_points(header: &str) -> bool {
    words(Column::Point).contains(&folded(header))
}

/// The words of a header that a number counts, before or behind them: Rdg 1 \[V\], 1. Messung.
pub(super) fn counted(header: &str) -> Option<String> {
    let words = plain(without_brackets(header));
    let number = |word: &&str| word.bytes().all(|b| b.is_ascii_digit());
    let behind = || words.trim_end_matches(|c: char| c.is_ascii_digit());
    match words.split_once(' ') {
        Some((first, rest)) if number(&first) => Some(rest.to_string()),
        _ => (behind().len() < words.len()).then(|| behind().trim_end().to_string()),
    }
}

/// The words of a header before the one letter that tells it from others: Error A, Error B.
pub(super) fn lettered(header: &str) -> Option<String> {
    let words = plain(without_brackets(header));
    let (stem, last) = words.rsplit_once(' ')?;
    let mut letters = last.chars();
    let lone = letters.next().is_some_and(char::is_alphabetic) && letters.next().is_none();
    lone.then(|| stem.to_string())
}

/// The words of a header beside the one that says on which way its value was approached: Reading up,
/// Falling error.
pub(super) fn approached(header: &str) -> Option<String> {
    let words = plain(without_brackets(header));
    let way = |word: &&str| approach_words().iter().any(|way| way == word);
    let others: Vec<&str> = words.split(' ').filter(|word| !way(word)).collect();
    (others.len() + 1 == words.split(' ').count()).then(|| others.join(" "))
}

/// True for the largest drift or error that is allowed: its header says not on which side.
pub(super) fn is_largest(header: &str) -> bool {
    is_most(header, "of_error")
}

/// True for the most that is allowed, of what the header does not say: an upper limit only beside the least.
pub(super) fn is_most_allowed(header: &str) -> bool {
    is_most(header, "allowed")
}

fn is_most(header: &str, list: &str) -> bool {
    let header = folded(header);
    let most = |word: &str| word.starts_with("max") || word.starts_with("máx") || word == "største";
    let mut ends = [header.split(' ').next(), header.split(' ').next_back()].into_iter();
    ends.any(|word| word.is_some_and(most)) && limit_word(&header, list).is_some()
}

/// A word of `header` that names another quantity than the error, and that `readings` has not: limits of the
/// variation in length are none of the deviation.
pub(super) fn other_quantity(header: &str, readings: &str) -> Option<&'static str> {
    let [header, readings] = [header, readings].map(folded);
    let of_readings = |word: &&str| readings.split(' ').any(|own| own == *word);
    limit_word(&header, "other_quantities").filter(|word| !of_readings(word))
}

/// The first word of a list about limits that a folded header has.
fn limit_word(header: &str, list: &str) -> Option<&'static str> {
    let mut words = limit_words(list).iter();
    let found = words.find(|word| header.split(' ').any(|own| own == **word));
    found.map(String::as_str)
}

/// True for a header that names a ratio or a factor of calibration, and no error of it: current transformers have a
/// ratio error.
pub(super) fn is_ratio(header: &str) -> bool {
    let own = folded(header);
    let mut words = limit_words("ratios").iter();
    words.any(|word| holds(&own, word)) && !speaks_of(header, "error")
}

/// True for the share of a tolerance that an error takes: `% of tol`, `%Spec`.
pub(super) fn is_share_of_limit(header: &str) -> bool {
    let header = header.trim().to_lowercase();
    let behind = header.strip_prefix('%').or(header.strip_prefix("percent"));
    behind.is_some_and(|behind| behind.contains(char::is_alphabetic))
}

/// Bytes of a header that are looked at; a longer text is no header.
const LONGEST: usize = 300;

/// Words that a header writes together, with blanks between them: `AsFound`, `AssetID`. Units stay as they are:
/// before `mV` and within `kPa` stands one letter.
fn apart(header: &str) -> Cow<'_, str> {
    let letters: Vec<char> = header.chars().collect();
    let begins = |i: usize| {
        let lower = |at: usize| letters.get(at).is_some_and(|c| c.is_lowercase());
        let upper = |at: usize| letters.get(at).is_some_and(|c| c.is_uppercase());
        let whole = i > 1 && letters[i - 2].is_alphabetic() && lower(i - 1);
        whole && upper(i) && (lower(i + 1) || upper(i + 1))
    };
    if !(0..letters.len()).any(begins) {
        return Cow::Borrowed(header);
    }
    let mut words = String::with_capacity(header.len() + 4);
    for (i, letter) in letters.iter().enumerate() {
        if begins(i) {
            words.push(' ');
        }
        words.push(*letter);
    }
    Cow::Owned(words)
}

/// The header in lower case, without its unit, with single blanks for separators.
pub(super) fn folded(header: &str) -> String {
    let header = &header[..header.floor_char_boundary(LONGEST)];
    let words = plain(&apart(unit::words_of_header(header)));
    // "Tol +" and "Tol -" are two limits.
    match unit::sign_of_header(header) {
        Some(Sign::Plus) => words + " plus",
        Some(Sign::Minus) => words + " minus",
        None => words,
    }
}
