/*! What a row states of its item beside the reading: its group, and until when its value is used. */

use super::rules::{Fields, Rules};
use crate::records::MOST_DAYS;
use crate::records::cells::column::Column;
use crate::records::cells::field::Field;
use crate::records::cells::number::written::is_no_number;
use crate::records::cells::shape::Shape;
use crate::records::cells::sparse::value;
use crate::records::cells::unit::length_of_time::in_days;
use crate::records::date::DateFormat;
use crate::records::load::names::Names;
use std::borrow::Cow;

/// The facts of one row; NaN and "" where not stated.
#[derive(Debug)]
pub(crate) struct Stated<'f> {
    /// Class or model.
    pub group: Cow<'f, str>,
    /// Interval in use from this row on, days.
    pub interval_days: f64,
    /// Day on which the next calibration is due, since 1970-01-01.
    pub next_due: f64,
}

impl Rules<'_> {
    /// The facts of the row, and the column of one that cannot be read.
    pub(crate) fn stated<'f>(
        &self,
        fields: &Fields<'f>,
        shape: &Shape,
    ) -> (Stated<'f>, Option<Column>) {
        let read = |column: Column, of: &dyn Fn(Field<'f>) -> Option<f64>| {
            let field = fields[column];
            let nothing = match field {
                Field::Text(text) => text.trim().is_empty() || is_no_number(text.trim()),
                other => other.is_blank(),
            };
            match shape.has(column) && !nothing {
                false => Ok(f64::NAN),
                true => of(field).ok_or(column),
            }
        };
        let interval = read(Column::IntervalDays, &|field| {
            let column = Column::IntervalDays.index();
            let days = in_days(field, self.settings.interval_in, self.marks[column])?;
            (days > 0.0 && days <= MOST_DAYS).then_some(days)
        });
        let due = read(Column::NextDue, &|field| {
            let own = self.settings.next_due_format.as_str();
            let format = match own {
                "" => Cow::Borrowed(&self.dates),
                own => Cow::Owned(DateFormat::from_setting(own)),
            };
            field.date(&format).map(f64::floor)
        });
        let group = match shape.has(Column::Group) {
            true => trimmed(fields[Column::Group].text()),
            false => Cow::Borrowed(""),
        };
        let unread = interval.err().or(due.err());
        let stated = Stated {
            group,
            interval_days: interval.unwrap_or(f64::NAN),
            next_due: due.unwrap_or(f64::NAN),
        };
        (stated, unread)
    }
}

fn trimmed(text: Cow<'_, str>) -> Cow<'_, str> {
    match text {
        Cow::Borrowed(text) => Cow::Borrowed(text.trim()),
        Cow::Owned(text) => Cow::Owned(text.trim().to_string()),
    }
}

/// The facts of the rows of a batch; a column that the file lacks stays empty.
#[derive(Debug, Default)]
pub(crate) struct StatedColumns {
    groups: Names,
    group: Vec<u32>,
    interval_days: Vec<f64>,
    next_due: Vec<f64>,
}

impl StatedColumns {
    pub(crate) fn push(&mut self, row: &Stated<'_>, shape: &Shape) {
        if shape.has(Column::Group) {
            self.group.push(self.groups.code(&row.group, ""));
        }
        if shape.has(Column::IntervalDays) {
            self.interval_days.push(row.interval_days);
        }
        if shape.has(Column::NextDue) {
            self.next_due.push(row.next_due);
        }
    }

    /// True where the file has none of these columns.
    pub(crate) fn is_empty(&self) -> bool {
        self.group.is_empty() && self.interval_days.is_empty() && self.next_due.is_empty()
    }

    /// True where the file states groups.
    pub(crate) fn has_groups(&self) -> bool {
        !self.group.is_empty()
    }

    /// The facts of row `row`.
    pub(crate) fn of(&self, row: u32) -> Stated<'_> {
        let code = self.group.get(row as usize);
        Stated {
            group: Cow::Borrowed(code.map_or("", |&code| self.groups.get(code).0)),
            interval_days: value(&self.interval_days, row, f64::NAN),
            next_due: value(&self.next_due, row, f64::NAN),
        }
    }
}
