/*! Tolerances of which one limit is empty, where most have two. */

use crate::records::{Table, Tolerance, Warning};

/// Rows whose tolerance has one side, among those that have two.
#[derive(Default)]
pub(super) struct Sides {
    both: usize,
    /// With the side that is open.
    one: Vec<(usize, &'static str)>,
}

impl Sides {
    pub(super) fn see(&mut self, row: usize, tolerance: Option<Tolerance>) {
        let Some(limits) = tolerance else { return };
        match (limits.lower().is_finite(), limits.upper().is_finite()) {
            (true, false) => self.one.push((row, "upper")),
            (false, true) => self.one.push((row, "lower")),
            _ => self.both += 1,
        }
    }

    /// What is said of rows whose other limit may have been forgotten, or lost in a cell that holds an error.
    pub(super) fn said(self, table: &Table) -> impl Iterator<Item = Warning> {
        let rows = self.one.into_iter();
        let few = rows.len() < self.both;
        rows.filter(move |_| few).map(|(row, side)| {
            let words = format!(
                "{side} is empty, and most rows state both limits: the error is not limited on that side"
            );
            Warning::new(table.place(row), words)
        })
    }
}
