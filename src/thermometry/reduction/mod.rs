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

pub(crate) use average::Average;
pub(crate) use average::common_correlation;
pub(crate) use budget::{BudgetRow, Distribution, Shared};
pub(crate) use cell::Isotopes;
pub(crate) use circumstances::relative_slope;
pub(crate) use components::resolution;
pub(crate) use currents::same_current;
pub(crate) use reduce::{Reduced, reduce};
pub(crate) use resistor::ReferenceResistor;
pub(crate) use self_heating::AtCurrent;
pub(crate) use series::Series;
pub(crate) use series::{in_order, value};
pub(crate) use settings::BudgetSettings;
pub(crate) use slope::Slope;
