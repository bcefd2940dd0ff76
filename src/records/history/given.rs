/*! Who gave each reading, what certificates state, and what was made of it. */

use super::{Columns, History};

/// Who gave the readings, row by row as in the histories.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Given {
    /// Names of the sources, sorted; "" for rows that name none.
    pub givers: Vec<String>,
    /// Place of the source of each row among them; empty where no record names one.
    pub given_by: Vec<u32>,
    /// What was added to each reading for its source.
    pub moved: Vec<f64>,
    /// Value that a certificate states, NaN where none; empty where no record has one.
    pub assigned: Vec<f64>,
    /// Its standard uncertainty.
    pub u_assigned: Vec<f64>,
    /// One line a source of each class and unit that has several.
    pub lines: Vec<SourceLine>,
}

/// The value that a certificate states of a history.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Certificate {
    /// Row of the history.
    pub row: usize,
    /// Its value, at the level of the item's latest source as the readings are.
    pub value: f64,
    /// Its standard uncertainty; NaN where not stated.
    pub u: f64,
}

/// The certificate whose value stands before row `before`: the last one, where no event set the
/// level anew after it.
pub(crate) fn in_force<'c>(
    certificates: &'c [Certificate],
    history: &History<'_>,
    before: usize,
) -> Option<&'c Certificate> {
    let last = certificates.iter().rev().find(|c| c.row < before)?;
    let anew = (last.row + 1..before).any(|row| history.happened(row).restarts_level());
    (!anew).then_some(last)
}

/// What is known of one source in one class and unit.
#[derive(Debug, Clone, PartialEq)]
pub struct SourceLine {
    /// Group of the register; empty where none is stated.
    pub group: String,
    /// Unit of the readings.
    pub unit: String,
    /// Its name; empty for readings that name none.
    pub source: String,
    /// Items that it gave readings of.
    pub items: usize,
    /// Readings that it gave.
    pub readings: usize,
    /// Its offset about the mean of the sources that it can be compared with; NaN where untold.
    pub offset: f64,
    /// Standard uncertainty of the offset.
    pub u_offset: f64,
    /// Standard deviation between the sources of the class.
    pub between: f64,
    /// Readings that were brought to the level of a later source.
    pub moved: usize,
}

impl Given {
    /// Takes sources and assigned values out of `columns`; `None` where no record has any.
    pub(crate) fn taken_from(columns: &mut Columns) -> Option<Self> {
        let given = Self {
            givers: std::mem::take(&mut columns.givers),
            given_by: std::mem::take(&mut columns.given_by),
            moved: vec![0.0; columns.date.len()],
            assigned: std::mem::take(&mut columns.assigned),
            u_assigned: std::mem::take(&mut columns.u_assigned),
            lines: Vec::new(),
        };
        (!given.given_by.is_empty() || !given.assigned.is_empty()).then_some(given)
    }

    /// The certificates of `history`, whose first row among those of all histories is `first`.
    pub(crate) fn certificates(&self, history: &History<'_>, first: usize) -> Vec<Certificate> {
        let at = |row: usize| {
            let value = *self.assigned.get(first + row).filter(|v| v.is_finite())?;
            let value = value + self.moved[first + row];
            let stated = self.u_assigned.get(first + row).copied();
            let u = stated.filter(|u| u.is_finite());
            // The reading of its row is the certificate's value where the row has no other.
            let own = || (history.as_found[row] == value).then_some(history.u[row]);
            let u = u.or_else(own).unwrap_or(f64::NAN);
            Some(Certificate { row, value, u })
        };
        (0..history.len()).filter_map(at).collect()
    }

    /// Place of the source of row `row` among the givers.
    pub(crate) fn giver(&self, row: usize) -> usize {
        self.given_by.get(row).map_or(0, |giver| *giver as usize)
    }

    /// Name of a source in sentences.
    pub(crate) fn name(&self, giver: usize) -> String {
        named(self.givers.get(giver).map_or("", String::as_str))
    }
}

/// A source in sentences.
pub(crate) fn named(source: &str) -> String {
    match source {
        "" => "not stated".into(),
        name => name.to_string(),
    }
}
