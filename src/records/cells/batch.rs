/*! Rows of one file, or of one piece of it, as columns. */

mod store;

use super::column::Column;
use super::field::Field;
use super::limits::open::OpenCell;
use super::marks::Seen;
use super::minus_behind::MinusBehind;
use super::number::written::is_error;
use super::remarks::Remarks;
use super::repeated::Scatter;
use super::row::rules::{Fields, Problem, Rules};
use super::row::said::{Carried, spoken_of};
use super::row::stated::StatedColumns;
use super::row::unused::Unused;
use super::shape::Shape;
use super::void_rows::VoidRows;
use crate::records::Columns;
use crate::records::load::names::Names;
use crate::records::reading::aside::Aside;
use std::borrow::Cow;

/// Characters of a rejected value that are kept.
const VALUE_LENGTH: usize = 200;

/// A rejected row of a batch; `column` is `None` where the whole row is at fault.
#[derive(Debug)]
pub(crate) struct BatchReject {
    pub row: u32,
    pub column: Option<Column>,
    pub value: String,
    pub reason: Cow<'static, str>,
    /// What a person must say before the row is read, where that is all.
    pub open: Option<OpenCell>,
    /// What the row says of a failure or an event.
    pub carried: Carried,
    /// The instrument, where the row should have been used and names it.
    pub instrument: String,
    /// What it says of its item.
    pub unused: Option<Box<Unused>>,
}

/// What a row that cannot be used says of a failure or an event, and of its item.
pub(crate) type Remains = (Carried, Option<Box<Unused>>);

/// A word in a column of fixed words that is unknown and was read as nothing.
#[derive(Debug)]
pub(crate) struct UnknownWord {
    pub row: u32,
    pub column: Column,
    pub word: String,
}

/// Usable rows as columns, in file order, and the others with their reasons.
///
/// A column that the file lacks stays empty; see `Batch::value`.
#[derive(Debug, Default)]
pub(crate) struct Batch {
    /// Index of the file.
    pub file: u32,
    /// Rows of the file before this batch, blank lines included.
    pub first_row: u32,
    /// Rows and blank lines of this batch.
    pub lines: u32,
    /// Rows read.
    pub read: u64,
    pub columns: Columns,
    /// Row number inside the batch, from 1.
    pub row: Vec<u32>,
    /// Instrument and point, as a code of `names`.
    pub code: Vec<u32>,
    /// Unit, as a code of `units`; empty where there is no unit.
    pub unit: Vec<u32>,
    pub names: Names,
    pub units: Names,
    /// Who gave the readings; empty where the file does not say so.
    pub givers: Names,
    /// What the rows state of their items.
    pub stated: StatedColumns,
    pub rejects: Vec<BatchReject>,
    /// Outcomes and events that count without the values that cannot be used.
    pub bare: Vec<BatchReject>,
    pub unknown_words: Vec<UnknownWord>,
    /// Rows that are no records, with their numbers inside the batch.
    pub set_aside: Vec<(Aside, u32)>,
    /// Nominal values of the rows, where they may tell points apart; else empty.
    pub stated_nominal: Vec<f64>,
    /// The unit that the header of the nominal values states; empty where it states none.
    pub nominal_unit: Box<str>,
    /// How the repeats of each row scatter, where columns hold any; else empty.
    pub scatter: Vec<Option<Scatter>>,
    /// True for rows that state what was left, where a column tells; else empty.
    pub left: Vec<bool>,
    /// True where its points were built from columns that tell them apart.
    pub builds_points: bool,
    /// What its numbers say of points and commas.
    pub seen: Seen,
    /// What columns of remarks that are not read speak of.
    pub remarks: Remarks,
    /// Rows that do not count, as they say themselves.
    pub void: VoidRows,
    /// Numbers whose minus stands behind them.
    pub minus_behind: MinusBehind,
    /// Units that cells of what was found lend to bare numbers of other columns, with the first
    /// row and that column.
    pub lent: Vec<(Box<str>, u32, Column)>,
}

/// What the fields of a row that cannot be used say, each as far as it can be read.
pub(crate) fn remains(fields: &Fields<'_>, shape: &Shape, rules: &Rules<'_>) -> Remains {
    let legible = rules.cells(fields, shape).legible();
    let carried = rules.carried(fields, shape, &legible);
    (carried, rules.unused(fields, &legible))
}

impl Batch {
    /// A batch with room for about `rows` rows in the columns that are present.
    pub(crate) fn with_room(rows: usize, shape: &Shape) -> Self {
        let mut batch = Batch {
            nominal_unit: shape.units[Column::Nominal.index()]
                .clone()
                .unwrap_or_default(),
            ..Batch::default()
        };
        let columns = &mut batch.columns;
        columns.date.reserve(rows);
        batch.row.reserve(rows);
        batch.code.reserve(rows);
        let numbers = [
            (Column::AsFound, &mut columns.as_found),
            (Column::AsLeft, &mut columns.as_left),
            (Column::Nominal, &mut columns.nominal),
            (Column::U, &mut columns.u),
            (Column::UCommon, &mut columns.u_common),
            (Column::Lower, &mut columns.lower),
            (Column::Upper, &mut columns.upper),
            (Column::Usage, &mut columns.usage),
        ];
        for (column, values) in numbers {
            if shape.has(column) {
                values.reserve(rows);
            }
        }
        batch
    }

    /// Judges one row and stores it, or the reason why not.
    pub(crate) fn push(&mut self, fields: &Fields<'_>, shape: &Shape, rules: &Rules<'_>) {
        self.read += 1;
        self.lines += 1;
        self.builds_points = !shape.point_from.is_empty();
        if let Some(why) = shape.void.why(fields.void) {
            self.leave_out(fields, why, shape, rules);
            return;
        }
        let read = rules.read(fields, shape);
        let text = |column: Column| match fields[column] {
            Field::Text(text) => Some(text),
            _ => None,
        };
        self.seen
            .note(text, self.lines, &rules.marks, read.is_err());
        let repeats = fields.repeats.iter().filter_map(|field| match field {
            Field::Text(text) => Some(*text),
            _ => None,
        });
        self.seen.note_repeats(repeats, self.lines);
        match read {
            Ok(row) => self.store(&row, fields, shape),
            Err(problem) => self.set_aside(fields, problem, shape, rules),
        }
    }

    /// Rejects a row that does not count, as it says itself.
    fn leave_out(
        &mut self,
        fields: &Fields<'_>,
        reason: Cow<'static, str>,
        shape: &Shape,
        rules: &Rules<'_>,
    ) {
        let (carried, _) = remains(fields, shape, rules);
        self.void.out.push((self.lines, carried));
        self.rejects.push(BatchReject {
            row: self.lines,
            column: None,
            value: shortened(&fields.void.text()),
            reason,
            open: None,
            // It stops nothing: the list of what is left out names it.
            carried: Carried::default(),
            instrument: shortened(rules.instrument_of(fields).trim()),
            unused: None,
        });
    }

    /// Rejects a row, but for its outcome and its event where they count without its values.
    fn set_aside(
        &mut self,
        fields: &Fields<'_>,
        problem: Problem,
        shape: &Shape,
        rules: &Rules<'_>,
    ) {
        let Problem {
            column,
            reason,
            open,
            later,
        } = problem;
        let (carried, unused) = remains(fields, shape, rules);
        let instrument = rules.instrument_of(fields);
        let reject = BatchReject {
            row: self.lines,
            column: Some(column),
            value: shortened(&fields[column].text()),
            reason,
            open,
            carried,
            // An error of a spreadsheet names none.
            instrument: match later || is_error(instrument.trim()) {
                true => String::new(),
                false => shortened(instrument.trim()),
            },
            unused,
        };
        match rules.bare(fields, shape, carried).filter(|_| !later) {
            Some(row) => {
                self.store(&row, fields, shape);
                self.bare.push(reject);
            }
            None => self.rejects.push(reject),
        }
    }

    /// Counts a row that is no row of this table; `remains` is what its fields say where they stand under the header.
    pub(crate) fn push_ragged(&mut self, text: String, reason: String, remains: Remains) {
        self.read += 1;
        self.lines += 1;
        self.rejects.push(BatchReject {
            row: self.lines,
            column: None,
            carried: spoken_of(&text).or(remains.0),
            value: shortened(&text),
            reason: reason.into(),
            open: None,
            instrument: String::new(),
            unused: remains.1,
        });
    }

    /// Takes back the last rejected row: it is no record.
    pub(crate) fn set_aside_last(&mut self, what: Aside) {
        if let Some(reject) = self.rejects.pop() {
            self.read -= 1;
            self.set_aside.push((what, reject.row));
        }
    }

    /// Gives the rows that are told of other numbers.
    pub(crate) fn renumber(&mut self, number: impl Fn(&mut u32)) {
        let rejects = self.rejects.iter_mut().chain(&mut self.bare);
        rejects.for_each(|reject| number(&mut reject.row));
        self.row.iter_mut().for_each(&number);
        self.remarks.rows.iter_mut().for_each(&number);
        let minus = self.minus_behind.first.iter_mut();
        minus.for_each(|(row, ..)| number(row));
        self.void.counted.iter_mut().for_each(&number);
        self.void.out.iter_mut().for_each(|(row, _)| number(row));
        self.lent.iter_mut().for_each(|(_, row, _)| number(row));
        let words = self.unknown_words.iter_mut();
        words.for_each(|word| number(&mut word.row));
        self.seen.renumber(number);
    }

    /// The batch once its last row is pushed: thousands of them may stand beside each other.
    pub(crate) fn whole(mut self) -> Self {
        self.names.seal();
        self
    }

    /// Who gave the reading of row `index`; empty where not stated.
    pub(crate) fn giver_at(&self, index: usize) -> &str {
        let code = self.columns.given_by.get(index);
        code.map_or("", |&code| self.givers.get(code).0)
    }

    /// The unit that row `index` states; empty where none.
    pub(crate) fn unit_at(&self, index: usize) -> &str {
        self.unit
            .get(index)
            .map_or("", |&code| self.units.get(code).0)
    }
}

/// At most [`VALUE_LENGTH`] characters.
pub(crate) fn shortened(text: &str) -> String {
    match text.char_indices().nth(VALUE_LENGTH) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_string(),
    }
}
