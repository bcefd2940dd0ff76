/*! A shift that many items share, and what the search for one looks at. */

use crate::control::FEWEST_BASELINE;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::series::readings::Axis;
use std::borrow::Cow;

/// Chance that a class in which nothing is shared tells of a shift at all, all its months together.
pub(crate) const FALSE_ALARM: f64 = 0.001;
/// Readings of an item after a shift that carry it in their prediction (as few as set the limits of
/// a chart).
pub(super) const READINGS_ANEW: usize = FEWEST_BASELINE;
/// A shift that the items of one class and unit share.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub(crate) struct SharedShift {
    /// Group of the register; empty where none is stated.
    pub group: String,
    /// Unit of the readings.
    pub unit: String,
    /// Day of the first reading of the first month that shows it.
    pub from: f64,
    /// Day of the last reading of the last month that shows it.
    pub until: f64,
    /// Items that were checked in those months, those of each month counted.
    pub items: usize,
    /// Their mean residual, in standard deviations of the prediction.
    pub mean: f64,
    /// The same in their unit.
    pub size: f64,
    /// The weightiest month's mean of cut values beside the months before it, in standard deviations.
    pub score: f64,
    /// Score beyond which a month of the class tells of a shift.
    pub limit: f64,
    /// Months of the class that could be tested.
    pub tested: usize,
}

/// What the search looks at beside the readings.
pub(crate) struct SharedBy<'a> {
    /// What the class of a history lends.
    pub class: &'a (dyn Fn(usize) -> Cow<'a, ClassParameters> + Sync),
    /// Axis of the drift.
    pub axis: Axis,
    /// The day up to which a person has judged the shifts.
    pub judged_until: Option<f64>,
    /// Group and unit of the one class that is asked for; `None` for all.
    pub only: Option<(String, String)>,
}

impl SharedShift {
    /// Takes in a later month that shows it too.
    pub(super) fn join(&mut self, items: usize, mean: f64, size: f64, until: f64, score: f64) {
        let (own, more) = (self.items as f64, items as f64);
        self.mean = (own * self.mean + more * mean) / (own + more);
        self.size = (own * self.size + more * size) / (own + more);
        self.items += items;
        self.until = until;
        if score.abs() > self.score.abs() {
            self.score = score;
        }
    }
}
