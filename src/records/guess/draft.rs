/*! What a person's file seems to be. */

mod forms;

use super::doubt::{
    Answer, DATE_CELL, DATE_FROM, Doubt, EVENTS_IN_REMARKS, FILE_NOT_READ, INSTRUMENT_FROM,
};
use super::said::event_words::EventWords;
use super::sample::Sample;
use super::stated::Stated;
use crate::records::cells::column::Column;
use crate::records::cells::marks::Marks;
use crate::records::encoding::Encoding;
use crate::records::reading::wide::WideSettings;
use crate::records::settings::words::Delimiter;
use crate::settings::toml_text::{listed, quoted};
use std::collections::BTreeSet;

/// A column with its meaning.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Guessed {
    /// What it means to us.
    pub column: Column,
    /// The person's header.
    pub header: String,
    /// Why we think so.
    pub why: String,
}

/// The setting that lists the words for rows as left.
const LEFT_ROWS_ARE: &str = "left_rows_are";

/// What a file seems to be.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Guess {
    /// Delimiter; `Auto` for Parquet.
    pub delimiter: Delimiter,
    /// Sheets of a workbook that are read; empty for any other file.
    pub sheets: Vec<String>,
    /// How the headers state dates or points, where the table is wide.
    pub wide: Option<WideSettings>,
    pub encoding: Encoding,
    /// True where numbers have a decimal comma.
    pub decimal_comma: bool,
    /// True where some number can be read with that sign alone.
    pub shows_decimals: bool,
    /// strftime format; empty for ISO 8601.
    pub date_format: String,
    /// Number that divides the column u.
    pub coverage_factor: f64,
    /// Unit, where a header states it and no column does.
    pub unit: String,
    /// Columns that are switched off, since what they say is in another already.
    pub off: Vec<Column>,
    /// The set points about which the nominal values lie, where these are what a reference read.
    pub set_points: Vec<f64>,
    /// The column that tells rows as left from rows as found, with its words for them, where there is one.
    pub left_rows: Option<(String, Vec<String>)>,
    /// Texts in the column of events, or in the remarks that are asked about, that no list knows.
    pub event_words: EventWords,
    /// Further settings.
    pub to_state: Stated,
    /// Labels above the table that may name its one instrument, with the names.
    pub labels: Vec<(String, String)>,
    /// Columns with a meaning, in our order.
    pub columns: Vec<Guessed>,
    /// Instruments that the rows looked at name.
    pub instruments: BTreeSet<String>,
    /// Headers that are not read.
    pub ignored: Vec<String>,
    /// By which letters the text is read and why, in a sentence; empty where it is no text.
    pub letters: String,
    /// What else was found and why, one sentence each.
    pub notes: Vec<String>,
    /// What deserves a look and stops nothing, one sentence each.
    pub to_check: Vec<String>,
    /// What a person must decide.
    pub doubts: Vec<Doubt>,
}

impl Guess {
    /// What seems to be nothing yet: `notes` tell how it is written.
    pub(super) fn blank((delimiter, encoding): (Delimiter, Encoding), notes: Vec<String>) -> Self {
        Guess {
            delimiter,
            encoding,
            coverage_factor: 1.0,
            notes,
            ..Self::default()
        }
    }

    /// Of a file that cannot be read as a table, and why.
    pub(crate) fn unread(why: &str) -> Self {
        let words = format!(
            "Nothing was read: {why} Then run driftbook start once more, which adds what it finds."
        );
        Guess {
            doubts: vec![Doubt::new(FILE_NOT_READ, words)],
            ..Self::blank((Delimiter::Auto, Encoding::Utf8), Vec::new())
        }
    }

    /// The header of the column that is read as `column`.
    pub(crate) fn header(&self, column: Column) -> Option<&str> {
        let read = self.columns.iter().find(|g| g.column == column);
        read.map(|g| g.header.as_str())
    }

    pub(crate) fn reads(&self, column: Column) -> bool {
        self.header(column).is_some()
    }

    /// True where the days of the checks stand in a cell above the table or in the parts of several columns.
    pub(crate) fn dates_stand_elsewhere(&self) -> bool {
        let stated = |key| self.to_state.get(key).is_some();
        stated(DATE_CELL) || stated(DATE_FROM)
    }

    /// True where it has the doubt `name`.
    pub(crate) fn asks(&self, name: &str) -> bool {
        self.doubts.iter().any(|doubt| doubt.name == name)
    }

    /// True where a needed column was taken by its content alone.
    pub(crate) fn by_content(&self) -> bool {
        let mut doubts = self.doubts.iter();
        doubts.any(|doubt| doubt.column.is_some())
    }

    /// False where a person says that nothing of what the remarks tell was done.
    pub(crate) fn may_read_events(&self) -> bool {
        let open = |doubt: &Doubt| doubt.name == EVENTS_IN_REMARKS && doubt.answer.is_none();
        self.reads(Column::Event) || self.doubts.iter().any(open)
    }

    /// True where no table was found at all.
    pub(crate) fn is_unread(&self) -> bool {
        self.asks(FILE_NOT_READ)
    }

    /// Changes what the draft says by an answer.
    pub(crate) fn take(&mut self, answer: &Answer) {
        match answer {
            Answer::AsTaken | Answer::Apart | Answer::Tolerance(_) => {}
            Answer::Dates(format) => self.date_format.clone_from(format),
            Answer::Factor(factor) => self.coverage_factor = *factor,
            Answer::HeaderDates(format) => {
                if let Some(wide) = &mut self.wide {
                    wide.date_format.clone_from(format);
                }
            }
            Answer::Unstated(day) => {
                if let Some(wide) = &mut self.wide {
                    wide.unstated.clone_from(day);
                }
            }
            Answer::State(key, value) => {
                if *key == INSTRUMENT_FROM {
                    let headers = self
                        .columns
                        .extract_if(.., |g| g.column == Column::Instrument);
                    self.ignored.extend(headers.map(|g| g.header));
                }
                self.to_state.set(key, value.clone());
            }
            Answer::Repeats(headers) => {
                self.ignored.retain(|other| !headers.contains(other));
                self.take(&Answer::State("repeated_in", listed(headers)));
            }
            Answer::Points(..) => {
                for (key, value) in answer.settings() {
                    self.to_state.set(key, value);
                }
            }
            Answer::LeftRows(header, words) => {
                self.ignored.retain(|other| other != header);
                self.to_state.set("left_rows_by", quoted(header));
                self.to_state.set(LEFT_ROWS_ARE, listed(words));
                self.left_rows = Some((header.clone(), words.clone()));
            }
            Answer::VoidRows(header, words) => {
                self.ignored.retain(|other| other != header);
                self.to_state.set("void_rows_by", quoted(header));
                self.to_state.set("void_rows_are", listed(words));
            }
            Answer::Off(column) => self.off.push(*column),
            Answer::Map(column, header) => {
                if *column == Column::Instrument {
                    self.to_state.remove(INSTRUMENT_FROM);
                }
                self.ignored.retain(|other| other != header);
                self.columns.retain(|g| g.header != *header);
                self.columns.push(Guessed {
                    column: *column,
                    header: header.clone(),
                    why: "as answered".into(),
                });
                self.columns.sort_by_key(|g| g.column.index());
            }
        }
    }

    /// True for a column that the headers of a wide table state, and has no header of its own.
    pub(crate) fn is_wide(&self, column: Column) -> bool {
        let wide = self.wide.as_ref();
        wide.is_some_and(|wide| {
            let stated = match wide.by_points() {
                true if wide.by_instruments() => column == Column::Instrument,
                true => matches!(column, Column::Point | Column::Nominal),
                false => column == Column::Date && !wide.by_numbers(),
            };
            stated || wide.words().any(|(own, _)| own == column)
        })
    }

    /// Takes the columns that the headers of a wide table state, looked at under the names `stated`,
    /// from those that are not read.
    pub(super) fn settle_wide(&mut self, stated: &[String]) {
        self.ignored.retain(|header| !stated.contains(header));
        let wide: Vec<bool> = self
            .columns
            .iter()
            .map(|g| self.is_wide(g.column))
            .collect();
        for (column, wide) in self.columns.iter_mut().zip(wide) {
            if wide {
                column.why = "the headers of the wide table state it".to_string();
            }
        }
    }

    /// Reads no column as `column`, and asks nothing about which it is.
    pub(super) fn let_go(&mut self, column: Column) {
        let headers = self.columns.extract_if(.., |g| g.column == column);
        self.ignored.extend(headers.map(|g| g.header));
        self.doubts.retain(|doubt| doubt.column != Some(column));
    }

    /// The marks of its numbers, which may be grouped.
    pub(super) fn marks(&self) -> Marks {
        Marks::with_thousands(self.decimal_comma)
    }

    /// Headers that a run leaves out knowingly: those that are not read, and those of columns that are switched off.
    pub(crate) fn left_out(&self) -> Vec<String> {
        let off = self.columns.iter();
        let off = off.filter(|g| self.off.contains(&g.column) && !self.is_wide(g.column));
        let headers = self.ignored.iter().chain(off.map(|g| &g.header));
        headers.cloned().collect()
    }

    /// Of the columns looked at, those that are not read.
    pub(super) fn not_read<'s>(&self, samples: &'s [Sample]) -> Vec<&'s Sample> {
        let ignored: BTreeSet<&String> = self.ignored.iter().collect();
        let unread = |sample: &&Sample| ignored.contains(&sample.header);
        samples.iter().filter(unread).collect()
    }

    /// Of the columns looked at, the one that is read as `column`.
    pub(super) fn sample<'s>(&self, samples: &'s [Sample], column: Column) -> Option<&'s Sample> {
        let header = self.header(column)?;
        samples.iter().find(|sample| sample.header == header)
    }

    /// The doubts that a pipeline file marks.
    pub(crate) fn marked(&self) -> impl Iterator<Item = &Doubt> {
        self.doubts.iter().filter(|doubt| doubt.marked)
    }

    /// Needed columns for which no header was found.
    pub(crate) fn missing(&self) -> Vec<Column> {
        let has = |column| self.reads(column);
        let named = self.names_by_table();
        let mut missing: Vec<Column> = [Column::Instrument, Column::Date]
            .into_iter()
            .filter(|c| !(has(*c) || named && *c == Column::Instrument))
            .filter(|c| *c != Column::Date || !self.dates_stand_elsewhere())
            .collect();
        if !has(Column::AsFound) && !has(Column::InTolerance) {
            missing.push(Column::AsFound);
        }
        missing
    }
}

/// Header of a column, where it was found.
pub(super) fn header_of(guess: &Guess, column: Column) -> Option<String> {
    guess.header(column).map(str::to_string)
}
