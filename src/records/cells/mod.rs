/*! From cells to typed values: one row of a table, judged once. */

pub(crate) mod allowed;
pub(crate) mod amount;
pub(crate) mod amounts;
pub(crate) mod batch;
pub(crate) mod column;
pub(crate) mod ditto;
pub(crate) mod field;
pub(crate) mod length_of_time;
pub(crate) mod limits;
pub(crate) mod marks;
pub(crate) mod needed;
pub(crate) mod number;
pub(crate) mod open;
pub(crate) mod power_of_ten;
mod readings;
pub(crate) mod repeated;
pub(crate) mod row;
mod row_cells;
pub(crate) mod rules;
pub(crate) mod said;
pub(crate) mod shape;
pub(crate) mod sparse;
pub(crate) mod stated;
pub(crate) mod stated_unit;
pub(crate) mod target;
pub(crate) mod unit;
pub(crate) mod written;
