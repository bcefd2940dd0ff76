/*! Check histories: columns sorted by instrument, point and date, with offsets.

A history is a borrowed slice of every column, so that each per-history stage
is a pure function of one slice and the settings.
*/

mod columns;
pub(crate) mod event;
pub(crate) mod given;
pub(crate) mod item;
pub(crate) mod tolerance;

pub(crate) use columns::History;
pub use columns::{Check, Columns};
use event::{CheckKind, Event, Outcome};
use item::Item;
use rayon::prelude::*;
use tolerance::Tolerance;

/// Days in a year, for every rate "per year" in the program (Julian year).
pub const DAYS_PER_YEAR: f64 = 365.25;

/// Longest time that a setting or the register may ask to look ahead, days: a century.
pub(crate) const MOST_DAYS: f64 = 36_525.0;

/// All histories: columns of equal length, one entry a check.
///
/// Sorted by instrument, point and date (ties in file order). Quantities that
/// a row does not state are NaN (`u_common` and `nominal` are 0).
#[derive(Debug, Clone, serde::Serialize, serde::Deserialize)]
pub struct Histories {
    /// One entry a history, sorted by instrument, point.
    pub items: Vec<Item>,
    /// History `i` owns rows `offsets[i]..offsets[i + 1]`; length `items.len() + 1`.
    pub offsets: Vec<usize>,
    /// Columns of the checks.
    pub columns: Columns,
}

impl Default for Histories {
    fn default() -> Self {
        Self {
            items: Vec::new(),
            offsets: vec![0],
            columns: Columns::default(),
        }
    }
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
        self.columns.history(&self.items[index], rows)
    }

    /// Adds a history at the end.
    pub(crate) fn push(&mut self, history: &History<'_>) {
        self.columns.extend(history);
        self.end_item(history.item.clone());
    }

    /// Adds checks to the histories whose places stand beside them, each behind those of its day.
    pub(crate) fn add(&mut self, mut added: Vec<(usize, Check)>) {
        if added.is_empty() {
            return;
        }
        added.sort_by(|(a, one), (b, other)| a.cmp(b).then(one.date.total_cmp(&other.date)));
        let mut added = added.into_iter().peekable();
        let old = std::mem::take(self);
        // The old row from which each new one takes who gave it.
        let mut rows = Vec::with_capacity(old.columns.len());
        for (index, (history, first)) in old.iter().zip(&old.offsets).enumerate() {
            let mut start = 0;
            while let Some((_, check)) = added.next_if(|(own, _)| *own == index) {
                let at = history.date.partition_point(|date| *date <= check.date);
                self.columns.extend(&history.rows(start..at));
                self.columns.push(check);
                rows.extend(first + start..first + at);
                rows.push(first + at.min(history.len() - 1));
                start = at;
            }
            self.columns.extend(&history.rows(start..history.len()));
            rows.extend(first + start..first + history.len());
            self.offsets.push(self.columns.len());
        }
        self.columns.take_givers(&old.columns, &rows);
        self.items = old.items;
    }

    /// Makes the checks that belong to no history yet one of `item`.
    pub fn end_item(&mut self, item: Item) {
        self.items.push(item);
        self.offsets.push(self.columns.len());
    }

    /// All histories in order.
    pub fn iter(&self) -> impl Iterator<Item = History<'_>> {
        (0..self.len()).map(|index| self.get(index))
    }

    /// All histories in order, on all cores.
    pub(crate) fn par_iter(&self) -> impl IndexedParallelIterator<Item = History<'_>> {
        (0..self.len()).into_par_iter().map(|index| self.get(index))
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

    /// A table of its own.
    pub(crate) fn alone(&self) -> Histories {
        let mut own = Histories::default();
        own.push(self);
        own
    }

    /// A copy of its columns.
    pub(crate) fn columns(&self) -> Columns {
        self.alone().columns
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
