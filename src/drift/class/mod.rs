/*! Classes of histories: who lends strength to whom, and the parameters they share. */

pub(crate) mod annual;
pub(crate) mod annual_trace;
pub(crate) mod basis;
pub(crate) mod classes;
pub(crate) mod count;
mod explain;
pub(crate) mod fit;
pub(crate) mod fits;
pub(crate) mod left;
pub(crate) mod likelihood;
pub(crate) mod members;
pub(crate) mod missing;
pub(crate) mod missing_search;
pub(crate) mod modes;
pub(crate) mod own_scatter;
pub(crate) mod parameters;
pub(crate) mod prior;
pub(crate) mod rates;
pub(crate) mod sample;
mod sample_scale;
mod sample_swing;
pub(crate) mod search;
pub(crate) mod shared_u;
pub(crate) mod swing;
mod swing_likelihood;
pub(crate) mod walk;
