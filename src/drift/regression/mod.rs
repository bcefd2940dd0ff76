/*! Regression with a level per segment: the straight line, polynomials, scatter beyond the stated u. */

pub(crate) mod column;
pub(crate) mod curve_fit;
pub(crate) mod curves;
pub(crate) mod design;
pub(crate) mod doubt;
pub(crate) mod excess;
pub(crate) mod fit;
pub(crate) mod least_squares;
pub(crate) mod line;
pub(crate) mod line_fit;
pub(crate) mod line_pass;
pub(crate) mod rare_excess;
pub(crate) mod robust;
pub(crate) mod segments;
pub(crate) mod shared_u;
pub(crate) mod straight_line;
pub(crate) mod year_dates;
