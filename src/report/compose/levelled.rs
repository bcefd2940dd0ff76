/*! What levelling the workload did to the due dates, in one sentence. */

use crate::decisions::policy::Decision;

/// "Of 70 due dates 12 are brought forward, by at most 45 days, …"; `None` where the policy
/// levels nothing.
pub fn levelled_words(decisions: &[Decision], window: f64) -> Option<String> {
    if window <= 0.0 {
        return None;
    }
    let moved = decisions
        .iter()
        .map(|decision| decision.due_date - decision.assigned_date)
        .filter(|days| *days > 0.0);
    let (count, most) = moved.fold((0usize, 0.0f64), |(n, most), days| (n + 1, most.max(days)));
    Some(match count {
        0 => "The workload is level enough: no due date is brought forward.".into(),
        _ => format!(
            "To level the workload, {count} of {} due dates {} brought forward, by at most {most:.0} days \
             of the {window:.0} allowed; decisions.csv has both dates.",
            decisions.len(),
            if count == 1 { "is" } else { "are" }
        ),
    })
}
