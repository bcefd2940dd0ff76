/*! What only the whole history shows: copies, odd values, outcomes, grids. */

pub(crate) mod alike;
pub(crate) mod bare_numbers;
pub(crate) mod beyond_limits;
pub(crate) mod carried;
pub(crate) mod copied;
pub(crate) mod events_of;
pub(crate) mod findings;
pub(crate) mod left_kind;
pub(crate) mod left_rows;
pub(crate) mod nominal;
pub(crate) mod open_limits;
pub(crate) mod other_table;
pub(crate) mod outcome;
pub(crate) mod points;
pub(crate) mod rejected_failures;
pub(crate) mod repeats;
pub(crate) mod resolution;
pub(crate) mod scatter;
pub(crate) mod screen;
pub(crate) mod scrutiny;
pub(crate) mod set_points;
pub(crate) mod spellings;
pub(crate) mod sums;
pub(crate) mod suspect;
pub(crate) mod tolerance_of_all;
mod two_files;
pub(crate) mod values;
