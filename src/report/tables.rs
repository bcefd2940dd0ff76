/*! The tables of a run: which columns, in which order, from which results.

Names and order are a contract with the program's users: columns are added at
the right, never renamed.
*/

use super::row_table::RowTable;
use super::table::Table;
use crate::decisions::policy::Decision;
use crate::drift::{Coefficient, Fit};
use crate::intervals::Proposal;
use crate::records::{DAYS_PER_YEAR, History, Item};

/// One history with its fit and decision, as the tables see it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Row<'a> {
    /// The checks and the item.
    pub history: History<'a>,
    /// The fitted drift.
    pub fit: &'a Fit,
    pub decision: &'a Decision,
}

fn whole_days(days: f64) -> Option<i64> {
    days.is_finite().then(|| days.round() as i64)
}

pub(super) fn identity<'a, 'r>(rows: &'r [Row<'a>]) -> RowTable<'a, 'r, Row<'a>> {
    RowTable::of(rows)
        .text("instrument", |r| &r.history.item.instrument)
        .text("point", |r| &r.history.item.point)
}

/// `decisions`: one row a history.
pub(crate) fn decisions<'a>(rows: &[Row<'a>], as_of: f64) -> Table<'a> {
    identity(rows)
        .text("group", |r| &r.history.item.group)
        .text("unit", |r| &r.history.item.unit)
        .date("as_of", |_| as_of)
        .count("checks", |r| r.history.len())
        .date("first_check", |r| r.history.date.first().map_or(f64::NAN, |day| *day))
        .date("last_check", |r| r.history.date.last().map_or(f64::NAN, |day| *day))
        .word("status", |r| r.fit.status.words())
        .about("how the drift is known")
        .number("drift_per_year", |r| r.fit.drift_per_year)
        .number("u_drift_per_year", |r| r.fit.u_drift_per_year)
        .number("predicted_error", |r| r.decision.predicted_error)
        .about("on the due date")
        .number("band_lower", |r| r.decision.band_lower)
        .about("of the reading on the due date")
        .number("band_upper", |r| r.decision.band_upper)
        .about("of the reading on the due date")
        .number("probability_in_tolerance", |r| r.decision.probability_in_tolerance)
        .about("on the due date")
        .number("current_interval_days", |r| r.decision.current_interval_days)
        .about("in use")
        .whole("interval_days", |r| whole_days(r.decision.interval_days))
        .about("decided; empty of a withdrawn item, whose next one is decided with the check that shows it restored")
        .date("due_date", |r| r.decision.due_date)
        .about("last calibration + `interval_days`; the as-of date where an interval decided today had ended before it, and of a withdrawn item, which must not be used until it is calibrated")
        .word("action", |r| r.decision.action.word())
        .text("reason", |r| &r.decision.reason)
        .word("method", |r| r.decision.method.map_or("", |m| m.word()))
        .about("that leads")
        .word("model", |r| r.fit.model.word())
        .date("assigned_date", |r| r.decision.assigned_date)
        .about("due date in the levelled workload")
        .number("probability_now", |r| r.decision.probability_now)
        .about("of the true error in tolerance, on the as-of date")
        .word("conformity_now", |r| r.decision.conformity_now.word())
        .about("on the as-of date, by `[conformity] rule`: conforming, nonconforming, indeterminate, unknown")
        .whole("open_cases", |r| r.decision.open_cases.map(|n| n as i64))
        .about("findings that nobody has closed; empty without a `[cases]` book")
        .number("interval_99_days", |r| r.decision.interval_99_days)
        .about("that a target of 99 % would give by the forecast, within floor and cap")
        .number("in_force_days", |r| r.decision.current_interval_days)
        .about("by the latest valid approval, else the register, else the checks, else the setting; of a withdrawn item it holds again once a check shows it restored")
        .date("in_force_due", |r| r.decision.in_force_due)
        .about("due date by that interval; empty of a withdrawn item: no date permits its use")
        .word("approval", |r| r.decision.approval.word())
        .about("what became of the interval proposed: approved, pending, rejected; none where nothing else than what is in force is proposed, and of a withdrawn item")
        .date("pending_since", |r| r.decision.pending_since)
        .about("the check from which a proposal follows that nobody has decided yet")
        .word("remedy", |r| r.decision.remedy.map_or("none", |remedy| remedy.what.word()))
        .about("what serves better than a shorter interval: adjust, adopt, either where the record does not tell which can be done, none")
        .known("remedy_interval_days", |r| r.decision.remedy.map(|remedy| remedy.interval_days))
        .about("that the same rules give from the as-of date on, once the remedy is done")
        .done()
}

/// `proposals`: one row a history and method.
pub(crate) fn proposals<'a>(rows: &[(History<'a>, &'a [Proposal])]) -> Table<'a> {
    let of = |(history, list): &(History<'a>, &'a [Proposal])| {
        let item = history.item;
        list.iter().map(move |proposal| (item, proposal))
    };
    let each: Vec<(&Item, &Proposal)> = rows.iter().flat_map(of).collect();
    RowTable::of(&each)
        .text("instrument", |(item, _)| &item.instrument)
        .text("point", |(item, _)| &item.point)
        .word("method", |(_, p)| p.method.word())
        .flag("applicable", |(_, p)| p.interval_days.is_some())
        .known("interval_days", |(_, p)| p.interval_days)
        .text("evidence", |(_, p)| &p.evidence)
        .about("what it rests on")
        .made("reason", |(_, p)| p.reason())
        .known("interval_lower_days", |(_, p)| p.limits_days.map(|l| l.0))
        .about("likely range, where the method gives one")
        .known("interval_upper_days", |(_, p)| p.limits_days.map(|l| l.1))
        .about("likely range, where the method gives one")
        .number("weight", |(_, p)| p.weight)
        .about("in a mean of methods")
        .done()
}

/// `coefficients`: one row a history, segment and term; `segment` counts from 1 and is
/// empty where all segments share the term.
pub(crate) fn coefficients<'a>(rows: &[Row<'a>]) -> Table<'a> {
    let of = |row: &Row<'a>| {
        let (item, fit) = (row.history.item, row.fit);
        fit.coefficients.iter().map(move |term| (item, fit, term))
    };
    let each: Vec<(&Item, &Fit, &Coefficient)> = rows.iter().flat_map(of).collect();
    RowTable::of(&each)
        .text("instrument", |(item, ..)| &item.instrument)
        .text("point", |(item, ..)| &item.point)
        .whole("segment", |(.., c)| c.segment.map(|s| i64::from(s) + 1))
        .word("term", |(.., c)| c.term)
        .number("estimate", |(.., c)| c.estimate)
        .number("standard_error", |(.., c)| c.standard_error)
        .number("origin", |(_, fit, _)| fit.origin)
        .about("x from which the term counts")
        .done()
}

/// One date of a history's forecast.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ForecastPoint<'a> {
    /// Identity.
    pub item: &'a Item,
    /// Days since 1970-01-01.
    pub day: f64,
    /// Expected true error and its standard uncertainty.
    pub expected: (f64, f64),
    /// Confidence band of the true error.
    pub confidence: (f64, f64),
    /// Prediction band of the next reading.
    pub prediction: (f64, f64),
    /// Probability in tolerance; NaN without one.
    pub probability: f64,
}

/// `forecast`: one row a history and date.
pub(crate) fn forecast<'a>(points: &[ForecastPoint<'a>]) -> Table<'a> {
    RowTable::of(points)
        .text("instrument", |p| &p.item.instrument)
        .text("point", |p| &p.item.point)
        .date("date", |p| p.day)
        .number("expected", |p| p.expected.0)
        .number("confidence_lower", |p| p.confidence.0)
        .about("true error")
        .number("confidence_upper", |p| p.confidence.1)
        .about("true error")
        .number("prediction_lower", |p| p.prediction.0)
        .about("next reading")
        .number("prediction_upper", |p| p.prediction.1)
        .about("next reading")
        .number("probability_in_tolerance", |p| p.probability)
        .number("u_error", |p| p.expected.1)
        .done()
}

/// Dates of the forecast table: the as-of date and every quarter of a year for two years.
pub(crate) fn forecast_days(as_of: f64) -> impl Iterator<Item = f64> {
    const QUARTERS: u32 = 8;
    // The table, the page and a value state whole days.
    (0..=QUARTERS).map(move |quarter| (as_of + f64::from(quarter) * DAYS_PER_YEAR / 4.0).floor())
}
