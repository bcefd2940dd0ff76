/*! Helpers over statrs that several rooms need: quantiles, distribution functions. */

mod exact_binomial;
mod exact_poisson;
mod gamma_tail;
mod normal_tail;
mod quadrature;
mod root;
mod student;

pub use exact_binomial::{
    binomial_at_least, binomial_at_most, proportion_limits, proportion_lower, proportion_upper,
    trials_without_failure,
};
pub use exact_poisson::{mean_limits, mean_upper, poisson_at_least, poisson_at_most};
pub use gamma_tail::ln_gamma_above;
pub use normal_tail::{
    ln_erf, ln_normal_above, normal_above, normal_between, normal_density, normal_hazard,
    normal_quantile,
};
pub use quadrature::integral;
pub use root::{root, root_within};
pub use student::{cumulative, quantile};
