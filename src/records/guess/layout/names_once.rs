/*! Columns that are filled once, in the first row of a block of rows, and blank below. */

use crate::records::cells::column::Column;
use crate::records::cells::row::ditto::is_ditto;
use crate::records::guess::doubt::{Answer, Doubt, FILL_DOWN};
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::Headers;
use crate::records::guess::sample::is_number;
use crate::records::reading::fill_down::{FillDown, Filled, OF_ITS_ROW};
use crate::settings::toml_text::listed;
use crate::words::quoted_list;
use std::collections::BTreeSet;

/// Of the rows with values one in this many is blank at least, where a name stands once a block: fewer
/// are names that are missing.
const ONE_BLANK_IN: usize = 4;

/// What a row is of, by the columns that say so.
const OF_WHAT: [Column; 4] = [
    Column::Instrument,
    Column::Point,
    Column::Nominal,
    Column::Date,
];

/// What holds for all rows of a block, where it is stated at its head alone.
const OF_BLOCK: [Column; 8] = [
    Column::NextDue,
    Column::IntervalDays,
    Column::Group,
    Column::Unit,
    Column::Lower,
    Column::Upper,
    Column::Tolerance,
    Column::Range,
];

/// A row of a table, with its number.
pub(crate) type Row = (u32, Vec<String>);

/// The columns of a table that are filled once a block, the outer ones first.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Once {
    /// The headers of the table.
    headers: Vec<String>,
    places: Vec<usize>,
    telling: Vec<usize>,
    name: Option<usize>,
}

/// A column by its words, with the rows that fill it.
struct Named {
    column: Column,
    place: usize,
    own: BTreeSet<usize>,
}

impl Once {
    /// Looks for them in `rows`, those that are records.
    pub(crate) fn of<'a>(headers: &[String], rows: impl Iterator<Item = &'a Row>) -> Self {
        let rows: &[&Row] = &rows.collect::<Vec<_>>();
        let named = named(headers, rows);
        let place = |column| named.iter().find(|n| n.column == column);
        let Some(item) = place(Column::Instrument) else {
            return Self::default();
        };
        let heads = changes(rows, item.place);
        let heads_block = |n: &&Named| OF_WHAT.contains(&n.column);
        let mut once: Vec<&Named> = named.iter().filter(|n| stands_once(rows, n)).collect();
        let blocks: Vec<&BTreeSet<usize>> = once
            .iter()
            .copied()
            .filter(heads_block)
            .map(|n| &n.own)
            .collect();
        once.retain(|n| match n.column {
            Column::Instrument => true,
            Column::Date => {
                (n.own.is_subset(&heads) || heads.is_subset(&n.own)) && told_apart(rows, n, &named)
            }
            Column::Point | Column::Nominal => heads.is_subset(&n.own),
            _ => n.own == heads || blocks.contains(&&n.own),
        });
        once.sort_by_key(|n| (n.own.len(), n.place));
        let telling = OF_WHAT.into_iter().filter_map(place).map(|n| n.place);
        Self {
            headers: headers.to_vec(),
            places: once.iter().map(|n| n.place).collect(),
            telling: telling.collect(),
            name: Some(item.place),
        }
    }

    /// The rows with what their blank cells take from above.
    pub(crate) fn fill(&self, rows: &mut [Row], is_date: &dyn Fn(&str) -> bool) {
        if self.places.is_empty() {
            return;
        }
        let (places, telling) = (self.places.clone(), self.telling.clone());
        let mut fill = FillDown::new(&self.headers, places, telling, self.name, is_date);
        let mut last = 0;
        for (number, fields) in rows {
            if *number > last + 1 {
                fill.end();
            }
            last = *number;
            let own: Vec<&str> = fields.iter().map(String::as_str).collect();
            if let Filled::From(from) = fill.row(&own) {
                fields.resize(fields.len().max(self.headers.len()), String::new());
                for (place, held) in from {
                    fields[place] = held;
                }
            }
        }
    }

    /// Writes it into the draft, and says so: asks where more than the name of the item is taken from
    /// above.
    pub(crate) fn state(&self, guess: &mut Guess) {
        let of_row = |header: &String| {
            let mut columns = guess.columns.iter();
            columns.any(|g| &g.header == header && OF_ITS_ROW.contains(&g.column))
        };
        let mut filled = self.filled();
        filled.retain(|header| !of_row(header));
        if filled.is_empty() {
            return;
        }
        let item = self.name.map(|place| &self.headers[place]);
        let (of_item, others): (Vec<String>, Vec<String>) = filled
            .iter()
            .cloned()
            .partition(|header| item == Some(header));
        guess.take(&Answer::State(FILL_DOWN, listed(&filled)));
        let stand = match filled.len() {
            1 => "stands",
            _ => "stand",
        };
        let words = format!(
            "{} {stand} only in the first row of a block: the rows below take what stands above, up to a blank row, a sum or a note (fill_down)",
            quoted_list(&filled)
        );
        match others.is_empty() {
            true => guess.to_check.push(words + "."),
            false => guess.doubts.push(
                Doubt::new(
                    "blank_cells",
                    format!(
                        "{words}. Does a blank cell of {} say what stands above it?",
                        quoted_list(&others)
                    ),
                )
                .settled_by(FILL_DOWN)
                .or("it does", Answer::AsTaken)
                .or(
                    "no, it says nothing",
                    Answer::State(FILL_DOWN, listed(&of_item)),
                ),
            ),
        }
    }

    /// The same for the column that names the items alone.
    pub(crate) fn of_items(mut self) -> Self {
        self.places.retain(|place| self.name == Some(*place));
        self
    }

    /// The headers of the columns that are filled once.
    pub(crate) fn filled(&self) -> Vec<String> {
        let headers = self.places.iter().map(|place| &self.headers[*place]);
        headers.cloned().collect()
    }
}

/// What a cell states of itself.
fn own(row: &Row, place: usize) -> Option<&str> {
    let field = row.1.get(place).map_or("", |field| field.trim());
    Some(field).filter(|field| !field.is_empty() && !is_ditto(field))
}

/// The columns that the words of the headers name; the first of words for the items where none does.
fn named(headers: &[String], rows: &[&Row]) -> Vec<Named> {
    let folded = Headers::of(headers.iter().map(String::as_str));
    let mut taken = vec![false; headers.len()];
    let mut named = Vec::new();
    let mut name = |column: Column, place: usize| {
        let filled = (0..rows.len()).filter(|i| own(rows[*i], place).is_some());
        named.push(Named {
            column,
            place,
            own: filled.collect(),
        });
    };
    for column in OF_BLOCK.into_iter().chain(OF_WHAT.into_iter().rev()) {
        if let Some((place, _)) = folded.find(column, |i| !taken[i]) {
            taken[place] = true;
            name(column, place);
        } else if column == Column::Instrument && !headers.is_empty() && !taken[0] {
            let mut texts = rows.iter().filter_map(|row| own(row, 0));
            let number = |text: &str| {
                [true, false]
                    .iter()
                    .any(|comma| is_number(text, (*comma).into()))
            };
            if texts.next().is_some_and(|first| !number(first)) && texts.all(|text| !number(text)) {
                name(column, 0);
            }
        }
    }
    named
}

/// True where the first row fills a column, enough of the others leave it blank or repeat it by a sign,
/// and no row says what the one above says.
fn stands_once(rows: &[&Row], named: &Named) -> bool {
    let signs = rows.iter().any(|row| {
        let field = row.1.get(named.place).map_or("", |field| field.trim());
        is_ditto(field) && named.column != Column::Unit
    });
    let blank = rows.len() - named.own.len();
    let twice = rows.windows(2).any(|pair| {
        let said = own(pair[0], named.place);
        said.is_some() && said == own(pair[1], named.place)
    });
    named.own.contains(&0) && (signs || !twice && blank * ONE_BLANK_IN >= rows.len() && blank > 0)
}

/// The rows that state another item than the one above them.
fn changes(rows: &[&Row], place: usize) -> BTreeSet<usize> {
    let mut above = None;
    let differs = |i: &usize| {
        let said = own(rows[*i], place);
        let differs = said.is_some() && said != above;
        above = said.or(above);
        differs
    };
    (0..rows.len()).filter(differs).collect()
}

/// True where the rows below a date each state another item or point than those of the same date: a
/// date that is missing is not filled.
fn told_apart(rows: &[&Row], date: &Named, named: &[Named]) -> bool {
    let columns: Vec<&Named> = named
        .iter()
        .filter(|n| OF_WHAT.contains(&n.column) && n.column != Column::Date)
        .collect();
    let mut said: Vec<Option<&str>> = vec![None; columns.len()];
    let mut seen: BTreeSet<Vec<Option<&str>>> = BTreeSet::new();
    (0..rows.len()).all(|i| {
        if date.own.contains(&i) {
            seen.clear();
        }
        let mut states = false;
        for (said, column) in said.iter_mut().zip(&columns) {
            let field = own(rows[i], column.place);
            states |= field.is_some();
            *said = field.or(*said);
        }
        states && seen.insert(said.clone())
    })
}
