/*! Check histories: columns sorted by instrument, point and date, with offsets.

A history is a borrowed slice of every column, so that each per-history stage
is a pure function of one slice and the settings.
*/

pub(crate) mod event;
pub(crate) mod given;
pub(crate) mod item;
pub(crate) mod tolerance;

use event::{CheckKind, Event, Outcome};
use item::Item;
use std::ops::Range;
use tolerance::Tolerance;

/// Days in a year, for every rate "per year" in the program (Julian year).
pub const DAYS_PER_YEAR: f64 = 365.25;

/// Longest time that a setting or the register may ask to look ahead, days: a century.
pub(crate) const MOST_DAYS: f64 = 36_525.0;

/// All histories: columns of equal length, one entry a check.
///
/// Sorted by instrument, point and date (ties in file order). Quantities that
/// a row does not state are NaN (`u_common` and `nominal` are 0).
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
pub struct Histories {
    /// One entry a history, sorted by instrument, point.
    pub items: Vec<Item>,
    /// History `i` owns rows `offsets[i]..offsets[i + 1]`; length `items.len() + 1`.
    pub offsets: Vec<usize>,
    /// Columns of the checks.
    pub columns: Columns,
}

/// The columns of all checks; see `History` for meanings and units.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
#[allow(missing_docs)]
pub struct Columns {
    pub date: Vec<f64>,
    pub as_found: Vec<f64>,
    pub as_left: Vec<f64>,
    pub nominal: Vec<f64>,
    pub u: Vec<f64>,
    pub u_common: Vec<f64>,
    pub lower: Vec<f64>,
    pub upper: Vec<f64>,
    pub usage: Vec<f64>,
    pub outcome: Vec<Outcome>,
    pub event: Vec<Event>,
    pub kind: Vec<CheckKind>,
    /// Index of the input file and row number, for the trail from number to source.
    pub source: Vec<(u32, u32)>,
    /// Who gave each reading, a place among `givers`; empty where no file says so. Taken out once
    /// the sources are settled, as are the next three.
    pub given_by: Vec<u32>,
    /// Their names, sorted; "" for rows that name none.
    pub givers: Vec<String>,
    /// Values that certificates state; empty where no file has any.
    pub assigned: Vec<f64>,
    pub u_assigned: Vec<f64>,
}

impl Columns {
    /// Takes over from the `rows` of `old` who gave the readings, and what certificates state.
    pub(crate) fn take_givers(&mut self, old: &Columns, rows: &[usize]) {
        fn of<T: Copy>(column: &[T], rows: &[usize]) -> Vec<T> {
            rows.iter()
                .filter_map(|row| column.get(*row).copied())
                .collect()
        }
        self.givers = old.givers.clone();
        self.given_by = of(&old.given_by, rows);
        (self.assigned, self.u_assigned) = (of(&old.assigned, rows), of(&old.u_assigned, rows));
    }
}

/// One history: a borrowed slice of every column. All slices have one length.
#[derive(Debug, Clone, Copy)]
pub struct History<'a> {
    /// Identity and register facts.
    pub item: &'a Item,
    /// When checked: days since 1970-01-01, with the time of day as fraction. Ascending.
    pub date: &'a [f64],
    /// Error as found (indicated minus conventional value); NaN where only the outcome was kept.
    pub as_found: &'a [f64],
    /// Error as left; NaN where the row does not state it, see [`History::left`].
    pub as_left: &'a [f64],
    /// Conventional value that was subtracted (0 where none).
    pub nominal: &'a [f64],
    /// Standard uncertainty of the reading, random part; NaN where not stated.
    pub u: &'a [f64],
    /// Standard uncertainty shared by all checks of the history; 0 where not stated.
    pub u_common: &'a [f64],
    /// Lower tolerance limit at that check; NaN where none.
    pub lower: &'a [f64],
    /// Upper tolerance limit at that check; NaN where none.
    pub upper: &'a [f64],
    /// Cumulative use at the check, hours or cycles; NaN where not stated.
    pub usage: &'a [f64],
    /// Outcome as found: stated, else from `as_found` and the tolerance at that check.
    pub outcome: &'a [Outcome],
    /// What happened at the check.
    pub event: &'a [Event],
    /// Check or calibration.
    pub kind: &'a [CheckKind],
    /// Input file index and row number.
    pub source: &'a [(u32, u32)],
}

impl Histories {
    /// One history of the checks in `columns`.
    pub(crate) fn of_one(item: Item, columns: Columns) -> Self {
        Self {
            items: vec![item],
            offsets: vec![0, columns.date.len()],
            columns,
        }
    }

    /// Number of histories.
    pub fn len(&self) -> usize {
        self.items.len()
    }

    /// True where there is no history.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// History `index`; panics past the end, like a slice.
    pub fn get(&self, index: usize) -> History<'_> {
        let rows = self.offsets[index]..self.offsets[index + 1];
        let c = &self.columns;
        History {
            item: &self.items[index],
            date: &c.date[rows.clone()],
            as_found: &c.as_found[rows.clone()],
            as_left: &c.as_left[rows.clone()],
            nominal: &c.nominal[rows.clone()],
            u: &c.u[rows.clone()],
            u_common: &c.u_common[rows.clone()],
            lower: &c.lower[rows.clone()],
            upper: &c.upper[rows.clone()],
            usage: &c.usage[rows.clone()],
            outcome: &c.outcome[rows.clone()],
            event: &c.event[rows.clone()],
            kind: &c.kind[rows.clone()],
            source: &c.source[rows],
        }
    }

    /// All histories in order.
    pub fn iter(&self) -> impl Iterator<Item = History<'_>> {
        (0..self.len()).map(|index| self.get(index))
    }
}

impl<'a> History<'a> {
    /// The first `rows` checks; panics past the end, like a slice.
    pub(crate) fn first(&self, rows: usize) -> History<'a> {
        self.rows(0..rows)
    }

    /// The last `rows` checks, or all.
    pub(crate) fn last(&self, rows: usize) -> History<'a> {
        self.rows(self.len().saturating_sub(rows)..self.len())
    }

    /// The checks of some rows; panics past the end, like a slice.
    pub(crate) fn rows(&self, rows: Range<usize>) -> History<'a> {
        History {
            item: self.item,
            date: &self.date[rows.clone()],
            as_found: &self.as_found[rows.clone()],
            as_left: &self.as_left[rows.clone()],
            nominal: &self.nominal[rows.clone()],
            u: &self.u[rows.clone()],
            u_common: &self.u_common[rows.clone()],
            lower: &self.lower[rows.clone()],
            upper: &self.upper[rows.clone()],
            usage: &self.usage[rows.clone()],
            outcome: &self.outcome[rows.clone()],
            event: &self.event[rows.clone()],
            kind: &self.kind[rows.clone()],
            source: &self.source[rows],
        }
    }

    /// A copy of its columns.
    pub(crate) fn columns(&self) -> Columns {
        Columns {
            date: self.date.to_vec(),
            as_found: self.as_found.to_vec(),
            as_left: self.as_left.to_vec(),
            nominal: self.nominal.to_vec(),
            u: self.u.to_vec(),
            u_common: self.u_common.to_vec(),
            lower: self.lower.to_vec(),
            upper: self.upper.to_vec(),
            usage: self.usage.to_vec(),
            outcome: self.outcome.to_vec(),
            event: self.event.to_vec(),
            kind: self.kind.to_vec(),
            source: self.source.to_vec(),
            ..Columns::default()
        }
    }

    /// Number of checks; at least one.
    pub fn len(&self) -> usize {
        self.date.len()
    }

    /// True where there is no check (never, once screened).
    pub(crate) fn is_empty(&self) -> bool {
        self.date.is_empty()
    }

    /// True where no value was kept: there are outcomes at the most.
    pub(crate) fn outcomes_alone(&self) -> bool {
        self.as_found.iter().all(|value| value.is_nan())
    }

    /// Error as left after check `i`: `as_left`; where the row does not state it `as_found` if
    /// nothing was done, and unknown (NaN) after an event that moves the value.
    pub(crate) fn left(&self, i: usize) -> f64 {
        match self.event[i] {
            _ if !self.as_left[i].is_nan() => self.as_left[i],
            event if event.moves_value() => f64::NAN,
            _ => self.as_found[i],
        }
    }

    /// What happened at check `i`: a stated event, or `Adjusted` where as left differs from as found.
    pub(crate) fn happened(&self, i: usize) -> Event {
        let moved = !self.as_left[i].is_nan() && self.as_left[i] != self.as_found[i];
        match self.event[i] {
            Event::None if moved => Event::Adjusted,
            event => event,
        }
    }

    /// Tolerance in force at check `i`: the row's, else the item's.
    pub(crate) fn tolerance_at(&self, i: usize) -> Option<Tolerance> {
        let open = |limit: f64, otherwise: f64| if limit.is_nan() { otherwise } else { limit };
        if self.lower[i].is_nan() && self.upper[i].is_nan() {
            return self.item.tolerance;
        }
        Tolerance::new(
            open(self.lower[i], f64::NEG_INFINITY),
            open(self.upper[i], f64::INFINITY),
        )
    }

    /// Outcome as found at check `i`: as recorded, else from its value and the tolerance then.
    pub(crate) fn outcome_at(&self, i: usize) -> Outcome {
        let found = self.as_found[i];
        match (self.outcome[i], self.tolerance_at(i)) {
            (Outcome::Unknown, Some(tolerance)) if found.is_finite() => {
                if tolerance.contains(found) {
                    Outcome::In
                } else {
                    Outcome::Out
                }
            }
            (recorded, _) => recorded,
        }
    }

    /// Day the interval counts from: the register's last calibration, else the last
    /// check of kind calibration, else the last check. Days since 1970-01-01.
    pub(crate) fn last_calibration(&self) -> f64 {
        let last_row = self.kind.iter().rposition(|k| *k == CheckKind::Calibration);
        self.item
            .last_calibration
            .or(last_row.map(|i| self.date[i]))
            .unwrap_or_else(|| self.date.last().copied().unwrap_or(f64::NAN))
    }
}
