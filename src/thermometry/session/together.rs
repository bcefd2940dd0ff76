/*! What the thermometers of one session did together, asked before any of them is blamed.

Each is compared with what its own earlier sessions let expect. All of them moved alike: the cell,
the resistor or the bridge. Two of them read each other's value: they were swapped. (Common
practice, no source.)
*/

use super::result::SessionResult;
use super::settings::SessionSettings;
use super::shared_rules::SessionGroup;
use super::violation::Violation;
use crate::records::{self, Event};
use crate::thermometry::Thermometers;
use crate::thermometry::closure::DatedChange;
use crate::thermometry::expectation::expected;
use crate::words::Short;
use std::collections::BTreeMap;

/// Coverage factor of the question whether a move is shown.
const COVERAGE: f64 = 2.0;

/// Accepted sessions of one thermometer at one point: day, R, u of it that is new.
type Past = Vec<(f64, f64, f64)>;

/// Accepted sessions so far, by thermometer and point.
#[derive(Debug, Default)]
pub(super) struct Earlier(BTreeMap<(String, String), Past>);

/// What a thermometer did against what was expected of it, mK.
#[derive(Debug, Clone, Copy)]
pub(super) struct Move {
    pub mk: f64,
    pub u_mk: f64,
    /// True where it is shown and larger than the limit.
    pub moved: bool,
}

impl Earlier {
    /// Notes the accepted sessions of a group; an event or a new value starts anew.
    pub(crate) fn note(&mut self, group: &SessionGroup<'_>) {
        for result in &group.results {
            let past = self.0.entry(key(result)).or_default();
            if restarts(result) {
                past.clear();
            }
            if result.is_accepted() {
                past.push((result.date, result.reduced.resistance_ohm, result.u_mk()));
            }
        }
    }

    /// Moves of the group's thermometers; `None` where nothing is expected of one, or something
    /// happened to it before the session.
    pub(crate) fn moves(
        &self,
        group: &SessionGroup<'_>,
        settings: &SessionSettings,
    ) -> Vec<Option<Move>> {
        let judged = |result: &&mut SessionResult| self.judge(result, settings);
        group.results.iter().map(judged).collect()
    }

    fn judge(&self, result: &SessionResult, settings: &SessionSettings) -> Option<Move> {
        let usable = !restarts(result) && result.is_accepted();
        let (mk, u_mk) = self.surprise(result).filter(|_| usable)?;
        let moved = mk.abs() > settings.common_mk.max(COVERAGE * u_mk);
        Some(Move { mk, u_mk, moved })
    }

    /// Difference from the line through its earlier sessions, from the last one of few, or from
    /// the value in use.
    fn surprise(&self, result: &SessionResult) -> Option<(f64, f64)> {
        let past = self.0.get(&key(result)).map_or(&[][..], Vec::as_slice);
        let Some(&(_, last_ohm, u_last)) = past.last() else {
            let u_mk = result.u_mk().hypot(result.u_common_mk());
            return result.reference_in_use.then(|| (result.change_mk(), u_mk));
        };
        let changes: Vec<DatedChange> = past
            .iter()
            .map(|&(date, ohm, u_mk)| {
                DatedChange::new(date, result.reduced.in_mk(ohm - last_ohm), u_mk)
            })
            .collect();
        let (expected_mk, u_expected) =
            expected(&changes, result.date).map_or((0.0, u_last), |e| (e.change_mk, e.u_mk));
        let mk = result.change_from_mk(last_ohm) - expected_mk;
        Some((mk, result.u_mk().hypot(u_expected)))
    }
}

fn key(result: &SessionResult) -> (String, String) {
    (result.instrument.clone(), result.point.name())
}

/// True where what happened to the thermometer leaves nothing to expect of this session.
fn restarts(result: &SessionResult) -> bool {
    records::event(&result.event).is_some_and(Event::restarts_level)
}

/// The shift that all thermometers of the session share, mK; `None` where there is none.
fn common_shift(moves: &[Option<Move>]) -> Option<f64> {
    let known: Vec<Move> = moves.iter().flatten().copied().collect();
    if known.len() < 2 || known.iter().any(|m| !m.moved) {
        return None;
    }
    let weight: f64 = known.iter().map(|m| m.u_mk.powi(-2)).sum();
    let mean = known.iter().map(|m| m.mk * m.u_mk.powi(-2)).sum::<f64>() / weight;
    let spread = weight.sqrt().recip();
    let agree = |m: &Move| (m.mk - mean).abs() <= COVERAGE * m.u_mk.hypot(spread);
    known.iter().all(agree).then_some(mean)
}

/// All thermometers moved alike: what they share is in doubt, and none of them.
pub(super) fn moved_together(
    group: &mut SessionGroup<'_>,
    moves: &[Option<Move>],
    settings: &SessionSettings,
) {
    let Some(shift) = common_shift(moves) else {
        return;
    };
    let count = moves.iter().flatten().count();
    let words = format!(
        "all {count} thermometers of the session moved together by {:+.2} mK: the cell, the resistor or the bridge is \
         in doubt, not the thermometers; repeat the session with another cell or resistor",
        Short(shift)
    );
    group.tell("common", settings.on_common, &words, settings);
}

/// Thermometers that read another one's value: the names were swapped, or the plugs.
pub(super) fn swapped(
    group: &mut SessionGroup<'_>,
    facts: &Thermometers,
    settings: &SessionSettings,
) {
    /// How much nearer the other's value lies than its own.
    const NEARER: f64 = 20.0;
    let mut found = Vec::new();
    for (place, result) in group.results.iter().enumerate() {
        let own = result.change_mk().abs();
        if !result.reference_in_use || own <= settings.common_mk.max(COVERAGE * result.u_mk()) {
            continue;
        }
        let other = facts.thermometer.iter().find(|other| {
            let apart = result.change_from_mk(other.value_on(result.date).ohm);
            other.instrument != result.instrument && NEARER * apart.abs() < own
        });
        if let Some(other) = other {
            let back = group
                .results
                .iter()
                .any(|r| r.instrument == other.instrument);
            let words = format!(
                "it reads the value of {} and lies {:+.0} mK from its own: {}; correct the rows",
                other.instrument,
                Short(result.change_mk()),
                if back {
                    "were the two swapped?"
                } else {
                    "is it that thermometer?"
                }
            );
            found.push((place, words));
        }
    }
    for (place, words) in found {
        let violation = Violation::new("swapped", super::settings::OnViolation::Reject, words);
        group.results[place].add(violation, settings);
    }
}
