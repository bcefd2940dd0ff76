/*! What a person asks for of one history, as a line of the book. */

use crate::commands::refused::{Refused, refused};
use crate::decisions::approvals::barred;
use crate::decisions::policy::{ApprovalState, Decision, SAME_DAYS};
use crate::records::{Approval, ApprovalVerdict, Item, MOST_DAYS};

/// What is to become of a proposal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Ask {
    /// It is put in force.
    Proposal,
    /// An interval of the person's own is, days.
    Own(f64),
    /// The interval in force stays.
    Reject,
}

/// What a person asks for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Asked {
    pub ask: Ask,
    pub by: String,
    /// Days since 1970-01-01, as `valid_until`.
    pub on: f64,
    pub valid_until: Option<f64>,
    pub reason: String,
}

impl Asked {
    /// The line for `item`, of which `decision` was made; no interval passes `cap`.
    ///
    /// # Errors
    /// What speaks against it, in words.
    pub(crate) fn line(
        &self,
        item: &Item,
        decision: &Decision,
        cap: f64,
    ) -> Result<Approval, Refused> {
        let (by, reason) = (self.by.trim(), self.reason.trim());
        if by.is_empty() {
            return Err(refused!("expected who decides (--by)"));
        }
        if item.status.is_gone() {
            return Err(refused!(
                "nothing is decided for it: {}",
                item.status.word()
            ));
        }
        if let Some(why) = barred(decision, 0.0) {
            return Err(refused!("{why}"));
        }
        let in_force = decision.current_interval_days;
        let waits = decision.approval == ApprovalState::Pending;
        let proposed_days = waits.then_some(decision.interval_days);
        let (verdict, approved_days) = match self.ask {
            Ask::Reject | Ask::Proposal if !waits => {
                return Err(refused!(
                    "no proposal waits: {in_force} d are in force ({}); --interval sets one's own",
                    decision.approval.word()
                ));
            }
            Ask::Reject => (ApprovalVerdict::Rejected, None),
            Ask::Proposal => (ApprovalVerdict::Approved, proposed_days),
            Ask::Own(days) => {
                let same = proposed_days.filter(|proposed| (proposed - days).abs() < SAME_DAYS);
                match same {
                    Some(_) => (ApprovalVerdict::Approved, same),
                    None => (ApprovalVerdict::Other, Some(days)),
                }
            }
        };
        if verdict != ApprovalVerdict::Approved && reason.is_empty() {
            return Err(refused!(
                "expected why (--reason) for a rejection or an interval of one's own"
            ));
        }
        if let Some(days) = approved_days {
            refuse(days, decision, cap)?;
        }
        if self.valid_until.is_some_and(|end| end < self.on) {
            return Err(refused!("it would run out before the day of the decision"));
        }
        Ok(Approval {
            proposed_days,
            approved_days,
            verdict,
            by: by.to_string(),
            on: self.on,
            valid_until: self.valid_until,
            reason: reason.to_string(),
        })
    }
}

/// Intervals that nobody may put in force.
fn refuse(days: f64, decision: &Decision, cap: f64) -> Result<(), Refused> {
    if !(days > 0.0 && days <= MOST_DAYS) {
        return Err(refused!(
            "an interval of {days} d: expected days above 0, {MOST_DAYS} at the most"
        ));
    }
    if days > cap {
        return Err(refused!("{days} d lie above the cap of {cap} d"));
    }
    match barred(decision, days) {
        Some(why) => Err(refused!("{why}")),
        None => Ok(()),
    }
}
