/*! Helpers over statrs that several rooms need: quantiles, distribution functions. */

mod student;

pub use student::{cumulative, quantile};
