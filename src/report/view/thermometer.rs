/*! What the charts of a thermometer show: a change at the triple point over its range, and its sessions. */

use crate::thermometry::range::RangeRow;

/// The errors over the range; ascending in temperature.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct RangeView {
    /// The thermometer.
    pub name: String,
    /// Change at the triple point, mK.
    pub change: f64,
    /// Its standard uncertainty, mK.
    pub u: f64,
    /// The curves.
    pub points: Vec<RangeRow>,
}

/// One session in a panel of a thermometer's year.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct YearMark {
    /// Days since 1970-01-01.
    pub day: f64,
    /// Value, mK.
    pub value: f64,
    /// Its standard uncertainty; NaN where none is shown.
    pub u: f64,
    /// False for a rejected session.
    pub counts: bool,
}

/// All sessions of a thermometer on one axis of time; every list by day.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct YearView {
    /// The thermometer.
    pub name: String,
    /// What is advised, in a few words ("anneal"); empty where nothing is.
    pub advice: String,
    /// The finding that it rests on.
    pub finding: String,
    /// Changes from the value in use beyond which the rules ask for an anneal and for a withdrawal, mK.
    pub limits: Option<(f64, f64)>,
    /// R at the triple point of water, as change from the first session, mK.
    pub sessions: Vec<YearMark>,
    /// The line through the accepted ones with its U: day, lower, upper.
    pub band: Vec<(f64, f64, f64)>,
    /// Values in use on the same scale: from which day, change.
    pub values: Vec<(f64, f64)>,
    /// What happened before a session.
    pub events: Vec<(f64, String)>,
    /// Check standards of its sessions, each by its own change.
    pub standard: Vec<(String, Vec<YearMark>)>,
    /// Change of W at each other point since the first session there.
    pub ratios: Vec<(String, Vec<YearMark>)>,
    /// Self-heating at the first current where it was measured.
    pub self_heating: Vec<YearMark>,
    /// Cells used: first day, last day, name.
    pub cells: Vec<(f64, f64, String)>,
}

impl YearView {
    /// Values in use that began before the last session.
    pub(crate) fn shown_values(&self) -> impl Iterator<Item = &(f64, f64)> {
        let end = self.sessions.last().map_or(f64::NAN, |m| m.day);
        self.values.iter().filter(move |v| v.0 < end)
    }
}
