/*! All sessions of a table: readings in, one result a thermometer, point and session out. */

use super::carried_events;
use super::check_standard::{StandardHistory, check_standard};
use super::copies::take_copies;
use super::first_value::count_from_first;
use super::known::{scatter_mk, usual_noise, wanted_currents};
use super::result::SessionResult;
use super::rules::{SessionEvidence, violations};
use super::settings::SessionSettings;
use super::shared_rules::{SessionGroup, thermometers};
use super::together::{Earlier, moved_together, swapped};
use super::usual::count_others_as_new;
use super::water::reject_without_water;
use crate::records::{self, date};
use crate::thermometry::Thermometers;
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::readings::{CellKind, RawReading, ReadingPoint, RejectedReading};
use crate::thermometry::reduction::{AtCurrent, BudgetSettings, Reduced, reduce};
use std::collections::{BTreeMap, BTreeSet};

/// What came out of a table of readings.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Sessions {
    /// Results by date, then session and instrument.
    pub results: Vec<SessionResult>,
    /// Readings that could not be reduced.
    pub rejected: Vec<RejectedReading>,
}

/// Longest time from the first to the last reading of a session, days: a working week (our own choice, no source).
const LONGEST_DAYS: f64 = 5.0;

/// Key of the readings that are reduced together.
type Key = (String, String, String);

/// The readings of one thermometer at one point in one session, reduced.
struct Reading<'a> {
    readings: Vec<&'a RawReading>,
    reduced: Reduced,
}

/// A result with what the rules of the whole session ask of its readings.
struct Kept {
    result: SessionResult,
    went_in_warm: bool,
    small: bool,
}

/// Reduces every session and applies the rules. The order of the readings is of no account.
pub(crate) fn reduce_sessions(
    readings: &[RawReading],
    facts: &Thermometers,
    budget: &BudgetSettings,
    rules: &SessionSettings,
) -> Sessions {
    let currents = wanted_currents(readings, facts);
    let mut sessions = Sessions::default();
    let mut reduced = Vec::new();
    for mut group in grouped(readings) {
        sessions.rejected.extend(take_copies(&mut group));
        if let Some(why) = too_long(&group) {
            refuse(&mut sessions.rejected, &group, &why);
            continue;
        }
        let wanted = currents.get(&group[0].instrument).copied();
        match reduce(&group, &wanted.unwrap_or_default(), budget) {
            Ok(found) => reduced.push(Reading {
                readings: group,
                reduced: found,
            }),
            Err(why) => refuse(&mut sessions.rejected, &group, &why.to_string()),
        }
    }
    let mut kept: Vec<Kept> = judged(&reduced, facts, &currents, rules);
    kept.sort_by(|a, b| {
        let (a, b) = (&a.result, &b.result);
        a.date
            .total_cmp(&b.date)
            .then_with(|| (&a.session, &a.instrument).cmp(&(&b.session, &b.instrument)))
    });
    let mut results: Vec<&mut SessionResult> = kept.iter_mut().map(|k| &mut k.result).collect();
    count_from_first(&mut results, rules);
    count_others_as_new(&mut results, budget);
    apply_shared_rules(&mut kept, facts, rules);
    sessions.results = kept.into_iter().map(|k| k.result).collect();
    reject_without_water(&mut sessions.results, rules);
    carried_events::carry(&mut sessions.results);
    note_adoptions(&mut sessions.results, facts);
    sessions.rejected.sort_by_key(|r| (r.file, r.row));
    sessions
}

/// Readings that are reduced together, each group by time.
fn grouped(readings: &[RawReading]) -> Vec<Vec<&RawReading>> {
    let mut groups: BTreeMap<Key, Vec<&RawReading>> = BTreeMap::new();
    for reading in readings {
        let key = (
            reading.session.clone(),
            reading.instrument.clone(),
            reading.point.name(),
        );
        groups.entry(key).or_default().push(reading);
    }
    let mut groups: Vec<_> = groups.into_values().collect();
    for group in &mut groups {
        group.sort_by(|a, b| {
            a.date
                .total_cmp(&b.date)
                .then((a.file, a.row).cmp(&(b.file, b.row)))
        });
    }
    groups
}

/// Why readings cannot be those of one session, where they lie too far apart.
fn too_long(group: &[&RawReading]) -> Option<String> {
    let (first, last) = (group.first()?.date, group.last()?.date);
    (last - first > LONGEST_DAYS).then(|| {
        format!(
            "the readings of session {} lie between {} and {}, and no session lasts longer than {LONGEST_DAYS} days: was its name given twice? Give each session its own",
            group[0].session,
            date::iso(first.floor()),
            date::iso(last.floor())
        )
    })
}

fn refuse(rejected: &mut Vec<RejectedReading>, group: &[&RawReading], reason: &str) {
    rejected.extend(group.iter().map(|r| RejectedReading {
        file: r.file,
        row: r.row,
        column: "",
        value: String::new(),
        reason: reason.to_string(),
        session_cause: None,
        event: records::event(&r.event).unwrap_or_default(),
    }));
}

/// Results with the violations of each thermometer by itself.
fn judged(
    reduced: &[Reading<'_>],
    facts: &Thermometers,
    currents: &BTreeMap<String, AtCurrent>,
    rules: &SessionSettings,
) -> Vec<Kept> {
    let mut scatters: BTreeMap<(&str, String), Vec<f64>> = BTreeMap::new();
    let places: Vec<usize> = reduced
        .iter()
        .map(|one| {
            let first = one.readings[0];
            let key = (first.instrument.as_str(), first.point.name());
            let own = scatters.entry(key).or_default();
            own.push(scatter_mk(&one.reduced));
            own.len() - 1
        })
        .collect();
    let judge = |(one, place): (&Reading<'_>, usize)| {
        let first = one.readings[0];
        let own = scatters.get(&(first.instrument.as_str(), first.point.name()));
        let found = violations(&SessionEvidence {
            readings: &one.readings,
            reduced: &one.reduced,
            facts: facts.of(&first.instrument),
            wanted: &currents.get(&first.instrument).copied().unwrap_or_default(),
            noise: own.and_then(|all| usual_noise(all, place, rules)),
            settings: rules,
        });
        let mut result = result(&one.readings, one.reduced.clone(), facts);
        for violation in found {
            result.add(violation, rules);
        }
        Kept {
            result,
            went_in_warm: one.readings.iter().all(|r| r.pre_cooled != Some(true)),
            small: one.readings.iter().any(|r| r.cell.kind.is_small()),
        }
    };
    reduced.iter().zip(places).map(judge).collect()
}

fn result(readings: &[&RawReading], reduced: Reduced, facts: &Thermometers) -> SessionResult {
    let first = readings[0];
    let own = facts.of(&first.instrument);
    let in_use = own
        .filter(|_| first.point == ReadingPoint::Fixed(FixedPoint::Water))
        .map(|f| f.value_on(first.date).ohm);
    // Of several notes each is kept once, in order of the text.
    let notes: BTreeSet<&str> = readings
        .iter()
        .map(|r| r.notes.as_str())
        .filter(|n| !n.is_empty())
        .collect();
    let stated = |of: fn(&RawReading) -> &str| {
        let text = readings.iter().map(|r| of(r)).find(|e| !e.is_empty());
        text.unwrap_or("").to_string()
    };
    let named = stated(|r| &r.resistor_name);
    let by_value = readings.iter().find_map(|r| r.resistor).map(|r| r.ohm);
    SessionResult {
        session: first.session.clone(),
        instrument: first.instrument.clone(),
        point: first.point,
        date: mean_date(readings),
        cell: stated(|r| &r.cell.name),
        cell_kind: readings
            .iter()
            .map(|r| r.cell.kind)
            .find(|kind| *kind != CellKind::NotStated)
            .unwrap_or_default(),
        resistor: match named.is_empty() {
            true => by_value.map_or(String::new(), |ohm| format!("{ohm} Ω")),
            false => named,
        },
        bridge: stated(|r| &r.bridge),
        check_standard: own.is_some_and(|f| f.check_standard),
        reduced,
        reference_ohm: in_use.unwrap_or(f64::NAN),
        reference_in_use: in_use.is_some(),
        adopted: None,
        violations: Vec::new(),
        event: stated(|r| &r.event),
        notes: notes.into_iter().collect::<Vec<_>>().join("; "),
        readings: readings.iter().map(|r| r.count).sum(),
        first_row: readings
            .iter()
            .map(|r| (r.file, r.row))
            .min()
            .unwrap_or((0, 0)),
    }
}

fn mean_date(readings: &[&RawReading]) -> f64 {
    let first = readings.first().map_or(f64::NAN, |r| r.date);
    first + readings.iter().map(|r| r.date - first).sum::<f64>() / readings.len() as f64
}

/// Notes at each accepted session at the triple point of water which value was adopted between
/// it and the next one.
fn note_adoptions(results: &mut [SessionResult], facts: &Thermometers) {
    let mut next: BTreeMap<String, f64> = BTreeMap::new();
    for result in results.iter_mut().rev() {
        let accepted = result.is_accepted();
        let Some(own) = facts
            .of(&result.instrument)
            .filter(|_| result.reference_in_use && accepted)
        else {
            continue;
        };
        let until = next.insert(result.instrument.clone(), result.date);
        let carried = own.value_on(until.unwrap_or(f64::INFINITY));
        result.adopted = Some(carried).filter(|c| !c.is(&own.value_on(result.date)));
    }
}

/// The rules of whole sessions, in the order of time: what an earlier session showed counts later.
fn apply_shared_rules(kept: &mut [Kept], facts: &Thermometers, rules: &SessionSettings) {
    let watched: BTreeSet<String> = kept
        .iter()
        .filter(|k| k.result.check_standard)
        .map(|k| k.result.session.clone())
        .collect();
    let mut order: Vec<(String, String)> = Vec::new();
    let mut sessions: BTreeMap<(String, String), SessionGroup<'_>> = BTreeMap::new();
    for one in kept {
        let key = (one.result.session.clone(), one.result.point.name());
        if !sessions.contains_key(&key) {
            order.push(key.clone());
        }
        let group = sessions.entry(key).or_insert_with(|| SessionGroup {
            results: Vec::new(),
            warm: Vec::new(),
            small: false,
            has_standard: watched.contains(&one.result.session),
        });
        group.warm.push(one.went_in_warm);
        group.small |= one.small;
        group.results.push(&mut one.result);
    }
    let (mut standards, mut earlier) = (StandardHistory::new(), Earlier::default());
    for key in order {
        if let Some(group) = sessions.get_mut(&key) {
            thermometers(group, rules);
            swapped(group, facts, rules);
            let moves = earlier.moves(group, rules);
            moved_together(group, &moves, rules);
            check_standard(group, &moves, &mut standards, rules);
            earlier.note(group);
        }
    }
}
