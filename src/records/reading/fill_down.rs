/*! Names that stand once, in the first row of their block: the blank cells below take them.

A block ends at a blank row, a sum, a note and the header once more, and nothing goes from one file
or sheet into another. The text is written anew, row by row, so that it is read like any other.
*/

use super::aside::{aside, names_a_sum};
use super::csv::quoted::push_field;
use super::csv::records::Next;
use super::csv::text::Split;
use super::header::{Matched, places_of};
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::cells::digits::has_digit;
use crate::records::cells::row::ditto::is_ditto;
use csv::StringRecord;

/// Columns that are never filled: what a row says of itself.
pub(crate) const OF_ITS_ROW: [Column; 6] = [
    Column::AsFound,
    Column::AsLeft,
    Column::U,
    Column::InTolerance,
    Column::Event,
    Column::Usage,
];

/// Columns that tell the rows of a block apart.
const TELLING: [Column; 4] = [
    Column::Instrument,
    Column::Point,
    Column::Date,
    Column::Nominal,
];

/// What is filled, and what stands above.
pub(crate) struct FillDown<'a> {
    headers: &'a [String],
    /// The columns that are filled, the outer ones first.
    places: Vec<usize>,
    /// The columns of which a row states one by itself, where it is a record.
    telling: Vec<usize>,
    name: Option<usize>,
    /// True for the text of a date.
    is_date: &'a dyn Fn(&str) -> bool,
    held: Vec<Option<String>>,
    /// Rows that took anything from above.
    rows: usize,
    /// Rows that state nothing but what holds for those below them.
    headings: usize,
}

/// A table whose blank cells are filled.
pub(crate) struct Anew {
    /// The rows below its header, each with the number that it had.
    pub text: String,
    /// Rows that are set aside, since they state nothing but what holds for those below them.
    pub headings: u64,
    /// What was filled, in words.
    pub note: Option<String>,
}

/// What a row is among its blocks.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Filled {
    /// It stays as it is.
    Own,
    /// It stays as it is, and is no record where the next row takes from it.
    Heading,
    /// It takes these from above.
    From(Vec<(usize, String)>),
}

impl<'a> FillDown<'a> {
    /// Fills the columns of `places` from above in a table with these headers.
    pub(crate) fn new(
        headers: &'a [String],
        places: Vec<usize>,
        telling: Vec<usize>,
        name: Option<usize>,
        is_date: &'a dyn Fn(&str) -> bool,
    ) -> Self {
        Self {
            headers,
            held: vec![None; places.len()],
            places,
            telling,
            name,
            is_date,
            rows: 0,
            headings: 0,
        }
    }

    /// Lets go of what stands above: a block ends.
    pub(crate) fn end(&mut self) {
        self.held.fill(None);
    }

    /// What the next row takes from above.
    pub(crate) fn row(&mut self, fields: &[&str]) -> Filled {
        let own = |place: &usize| {
            let field = fields.get(*place).map_or("", |field| field.trim());
            Some(field).filter(|field| !field.is_empty() && !is_ditto(field))
        };
        let name = self.name.as_ref().and_then(own);
        if aside(fields, self.headers, false, self.is_date).is_some()
            || name.is_some_and(names_a_sum)
        {
            self.end();
            return Filled::Own;
        }
        let alone = (0..fields.len())
            .filter(|place| !fields[*place].trim().is_empty())
            .all(|place| self.places.contains(&place));
        let named = |name: &str| name.contains(char::is_alphabetic) && has_digit(name);
        // A year or a page number above a block names none.
        if alone && !name.is_none_or(named) {
            self.end();
            return Filled::Own;
        }
        for i in 0..self.places.len() {
            if let Some(field) = own(&self.places[i]) {
                self.held[i] = Some(field.to_string());
                self.held[i + 1..].fill(None);
            }
        }
        if alone {
            return Filled::Heading;
        }
        if !self.telling.iter().any(|place| own(place).is_some()) {
            return Filled::Own;
        }
        let blank = self.places.iter().zip(&self.held);
        let from: Vec<(usize, String)> = blank
            .filter(|(place, _)| own(place).is_none())
            .filter_map(|(place, held)| Some((*place, held.clone()?)))
            .collect();
        match from.is_empty() {
            true => Filled::Own,
            false => {
                self.rows += 1;
                Filled::From(from)
            }
        }
    }

    /// What was filled, in words; `None` where nothing was.
    fn words(&self) -> Option<String> {
        let header = |place: &usize| format!("\"{}\"", self.headers[*place]);
        let headers: Vec<String> = self.places.iter().map(header).collect();
        let rows = match self.rows {
            0 => return None,
            1 => "1 row takes".to_string(),
            rows => format!("{rows} rows take"),
        };
        let headings = match self.headings {
            0 => String::new(),
            1 => "; 1 row that states nothing else is set aside".to_string(),
            rows => format!("; {rows} rows that state nothing else are set aside"),
        };
        Some(format!(
            "{rows} {} from the row above that states it (fill_down){headings}",
            headers.join(", ")
        ))
    }
}

/// The places of the columns that are filled.
///
/// # Errors
/// A header that the file lacks, or that of a column which is never filled.
pub(crate) fn places(
    shown: &str,
    stated: &[String],
    matched: &Matched,
) -> Result<Vec<usize>, LoadError> {
    let refuse = |header: &str, column: Column| {
        let what = format!(
            "fill_down names \"{header}\", the column {}: a blank cell there says nothing, and not what the row above says",
            column.name()
        );
        let mend = "Name columns of fill_down that tell what a row is of: instrument, point, date, nominal, unit, limits.";
        LoadError::new(shown, what, mend)
    };
    let places: Vec<usize> = places_of(&matched.headers, stated).collect();
    for place in &places {
        let of_row = |column: &Column| matched.place(*column) == Some(*place);
        if let Some(column) = OF_ITS_ROW.into_iter().find(of_row) {
            return Err(refuse(&matched.headers[*place], column));
        }
    }
    Ok(places)
}

/// The places of the columns that tell rows apart.
pub(crate) fn telling(matched: &Matched, point_from: &[String]) -> Vec<usize> {
    let own = TELLING
        .into_iter()
        .filter_map(|column| matched.place(column));
    let place = |header: &String| matched.headers.iter().position(|h| h == header);
    own.chain(point_from.iter().filter_map(place)).collect()
}

/// The rows of `split` as a text in which blank cells are filled; every row keeps its number.
///
/// # Errors
/// A row that is longer than any.
pub(crate) fn written_anew(split: &Split<'_>, fill: &mut FillDown<'_>) -> Result<Anew, LoadError> {
    let width = split.header.len();
    let is_date = fill.is_date;
    let dated = |record: &StringRecord| record.iter().any(is_date);
    let mut records = split.records(split.body).telling(&dated);
    let mut record = StringRecord::new();
    let mut text = String::with_capacity(split.body.len());
    let (mut written, mut heading) = (0, None);
    loop {
        let next = records.next(&mut record)?;
        if next == Next::End {
            return Ok(Anew {
                text,
                headings: fill.headings as u64,
                note: fill.words(),
            });
        }
        let gap = records.row - written - 1;
        if gap > 0 {
            text.extend(std::iter::repeat_n('\n', gap as usize));
            heading = None;
            fill.end();
        }
        written = records.row;
        let mut fields: Vec<&str> = record.iter().collect();
        let whole = next == Next::Row && records.is_whole(fields.len());
        let filled = match whole {
            true => fill.row(&fields),
            false => {
                fill.end();
                Filled::Own
            }
        };
        if let Filled::From(from) = &filled {
            fields.resize(fields.len().max(width), "");
            for (place, held) in from {
                fields[*place] = held;
            }
            if let Some(begin) = heading.take() {
                text.truncate(begin);
                text.push('\n');
                fill.headings += 1;
            }
        }
        heading = (filled == Filled::Heading).then_some(text.len());
        // A quotation mark that is open stays so, to be told again.
        push_row(&mut text, &fields, split.delimiter, next == Next::Row);
    }
}

fn push_row(text: &mut String, fields: &[&str], delimiter: u8, closed: bool) {
    let delimiter = char::from(delimiter);
    for (place, field) in fields.iter().enumerate() {
        if place > 0 {
            text.push(delimiter);
        }
        match closed {
            true => push_field(text, field, delimiter),
            false => text.push_str(field),
        }
    }
    text.push('\n');
}

#[cfg(test)]
#[path = "fill_down_tests.rs"]
mod tests;
