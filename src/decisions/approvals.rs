/*! What is in force: no proposal takes effect before a person approved it.

The interval in force is that of the book of approvals, else the register's, else that of the checks, else the setting's.
What was decided of a proposal holds while the item has no check after that day: a rejected
proposal does not come back, and no further step follows an approved one.
*/

use super::out_of_use;
use super::policy::{
    Action, ApprovalState, BY_THE_RECORD, Decision, Rule, SAME_DAYS, keep_in_force,
};
use crate::intervals::Evidence;
use crate::records::{Approval, ApprovalVerdict, ItemStatus, Signed};
use crate::settings::SettingError;
use crate::words::full_stop;
use crate::words::{date, days, percent};

/// The book beside the pipeline file, where the settings name none.
pub(crate) const APPROVALS_FILE: &str = "approvals.csv";

crate::settings! {
    /// What a person put in force.
    pub struct ApprovalsSettings in "approvals" {
        /// Book of approvals (CSV), relative to the pipeline file; written by `driftbook approve`; absent = approvals.csv beside it, where there is one.
        file: Option<String> = None,
    }
}

impl ApprovalsSettings {
    /// Impossible values.
    pub(crate) fn check(&self) -> Vec<SettingError> {
        Vec::new()
    }
}

crate::words::worded! {
    /// Why an interval may not be put in force while a decision stands.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
    pub(crate) enum Barred with brief {
        /// What is to be withdrawn has no interval.
        #[error("it is to be withdrawn: no interval is put in force before a check shows it restored")]
        Withdrawn = "to be withdrawn: no interval before a check shows it restored",
        /// No interval grows while a case is open.
        #[error(
            "a case is open: no longer interval is put in force before a person closed it (driftbook close)"
        )]
        OpenCase = "a case is open: nothing longer before it is closed",
    }
}

/// Why nobody may put an interval of `days` in force; `None` where somebody may.
pub(crate) fn barred(decision: &Decision, days: f64) -> Option<Barred> {
    if decision.action == Action::Withdraw {
        return Some(Barred::Withdrawn);
    }
    let open = decision.open_cases.is_some_and(|number| number > 0);
    let longer = days > decision.current_interval_days;
    (open && longer).then_some(Barred::OpenCase)
}

/// Gives the decision what is in force, and takes back what a person has decided already.
pub(crate) fn apply(evidence: &Evidence<'_>, smallest_change: f64, decision: &mut Decision) {
    let item = evidence.history.item;
    if item.status.is_gone() {
        leave_undecided(item.status, item.until, decision);
        return;
    }
    if decision.action == Action::Withdraw {
        out_of_use::apply(evidence, decision);
        return;
    }
    decision.in_force_due = evidence.due_in_use();
    let signed = item.signed.as_deref();
    let last_check = evidence
        .history
        .date
        .last()
        .map_or(f64::NAN, |day| day.floor());
    if proposes_another(decision)
        && let Some(signed) = signed
    {
        let line = &signed.last;
        let settled = line.holds(evidence.as_of) && last_check <= line.on;
        match settled && !falls_below(decision, line, smallest_change) {
            true => settle(evidence, line, decision),
            false => tell_of(line, last_check, decision),
        }
    }
    decision.approval = approval_state(signed, decision);
    if decision.approval == ApprovalState::Pending {
        decision.pending_since = last_check;
        tell_uncounted(&item.uncounted, decision);
    }
    tell_run_out(signed, evidence.as_of, decision);
    tell_due(evidence, decision);
}

/// Says where the interval that a person set last held for a time that is over.
fn tell_run_out(signed: Option<&Signed>, as_of: f64, decision: &mut Decision) {
    let Some(line) = signed.map(|signed| &signed.last) else {
        return;
    };
    let over = line.valid_until.filter(|end| *end < as_of);
    if let (Some(end), Some(set)) = (over, line.approved_days) {
        decision.reason = format!(
            "{} The {} that {} put in force on {} held until {}; {} hold since then.",
            full_stop(&decision.reason),
            days(set),
            line.by,
            date(line.on),
            date(end),
            days(decision.current_interval_days)
        );
    }
}

/// Says where the date in force has passed: of an item that is away that it is calibrated before
/// it serves again, of one that a longer interval would leave in use that it is due all the same.
fn tell_due(evidence: &Evidence<'_>, decision: &mut Decision) {
    let (item, due) = (evidence.history.item, decision.in_force_due);
    if due >= evidence.as_of {
        return;
    }
    if item.status.is_away() {
        let end = item
            .until
            .map_or(String::new(), |day| format!(" until {}", date(day)));
        decision.reason += &format!(
            " It is {}{end}, and to be calibrated before it serves again.",
            item.status.word()
        );
    } else if decision.due_date >= evidence.as_of {
        decision.reason += &format!(
            " By the interval in force it was due on {}, until a longer one is approved.",
            date(due)
        );
    }
}

/// True where another interval is proposed than the one in force.
fn proposes_another(decision: &Decision) -> bool {
    (decision.interval_days - decision.current_interval_days).abs() >= SAME_DAYS
}

/// True where the proposal is clearly shorter than all that the person saw.
fn falls_below(decision: &Decision, line: &Approval, smallest_change: f64) -> bool {
    let seen = [line.proposed_days, line.approved_days];
    let seen = seen.into_iter().flatten();
    let shortest = seen.fold(decision.current_interval_days, f64::min);
    decision.interval_days < shortest * (1.0 - smallest_change)
}

fn settle(evidence: &Evidence<'_>, line: &Approval, decision: &mut Decision) {
    let proposed = decision.interval_days;
    let who = format!("{} on {}", line.by, date(line.on));
    let because = match line.reason.as_str() {
        "" => String::new(),
        reason => format!(" ({reason})"),
    };
    let own = keep_in_force(evidence, decision);
    let in_force = days(decision.interval_days);
    let decided = match line.verdict {
        ApprovalVerdict::Rejected => format!(
            "Keep {in_force}: {who} rejected {}{because}, and the item has no check since; a proposal comes back with the next one.",
            days(line.proposed_days.unwrap_or(proposed)),
        ),
        ApprovalVerdict::Approved => format!(
            "Keep {in_force}, approved by {who}{because}: the item has no check since, and another interval is proposed after the next one."
        ),
        ApprovalVerdict::Other => format!(
            "Keep {in_force}, the interval that {who} set{because}: the item has no check since, and another is proposed after the next one."
        ),
    };
    let likely = match decision.probability_in_tolerance.is_finite() {
        true => format!(
            " In tolerance on the due date with {}.",
            percent(decision.probability_in_tolerance)
        ),
        false => String::new(),
    };
    decision.reason = format!("{decided}{likely}{BY_THE_RECORD}{}", full_stop(&own));
    decision.rules_fired.push(Rule::new(
        format!("decided by {who}"),
        ", until the item's next check",
    ));
    if line.verdict == ApprovalVerdict::Rejected {
        decision.approval = ApprovalState::Rejected;
    }
}

/// Says of a proposal that follows a decided one why it stands again.
fn tell_of(line: &Approval, last_check: f64, decision: &mut Decision) {
    if line.verdict != ApprovalVerdict::Rejected {
        return;
    }
    let why = match last_check > line.on {
        true => format!("proposed again since the check of {}", date(last_check)),
        false if line.valid_until.is_some() => "whose decision has run out".to_string(),
        false => "and this one is shorter than any seen then".to_string(),
    };
    let own = full_stop(&decision.reason);
    decision.reason = format!(
        "{own} {} rejected {} on {}, {why}.",
        line.by,
        line.proposed_days.map_or("a proposal".to_string(), days),
        date(line.on)
    );
}

/// Says of a proposal that waits that the book speaks of the item in lines that do not count: what they
/// decided, a rejection too, is not heeded.
fn tell_uncounted(places: &[String], decision: &mut Decision) {
    if places.is_empty() {
        return;
    }
    let (named, speak) = match places {
        [one] => (one.clone(), "speaks of it and does not count"),
        several => (several.join("; "), "speak of it and do not count"),
    };
    let own = full_stop(&decision.reason);
    decision.reason = format!(
        "{own} The proposal waits for a person: {named} {speak} (see the warnings), so that nothing decided there, a rejection either, holds."
    );
}

fn approval_state(signed: Option<&Signed>, decision: &Decision) -> ApprovalState {
    if proposes_another(decision) {
        return ApprovalState::Pending;
    }
    if decision.approval == ApprovalState::Rejected {
        return ApprovalState::Rejected;
    }
    match signed.and_then(|signed| signed.in_force.as_ref()) {
        Some(_) => ApprovalState::Approved,
        None => ApprovalState::None,
    }
}

/// Nothing is decided for an item that serves no more; its findings stay.
fn leave_undecided(status: ItemStatus, until: Option<f64>, decision: &mut Decision) {
    let end = until.map_or(String::new(), |day| format!(" until {}", date(day)));
    decision.action = Action::NotDecided;
    decision.interval_days = f64::NAN;
    decision.due_date = f64::NAN;
    decision.assigned_date = f64::NAN;
    decision.in_force_due = f64::NAN;
    decision.predicted_error = f64::NAN;
    (decision.band_lower, decision.band_upper) = (f64::NAN, f64::NAN);
    decision.probability_in_tolerance = f64::NAN;
    decision.interval_99_days = f64::NAN;
    decision.method = None;
    decision.rules_fired = vec![format!("{} in the register", status.word()).into()];
    decision.what_would_change = Vec::new();
    decision.reason = format!(
        "Not decided: the register has it as {}{end}.",
        status.word()
    );
}

#[cfg(test)]
#[path = "approvals_tests.rs"]
mod tests;
