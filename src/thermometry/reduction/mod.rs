/*! Reduction: raw readings of one thermometer in one session to R with its budget. */

mod average;
mod budget;
mod cell;
mod cell_components;
mod circumstances;
mod components;
mod currents;
mod reduce;
mod resistor;
mod resistor_components;
mod self_heating;
mod series;
mod settings;
mod slope;

#[cfg(test)]
mod worked_tests;

pub use average::Average;
pub(crate) use average::common_correlation;
pub use budget::{BudgetRow, Distribution, Shared};
pub use cell::Isotopes;
pub use circumstances::relative_slope;
pub(crate) use components::resolution;
pub use currents::same_current;
pub use reduce::{Reduced, reduce};
pub use resistor::ReferenceResistor;
pub use self_heating::AtCurrent;
pub use series::Series;
pub(crate) use series::{in_order, value};
pub use settings::BudgetSettings;
pub use slope::Slope;
