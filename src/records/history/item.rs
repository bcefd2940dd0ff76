/*! What is known of one history beside its checks. */

use super::tolerance::Tolerance;
use crate::records::approvals::Signed;
use crate::records::grid::Grid;
use crate::records::register::{About, ItemStatus, Role};
use crate::words::history_name;

/// What is known of one history beside its checks: identity and register facts.
#[derive(Debug, Clone, Default, serde::Serialize, serde::Deserialize)]
pub struct Item {
    /// Identity of the instrument.
    pub instrument: String,
    /// Quantity or set point; may be empty.
    pub point: String,
    /// Class or model for borrowed strength; empty where not stated.
    pub group: String,
    /// Unit of the error; may be empty.
    pub unit: String,
    /// Tolerance in force: the register's, else that of the last check which states one.
    pub tolerance: Option<Tolerance>,
    /// Interval in force, days, where an approval or the register states it.
    pub interval_days: Option<f64>,
    /// Longest interval allowed (legal or contractual), days.
    pub cap_days: Option<f64>,
    /// Shortest interval, days.
    pub floor_days: Option<f64>,
    /// Last calibration where the register states it, days since 1970-01-01.
    pub last_calibration: Option<f64>,
    /// Next calibration where the register states when it is due, days since 1970-01-01.
    pub next_due: Option<f64>,
    /// Reliability target of this item, 0 to 1.
    pub reliability_target: Option<f64>,
    /// Cost of one calibration.
    pub cost: Option<f64>,
    /// Cost of one year out of tolerance, in the same currency.
    pub cost_out_of_tolerance: Option<f64>,
    /// Criticality as the register words it.
    pub criticality: String,
    /// Free description.
    pub description: String,
    /// What it serves for.
    pub role: Role,
    /// What its control chart is drawn about, where the register says so.
    pub control_chart: Option<About>,
    /// Day from which its control chart starts anew, days since 1970-01-01.
    pub control_from: Option<f64>,
    /// Where it stands on the as-of date.
    pub status: ItemStatus,
    /// Last day of that status, days since 1970-01-01; `None` = no end.
    pub until: Option<f64>,
    /// Earlier names, in the register's order.
    pub formerly: Vec<String>,
    /// What the book of approvals says of it.
    pub signed: Option<Box<Signed>>,
    /// Lines of the book of approvals that speak of it and do not count, by their places.
    pub uncounted: Vec<String>,
    /// Grid of its values, where its part was added to their uncertainties.
    pub grid: Option<Grid>,
    /// What its record says against itself, which a person must settle.
    pub contradiction: Option<String>,
    /// A check of it that cannot be used, newer than all that can.
    pub newest_unused: Option<UnusedCheck>,
    /// Why the change of its source cannot be told from drift.
    pub untold_source: Option<String>,
    /// A certificate assigned it a value.
    pub assigned: bool,
    /// How much the sources of its class differ (standard deviation), part of its u_common.
    pub between_sources: f64,
}

/// A check that cannot be used.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct UnusedCheck {
    /// Its day, days since 1970-01-01.
    pub day: f64,
    /// Where it stands, and why it cannot be used.
    pub words: String,
}

impl Item {
    /// Instrument and point.
    pub(crate) fn names(&self) -> (&str, &str) {
        (&self.instrument, &self.point)
    }

    /// Interval in use as the register or the records state it, days, whatever a person has put in force.
    pub(crate) fn stated_interval_days(&self) -> Option<f64> {
        let signed = self
            .signed
            .as_ref()
            .filter(|signed| signed.in_force.is_some());
        let Some(signed) = signed else {
            return self.interval_days;
        };
        let stated = signed.earlier.iter().find(|held| held.since.is_none());
        stated.map(|held| held.days)
    }

    /// Leaves what is decided of it to a person, beside what was left before.
    pub(crate) fn contradict(&mut self, words: String) {
        self.contradiction = Some(match self.contradiction.take() {
            None => words,
            Some(own) => format!("{own}; {words}"),
        });
    }

    /// What its record leaves open on a day, which a person must settle, in words.
    pub(crate) fn left_open(&self, as_of: f64) -> Option<String> {
        let unused = self
            .newest_unused
            .as_ref()
            .filter(|check| check.day.floor() <= as_of);
        let unused = unused.map(|check| &check.words);
        let open: Vec<&str> = self
            .contradiction
            .iter()
            .chain(unused)
            .map(String::as_str)
            .collect();
        (!open.is_empty()).then(|| open.join("; "))
    }

    /// The point's name in sentences.
    pub(crate) fn point_name(&self) -> &str {
        match self.point.as_str() {
            "" => "the point without a name",
            point => point,
        }
    }

    /// The history's name in sentences: "TH-014", or "TH-014, 100 °C" where it has a point.
    pub fn name(&self) -> String {
        history_name(&self.instrument, &self.point)
    }
}
