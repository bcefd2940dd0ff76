/*! Straight lines that borrow strength from those of their class. */

pub(crate) mod borrowed;
pub(crate) mod drifts;
pub(crate) mod lines;
pub(crate) mod of_class;
