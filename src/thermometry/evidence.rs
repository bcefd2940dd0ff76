/*! What the sessions of a thermometer at the triple point of water bring to the advice. */

use super::ThermometerFacts;
use super::advice::{AdviceInput, AdviceSettings, Expected, Total};
use super::closure::DatedChange;
use super::expectation::expected;
use super::session::{OnViolation, SessionResult};
use crate::records::{self, Event, date};

/// Evidence of the last session in `own`, those of one thermometer by date. W at other points and
/// the platinum are left for the caller.
pub(super) fn advice_input(
    own: &[&SessionResult],
    facts: &ThermometerFacts,
    limits: &AdviceSettings,
) -> AdviceInput {
    let last = own[own.len() - 1];
    // Everything counts from the value carried now.
    let carried = last.carried_ohm();
    let change_mk = last.change_from_mk(carried);
    let since = restart(own);
    let earlier: Vec<&SessionResult> = own[since..own.len() - 1]
        .iter()
        .filter(|r| r.is_accepted())
        .copied()
        .collect();
    AdviceInput {
        standing: last.standing(),
        session_reasons: last.reasons(),
        change_mk,
        u_change_mk: u_change_mk(last, facts),
        confirmed: earlier
            .last()
            .is_some_and(|before| says_the_same(before, last, own, limits)),
        shocked: own[since..].iter().any(|r| event(r) == Event::Shocked),
        total: Some(total(last, accepted_before(own), facts, limits)),
        expected: lets_expect(&earlier, carried, last),
        after_anneals_mk: after_anneals_mk(own, carried),
        other_point: None,
        certificate: None,
        platinum: None,
        maximum_c: facts.maximum_c,
        highest_use_c: facts.range_c().1,
    }
}

fn event(result: &SessionResult) -> Event {
    records::event(&result.event).unwrap_or_default()
}

/// Place from which earlier sessions tell what the last one should read: after an anneal, a repair,
/// an adjustment or a replacement nothing before does. A knock ends nothing: what was expected before
/// it shows what it did. A value adopted after a knock is the new start.
fn restart(own: &[&SessionResult]) -> usize {
    let mut since = 0;
    for (place, result) in own.iter().enumerate() {
        match event(result) {
            Event::None => {}
            Event::Shocked => {
                let carried = own[own.len() - 1].carried_ohm();
                let before = place.checked_sub(1).map(|i| own[i].carried_ohm());
                if before.is_some_and(|ohm| ohm != carried) {
                    since = place;
                }
            }
            _ => since = place,
        }
    }
    since
}

fn lets_expect(earlier: &[&SessionResult], carried: f64, last: &SessionResult) -> Option<Expected> {
    let changes: Vec<DatedChange> = earlier
        .iter()
        .map(|r| DatedChange::of(r, carried))
        .collect();
    let usual = changes.iter().map(|c| c.u_mk * c.u_mk).sum::<f64>() / changes.len() as f64;
    let own = last.u_mk().powi(2) - usual;
    expected(&changes, last.date).map(|e| Expected {
        // A session that is worth less than the earlier ones may lie farther off.
        u_mk: e.u_mk.hypot(own.max(0.0).sqrt()),
        ..e
    })
}

/// True where `before` shows the change of `last` too, and neither session is in doubt by itself.
/// Both lie on one side of a knock.
fn says_the_same(
    before: &SessionResult,
    last: &SessionResult,
    own: &[&SessionResult],
    limits: &AdviceSettings,
) -> bool {
    let knocked_between = own
        .iter()
        .any(|r| r.date > before.date && r.date <= last.date && event(r) == Event::Shocked);
    let carried = last.carried_ohm();
    let (earlier, now) = (before.change_from_mk(carried), last.change_from_mk(carried));
    let shown = |change: f64, r: &SessionResult| change.abs() > limits.coverage_factor * r.u_mk();
    let apart = (now - earlier).abs();
    let agree = limits
        .adopt_mk
        .max(limits.coverage_factor * before.u_mk().hypot(last.u_mk()));
    !knocked_between
        && now.signum() == earlier.signum()
        && shown(earlier, before)
        && apart <= agree
        && !in_doubt(before)
        && !in_doubt(last)
}

/// True where a rule about the session itself speaks against it. That no check standard was read, or
/// that something had to be assumed, is in the budget and speaks against no single session.
fn in_doubt(result: &SessionResult) -> bool {
    let own = |v: &&crate::thermometry::session::Violation| {
        v.effect != OnViolation::Note && v.rule != "no_check_standard"
    };
    result.violations.iter().any(|v| own(&v))
}

/// Standard uncertainty of the change from the value in use: what cell, resistor and bridge share
/// is left out only where the value was measured with them.
fn u_change_mk(last: &SessionResult, facts: &ThermometerFacts) -> f64 {
    let value = last.adopted.unwrap_or(facts.value_on(last.date));
    let day = match last.adopted {
        Some(_) => value.from + 1.0,
        None => last.date,
    };
    let own = last.u_mk().hypot(last.reduced.in_mk(value.u_ohm));
    let measured_in = facts.measured_in(day);
    match !measured_in.is_empty() && measured_in == last.cell {
        true => own,
        false => own.hypot(last.u_common_mk()),
    }
}

/// The accepted session before the last one.
fn accepted_before<'a>(own: &[&'a SessionResult]) -> Option<&'a SessionResult> {
    let before = own[..own.len() - 1].iter();
    before.rev().find(|r| r.is_accepted()).copied()
}

fn total(
    last: &SessionResult,
    before: Option<&SessionResult>,
    facts: &ThermometerFacts,
    limits: &AdviceSettings,
) -> Total {
    let certified = facts.certified_on(last.date);
    let since = match certified.from.is_finite() {
        true => format!("since the certificate of {}", date::iso(certified.from)),
        false => "since the first value in use".into(),
    };
    let mk = last.change_from_mk(certified.ohm);
    let alike = |r: &SessionResult| {
        let earlier = r.change_from_mk(certified.ohm);
        earlier.abs() > limits.total_mk && earlier.signum() == mk.signum() && !in_doubt(r)
    };
    Total {
        mk,
        confirmed: before.is_some_and(alike) && !in_doubt(last),
        u_mk: last
            .u_mk()
            .hypot(last.u_common_mk())
            .hypot(last.reduced.in_mk(certified.u_ohm)),
        since,
    }
}

/// Changes of the sessions at the end of the record that each followed an anneal: the cycles so far.
fn after_anneals_mk(own: &[&SessionResult], carried: f64) -> Vec<f64> {
    let cycles = own
        .iter()
        .rev()
        .take_while(|r| event(r) == Event::Annealed && r.is_accepted());
    let mut changes: Vec<f64> = cycles.map(|r| r.change_from_mk(carried)).collect();
    changes.reverse();
    changes
}
