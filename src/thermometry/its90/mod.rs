/*! The International Temperature Scale of 1990 for platinum resistance thermometers.

W = R(T90)/R(273.16 K); its departure from the reference function W_r is the deviation
function of the subrange, with coefficients from fixed points. Source of every formula
and constant: Metrologia 27 (1990) 3–10 with erratum 27 (1990) 107.
*/

mod acceptance;
mod constants;
mod deviation;
mod fit;
mod fixed_points;
mod plausible;
mod reference;
mod subrange;
mod thermometer;

#[cfg(test)]
mod worked_tests;

pub(crate) use acceptance::{Platinum, PlatinumRatios, PlatinumSettings, accept, accept_to_silver};
pub(crate) use constants::{TRIPLE_POINT_K, TRIPLE_POINT_SLOPE, ZERO_CELSIUS_K};
pub use deviation::Deviation;
pub(crate) use fit::{Calibration, CalibrationPoint};
pub(crate) use fixed_points::FixedPoint;
pub(crate) use plausible::{PlatinumKind, plausible};
pub(crate) use reference::Reference;
pub use reference::{high_ratio, high_temperature, low_ratio, low_temperature};
pub use subrange::Subrange;
pub use thermometer::Thermometer;
