/*! What one thermometer's session came to: value, uncertainty, standing. */

use super::settings::{OnViolation, SessionSettings};
use super::violation::{SessionStanding, Violation};
use crate::thermometry::ValueInUse;
use crate::thermometry::readings::{CellKind, ReadingPoint};
use crate::thermometry::reduction::{BudgetRow, Distribution, Reduced};

/// One thermometer at one point in one session.
#[derive(Debug, Clone, PartialEq)]
pub struct SessionResult {
    pub session: String,
    /// Thermometer.
    pub instrument: String,
    pub point: ReadingPoint,
    /// Mean time of the readings, days since 1970-01-01.
    pub date: f64,
    /// Cell; empty where unknown.
    pub cell: String,
    /// What kind of cell it is.
    pub cell_kind: CellKind,
    /// Reference resistor: its name, else its certified value; empty for a readout.
    pub resistor: String,
    /// Bridge or readout; empty where unknown.
    pub bridge: String,
    /// True for the check standard of the session.
    pub check_standard: bool,
    /// R and its budget; widening violations are rows of it.
    pub reduced: Reduced,
    /// Value that the change is counted from, Ω: the value in use on that day at the triple
    /// point of water, else the first session's.
    pub reference_ohm: f64,
    /// True where `reference_ohm` is a value in use of the thermometers file.
    pub reference_in_use: bool,
    /// Value adopted after this session and before the next one that was accepted.
    pub adopted: Option<ValueInUse>,
    /// Violated rules.
    pub violations: Vec<Violation>,
    /// Event word; empty for none.
    pub event: String,
    /// Notes of the readings.
    pub notes: String,
    /// Number of readings.
    pub readings: usize,
    /// File and row of its first reading.
    pub first_row: (u32, u32),
}

impl SessionResult {
    /// Used, doubtful or rejected.
    pub(crate) fn standing(&self) -> SessionStanding {
        match SessionStanding::of(&self.violations) {
            SessionStanding::Used if !self.reduced.assumptions.is_empty() => {
                SessionStanding::Doubtful
            }
            standing => standing,
        }
    }

    /// True for a session that is used, though it may be doubtful.
    pub(crate) fn is_accepted(&self) -> bool {
        self.standing() != SessionStanding::Rejected
    }

    /// Change from the reference value, mK.
    pub(crate) fn change_mk(&self) -> f64 {
        self.change_from_mk(self.reference_ohm)
    }

    /// Change from any value in Ω, mK: sessions compared with each other count from one.
    pub(crate) fn change_from_mk(&self, ohm: f64) -> f64 {
        self.reduced.in_mk(self.reduced.resistance_ohm - ohm)
    }

    /// Value in use after this session, Ω: the one adopted, else that it was compared with.
    pub(crate) fn carried_ohm(&self) -> f64 {
        self.adopted
            .map_or(self.reference_ohm, |adopted| adopted.ohm)
    }

    /// Standard uncertainty that is new with every check, mK.
    pub(crate) fn u_mk(&self) -> f64 {
        self.reduced.in_mk(self.reduced.budget.u_random_ohm())
    }

    /// Standard uncertainty shared by checks with this cell and resistor, mK.
    pub(crate) fn u_common_mk(&self) -> f64 {
        self.reduced.in_mk(self.reduced.budget.u_common_ohm())
    }

    /// All reasons for doubt or rejection, in words.
    pub(crate) fn reasons(&self) -> String {
        let violated = self.violations.iter().map(|v| v.words.as_str());
        let assumed = self.reduced.assumptions.iter().map(String::as_str);
        violated.chain(assumed).collect::<Vec<_>>().join("; ")
    }

    /// The session and the first rule that rejected it, in words.
    pub(super) fn rejecting_cause(&self) -> Option<String> {
        let rejects = |v: &&Violation| v.effect == OnViolation::Reject;
        let first = self.violations.iter().find(rejects)?;
        Some(format!("session {}: {}", self.session, first.words))
    }

    /// Records a violation; a widening one becomes a row of the budget.
    pub(super) fn add(&mut self, violation: Violation, settings: &SessionSettings) {
        if violation.effect == OnViolation::Widen {
            self.reduced.budget.add(BudgetRow::new(
                format!("violated rule: {}", violation.rule),
                (settings.widen_mk, "mK"),
                Distribution::Normal,
                self.reduced.ohm_per_mk,
            ));
        }
        self.violations.push(violation);
    }
}
