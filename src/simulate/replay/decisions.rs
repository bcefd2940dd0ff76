/*! Intervals that would have been set at past calibrations, and what the record tells of them. */

use super::cut::{past_item, prefix};
use super::review::{Review, review_on};
use crate::decisions::policy::decide;
use crate::drift::{DriftSettings, fit_forecast};
use crate::intervals::{Evidence, IntervalTables, Method};
use crate::records::{CheckKind, DAYS_PER_YEAR, History, Item, Outcome};

/// A check this near to the proposed due date, as a share of the interval, tells what
/// would have been found on it.
const NEAR_ENOUGH: f64 = 0.1;

/// What the record tells of an item on the day it would have been due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// It was still found in tolerance then or later.
    In,
    /// It had been found out of tolerance by then.
    Out,
    /// The record ends, the item was reset, or it left tolerance some time after a
    /// check in tolerance and before one out of it, with the day in between.
    Unknown,
}

/// One past calibration and the intervals proposed at it.
#[derive(Debug, Clone, PartialEq)]
pub struct PastDecision {
    /// History.
    pub history: u32,
    /// Row of the calibration.
    pub row: u32,
    /// Days to the next calibration that was made; NaN where none followed.
    pub gap_days: f64,
    /// Interval of each method, in their order, then the policy's; NaN where none.
    pub intervals: Vec<f64>,
    /// What the record tells of each.
    pub verdicts: Vec<Verdict>,
}

/// Everything decided at the past calibrations of one history.
pub(super) fn decide_history(
    index: usize,
    history: &History<'_>,
    reviews: &[Review],
    methods: &[Box<dyn Method>],
    (drift, tables): (&DriftSettings, &IntervalTables),
) -> Vec<PastDecision> {
    let mut item = past_item(history.item);
    let rows = calibration_rows(history);
    let mut decisions = Vec::with_capacity(rows.len());
    for (number, &row) in rows.iter().enumerate() {
        let day = history.date[row];
        let Some(review) = review_on(reviews, day) else {
            continue;
        };
        set_interval_in_use(&mut item, history, &rows[..=number]);
        let known = prefix(history, &item, row + 1);
        let fit = fit_forecast(&known, review.classes.of_history(index), drift);
        let axis_and_level = (drift.axis, drift.level);
        let evidence = Evidence::new(known, &fit, &tables.intervals, axis_and_level, day);
        let group = review.groups.lent_to(&known);
        let proposals: Vec<_> = methods
            .iter()
            .map(|method| method.propose(&evidence, group))
            .collect();
        let decision = decide(&evidence, &proposals, group, &tables.policy, &[]);
        let bounded = |days: Option<f64>| days.map_or(f64::NAN, |days| evidence.bounded(days));
        let mut intervals: Vec<f64> = proposals
            .iter()
            .map(|proposal| bounded(proposal.interval_days))
            .collect();
        intervals.push(if decision.method.is_some() {
            decision.interval_days
        } else {
            f64::NAN
        });
        decisions.push(PastDecision {
            history: index as u32,
            row: row as u32,
            gap_days: rows
                .get(number + 1)
                .map_or(f64::NAN, |next| history.date[*next] - day),
            verdicts: intervals
                .iter()
                .map(|days| verdict(history, row, *days))
                .collect(),
            intervals,
        });
    }
    decisions
}

/// Rows that count as calibrations: those so marked, or all where the record marks none.
fn calibration_rows(history: &History<'_>) -> Vec<usize> {
    let marked = history.kind.contains(&CheckKind::Calibration);
    (0..history.len())
        .filter(|&row| !marked || history.kind[row] != CheckKind::Check)
        .collect()
}

/// The interval in use at the last of `rows`: the time since the calibration before it,
/// since the register states only today's.
fn set_interval_in_use(item: &mut Item, history: &History<'_>, rows: &[usize]) {
    let [.., before, last] = rows else {
        return;
    };
    let days = history.date[*last] - history.date[*before];
    item.interval_days = (days >= 1.0).then_some(days);
}

/// What later checks tell of the item `days` after the check in `row`.
pub(super) fn verdict(history: &History<'_>, row: usize, days: f64) -> Verdict {
    if days.is_nan() {
        return Verdict::Unknown;
    }
    let due = history.date[row] + days;
    let slack = NEAR_ENOUGH * days;
    for later in row + 1..history.len() {
        let date = history.date[later];
        match outcome(history, later) {
            Outcome::Out if date <= due + slack => return Verdict::Out,
            Outcome::In if date >= due - slack => return Verdict::In,
            Outcome::Out => return Verdict::Unknown,
            _ => {}
        }
        if history.happened(later).restarts_level() {
            return Verdict::Unknown;
        }
    }
    Verdict::Unknown
}

fn outcome(history: &History<'_>, row: usize) -> Outcome {
    if history.outcome[row] != Outcome::Unknown {
        return history.outcome[row];
    }
    let found = history.as_found[row];
    match history.tolerance_at(row).filter(|_| found.is_finite()) {
        Some(tolerance) if tolerance.contains(found) => Outcome::In,
        Some(_) => Outcome::Out,
        None => Outcome::Unknown,
    }
}

/// Calibrations a year that were made, and those that intervals of candidate `number`
/// would have led to: each stretch between two calibrations counts with its length.
pub(super) fn calibrations_per_year(decisions: &[PastDecision], number: usize) -> (f64, f64) {
    let (mut years, mut made, mut proposed) = (0.0, 0.0, 0.0);
    for decision in decisions {
        let (gap, interval) = (decision.gap_days, decision.intervals[number]);
        if gap.is_finite() && gap >= 1.0 && interval > 0.0 {
            years += gap / DAYS_PER_YEAR;
            made += 1.0;
            proposed += gap / interval;
        }
    }
    (made / years, proposed / years)
}
