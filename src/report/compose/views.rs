/*! From results to what the report shows: one history's view and one fleet row. */

use super::case::Case;
use super::drawn::limits;
use super::sections::sections;
use super::title::cause;
use crate::decisions::approvals::{Barred, barred};
use crate::decisions::policy::{Action, ApprovalState, Decision};
use crate::drift::series::readings::Axis;
use crate::drift::{Course, Fit, Status};
use crate::records::{ApprovalVerdict, History, Item, date};
use crate::report::text;
use crate::report::{FleetRow, HistoryView, ProposalView, SparkPoint};
use crate::thermometry::advice::AdviceKind;
use crate::words::days;

/// Below this share of own evidence a drift is drawn as borrowed.
const MOSTLY_OWN: f64 = 0.5;

/// What a row of the fleet's table shows beside its figures.
#[derive(Clone, Copy)]
pub(crate) struct Shown {
    /// Axis of the drift.
    pub axis: Axis,
    /// Its last readings.
    pub spark: bool,
    /// What decided, in words; what asks for a person has its cause in any case.
    pub words: bool,
}

/// The row of one history in the fleet's table; without the page that it may have.
pub(crate) fn fleet_row(
    history: &History<'_>,
    fit: &Fit,
    decision: &Decision,
    advised: Option<AdviceKind>,
    shown: Shown,
) -> FleetRow {
    let item = history.item;
    let some = |value: f64| value.is_finite().then_some(value);
    let words = |made: &dyn Fn() -> String| match shown.words {
        true => made(),
        false => String::new(),
    };
    FleetRow {
        instrument: item.instrument.clone(),
        point: item.point.clone(),
        group: item.group.clone(),
        unit: item.unit.clone(),
        slug: String::new(),
        has_page: false,
        checks: history.len(),
        last_check: history.date.last().copied(),
        status: words(&|| fit.status.words().into()),
        drift_per_year: some(fit.drift_per_year),
        u_drift_per_year: some(fit.u_drift_per_year),
        own_drift_per_year: None,
        probability_in_tolerance: some(decision.probability_in_tolerance),
        probability_when_due: some(when_due(history, fit, decision, shown.axis)),
        current_interval_days: some(decision.current_interval_days),
        interval_days: some(decision.interval_days),
        due_day: some(decision.act_on()),
        proposed_due: some(decision.due_date)
            .filter(|_| decision.approval == ApprovalState::Pending),
        away: item.status.is_away(),
        bar: bar(decision).into(),
        action: decision.action,
        cause: match shown.words || decision.action.needs_person() {
            true => cause(history, decision, advised),
            false => String::new(),
        },
        reason: words(&|| text::with_minus_signs(&decision.reason)),
        method: words(&|| decision.method.map_or("", |m| m.word()).into()),
        spark: match shown.spark {
            true => spark(history),
            false => Vec::new(),
        },
        tolerance: limits(item.tolerance),
    }
}

/// The latest readings of an item, for the small picture in its row.
fn spark(history: &History<'_>) -> Vec<SparkPoint> {
    /// Checks that it shows.
    const LATEST: usize = 24;
    let from = history.len().saturating_sub(LATEST);
    // The last row drawn: an event there or since moves the next reading's line.
    let mut drawn = from;
    let read = (from..history.len()).filter(|i| history.as_found[*i].is_finite());
    read.map(|i| {
        let begins = (drawn..i).any(|row| history.happened(row).restarts_level());
        drawn = i;
        SparkPoint {
            day: history.date[i],
            error: history.as_found[i],
            begins,
        }
    })
    .collect()
}

/// Why an approval of what is proposed could take no effect; empty where it can.
fn bar(decision: &Decision) -> &'static str {
    barred(decision, decision.interval_days).map_or("", Barred::brief)
}

/// Probability in tolerance on the date in force: the decision's own where nothing else waits.
fn when_due(history: &History<'_>, fit: &Fit, decision: &Decision, axis: Axis) -> f64 {
    if decision.approval != ApprovalState::Pending || decision.level_in_doubt {
        return decision.probability_in_tolerance;
    }
    let course = Course::of(fit, history, axis).ok();
    let then = course.and_then(|course| course.known_on(decision.in_force_due));
    then.zip(history.item.tolerance)
        .map_or(f64::NAN, |(then, tolerance)| then.probability_in(tolerance))
}

/// Everything the chart and the page of one history show.
pub(crate) fn history_view(case: &Case<'_>, slug: String) -> HistoryView {
    let (history, fit, decision) = (case.drawn.history, case.drawn.fit, case.drawn.decision);
    let item = history.item;
    let drawn = case.drawn;
    let some = |value: f64| value.is_finite().then_some(value);
    HistoryView {
        instrument: item.instrument.clone(),
        point: item.point.clone(),
        group: item.group.clone(),
        unit: item.unit.clone(),
        description: item.description.clone(),
        slug,
        nominal: history.nominal.last().copied().filter(|n| *n != 0.0),
        usage_unit: drawn.usage_unit(),
        readings: drawn.readings(),
        curve: drawn.curve(),
        tolerance: drawn.tolerance_steps(),
        values: drawn.values_left(),
        as_of: case.drawn.as_of,
        last_calibration: some(history.last_calibration()),
        due_day: some(decision.due_date),
        in_force_due: some(decision.in_force_due),
        approval: approval(item, decision),
        waits: decision.approval == ApprovalState::Pending,
        serves: !item.status.is_gone(),
        bar: bar(decision),
        away: item.status.is_away(),
        current_interval_days: some(decision.current_interval_days),
        interval_days: some(decision.interval_days),
        action: decision.action,
        status: fit.status.words().into(),
        reason: text::with_minus_signs(&decision.reason),
        model: fit.model.word().into(),
        level: case.drawn.level,
        drift_from_class: fit.status == Status::FromClass || fit.shrinkage_weight < MOSTLY_OWN,
        method: decision.method.map_or("", |m| m.words()).into(),
        proposals: proposals(case),
        rules_fired: decision
            .rules_fired
            .iter()
            .map(|rule| rule.words().to_string())
            .collect(),
        cost: case.cost.as_ref().map(|cost| cost.curve.clone()),
        prices: case
            .cost
            .as_ref()
            .map_or_else(Vec::new, |cost| cost.prices.clone()),
        notes: fit.notes.iter().chain(case.warnings).cloned().collect(),
        sections: sections(case),
        numbers: numbers(case),
        ..HistoryView::default()
    }
}

/// "Approved by A. Person on 2026-03-01, until 2027-03-01: reason."
fn approval(item: &Item, decision: &Decision) -> String {
    let signed = item.signed.as_deref();
    let line = match decision.approval {
        // An approved interval permits no use of what is withdrawn.
        _ if decision.action == Action::Withdraw => None,
        ApprovalState::Rejected => signed.map(|signed| &signed.last),
        _ => signed.and_then(|signed| signed.in_force.as_ref()),
    };
    let Some(line) = line else {
        return String::new();
    };
    let what = match line.verdict {
        ApprovalVerdict::Approved => "Approved",
        ApprovalVerdict::Rejected => "Proposal rejected",
        ApprovalVerdict::Other => "Interval set",
    };
    let until = line
        .valid_until
        .map_or(String::new(), |day| format!(", until {}", date::iso(day)));
    let because = match line.reason.is_empty() {
        true => String::new(),
        false => format!(": {}", line.reason),
    };
    format!(
        "{what} by {} on {}{until}{because}.",
        line.by,
        date::iso(line.on)
    )
}

fn proposals(case: &Case<'_>) -> Vec<ProposalView> {
    let each = case.proposals.iter().map(|p| ProposalView {
        method: p.method.words().into(),
        interval_days: p.interval_days,
        evidence: text::with_minus_signs(&p.evidence),
        reason: text::with_minus_signs(&p.reason()),
        leads: case.drawn.decision.method == Some(p.method),
    });
    each.collect()
}

fn numbers(case: &Case<'_>) -> Vec<(String, String)> {
    let decision = case.drawn.decision;
    let checks = case.drawn.history.len();
    let mut numbers = Numbers(vec![("checks".into(), checks.to_string())]);
    if decision.assigned_date < decision.due_date {
        let day = decision.assigned_date;
        numbers.add("assigned to, to level the workload", day, date::iso(day));
    }
    numbers.add_fit(case);
    numbers.add_forecast(case);
    numbers.0
}

/// Named numbers, of which those that are not known are left out.
struct Numbers(Vec<(String, String)>);

impl Numbers {
    fn add(&mut self, name: &str, value: f64, shown: String) {
        if value.is_finite() {
            self.0.push((name.to_string(), shown));
        }
    }

    fn add_fit(&mut self, case: &Case<'_>) {
        let (fit, unit) = (case.drawn.fit, &case.drawn.history.item.unit);
        let per_year = format!("{unit}/year");
        let (drift, u_drift) = (fit.drift_per_year, fit.u_drift_per_year);
        self.add("drift", drift, text::size(drift, u_drift, &per_year));
        self.add(
            "standard uncertainty of the drift",
            u_drift,
            text::size(u_drift, u_drift, &per_year),
        );
        let with_unit = |value: f64| text::size(value, value, unit);
        let deviation = fit.residual_deviation;
        self.add(fit.scatter_name(), deviation, with_unit(deviation));
        if fit.excess_u > 0.0 {
            let excess = fit.excess_u;
            self.add("scatter beyond the stated u", excess, with_unit(excess));
        }
        if fit.wander_per_sqrt_year > 0.0 {
            let value = fit.wander_per_sqrt_year;
            let shown = text::size(value, value, &format!("{unit}/√year"));
            self.add("wander", value, shown);
        }
    }

    fn add_forecast(&mut self, case: &Case<'_>) {
        let (decision, unit) = (case.drawn.decision, &case.drawn.history.item.unit);
        let expected = match decision.action {
            Action::Withdraw => "expected error today",
            _ => "expected error on the due date",
        };
        let (error, upper) = (decision.predicted_error, decision.band_upper);
        self.add(expected, error, text::size(error, upper - error, unit));
        let share = decision.probability_in_tolerance;
        self.add("probability in tolerance then", share, text::percent(share));
        let stricter = decision.interval_99_days;
        self.add(
            "interval that a target of 99 % would give, within floor and cap",
            stricter,
            days(stricter),
        );
        if let Some(remedy) = &decision.remedy {
            let interval = remedy.interval_days;
            self.add(remedy.what.then(), interval, days(interval));
        }
    }
}
