/*! Columns that are not read and tell apart the rows of one item and day: points, functions, positions. */

pub(crate) mod follows;
pub(crate) mod levels;
mod near_points;
mod numbers_apart;
pub(crate) mod same_days;
pub(crate) mod told_apart;
