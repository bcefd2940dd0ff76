/*! Rows of which a column says that they do not count: void, cancelled, superseded. */

use super::column::Column;
use super::field::Field;
use super::row::said::{Carried, answer};
use crate::records::reading::header::{Matched, place_of};
use crate::records::words::{plain, speaks_of, valid_words, void_words};
use std::borrow::Cow;

/// Name of the doubt of `start` whether rows count of which a column says that they do not.
pub(crate) const VOID_ROWS: &str = "void_rows";

/// Bytes up to which a cell may be such a mark: a longer text is a remark.
const LONGEST: usize = 40;

/// A column by whose cells rows may be void, by what its header asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Asks {
    /// Nothing: its cells say what they say.
    Nothing,
    /// Whether the row is void: yes says so.
    Void,
    /// Whether the row is valid: no says that it is not.
    Valid,
}

impl Asks {
    /// What a header asks: `Void?`, `Superseded (y/n)`, `Valid`.
    pub(crate) fn of(header: &str) -> Self {
        let header = plain(header);
        let words = header.split(' ');
        let question: Vec<&str> = words.take_while(|word| answer(word).is_none()).collect();
        let question = question.join(" ");
        match () {
            () if void_words().contains(&question) => Asks::Void,
            () if valid_words().contains(&question) => Asks::Valid,
            () => Asks::Nothing,
        }
    }

    /// The word by which a cell says that its row does not count; `None` of one that does not say so.
    pub(crate) fn void_word(self, text: &str) -> Option<String> {
        let text = text.trim();
        if text.is_empty() || text.len() > LONGEST {
            return None;
        }
        let plain = plain(text);
        let said = match self {
            Asks::Nothing => false,
            Asks::Void => answer(text) == Some(true) || plain == "x",
            Asks::Valid => answer(text) == Some(false),
        };
        let begins = |word: &&String| begins_with(&plain, word);
        match said {
            true => Some(text.to_string()),
            false => void_words().iter().find(begins).cloned(),
        }
    }
}

/// True for a text that is `word`, or goes on behind it.
fn begins_with(text: &str, word: &str) -> bool {
    let rest = text.strip_prefix(word);
    rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
}

/// Where the rows of a file may say that they do not count.
#[derive(Debug, Clone, Default)]
pub(crate) struct VoidBy {
    /// The column that the settings name, with its place, its header and its words.
    stated: Option<(usize, Box<str>, Vec<String>)>,
    /// Columns in which such rows are told and count all the same, with what their headers ask.
    pub watched: Vec<(usize, Asks)>,
}

impl VoidBy {
    /// Those of a file with these headers; the settings name the column `by`, and its words `are`.
    pub(crate) fn of(matched: &Matched, by: &str, are: &[String]) -> Self {
        let stated = place_of(&matched.headers, by);
        let read = |place: usize| matched.positions.contains(&Some(place));
        let all = matched.headers.iter().enumerate();
        let watched = all.filter_map(|(place, header)| {
            let asks = Asks::of(header);
            let may = asks != Asks::Nothing
                || ["state", "remarks"]
                    .iter()
                    .any(|part| speaks_of(header, part));
            let own = stated == Some(place);
            (own || may && !read(place)).then_some((place, asks))
        });
        Self {
            watched: watched.collect(),
            stated: stated.map(|place| {
                let words = are.iter().map(|word| plain(word));
                (
                    place,
                    matched.headers[place].as_str().into(),
                    words.collect(),
                )
            }),
        }
    }

    /// The place of the column that the settings name.
    pub(crate) fn place(&self) -> Option<usize> {
        self.stated.as_ref().map(|(place, ..)| *place)
    }

    /// Why a row is left out, from the `field` of that column; `None` for one that counts.
    pub(crate) fn why(&self, field: Field<'_>) -> Option<Cow<'static, str>> {
        let (_, header, words) = self.stated.as_ref()?;
        let text = plain(&field.text());
        let void = !text.is_empty() && words.iter().any(|word| begins_with(&text, word));
        void.then(|| format!("\"{header}\" says that it does not count (void_rows_by)").into())
    }
}

/// What the rows of a batch say of it.
#[derive(Debug, Default)]
pub(crate) struct VoidRows {
    /// Numbers inside the batch, from 1, of the rows that are left out, with what they tell of a failure or an event.
    pub out: Vec<(u32, Carried)>,
    /// The same of the rows that say so and count all the same.
    pub counted: Vec<u32>,
    /// The place of the column of the first of these, and what it says.
    pub first: Option<(usize, String)>,
}

impl VoidRows {
    /// Takes in the `text` of the column at `place` in a row.
    pub(crate) fn see(&mut self, row: u32, (place, asks): (usize, Asks), text: &str) {
        let seen = self.has_left_out(row) || self.counted.last() == Some(&row);
        if !seen && asks.void_word(text).is_some() {
            self.counted.push(row);
            self.first
                .get_or_insert_with(|| (place, text.trim().to_string()));
        }
    }

    /// True where the row was left out.
    pub(crate) fn has_left_out(&self, row: u32) -> bool {
        self.out.last().is_some_and(|(last, _)| *last == row)
    }
}

/// Columns of ours whose words may say it too, beside those that are not read.
pub(crate) const MAY_SAY_SO: [Column; 3] = [Column::InTolerance, Column::Event, Column::Kind];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_says_that_its_row_is_void_by_its_word_or_as_the_header_asks() {
        let says = |header: &str, text: &str| Asks::of(header).void_word(text);
        for (header, text) in [
            ("Status", "VOID"),
            ("Status", "Storniert - falsche Referenz"),
            ("Void?", "x"),
            ("Superseded (y/n)", "Y"),
            ("Valid", "no"),
            ("gültig", "nein"),
        ] {
            assert!(says(header, text).is_some(), "{header}: {text}");
        }
        for (header, text) in [
            ("Status", "valid"),
            ("Status", "avoid"),
            ("Status", "voids 3"),
            ("Void?", "no"),
            ("Void?", ""),
            ("Valid", "yes"),
            ("Adjusted?", "yes"),
        ] {
            assert_eq!(says(header, text), None, "{header}: {text}");
        }
        assert_eq!(says("Status", "VOID, see L-3").as_deref(), Some("void"));
    }
}
