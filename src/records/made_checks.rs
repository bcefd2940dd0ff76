/*! Checks that were made from another table than one of checks. */

use super::{InputFile, Item, Tolerance};

/// Checks that were made from another table, as CSV text with our own column names.
#[derive(Debug, Clone, Default)]
pub(crate) struct MadeChecks {
    /// The table they were made from, for the run record and for messages.
    pub input: InputFile,
    /// The checks.
    pub text: String,
    /// Other units in which the register may state what holds for them.
    pub units: Vec<OtherUnit>,
}

/// Another unit for the errors of one item of made checks, in which the register may state
/// its limits.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct OtherUnit {
    pub instrument: String,
    pub point: String,
    /// Unit that the register may state.
    pub stated: String,
    /// Unit of the checks.
    pub unit: String,
    /// Units of the checks in one stated unit, above 0.
    pub factor: f64,
}

impl OtherUnit {
    /// Converts what the register states of the item; leaves any other item as it is.
    pub(super) fn convert(&self, item: &mut Item) {
        let own = item.instrument == self.instrument && item.point == self.point;
        if !own || item.unit != self.stated {
            return;
        }
        item.unit.clone_from(&self.unit);
        let scaled =
            |t: Tolerance| Tolerance::new(t.lower() * self.factor, t.upper() * self.factor);
        item.tolerance = item.tolerance.and_then(scaled);
    }
}
