/*! From cells to typed values: one row of a table, judged once. */

pub(crate) mod batch;
mod cell_words;
pub(crate) mod column;
pub(crate) mod digits;
pub(crate) mod field;
pub(crate) mod footnote;
pub(crate) mod limits;
pub(crate) mod marks;
pub(crate) mod minus_behind;
pub(crate) mod number;
pub(crate) mod remarks;
pub(crate) mod repeated;
pub(crate) mod row;
pub(crate) mod shape;
pub(crate) mod sparse;
pub(crate) mod unit;
pub(crate) mod void_rows;
