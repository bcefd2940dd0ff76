/*! Intervals that would have been set at past calibrations, and what the record tells of them. */

use super::cut::{past_item, prefix};
use super::past_classes::PastClasses;
use super::review::{Review, review_on};
use crate::decisions::DecisionTables;
use crate::decisions::cases::closings::Closings;
use crate::decisions::controls::Controls;
use crate::decisions::failed_points::points_beside;
use crate::decisions::policy::PastDecision as Logged;
use crate::decisions::policy::{Action, Decision};
use crate::decisions::procedure::{Procedure, Subject};
use crate::decisions::small_class::{NoneKnown, SmallClass};
use crate::drift::class::classes::Classes;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::{DriftSettings, fit_model};
use crate::intervals::{EvidenceByGroup, Method};
use crate::records::{CheckKind, DAYS_PER_YEAR, Histories, History, Item, Outcome};
use crate::thermometry::session_findings::SessionFindings;

/// A check this near to the proposed due date, as a share of the interval, tells what
/// would have been found on it.
const NEAR_ENOUGH: f64 = 0.1;

/// What the record tells of an item on the day it would have been due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hindsight {
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
    pub history: u32,
    /// Row of the calibration.
    pub row: u32,
    /// Day of the decision: that of the calibration, or the day the replay ends.
    pub day: f64,
    /// Days to the next calibration that was made; NaN where none followed.
    pub gap_days: f64,
    /// Interval of each method, in their order, then the decided one; NaN where none.
    pub intervals: Vec<f64>,
    /// What was decided.
    pub action: Action,
    /// What the record tells of each.
    pub verdicts: Vec<Hindsight>,
}

/// The day a replay ends, and what a run on that day knows beside the records.
#[derive(Clone, Copy)]
pub struct Today<'a> {
    /// The as-of date, days since 1970-01-01.
    pub as_of: f64,
    /// Sessions of thermometers.
    pub thermometry: Option<&'a SessionFindings>,
    /// The decision log of each history; empty where there is none.
    pub past: &'a [Vec<Logged>],
}

/// What classes and groups lend on the day a replay ends.
pub(super) struct TodayKnown {
    pub classes: Classes,
    pub groups: EvidenceByGroup,
}

/// What all steps of a replay share.
pub(super) struct Steps<'a> {
    pub histories: &'a Histories,
    /// What the classes lent on past days.
    pub classes: &'a PastClasses,
    /// What the groups lent on past days.
    pub reviews: &'a [Review],
    /// What was known on the day the replay ends.
    pub known_today: Option<&'a TodayKnown>,
    /// The control charts of that day.
    pub controls: Option<&'a Controls>,
    pub methods: &'a [Box<dyn Method>],
    pub drift: &'a DriftSettings,
    pub tables: &'a DecisionTables,
    pub closings: Option<&'a Closings>,
}

impl<'a> Steps<'a> {
    /// Everything decided at the past calibrations of history `index`.
    pub(crate) fn past(&self, index: usize) -> Vec<PastDecision> {
        let history = self.histories.get(index);
        let mut item = past_item(history.item);
        let rows = calibration_rows(&history);
        let mut decisions = Vec::with_capacity(rows.len());
        let mut log = Vec::new();
        for (number, &row) in rows.iter().enumerate() {
            let day = history.date[row];
            let review = review_on(self.reviews, day);
            let Some((class, review)) = self.classes.on(index, day).zip(review) else {
                continue;
            };
            set_interval_in_use(&mut item, &history, &rows[..=number]);
            let known = prefix(&history, &item, row + 1);
            let (intervals, decision) = self.step(
                &self.procedure(day),
                (index, &known),
                (class, &review.groups),
                &log,
            );
            log.push(Logged {
                day,
                action: decision.action,
            });
            let next = rows.get(number + 1);
            decisions.push(PastDecision {
                history: index as u32,
                row: row as u32,
                day,
                gap_days: next.map_or(f64::NAN, |next| history.date[*next] - day),
                verdicts: intervals
                    .iter()
                    .map(|days| verdict(&history, row, *days))
                    .collect(),
                action: decision.action,
                intervals,
            });
        }
        decisions
    }

    /// The last step: what is decided of history `index` on the day the replay ends, by all that
    /// is known then, the register's row as it stands.
    pub(crate) fn today(
        &self,
        index: usize,
        today: &Today<'a>,
    ) -> Option<(PastDecision, Decision)> {
        let history = self.histories.get(index);
        let row = calibration_rows(&history).last().copied()?;
        let procedure = Procedure {
            thermometry: today.thermometry,
            controls: self.controls,
            ..self.procedure(today.as_of)
        };
        let log = today.past.get(index).map_or(&[][..], Vec::as_slice);
        let known = self.known_today?;
        let lent = (known.classes.of_history(index), &known.groups);
        let (intervals, decision) = self.step(&procedure, (index, &history), lent, log);
        let past_decision = PastDecision {
            history: index as u32,
            row: row as u32,
            day: today.as_of,
            gap_days: f64::NAN,
            verdicts: vec![Hindsight::Unknown; intervals.len()],
            action: decision.action,
            intervals,
        };
        Some((past_decision, decision))
    }

    fn procedure(&self, day: f64) -> Procedure<'a> {
        Procedure {
            methods: self.methods,
            tables: self.tables,
            drift: self.drift,
            thermometry: None,
            closings: self.closings,
            controls: None,
            known: &NoneKnown,
            as_of: day,
        }
    }

    /// The intervals proposed and the one decided, days, and the decision.
    fn step(
        &self,
        procedure: &Procedure<'_>,
        (index, known): (usize, &History<'_>),
        (class, groups): (&ClassParameters, &EvidenceByGroup),
        log: &[Logged],
    ) -> (Vec<f64>, Decision) {
        let fit = fit_model(known, class, self.drift);
        let subject = Subject {
            index,
            history: *known,
            fit: &fit,
            class,
            group: groups.lent_to(known),
            past: log,
            small_class: &|| {
                SmallClass::of(
                    self.histories,
                    self.classes.of_each(),
                    index,
                    procedure.as_of,
                )
            },
            points: &|| points_beside(self.histories, index),
            // Their fits of that day are not made.
            withdrawn: &|| None,
        };
        let (proposals, decision) = procedure.decide(&subject);
        let evidence = procedure.evidence(*known, &fit);
        let bounded = |days: Option<f64>| days.map_or(f64::NAN, |days| evidence.bounded(days));
        // A method that does not fit the record proposes nothing.
        let of = |name| proposals.iter().find(|proposal| proposal.method == name);
        let names = self.methods.iter().map(|method| method.name());
        let mut intervals: Vec<f64> = names
            .map(|name| bounded(of(name).and_then(|proposal| proposal.interval_days)))
            .collect();
        intervals.push(match decision.method {
            Some(_) => decision.interval_days,
            None => f64::NAN,
        });
        (intervals, decision)
    }
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
pub(super) fn verdict(history: &History<'_>, row: usize, days: f64) -> Hindsight {
    if days.is_nan() {
        return Hindsight::Unknown;
    }
    let due = history.date[row] + days;
    let slack = NEAR_ENOUGH * days;
    for later in row + 1..history.len() {
        let date = history.date[later];
        match outcome(history, later) {
            Outcome::Out if date <= due + slack => return Hindsight::Out,
            Outcome::In if date >= due - slack => return Hindsight::In,
            Outcome::Out => return Hindsight::Unknown,
            _ => {}
        }
        if history.happened(later).restarts_level() {
            return Hindsight::Unknown;
        }
    }
    Hindsight::Unknown
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
