/*! The tables of a run: which columns, in which order, from which results.

Names and order are a contract with the program's users: columns are added at
the right, never renamed.
*/

use super::table::{Cells, Table};
use crate::decisions::policy::Decision;
use crate::drift::Fit;
use crate::intervals::Proposal;
use crate::records::{DAYS_PER_YEAR, History, Item};

/// One history with its fit and decision, as the tables see it.
#[derive(Debug, Clone, Copy)]
pub struct Row<'a> {
    /// The checks and the item.
    pub history: History<'a>,
    /// The fitted drift.
    pub fit: &'a Fit,
    /// The decision.
    pub decision: &'a Decision,
}

pub(super) fn texts<'a>(rows: &[Row<'a>], get: impl Fn(&Row<'a>) -> &'a str) -> Cells<'a> {
    Cells::Shared(rows.iter().map(get).collect())
}

pub(super) fn numbers<'a>(rows: &[Row<'a>], get: impl Fn(&Row<'a>) -> f64) -> Cells<'a> {
    Cells::Number(rows.iter().map(get).collect())
}

fn whole_days(days: f64) -> Option<i64> {
    days.is_finite().then(|| days.round() as i64)
}

pub(super) fn identity<'a>(rows: &[Row<'a>]) -> Table<'a> {
    Table::default()
        .with("instrument", texts(rows, |r| &r.history.item.instrument))
        .with("point", texts(rows, |r| &r.history.item.point))
}

/// `decisions`: one row a history.
pub fn decisions<'a>(rows: &[Row<'a>], as_of: f64) -> Table<'a> {
    identity(rows)
        .with("group", texts(rows, |r| &r.history.item.group))
        .with("unit", texts(rows, |r| &r.history.item.unit))
        .with("as_of", Cells::Date(vec![as_of; rows.len()]))
        .with(
            "checks",
            Cells::Whole(rows.iter().map(|r| Some(r.history.len() as i64)).collect()),
        )
        .with(
            "first_check",
            dates(rows, |r| r.history.date.first().copied()),
        )
        .with(
            "last_check",
            dates(rows, |r| r.history.date.last().copied()),
        )
        .with(
            "status",
            Cells::Word(rows.iter().map(|r| r.fit.status.words()).collect()),
        )
.about("how the drift is known")
        .with("drift_per_year", numbers(rows, |r| r.fit.drift_per_year))
        .with(
            "u_drift_per_year",
            numbers(rows, |r| r.fit.u_drift_per_year),
        )
        .with(
            "predicted_error",
            numbers(rows, |r| r.decision.predicted_error),
        )
.about("on the due date")
        .with("band_lower", numbers(rows, |r| r.decision.band_lower))
.about("of the reading on the due date")
        .with("band_upper", numbers(rows, |r| r.decision.band_upper))
.about("of the reading on the due date")
        .with(
            "probability_in_tolerance",
            numbers(rows, |r| r.decision.probability_in_tolerance),
        )
.about("on the due date")
        .with(
            "current_interval_days",
            numbers(rows, |r| r.decision.current_interval_days),
        )
.about("in use")
        .with(
            "interval_days",
            Cells::Whole(
                rows.iter()
                    .map(|r| whole_days(r.decision.interval_days))
                    .collect(),
            ),
        )
.about("decided")
        .with("due_date", dates(rows, |r| Some(r.decision.due_date)))
        .with(
            "action",
            Cells::Word(rows.iter().map(|r| r.decision.action.word()).collect()),
        )
        .with("reason", texts(rows, |r| &r.decision.reason))
        .with(
            "method",
            Cells::Word(
                rows.iter()
                    .map(|r| r.decision.method.map_or("", |m| m.word()))
                    .collect(),
            ),
        )
.about("that leads")
        .with(
            "model",
            Cells::Word(rows.iter().map(|r| r.fit.model.word()).collect()),
        )
        .with(
            "assigned_date",
            dates(rows, |r| Some(r.decision.assigned_date)),
        )
.about("due date in the levelled workload")
        .with(
            "probability_now",
            numbers(rows, |r| r.decision.probability_now),
        )
.about("of the true error in tolerance, on the as-of date")
        .with(
            "conformity_now",
            Cells::Word(
                rows.iter()
                    .map(|r| r.decision.conformity_now.word())
                    .collect(),
            ),
        )
.about("on the as-of date, by `[conformity] rule`: conforming, nonconforming, indeterminate, unknown")
        .with(
            "open_cases",
            Cells::Whole(
                rows.iter()
                    .map(|r| r.decision.open_cases.map(|n| n as i64))
                    .collect(),
            ),
        )
.about("findings that nobody has closed; empty without a `[cases]` book")
        .with(
            "interval_99_days",
            numbers(rows, |r| r.decision.interval_99_days),
        )
.about("that a target of 99 % would give by the forecast, within floor and cap")
        .with(
            "in_force_days",
            numbers(rows, |r| r.decision.current_interval_days),
        )
.about("by the latest valid approval, else the register, else the setting")
        .with(
            "in_force_due",
            dates(rows, |r| Some(r.decision.in_force_due)),
        )
.about("due date by that interval")
        .with(
            "approval",
            Cells::Word(rows.iter().map(|r| r.decision.approval.word()).collect()),
        )
.about("what became of the interval proposed: approved, pending, rejected; none where nothing else than what is in force is proposed")
        .with(
            "pending_since",
            dates(rows, |r| Some(r.decision.pending_since)),
        )
.about("the check from which a proposal follows that nobody has decided yet")
        .with(
            "remedy",
            Cells::Word(
                rows.iter()
                    .map(|r| r.decision.remedy.map_or("none", |remedy| remedy.what.word()))
                    .collect(),
            ),
        )
.about("what serves better than a shorter interval: adjust, adopt, either where the record does not tell which can be done, none")
        .with(
            "remedy_interval_days",
            numbers(rows, |r| {
                r.decision.remedy.map_or(f64::NAN, |remedy| remedy.interval_days)
            }),
        )
.about("that the same rules give from the as-of date on, once the remedy is done")
}

fn dates<'a>(rows: &[Row<'a>], get: impl Fn(&Row<'a>) -> Option<f64>) -> Cells<'a> {
    Cells::Date(
        rows.iter()
            .map(|row| get(row).unwrap_or(f64::NAN))
            .collect(),
    )
}

/// `proposals`: one row a history and method.
pub fn proposals<'a>(rows: &[(History<'a>, &'a [Proposal])]) -> Table<'a> {
    let each = || {
        rows.iter()
            .flat_map(|(h, list)| list.iter().map(move |p| (h.item, p)))
    };
    let text = |get: fn(&'a Item, &'a Proposal) -> &'a str| {
        Cells::Shared(each().map(|(item, p)| get(item, p)).collect())
    };
    let number = |get: &dyn Fn(&Proposal) -> Option<f64>| {
        Cells::Number(each().map(|(_, p)| get(p).unwrap_or(f64::NAN)).collect())
    };
    Table::default()
        .with("instrument", text(|item, _| &item.instrument))
        .with("point", text(|item, _| &item.point))
        .with(
            "method",
            Cells::Word(each().map(|(_, p)| p.method.word()).collect()),
        )
        .with(
            "applicable",
            Cells::Flag(each().map(|(_, p)| p.interval_days.is_some()).collect()),
        )
        .with("interval_days", number(&|p| p.interval_days))
        .with("evidence", text(|_, p| &p.evidence))
        .about("what it rests on")
        .with("reason", text(|_, p| &p.reason))
        .with(
            "interval_lower_days",
            number(&|p| p.limits_days.map(|l| l.0)),
        )
        .about("likely range, where the method gives one")
        .with(
            "interval_upper_days",
            number(&|p| p.limits_days.map(|l| l.1)),
        )
        .about("likely range, where the method gives one")
        .with("weight", number(&|p| Some(p.weight)))
        .about("in a mean of methods")
}

/// `coefficients`: one row a history, segment and term; `segment` counts from 1 and is
/// empty where all segments share the term.
pub fn coefficients<'a>(rows: &[Row<'a>]) -> Table<'a> {
    let each = || {
        rows.iter()
            .flat_map(|r| r.fit.coefficients.iter().map(move |c| (r, c)))
    };
    let text = |get: fn(&'a Item) -> &'a str| {
        Cells::Shared(each().map(|(r, _)| get(r.history.item)).collect())
    };
    let number = |get: &dyn Fn(&Row<'_>, &crate::drift::Coefficient) -> f64| {
        Cells::Number(each().map(|(r, c)| get(r, c)).collect())
    };
    Table::default()
        .with("instrument", text(|item| &item.instrument))
        .with("point", text(|item| &item.point))
        .with(
            "segment",
            Cells::Whole(
                each()
                    .map(|(_, c)| c.segment.map(|s| i64::from(s) + 1))
                    .collect(),
            ),
        )
        .with("term", Cells::Word(each().map(|(_, c)| c.term).collect()))
        .with("estimate", number(&|_, c| c.estimate))
        .with("standard_error", number(&|_, c| c.standard_error))
        .with("origin", number(&|r, _| r.fit.origin))
        .about("x from which the term counts")
}

/// One date of a history's forecast.
#[derive(Debug, Clone, Copy)]
pub struct ForecastPoint<'a> {
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
pub fn forecast<'a>(points: &[ForecastPoint<'a>]) -> Table<'a> {
    let number =
        |get: fn(&ForecastPoint<'_>) -> f64| Cells::Number(points.iter().map(get).collect());
    let name =
        |get: fn(&'a Item) -> &'a str| Cells::Shared(points.iter().map(|p| get(p.item)).collect());
    Table::default()
        .with("instrument", name(|item| &item.instrument))
        .with("point", name(|item| &item.point))
        .with("date", Cells::Date(points.iter().map(|p| p.day).collect()))
        .with("expected", number(|p| p.expected.0))
        .with("confidence_lower", number(|p| p.confidence.0))
        .about("true error")
        .with("confidence_upper", number(|p| p.confidence.1))
        .about("true error")
        .with("prediction_lower", number(|p| p.prediction.0))
        .about("next reading")
        .with("prediction_upper", number(|p| p.prediction.1))
        .about("next reading")
        .with("probability_in_tolerance", number(|p| p.probability))
        .with("u_error", number(|p| p.expected.1))
}

/// Dates of the forecast table: the as-of date and every quarter of a year for two years.
pub fn forecast_days(as_of: f64) -> impl Iterator<Item = f64> {
    const QUARTERS: u32 = 8;
    (0..=QUARTERS).map(move |quarter| as_of + f64::from(quarter) * DAYS_PER_YEAR / 4.0)
}
