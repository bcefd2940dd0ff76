/*! All that a verdict on one reading rests on, and what follows from it before any words. */

use super::control::{Control, Limits};
use crate::conformity::{Conformity, State};
use crate::decisions::policy::{Action, Decision};
use crate::drift::adoption::compare::{Adoption, Carry, Stated};
use crate::drift::{Fit, Prediction};
use crate::records::append::check::NewCheck;
use crate::records::{History, Tolerance};
use crate::thermometry::advice::{Advice, AdviceKind};

/// Everything the words are made of.
pub(in crate::pipeline) struct Judged<'a> {
    pub history: History<'a>,
    pub check: &'a NewCheck,
    pub error: f64,
    pub tolerance: Option<Tolerance>,
    pub conformity: Option<Conformity>,
    pub limits: Option<Limits>,
    pub forecast: Option<Prediction>,
    pub last: Stated,
    pub last_date: f64,
    pub calibration: Stated,
    pub calibration_date: f64,
    pub start: Stated,
    pub start_date: f64,
    pub adoption: Option<Adoption>,
    pub advice: Option<Advice>,
    pub fit_after: &'a Fit,
    pub decision: &'a Decision,
    /// Work in doubt after a check out of tolerance.
    pub failed_work: Option<String>,
    /// Work since the last good check.
    pub work_since_good: String,
}

impl Judged<'_> {
    /// Where the reading lies about the prediction; `None` where there is none.
    pub fn control(&self) -> Option<Control> {
        self.limits.map(|limits| limits.control)
    }

    /// What the decision rule states of the reading by itself.
    pub fn state(&self) -> State {
        let stated = self.conformity.as_ref();
        stated.map_or(State::Unknown, |conformity| conformity.state)
    }

    /// The one action and its day: the decision's, unless a thermometer's advice asks for more.
    pub fn action(&self) -> (Action, f64) {
        let decided = self.decision;
        let advised = self.advice.as_ref().map(|advice| advice.kind);
        let longer = decided.interval_days - decided.current_interval_days;
        match (decided.action, advised) {
            (Action::Withdraw, _) | (_, Some(AdviceKind::Withdraw)) => {
                (Action::Withdraw, self.check.date)
            }
            (_, Some(AdviceKind::Anneal | AdviceKind::Repeat)) => {
                (Action::Review, decided.due_date - longer.max(0.0))
            }
            (action, _) => (action, decided.due_date),
        }
    }

    /// True where a person is needed.
    pub fn needs_person(&self, in_tolerance: Option<bool>) -> bool {
        // Where the earlier checks predict, the action limits say whether it is alarming.
        let by_value = self.limits.is_none()
            && self
                .adoption
                .as_ref()
                .is_some_and(|a| a.carry == Carry::Unconfirmed);
        matches!(self.action().0, Action::Withdraw | Action::Review)
            || self.control() == Some(Control::Action)
            || in_tolerance == Some(false)
            || matches!(self.state(), State::Indeterminate | State::Nonconforming)
            || by_value
    }
}
