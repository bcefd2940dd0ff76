/*! The title of a history's chart: the fact that decides first, then how it moves, until when. */

use super::case::Case;
use crate::conformity::State;
use crate::decisions::policy::{Action, Decision};
use crate::drift::series::readings::Axis;
use crate::drift::{Curve, Status};
use crate::records::{History, Outcome};
use crate::report::text;
use crate::thermometry::advice::AdviceKind;
use crate::words;

/// A unit, and how many of it one of the history's own is.
type Unit = (f64, String);

/// Who it is, what decides about it, and until when it can be trusted; sizes in `unit`, that of the picture.
pub(super) fn title(case: &Case<'_>, unit: &Unit) -> String {
    let name = case.drawn.history.item.name();
    let words = match case.drawn.decision.action {
        Action::Withdraw | Action::Review => alarm(case, unit),
        _ => {
            let first = ruled(case.drawn.decision).or_else(|| noticed(case));
            let movement = Some(movement(case, unit));
            let parts = [unclosed(case.drawn.decision), first, movement, until(case)];
            parts.into_iter().flatten().collect::<Vec<_>>().join("; ")
        }
    };
    format!("{name}: {words}")
}

/// A check out of tolerance that nobody has closed, where the interval does not wait for it.
fn unclosed(decision: &Decision) -> Option<String> {
    let day = text::iso_date(decision.unclosed?);
    Some(format!("found out of tolerance on {day}, not closed"))
}

/// The interval that a rule led to, and that rule: "extend to 730 d (the register's cap)".
fn ruled(decision: &Decision) -> Option<String> {
    let rule = text::with_minus_signs(decision.rules_fired.last()?.brief());
    let (action, days) = (decision.action, words::days(decision.interval_days));
    Some(match action {
        Action::Keep => format!("{} {days} ({rule})", action.word()),
        Action::Extend | Action::Shorten => format!("{} to {days} ({rule})", action.word()),
        _ => rule,
    })
}

/// What the last calibration, or a check since, shows to be odd although no rule asks for anything.
fn noticed(case: &Case<'_>) -> Option<String> {
    let (fit, history) = (case.drawn.fit, &case.drawn.history);
    let since = history.last_calibration();
    let day = |row: u32| {
        let day = *history.date.get(row as usize)?;
        (day >= since).then(|| text::iso_date(day))
    };
    let stepped = || {
        let day = day(fit.stepped?)?;
        Some(format!("stepped without a recorded event by {day}"))
    };
    let suspect = || {
        let day = fit.suspects.iter().find_map(|suspect| day(suspect.row))?;
        Some(format!("the reading of {day} lies far off"))
    };
    let fitted = !matches!(fit.curve(), Curve::Follows);
    let scatters = || {
        (fitted && fit.excess_u > 0.0).then(|| "scatters more than its stated u explains".into())
    };
    stepped().or_else(suspect).or_else(scatters)
}

/// Why a person has to look: what the record shows, else the rule that asks, which says so itself,
/// else how it moves.
fn alarm(case: &Case<'_>, unit: &Unit) -> String {
    let ends = match case.drawn.decision.action {
        Action::Withdraw => "not to be used as it is",
        _ => "a person has to decide",
    };
    let shown = alarming(&case.drawn.history, case.drawn.decision, case.advised, unit);
    match (shown, case.drawn.decision.rules_fired.last()) {
        (Some(shown), _) => format!("{shown}; {ends}"),
        (None, Some(rule)) => text::with_minus_signs(rule.brief()),
        (None, None) => format!("{}; {ends}", movement(case, unit)),
    }
}

/// Characters of a rule that a row has room for.
const MOST_TOLD: usize = 100;

/// What decided, in a few words for a row of the fleet's table.
pub(super) fn cause(
    history: &History<'_>,
    decision: &Decision,
    advised: Option<AdviceKind>,
) -> String {
    let person = decision.action.needs_person();
    let own = (1.0, history.item.unit.clone());
    let alarming = || alarming(history, decision, advised, &own).filter(|_| person);
    let rule = || match person {
        true => asks(decision),
        // The figures stand in the row.
        false => {
            let rule = || Some(decision.rules_fired.last()?.brief().to_string());
            unclosed(decision).or_else(rule)
        }
    };
    let method = || Some(format!("by {}", decision.method?.words()));
    let cause = alarming().or_else(rule).or_else(method);
    cause.map_or(String::new(), |words| text::with_minus_signs(&words))
}

/// The rule that turned the decision to a person, whole as far as there is room.
fn asks(decision: &Decision) -> Option<String> {
    let rule = decision.rules_fired.last()?;
    let whole = rule.words().chars().count() <= MOST_TOLD;
    Some(if whole { rule.words() } else { rule.brief() }.to_string())
}

fn alarming(
    history: &History<'_>,
    decision: &Decision,
    advised: Option<AdviceKind>,
    unit: &Unit,
) -> Option<String> {
    let sessions = || {
        let asks = |kind: &AdviceKind| !matches!(kind, AdviceKind::Keep | AdviceKind::Adopt);
        advised
            .filter(asks)
            .map(|kind| format!("its sessions advise to {}", kind.word()))
    };
    let limits = || {
        let none = history.item.tolerance.is_none();
        none.then(|| "no tolerance given".to_string())
    };
    failed(history, unit)
        .or_else(|| unsure(decision))
        .or_else(sessions)
        .or_else(limits)
}

/// The last check, where it was found out of tolerance and nothing restored it.
fn failed(history: &History<'_>, (times, unit): &Unit) -> Option<String> {
    let last = history.len().checked_sub(1)?;
    let left = history.as_left[last];
    let restored = left.is_finite() && left != history.as_found[last];
    if history.outcome[last] != Outcome::Out || restored {
        return None;
    }
    let day = text::iso_date(history.date[last]);
    let found = history.as_found[last];
    Some(match found.is_finite() {
        true => {
            let shown = text::size(found * times, history.u[last] * times, unit);
            format!("{shown} on {day} is out of tolerance")
        }
        false => format!("found out of tolerance on {day}"),
    })
}

/// The probability today, where the decision rule cannot state that the item conforms.
fn unsure(decision: &Decision) -> Option<String> {
    let now = decision.probability_now;
    let conforms = decision.conformity_now == State::Conforming;
    (!conforms && now.is_finite())
        .then(|| format!("probability in tolerance today {}", text::percent(now)))
}

/// How it moves, as far as its record tells.
fn movement(case: &Case<'_>, unit: &Unit) -> String {
    let fit = case.drawn.fit;
    match (fit.status, Slope::of(case)) {
        (Status::FromClass, Some(slope)) => {
            format!("drift borrowed from its class, {}", slope.signed(unit))
        }
        (Status::Estimated, Some(slope)) => {
            let swing = match fit.shows_annual_term() {
                true => ", swings with the year",
                false => "",
            };
            slope.moves(unit) + swing
        }
        (Status::Estimated | Status::FromClass, None) if case.drawn.axis == Axis::Usage => {
            "its rate of use is not known".into()
        }
        (Status::OutcomesOnly, _) => "kept as in or out of tolerance only".into(),
        (Status::LevelOnly, _) => "too few checks to estimate a drift".into(),
        (Status::Undetermined, _) => "its dates cannot tell a drift".into(),
        (Status::Failed, _) => "its values could not be fitted".into(),
        _ => "no drift could be estimated".into(),
    }
}

/// How far the line that is drawn goes within a year, or a round number of use, of the last reading.
struct Slope {
    change: f64,
    u: f64,
    /// "a year", "in 1000 of use".
    within: String,
}

/// The line bends where a year of it differs from the drift at its begin by more than this share of either the
/// drift or its uncertainty.
const BENDS: f64 = 0.1;

impl Slope {
    fn of(case: &Case<'_>) -> Option<Self> {
        let fit = case.drawn.fit;
        let (drift, u, stretch) = match case.drawn.axis {
            Axis::Time => (fit.drift_per_year, fit.u_drift_per_year, 1.0),
            Axis::Usage => {
                let a_year = fit.drift_per_year / fit.drift_per_use.0;
                let stretch = 10f64.powf(a_year.log10().round());
                let (drift, u) = fit.drift_per_use;
                (drift * stretch, u * stretch, stretch)
            }
        };
        let expected = |x: f64| Some(fit.at(x)?.expected);
        let drawn = expected(fit.last_x + stretch)? - expected(fit.last_x)?;
        let bends = (drawn - drift).abs() > BENDS * drift.abs().max(u);
        let within = match (case.drawn.axis, bends) {
            (Axis::Time, false) => "a year".into(),
            (Axis::Time, true) => "within a year".into(),
            (Axis::Usage, false) => format!("in {stretch} of use"),
            (Axis::Usage, true) => format!("in the next {stretch} of use"),
        };
        let change = if bends { drawn } else { drift };
        change.is_finite().then_some(Self { change, u, within })
    }

    /// "1.67 mK a year", with its sign.
    fn signed(&self, (times, unit): &Unit) -> String {
        let shown = text::size(self.change * times, self.u * times, unit);
        format!("{shown} {}", self.within)
    }

    /// "rises 1.67 mK a year".
    fn moves(&self, unit: &Unit) -> String {
        let size = text::size(self.change.abs() * unit.0, self.u * unit.0, &unit.1);
        if self.change.abs() < 2.0 * self.u {
            format!("no clear drift ({})", self.signed(unit))
        } else if self.change > 0.0 {
            format!("rises {size} {}", self.within)
        } else {
            format!("falls {size} {}", self.within)
        }
    }
}

/// When it is due. A change takes effect when a person approves it: what is in force says whether it is overdue.
fn until(case: &Case<'_>) -> Option<String> {
    let (due, action) = (case.drawn.decision.due_date, case.drawn.decision.action);
    if !due.is_finite() {
        return None;
    }
    let day = text::iso_date(due);
    let in_force = case.drawn.decision.act_on();
    let away = case.drawn.history.item.status.is_away();
    Some(match action {
        _ if in_force < case.drawn.as_of && away => {
            "to be calibrated before it serves again".into()
        }
        _ if in_force < case.drawn.as_of => {
            let since = text::iso_date(in_force);
            match due < case.drawn.as_of {
                true => format!("overdue since {since}"),
                false => format!("overdue since {since}, proposed due date {day}"),
            }
        }
        _ if due == case.drawn.as_of && away => "to be calibrated before it serves again".into(),
        _ if due == case.drawn.as_of => "to be calibrated now".into(),
        Action::Keep => format!("next calibration by {day}"),
        _ => format!("proposed due date {day}"),
    })
}
