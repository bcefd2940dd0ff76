/*! Helpers over statrs that several rooms need: quantiles, tails, order statistics. */

mod crossings;
mod double_double;
mod exact_binomial;
mod exact_poisson;
mod gamma_tail;
mod least_squares_line;
mod normal_tail;
mod order;
mod p_value;
mod quadrature;
mod root;
mod satterthwaite;
mod shapiro_wilk;
mod student;
mod tails;

pub(crate) use crossings::{Corner, Turn, crossings};
pub(crate) use double_double::DoubleDouble;
pub(crate) use exact_binomial::{
    binomial_at_least, binomial_at_most, proportion_limits, proportion_lower, proportion_upper,
    share_limits, trials_without_failure,
};
pub(crate) use exact_poisson::{mean_limits, mean_upper};
pub(crate) use gamma_tail::ln_gamma_above;
pub(crate) use least_squares_line::LeastSquaresLine;
pub(crate) use normal_tail::{
    ln_erf, ln_normal_above, normal_above, normal_between, normal_density, normal_hazard,
    normal_quantile,
};
pub(crate) use order::{median, median_of_sorted, sorted};
pub(crate) use p_value::{p_digits, p_value};
pub(crate) use quadrature::integral;
pub(crate) use root::{root, root_within};
pub(crate) use satterthwaite::whole_degrees;
pub(crate) use shapiro_wilk::{Normality, shapiro_wilk};
pub(crate) use student::{cumulative, quantile};
pub(crate) use tails::{
    chi_squared_upper, fisher_upper, normal_upper_two_sided, student_two_sided,
};
