/*! The classes of all histories and the fit of each. */

use super::classes::Classes;
use crate::drift::Fit;

/// The classes and one fit a history, in the histories' order.
#[derive(Debug, Clone, Default)]
pub(crate) struct Fits {
    /// What each class lends its members.
    pub classes: Classes,
    /// One fit a history.
    pub fits: Vec<Fit>,
}
