/*! How far a reading fell from what was expected of it. */

use super::surprise::Meaning;
use crate::drift::series::join::Join;

/// A reading this many standard deviations off its forecast, squared, is looked at closely.
const LOOKED_AT: f64 = 9.0;

/// How far a reading fell from what was expected just before it, in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Innovation {
    /// Reading minus expected error.
    pub value: f64,
    /// Variance of that difference.
    pub variance: f64,
    /// What the difference means, as far as this reading tells.
    pub meaning: Meaning,
    /// True for the first reading after an event whose value left was not kept: it tests what
    /// items are left at, and surprises nobody.
    pub opens: bool,
}

/// True for a reading far enough off its forecast to be looked at closely.
pub(crate) fn is_far(innovation: &Innovation) -> bool {
    !innovation.opens && innovation.value * innovation.value > LOOKED_AT * innovation.variance
}

/// The next reading as the filter takes it, in units of the class.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Next {
    pub value: f64,
    /// Its variance before the excess.
    pub noise: f64,
    /// Time since the last reading; 0 where there was none.
    pub time: f64,
    pub join: Join,
}
