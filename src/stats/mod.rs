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

pub use crossings::{Corner, Turn, crossings};
pub use double_double::DoubleDouble;
pub use exact_binomial::{
    binomial_at_least, binomial_at_most, proportion_limits, proportion_lower, proportion_upper,
    share_limits, trials_without_failure,
};
pub use exact_poisson::{mean_limits, mean_upper};
pub use gamma_tail::ln_gamma_above;
pub use least_squares_line::LeastSquaresLine;
pub use normal_tail::{
    ln_erf, ln_normal_above, normal_above, normal_between, normal_density, normal_hazard,
    normal_quantile,
};
pub use order::{median, median_of_sorted, sorted};
pub use p_value::{p_digits, p_value};
pub use quadrature::integral;
pub use root::{root, root_within};
pub use satterthwaite::whole_degrees;
pub use shapiro_wilk::{Normality, shapiro_wilk};
pub use student::{cumulative, quantile};
pub use tails::{chi_squared_upper, fisher_upper, normal_upper_two_sided, student_two_sided};
