/*! How a file lays out its table: one row a check, one column a date or a point, blocks, tables beside each other. */

pub(crate) mod counted_points;
pub(crate) mod days_of_month;
pub(crate) mod instruments;
mod named_by;
pub(crate) mod names_once;
pub(crate) mod numbers;
pub(crate) mod points;
pub(crate) mod quantities;
pub(crate) mod rows_of_columns;
pub(crate) mod side_by_side;
pub(crate) mod turned;
pub(crate) mod wide;
pub(crate) mod zero_and_span;
