/*! Proof in words and tables: a replay of past records, a closed loop on invented fleets. */

mod evidence;
mod loops;
mod promises;
mod replays;
pub(super) mod tables;

pub(crate) use evidence::{ReplayedRecords, StudyResults, evidence_markdown};
pub(crate) use loops::{loop_chart, loop_markdown, loop_table};
pub(crate) use promises::{promise_markdown, promise_table};
pub(crate) use replays::{coverage_rows, replay_markdown};
pub(crate) use tables::{
    coverage_table, decision_table, difference_table, forecast_table, method_table,
};
