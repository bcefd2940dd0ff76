/*! What became of the due dates, in one sentence each: levelled, or waiting for a person. */

use crate::decisions::policy::Decision;
use crate::words::{agreeing, count, date, days};

/// "Of 70 due dates 12 are brought forward, by at most 45 days, …"; `None` where the policy
/// levels nothing.
pub(crate) fn levelled_words(decisions: &[Decision], window: f64) -> Option<String> {
    if window <= 0.0 {
        return None;
    }
    let moved = decisions
        .iter()
        .map(|decision| decision.due_date - decision.assigned_date)
        .filter(|days| *days > 0.0);
    let (moved, most) = moved.fold((0usize, 0.0f64), |(n, most), days| (n + 1, most.max(days)));
    Some(match moved {
        0 => "The workload is level enough: no due date is brought forward.".into(),
        _ => format!(
            "To level the workload, {moved} of {} due dates {} brought forward, by at most {most:.0} days \
             of the {window:.0} allowed; the table decisions has both dates.",
            decisions.len(),
            agreeing(moved, "is", "are")
        ),
    })
}

/// "12 proposals wait for a person, the oldest since the check of 2024-03-01 (456 d)".
pub(crate) fn pending(decisions: &[Decision], as_of: f64) -> Option<String> {
    pending_words(waiting(decisions), as_of)
}

/// Proposals that wait, and the day of the oldest.
pub(crate) fn waiting(decisions: &[Decision]) -> (usize, f64) {
    let waiting = decisions.iter().map(|decision| decision.pending_since);
    let waiting = waiting.filter(|since| since.is_finite());
    waiting.fold((0, f64::INFINITY), |(number, oldest), since| {
        (number + 1, since.min(oldest))
    })
}

/// What is said of so many proposals.
pub(crate) fn pending_words((number, oldest): (usize, f64), as_of: f64) -> Option<String> {
    let verb = agreeing(number, "waits", "wait");
    (number > 0).then(|| {
        format!(
            "{} {verb} for a person, the oldest since the check of {} ({})",
            count(number, "proposal"),
            date(oldest),
            days((as_of - oldest).floor())
        )
    })
}
