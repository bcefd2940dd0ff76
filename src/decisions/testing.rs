/*! A decision for this room's tests, and what most of them need beside it. */

pub(crate) use super::policy::Action;
pub(crate) use crate::drift::testing::{Known, unfitted};
pub(crate) use crate::drift::{Fit, Status};
pub(crate) use crate::intervals::testing::evidence;
pub(crate) use crate::intervals::{EvidenceByGroup, GroupEvidence};
pub(crate) use crate::records::testing::{Record, fleet};

use crate::conformity::State;
use crate::decisions::policy::{ApprovalState, Decision};

/// A decision to extend 365 d to 900 d after a calibration on day 20,000.
pub(crate) fn extending() -> Decision {
    Decision {
        action: Action::Extend,
        interval_days: 900.0,
        due_date: 20_900.0,
        assigned_date: 20_900.0,
        current_interval_days: 365.0,
        method: None,
        predicted_error: 0.0,
        band_lower: -1.0,
        band_upper: 1.0,
        probability_in_tolerance: 0.99,

        level_in_doubt: false,
        unclosed: None,
        interval_99_days: 500.0,
        probability_now: 0.99,
        conformity_now: State::Unknown,
        in_force_due: 20_365.0,
        approval: ApprovalState::Pending,
        pending_since: 20_000.0,
        remedy: None,
        open_cases: None,
        reason: "Extend.".into(),
        rules_fired: Vec::new(),
        what_would_change: Vec::new(),
    }
}
