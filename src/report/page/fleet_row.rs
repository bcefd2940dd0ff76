/*! What a row of the fleet's table tells, and many rows made at once. */

use crate::report::text::{all_digits, fixed, iso_date, rate};
use crate::report::view::{Action, FleetRow};
use rayon::prelude::*;

/// Rows that one task makes.
const ROWS_A_BLOCK: usize = 512;

/// Status that is not worth a word in each row.
const USUAL_STATUS: &str = "estimated";

/// What stands in the cells of a row, as text.
pub(super) struct RowWords {
    pub(super) due: String,
    /// What is said beside a due date that has passed; empty of any other.
    pub(super) late: &'static str,
    pub(super) proposed: String,
    pub(super) interval: String,
    pub(super) drift: String,
    pub(super) in_tolerance: String,
    pub(super) status: String,
    /// By which the columns from `action` to `in tolerance when due` sort.
    pub(super) keys: [Option<f64>; 6],
}

pub(super) fn tell(as_of: f64, row: &FleetRow) -> RowWords {
    let drift = row.drift_per_year.filter(|d| d.is_finite());
    let u_drift = row.u_drift_per_year.unwrap_or(f64::NAN);
    let days =
        |interval: Option<f64>| interval.map_or("none".into(), |days| fixed(days.round(), 0));
    let proposed = row.proposed_due.filter(|_| row.action != Action::Withdraw);
    let usual = row.status.is_empty() || row.status == USUAL_STATUS;
    RowWords {
        due: row.when(),
        late: match (row.overdue(as_of), row.late_while_away(as_of)) {
            (true, _) => "overdue",
            (_, true) => "before it serves again",
            _ => "",
        },
        proposed: proposed.map_or(String::new(), iso_date),
        interval: format!(
            "{} ({})",
            days(row.next_interval()),
            days(row.current_interval_days)
        ),
        drift: drift.map_or("unknown".into(), |drift| rate(drift, u_drift, &row.unit)),
        in_tolerance: row.when_due_words(),
        status: match usual {
            true => String::new(),
            false => row.status.clone(),
        },
        keys: [
            Some(f64::from(row.action as u8)),
            match row.action {
                Action::Withdraw => Some(as_of),
                _ => row.due_day,
            },
            proposed,
            row.next_interval(),
            drift,
            row.next_interval().and(row.probability_in_tolerance),
        ]
        .map(|key| key.filter(|value| value.is_finite())),
    }
}

/// What `push` makes of each, one after another, on all cores.
pub(super) fn in_blocks<T: Sync>(all: &[T], push: impl Fn(&T, &mut String) + Sync) -> String {
    let blocks: Vec<String> = all
        .par_chunks(ROWS_A_BLOCK)
        .map(|block| {
            let mut text = String::new();
            block.iter().for_each(|one| push(one, &mut text));
            text
        })
        .collect();
    blocks.concat()
}

/// A number by which rows are sorted: five digits tell more than the cell shows, and a day is whole.
pub(super) fn sorting(value: f64) -> String {
    all_digits(format!("{value:.4e}").parse().unwrap_or(value))
}
