/*! A wide table as one row a check, and how what is read from it gets the rows and headers of the table. */

use super::columns::Columns;
use super::door::Door;
use super::units::in_unit_of;
use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::cells::column::Column;
use crate::records::cells::number::written::is_nothing;
use crate::records::reading::aside::{Aside, aside};
use crate::records::reading::csv::records::{Next, Records};
use crate::records::reading::csv::text::Split;
use crate::records::reading::fill_down::Anew;
use crate::records::reading::header::above::Above;
use crate::records::reading::header::{Matched, Note};
use csv::{StringRecord, Writer};

/// A wide table as one row a check.
pub(crate) struct Long {
    /// CSV with commas: date or point, what stands once for each, then the other columns.
    pub text: String,
    /// The row of each check in the wide table, and its date's or point's number among the columns.
    pub(super) origins: Vec<(u32, usize)>,
    pub(super) columns: Columns,
    /// What each date or point puts into the first columns of the text.
    pub(super) leads: Vec<Vec<String>>,
    /// The unit that each date or point has in its cells of each of our columns; empty for none.
    pub(super) in_cells: Vec<Vec<String>>,
    pub(super) by_points: bool,
    /// Headers and notes of the wide table, and what stands around it.
    pub(super) matched: Matched,
    /// Units of the columns of the text, where headers state them.
    pub(super) units: Vec<String>,
    pub(super) set_aside: Vec<(Aside, u32)>,
    /// The rows above it.
    pub(super) above: Vec<Above>,
}

impl Long {
    /// A table without rows; the columns of the wide one, what each puts into the first columns of the text, units.
    pub(super) fn empty(
        split: &Split<'_>,
        (columns, leads, units): (Columns, Vec<Vec<String>>, Vec<String>),
        by_points: bool,
    ) -> Self {
        let mut matched = Matched {
            headers: split.header.clone(),
            ..Matched::default()
        };
        matched.found_in(split);
        for place in &columns.unread {
            let words = format!(
                "column \"{}\" states a date or point beside words that [checks.wide] does not name, and is not read",
                split.header[*place]
            );
            matched.note_unread(*place, words);
        }
        for place in &columns.alike {
            let words = format!(
                "column \"{}\" is called like the points or instruments that [checks.wide] names, and is not read: add it there where checks are in it",
                split.header[*place]
            );
            matched.note_unread(*place, words);
        }
        Long {
            text: String::new(),
            origins: Vec::new(),
            matched,
            units,
            set_aside: Vec::new(),
            above: split.above.clone(),
            columns,
            leads,
            in_cells: Vec::new(),
            by_points,
        }
    }

    /// Writes the text: its `header`, then the checks of each row.
    pub(super) fn fill(
        &mut self,
        mut records: Records<'_>,
        header: &[&str],
        (made, kept): (&[Column], &[usize]),
        door: &Door<'_>,
    ) -> Result<(), LoadError> {
        let shown = records.shown;
        let failed = |why: String| LoadError::new(shown, why, "Check the file.");
        let of_csv = |why: csv::Error| failed(why.to_string());
        let mut out = Writer::from_writer(Vec::new());
        out.write_record(header).map_err(of_csv)?;
        // Beside columns of dates a sum or a note would get a date from its column.
        let dated = self.by_points || door.settings.by_numbers();
        let is_date = |text: &str| dated && (door.is_date)(text);
        let mut record = StringRecord::new();
        loop {
            let next = records.next(&mut record)?;
            if next == Next::End {
                break;
            }
            let fields: Vec<&str> = record.iter().collect();
            if let Some(what) = aside(&fields, &self.matched.headers, false, is_date) {
                self.set_aside.push((what, records.row));
            } else if next == Next::Row && records.is_whole(fields.len()) {
                self.push(&fields, kept, made, records.row, &mut out)
                    .map_err(of_csv)?;
            } else {
                // One field more than the header has: no row of the table.
                let whole = fields.join(" ");
                let more = header.iter().map(|_| "");
                let ragged = std::iter::once(whole.as_str()).chain(more);
                out.write_record(ragged).map_err(of_csv)?;
                self.origins.push((records.row, usize::MAX));
            }
        }
        let bytes = out.into_inner().map_err(|why| failed(why.to_string()))?;
        self.text = String::from_utf8_lossy(&bytes).into_owned();
        Ok(())
    }

    /// Takes over what was said of blank cells that were filled.
    pub(super) fn set_aside_headings(&mut self, filled: Option<&Anew>) {
        if let Some(filled) = filled {
            self.matched.set_aside += filled.headings;
            filled
                .note
                .iter()
                .for_each(|words| self.matched.note(words.clone()));
        }
    }

    /// Adds the checks of one row: one for each date or point of which it states anything.
    pub(super) fn push(
        &mut self,
        fields: &[&str],
        kept: &[usize],
        made: &[Column],
        row: u32,
        out: &mut Writer<Vec<u8>>,
    ) -> Result<(), csv::Error> {
        let field = |place: usize| fields.get(place).copied().unwrap_or("");
        let mut stated = false;
        for (number, of) in self.columns.checks.iter().enumerate() {
            let of_column = |column: &Column| {
                let place = of.places.iter().find(|(own, _)| own == column);
                place.map_or("", |(_, place)| field(*place))
            };
            let values: Vec<&str> = made.iter().map(of_column).collect();
            let nothing = |value: &&str| value.trim().is_empty() || is_nothing(value.trim());
            // Limits and a nominal value alone are no check of a point.
            let tells = |column: &Column| {
                !matches!(
                    column,
                    Column::Nominal | Column::Lower | Column::Upper | Column::Tolerance
                )
            };
            let mut told = made.iter().zip(&values).filter(|(column, _)| tells(column));
            if told.all(|(_, value)| nothing(value)) {
                continue;
            }
            stated = true;
            let none = String::new();
            let own = self.in_cells.get(number).into_iter().flatten();
            let in_unit = values.iter().zip(own.chain(std::iter::repeat(&none)));
            let values: Vec<_> = in_unit
                .map(|(value, unit)| in_unit_of(value, unit))
                .collect();
            let values = values.iter().map(AsRef::as_ref);
            let record = self.leads[number].iter().map(String::as_str).chain(values);
            out.write_record(record.chain(kept.iter().map(|place| field(*place))))?;
            self.origins.push((row, number));
        }
        // A date without a value is a row all the same: it may tell of a failure.
        if self.by_points && !stated {
            let empty = self.leads.first().map_or(0, Vec::len) + made.len();
            let record = std::iter::repeat_n("", empty);
            out.write_record(record.chain(kept.iter().map(|place| field(*place))))?;
            self.origins.push((row, usize::MAX));
        }
        Ok(())
    }

    /// Gives rows and headers of what was read from the text those of the wide table.
    pub(crate) fn settle(self, batches: &mut [Batch], matched: &mut Matched) {
        let first = |row: u32| (row as usize).saturating_sub(2);
        let origin = |row: u32| {
            self.origins
                .get(first(row))
                .copied()
                .unwrap_or((row, usize::MAX))
        };
        let header = |row: u32, column: Option<Column>| {
            let of = self.columns.checks.get(origin(row).1)?;
            let (_, place) = of.places.iter().find(|(own, _)| Some(*own) == column)?;
            self.matched.headers.get(*place)
        };
        let (stated, kept) = (self.stated(), self.columns.others(self.width()));
        for batch in batches.iter_mut() {
            let above = std::mem::take(&mut batch.first_row);
            for reject in batch.rejects.iter_mut().chain(&mut batch.bare) {
                if let Some(header) = header(above + reject.row, reject.column) {
                    reject.reason =
                        format!("{} (in the column \"{header}\")", reject.reason).into();
                }
            }
            batch.renumber(|row| *row = origin(above + *row).0);
        }
        if let Some(batch) = batches.first_mut() {
            batch.set_aside.extend(self.set_aside);
        }
        matched.header_row = self.matched.header_row;
        matched.set_aside = self.matched.set_aside;
        // Of a column that states a date or point beside unknown words more is told than that it is not read.
        matched.notes.retain(|note| {
            let place = note
                .unread
                .and_then(|place| kept.get(place.checked_sub(stated)?));
            !place.is_some_and(|place| self.matched.is_told(*place))
        });
        matched.notes.splice(0..0, self.matched.notes);
    }

    /// The units of the columns of the text, where headers state any.
    pub(crate) fn units(&self) -> &[String] {
        &self.units
    }

    /// Columns of the text that the headers of the wide table state: date or point, then what stands
    /// once for each.
    pub(crate) fn stated(&self) -> usize {
        self.lead() + self.columns.columns().len()
    }

    /// Columns of the text before what stands once a date or point.
    pub(crate) fn lead(&self) -> usize {
        self.leads.first().map_or(0, Vec::len)
    }

    /// The dates or points, and which columns state them.
    pub(crate) fn columns(&self) -> &Columns {
        &self.columns
    }

    /// The headers of the wide table that stand once a date or point.
    pub(crate) fn wide_headers(&self) -> impl Iterator<Item = &str> {
        let places = self.columns.places().into_iter();
        places.filter_map(|place| self.matched.headers.get(place).map(String::as_str))
    }

    /// The rows above the table.
    pub(crate) fn above(&self) -> &[Above] {
        &self.above
    }

    /// Columns of the wide table.
    pub(crate) fn width(&self) -> usize {
        self.matched.headers.len()
    }

    /// What is to be said of the table.
    pub(crate) fn notes(&self) -> &[Note] {
        &self.matched.notes
    }
}
