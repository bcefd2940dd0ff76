/*! All that a verdict on one reading rests on, and what follows from it before any words. */

use super::control::{Control, Limits};
use super::earlier::Earlier;
use crate::conformity::{Conformity, State};
use crate::decisions::policy::{Action, ApprovalState, Decision};
use crate::drift::adoption::compare::Adoption;
use crate::drift::{Fit, Prediction};
use crate::records::append::check::NewCheck;
use crate::records::{History, Tolerance};
use crate::thermometry::advice::{Advice, AdviceKind};

/// Everything the words are made of.
pub(crate) struct Judged<'a> {
    pub history: History<'a>,
    pub check: &'a NewCheck,
    pub error: f64,
    pub tolerance: Option<Tolerance>,
    pub conformity: Option<Conformity>,
    /// Why neither control, nor conformity, nor a value to carry is stated of the reading yet.
    pub against: Option<String>,
    /// Why the earlier checks predict nothing to judge it by, or to carry, yet.
    pub unsettled: Option<String>,
    pub limits: Option<Limits>,
    pub forecast: Option<Prediction>,
    /// The values that it is compared with.
    pub earlier: Earlier,
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
    pub(crate) fn control(&self) -> Option<Control> {
        self.limits.map(|limits| limits.control)
    }

    /// What is stated on its control: nothing where a person has to judge its prediction or its
    /// session first.
    pub(crate) fn stated_control(&self) -> Option<Control> {
        self.control().filter(|_| self.waits_for().is_none())
    }

    /// What a person has to judge before anything is stated of its control or carried; `None` where
    /// nothing is open.
    pub(crate) fn waits_for(&self) -> Option<&str> {
        self.against.as_deref().or(self.unsettled.as_deref())
    }

    /// What the decision rule states of the reading by itself.
    pub(crate) fn state(&self) -> State {
        let stated = self.conformity.as_ref();
        stated.map_or(State::Unknown, |conformity| conformity.state)
    }

    /// True where the item is withdrawn.
    pub(crate) fn withdrawn(&self) -> bool {
        self.decision.action == Action::Withdraw
    }

    /// What is advised on a thermometer.
    pub(crate) fn advised(&self) -> Option<AdviceKind> {
        self.advice.as_ref().map(|advice| advice.kind)
    }

    /// The one action and its day: the decision's, and the day of the reading for a withdrawal.
    pub(crate) fn action(&self) -> (Action, f64) {
        match self.withdrawn() {
            true => (Action::Withdraw, self.check.date),
            false => (self.decision.action, self.decision.due_date),
        }
    }

    /// The day on which it is due by the interval in force, where another one is proposed and waits for a person.
    pub(crate) fn due_in_force(&self) -> Option<f64> {
        let (decision, day) = (self.decision, self.decision.in_force_due);
        let waits = decision.approval == ApprovalState::Pending && !self.withdrawn();
        (waits && day.is_finite() && day != decision.due_date).then_some(day)
    }
}
