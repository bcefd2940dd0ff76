/*! A table with one row for each value of a list: each column by what it takes from the value. */

use super::table::{Cells, Table};

/// A table in the making, of one row for each of `rows`.
#[derive(Debug)]
pub(crate) struct RowTable<'a, 'r, R> {
    rows: &'r [R],
    table: Table<'a>,
}

impl<'a, 'r, R> RowTable<'a, 'r, R> {
    /// A table without a column yet.
    pub(crate) fn of(rows: &'r [R]) -> Self {
        let table = Table::default();
        Self { rows, table }
    }

    /// Adds a column of ready cells, in the order of the rows.
    pub(crate) fn with(mut self, name: &'static str, cells: Cells<'a>) -> Self {
        self.table = self.table.with(name, cells);
        self
    }

    /// A column of text that lives elsewhere.
    pub(crate) fn text(self, name: &'static str, get: impl Fn(&'r R) -> &'a str) -> Self {
        let cells = Cells::Shared(self.rows.iter().map(get).collect());
        self.with(name, cells)
    }

    /// A column of text made for it.
    pub(crate) fn made(self, name: &'static str, get: impl Fn(&'r R) -> String) -> Self {
        let cells = Cells::Text(self.rows.iter().map(get).collect());
        self.with(name, cells)
    }

    /// A column of words from a fixed list.
    pub(crate) fn word(self, name: &'static str, get: impl Fn(&'r R) -> &'static str) -> Self {
        let cells = Cells::Word(self.rows.iter().map(get).collect());
        self.with(name, cells)
    }

    /// A column of numbers; NaN is an empty cell.
    pub(crate) fn number(self, name: &'static str, get: impl Fn(&'r R) -> f64) -> Self {
        let cells = Cells::Number(self.rows.iter().map(get).collect());
        self.with(name, cells)
    }

    /// A column of numbers of which some may not be known.
    pub(crate) fn known(self, name: &'static str, get: impl Fn(&'r R) -> Option<f64>) -> Self {
        self.number(name, |row| get(row).unwrap_or(f64::NAN))
    }

    /// A column of whole numbers of which some may not be known.
    pub(crate) fn whole(self, name: &'static str, get: impl Fn(&'r R) -> Option<i64>) -> Self {
        let cells = Cells::Whole(self.rows.iter().map(get).collect());
        self.with(name, cells)
    }

    /// A column of counts.
    pub(crate) fn count(self, name: &'static str, get: impl Fn(&'r R) -> usize) -> Self {
        self.whole(name, |row| Some(get(row) as i64))
    }

    /// A column of dates, days since 1970-01-01; NaN is an empty cell.
    pub(crate) fn date(self, name: &'static str, get: impl Fn(&'r R) -> f64) -> Self {
        let cells = Cells::Date(self.rows.iter().map(get).collect());
        self.with(name, cells)
    }

    /// A column of truth values.
    pub(crate) fn flag(self, name: &'static str, get: impl Fn(&'r R) -> bool) -> Self {
        let cells = Cells::Flag(self.rows.iter().map(get).collect());
        self.with(name, cells)
    }

    /// Says what the last column holds, where its name does not say it.
    pub(crate) fn about(mut self, words: &'static str) -> Self {
        self.table = self.table.about(words);
        self
    }

    pub(crate) fn done(self) -> Table<'a> {
        self.table
    }
}
