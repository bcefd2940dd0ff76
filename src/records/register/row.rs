/*! One row of the register: a value that cannot be used is left out with a warning. */

use super::columns::Column;
use super::former::names_in;
use super::role::{About, Role};
use super::standing::ItemStatus;
use crate::records::cells::field::Field;
use crate::records::cells::marks::Marks;
use crate::records::cells::unit::length_of_time::{in_days, with_unit};
use crate::records::date::{self, DateFormat};
use crate::records::reading::limit_cells::LimitCells;
use crate::records::reading::table::Table;
use crate::records::settings::RegisterSettings;
use crate::records::settings::words::TimeUnit;
use crate::records::{Item, MOST_DAYS, Tolerance, Warning};

/// Reads one row of the register, collecting warnings.
pub(super) struct RowReader<'a> {
    pub table: &'a Table,
    pub row: usize,
    pub format: &'a RowFormat<'a>,
    pub warnings: &'a mut Vec<Warning>,
}

/// How the rows of a register are read.
pub(super) struct RowFormat<'a> {
    pub settings: &'a RegisterSettings,
    pub dates: DateFormat,
    /// That of the days on which the next calibration is due.
    pub next_due: DateFormat,
    pub marks: Marks,
    pub as_of: f64,
    pub trim_names: bool,
}

impl RowReader<'_> {
    /// The facts of the item; what cannot be used is left out and warned of.
    pub(crate) fn item(&mut self) -> Item {
        let trim_names = self.format.trim_names;
        let name = |text: String| {
            if trim_names {
                text.trim().to_string()
            } else {
                text
            }
        };
        let positive = |v: f64| v > 0.0;
        let share = |v: f64| v > 0.0 && v < 1.0;
        let (status, until) = self.status();
        let (tolerance, unit) = self.limits();
        Item {
            instrument: name(self.text(Column::Instrument)),
            point: name(self.text(Column::Point)),
            group: self.text(Column::Group).trim().to_string(),
            unit,
            tolerance,
            interval_days: self.days(Column::IntervalDays),
            cap_days: self.days(Column::CapDays),
            floor_days: self.days(Column::FloorDays),
            last_calibration: self.past_day(Column::LastCalibration),
            next_due: self.day(Column::NextDue, &self.format.next_due),
            reliability_target: self.number(
                Column::ReliabilityTarget,
                share,
                "above 0 and below 1",
            ),
            cost: self.number(Column::Cost, positive, "above 0"),
            cost_out_of_tolerance: self.number(Column::CostOutOfTolerance, positive, "above 0"),
            criticality: self.text(Column::Criticality).trim().to_string(),
            description: self.text(Column::Description).trim().to_string(),
            role: self.role(),
            control_chart: self.control_chart(),
            control_from: self.past_day(Column::ControlFrom),
            status,
            until,
            formerly: names_in(&self.text(Column::Formerly))
                .map(str::to_string)
                .collect(),
            ..Item::default()
        }
    }

    /// Where the item stands on the as-of date, and the last day of it.
    fn status(&mut self) -> (ItemStatus, Option<f64>) {
        let word = self.text(Column::Status);
        let stated = match word.trim() {
            "" => None,
            word => ItemStatus::of_word(word),
        };
        if stated.is_none() && !word.trim().is_empty() {
            self.warn(format!(
                "status \"{}\" is left out: expected in_use, lent, stored, retired or lost",
                word.trim()
            ));
        }
        let until = self.day(Column::Until, &self.format.dates);
        match until.is_some_and(|day| day < self.format.as_of.floor()) {
            true => (ItemStatus::InUse, None),
            false => (stated.unwrap_or_default(), until),
        }
    }

    pub(crate) fn warn(&mut self, words: String) {
        self.warnings
            .push(Warning::new(self.table.place(self.row), words));
    }

    fn text(&self, column: Column) -> String {
        self.table
            .field(self.row, column as usize)
            .text()
            .into_owned()
    }

    fn number(
        &mut self,
        column: Column,
        test: impl Fn(f64) -> bool,
        expected: &str,
    ) -> Option<f64> {
        let field = self.table.field(self.row, column as usize);
        let name = column.name();
        let why = match field.number(self.format.marks) {
            Ok(None) => return None,
            Ok(Some(number)) if test(number.value) => return Some(number.value),
            Ok(Some(_)) => format!("expected {expected}"),
            Err(problem) => problem.words().to_string(),
        };
        self.warn(format!("{name} \"{}\" is left out: {why}", field.text()));
        None
    }

    /// A length of time; what is asked for bounds what is computed and drawn.
    fn days(&mut self, column: Column) -> Option<f64> {
        let unit = self.format.settings.interval_in;
        if let Some(days) = self.in_own_unit(column, unit) {
            return Some(days);
        }
        let bounded = |length: f64| length > 0.0 && unit.days(length) <= MOST_DAYS;
        let expected = match unit {
            TimeUnit::Days => {
                format!("a number of days above 0, {MOST_DAYS} (a century) at the most")
            }
            unit => format!("a number of {} above 0, a century at the most", unit.word()),
        };
        let length = self.number(column, bounded, &expected);
        length.map(|length| unit.days(length))
    }

    /// A length of time whose cell states its unit, as in `12 months`, days.
    fn in_own_unit(&self, column: Column, unit: TimeUnit) -> Option<f64> {
        let field = self.table.field(self.row, column as usize);
        let own = matches!(field, Field::Text(text) if with_unit(text.trim()).is_some());
        let days = in_days(field, unit, self.format.marks).filter(|_| own)?;
        (days > 0.0 && days <= MOST_DAYS).then_some(days)
    }

    /// The tolerance, from two limits or one column, and the unit in which it is.
    fn limits(&mut self) -> (Option<Tolerance>, String) {
        let cells = LimitCells {
            table: self.table,
            row: self.row,
            marks: self.format.marks,
            columns: [Column::Lower, Column::Upper, Column::Tolerance].map(|c| c as usize),
            unit: self.text(Column::Unit).trim().to_string(),
        };
        let (limits, unit) = cells.read();
        let tolerance = limits.unwrap_or_else(|why| {
            self.warn(why.to_string());
            None
        });
        (tolerance, unit)
    }

    fn role(&mut self) -> Role {
        let word = self.text(Column::Role);
        Role::of(&word).unwrap_or_else(|| {
            self.warn(format!(
                "role \"{word}\" is left out: expected reference, working or check_standard"
            ));
            Role::Unstated
        })
    }

    fn control_chart(&mut self) -> Option<About> {
        let word = self.text(Column::ControlChart);
        let about = About::of(&word);
        if about.is_none() && !word.trim().is_empty() {
            self.warn(format!(
                "control_chart \"{word}\" is left out: expected drift or constant"
            ));
        }
        about
    }

    /// The status that the row states in other words than ours: its own, and which it is.
    pub(super) fn status_in_other_words(&self) -> Option<(String, ItemStatus)> {
        let word = self.text(Column::Status).trim().to_string();
        let status = ItemStatus::of_word(&word)?;
        status.is_in_other_words(&word).then_some((word, status))
    }

    /// Any day.
    fn day(&mut self, column: Column, dates: &DateFormat) -> Option<f64> {
        let field = self.table.field(self.row, column as usize);
        let day = field.date(dates).map(f64::floor);
        if day.is_none() && !field.is_blank() {
            let name = column.name();
            let words = dates.words();
            self.warn(format!(
                "{name} \"{}\" is left out: not a date: {words}",
                field.text()
            ));
        }
        day
    }

    /// A day up to the as-of date.
    fn past_day(&mut self, column: Column) -> Option<f64> {
        let field = self.table.field(self.row, column as usize);
        let name = column.name();
        if field.is_blank() {
            return None;
        }
        let why = match field.date(&self.format.dates) {
            Some(day) if day.floor() <= self.format.as_of => return Some(day),
            Some(_) => format!(
                "it lies after the as-of date {}",
                date::iso(self.format.as_of)
            ),
            None => format!("not a date: {}", self.format.dates.words()),
        };
        self.warn(format!("{name} \"{}\" is left out: {why}", field.text()));
        None
    }
}
