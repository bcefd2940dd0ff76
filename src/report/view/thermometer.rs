/*! What a change at the triple point means over a thermometer's range. */

/// Errors of the indicated temperature at one temperature, mK.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RangePoint {
    /// Temperature, °C.
    pub celsius: f64,
    /// Whole resistance scaled, old value kept in use.
    pub scaled_kept: f64,
    /// Constant resistance added, old value kept.
    pub added_kept: f64,
    /// Constant resistance added, value updated.
    pub added_updated: f64,
    /// Standard uncertainty from R at the triple point.
    pub u: f64,
}

/// The errors over the range; ascending in temperature.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RangeView {
    /// The thermometer.
    pub name: String,
    /// Change at the triple point, mK.
    pub change: f64,
    /// Its standard uncertainty, mK.
    pub u: f64,
    /// The curves.
    pub points: Vec<RangePoint>,
}
