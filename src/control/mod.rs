/*! Control charts: is the item, and the process that checks it, still what was characterised?

Data flow: [`item`] takes one history. For an item that drifts each reading is held against the
prediction of the item's own drift model from the readings before it ([`residual`]); for one that
is said to be stable against the mean of a base period ([`individuals`], [`repeats`]). [`chart`]
looks at the series in four ways: single values (limits), small lasting shifts (`ewma`,
`cusum`) and patterns ([`runs`]). A chart is restarted by an event or by the register, and a
signal stays open until then or until a person closed it. [`run_length`] says what a chart is worth.
[`shared`] looks across items: what many of them show at one time is the reference's or the method's.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2 and 2.3.5.2; ISO 7870-2, -4, -6
(from memory). A chart controls the process; it is blind to an error shared with its reference.
*/

mod baseline_tests;
mod chart;
mod constants;
mod cusum;
mod design;
mod ewma;
mod individuals;
mod item;
mod repeats;
mod residual;
mod run_length;
mod runs;
mod settings;
mod shared;
mod stretch;
mod tests_of_change;
mod words;

pub(crate) use chart::Point;
pub(crate) use cusum::{CusumPoint, cusum};
pub(crate) use design::{Adjustment, Design, Misfit, adjust, misfits, read as read_design};
pub(crate) use ewma::{EwmaPoint, ewma};
pub(crate) use item::{ControlState, ItemChart, is_charted, item_chart};
pub(crate) use residual::{Residual, residuals};
pub(crate) use run_length::RunLengths;
pub(crate) use runs::{Chart, Rule};
pub(crate) use settings::ControlSettings;
pub(crate) use shared::{FALSE_ALARM, SharedBy, SharedShift, SharedShifts};
pub(crate) use stretch::{ChartedCheck, SignalState, Stretch};

/// Fewest values that set limits at all; 7 to 12 to start and 25 to 30 for limits to
/// rely on are customary (common practice).
pub(crate) const FEWEST_BASELINE: usize = 4;

#[cfg(test)]
mod reference_tests;
#[cfg(test)]
mod simulation_tests;
