/*! One decision for one history, with everything that led to it. */

use super::remedied::Remedy;
use super::rule::Rule;
use crate::conformity::State;
use crate::intervals::MethodName;
use serde::{Deserialize, Serialize};

/// Between what holds a decision and what the record alone would say.
pub(crate) const BY_THE_RECORD: &str = " By the record alone: ";

/// A reason without what the record alone would say: what a list of many has room for.
pub(crate) fn leading(reason: &str) -> &str {
    reason.split(BY_THE_RECORD).next().unwrap_or(reason)
}

crate::words::worded! {
    /// What is to be done with the interval, or with the item.
    #[derive(
        Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Serialize, Deserialize,
    )]
    pub enum Action with word {
        /// Out of tolerance and not restored, or predicted outside on the as-of date more likely than not.
        Withdraw = "withdraw",
        /// The data cannot support a decision, or a rule asks for a person.
        Review = "review",
        /// A shorter interval than the one in use.
        Shorten = "shorten",
        /// The interval in use.
        Keep = "keep",
        /// A longer interval than the one in use.
        Extend = "extend",
        /// None: the item is retired or lost.
        #[default]
        NotDecided = "none",
    }
}

impl Action {
    /// Every action of an item that serves, the most urgent first.
    pub(crate) const ALL: [Action; 5] = [
        Action::Withdraw,
        Action::Review,
        Action::Shorten,
        Action::Keep,
        Action::Extend,
    ];

    /// True where a person has to see to the item.
    pub(crate) fn needs_person(self) -> bool {
        matches!(self, Action::Withdraw | Action::Review)
    }
}

impl std::fmt::Display for Action {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.word())
    }
}

crate::words::worded! {
    /// What became of the interval that the program proposes.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
    pub enum ApprovalState with word {
        /// A person approved it, or an interval of their own.
        Approved = "approved",
        /// Nobody has decided yet.
        Pending = "pending",
        /// A person rejected it.
        Rejected = "rejected",
        /// Nothing else than what is in force is proposed, and nobody signed that.
        #[default]
        None = "none",
    }
}

/// A decision of an earlier run, from the decision log.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PastDecision {
    /// As-of date of that run, days since 1970-01-01.
    pub day: f64,
    /// What was decided.
    pub action: Action,
}

/// The decision for one history. Figures that cannot be given are NaN; `reason` says why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Decision {
    /// What is to be done.
    pub action: Action,
    /// Interval from the last calibration, days; never above the cap.
    pub interval_days: f64,
    /// Last calibration + interval, days since 1970-01-01; before the as-of date = overdue.
    pub due_date: f64,
    /// Date assigned in the levelled workload; never later than `due_date`, and equal to it
    /// where nothing is levelled.
    pub assigned_date: f64,
    /// Interval in use before this decision, days.
    pub current_interval_days: f64,
    /// The method that led; `None` where no proposal could.
    pub method: Option<MethodName>,
    /// Expected true error on the due date, history's unit.
    pub predicted_error: f64,
    /// Lower end of the prediction band for a reading on the due date.
    pub band_lower: f64,
    /// Upper end of that band.
    pub band_upper: f64,
    /// Probability that the true error is in tolerance on the due date.
    pub probability_in_tolerance: f64,
    /// True where readings that moved together with those of other items put its level in doubt:
    /// then no probability is stated.
    pub level_in_doubt: bool,
    /// Day of a check out of tolerance that too few good ones have followed and no book of cases closes, days since
    /// 1970-01-01, where that does not hold the interval.
    pub unclosed: Option<f64>,
    /// The interval that a target of 99 % would give by the forecast, days, within floor and cap.
    pub interval_99_days: f64,
    /// Probability that the true error is in tolerance on the as-of date.
    pub probability_now: f64,
    /// What the decision rule states of the item on the as-of date.
    pub conformity_now: State,
    /// Last calibration + interval in force, days since 1970-01-01.
    pub in_force_due: f64,
    /// What became of the interval proposed.
    pub approval: ApprovalState,
    /// The check that a proposal follows from which nobody has decided yet, days since
    /// 1970-01-01; NaN where none waits.
    pub pending_since: f64,
    /// What serves better than a shorter interval.
    pub remedy: Option<Remedy>,
    /// Findings that nobody has closed; `None` where no cases are kept.
    pub open_cases: Option<usize>,
    /// One plain sentence a metrologist would sign.
    pub reason: String,
    /// The rules that changed the leading proposal or the action, in the order they were applied.
    pub rules_fired: Vec<Rule>,
    /// What would lead to another decision.
    pub what_would_change: Vec<String>,
}

impl Decision {
    /// The date to act on: that in force, or the earlier one in the levelled workload where
    /// nothing else is proposed.
    pub(crate) fn act_on(&self) -> f64 {
        match self.approval {
            ApprovalState::Pending => self.in_force_due,
            _ => self.in_force_due.min(self.assigned_date),
        }
    }
}
