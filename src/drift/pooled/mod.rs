/*! Straight lines by partial pooling with those of their class. */

pub(crate) mod drifts;
pub(crate) mod lines;
pub(crate) mod of_class;
pub(crate) mod pooled_fit;
