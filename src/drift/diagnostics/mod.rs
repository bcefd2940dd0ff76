/*! What the residuals of a fit say: tests, changes, suspects, notes in words. */

pub(crate) mod change;
pub(crate) mod findings;
pub(crate) mod notes;
pub(crate) mod outliers;
pub(crate) mod suspects;
pub(crate) mod tests;
pub(crate) mod trend;
pub(crate) mod unconfirmed;
