/*! What the value of an item is worth as days go by, and what an approved interval changed. */

/// The parts of the standard uncertainty of a value, in the order of [`GrowthPoint::parts`].
pub(crate) const GROWTH_PARTS: [&str; 5] =
    ["calibration", "drift", "wander", "step risk", "common part"];

/// Standard uncertainty of the corrected value on one day.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct GrowthPoint {
    pub day: f64,
    /// All parts together.
    pub total: f64,
    /// Each of [`GROWTH_PARTS`]; they add in squares.
    pub parts: [f64; 5],
}

/// Growth of the uncertainty since the last check.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct GrowthView {
    /// "TH-014, 100 °C".
    pub name: String,
    /// Unit of the value; may be empty.
    pub unit: String,
    /// The as-of date.
    pub as_of: f64,
    /// Due date by the interval in force.
    pub in_force_due: Option<f64>,
    /// Due date that the decision sets.
    pub due_day: Option<f64>,
    /// By day, from the last check on.
    pub points: Vec<GrowthPoint>,
}

/// One interval of an approval.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct ApprovedEnd {
    /// The interval, days.
    pub days: f64,
    /// Day on which it ends.
    pub due: f64,
    /// Probability in tolerance then; `None` where none can be told.
    pub in_tolerance: Option<f64>,
}

/// An interval that a person put in force, and the one before it.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct ApprovedView {
    /// "TH-014, 100 °C".
    pub name: String,
    /// The as-of date.
    pub as_of: f64,
    /// Probability in tolerance by day, from the last check on.
    pub curve: Vec<(f64, f64)>,
    /// Probability asked for at the due date.
    pub target: f64,
    /// The interval before.
    pub before: ApprovedEnd,
    /// The interval in force.
    pub after: ApprovedEnd,
}
