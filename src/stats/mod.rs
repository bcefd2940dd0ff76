/*! Helpers over statrs that several rooms need: quantiles, tails, order statistics. */

mod double_double;
mod order;
mod satterthwaite;
mod shapiro_wilk;
mod student;
mod tails;

pub use double_double::DoubleDouble;
pub use order::{median, median_of_sorted, sorted};
pub use satterthwaite::{welch_satterthwaite, whole_degrees};
pub use shapiro_wilk::{Normality, shapiro_wilk};
pub use student::{cumulative, quantile};
pub use tails::{
    chi_squared_quantile, chi_squared_upper, fisher_quantile, fisher_upper, normal_upper_two_sided,
    student_two_sided,
};
