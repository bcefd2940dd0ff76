/*! All sessions of a table: readings in, one result a thermometer, point and session out. */

use super::result::SessionResult;
use super::rules::{Evidence, violations};
use super::settings::SessionSettings;
use super::shared_rules::{SessionGroup, StandardHistory, check_standard, thermometers};
use super::violation::Standing;
use crate::thermometry::Thermometers;
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::readings::{RawReading, ReadingPoint, RejectedReading};
use crate::thermometry::reduction::{BudgetSettings, reduce};
use std::collections::{BTreeMap, BTreeSet};

/// What came out of a table of readings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sessions {
    /// Results by date, then session and instrument.
    pub results: Vec<SessionResult>,
    /// Readings that could not be reduced.
    pub rejected: Vec<RejectedReading>,
}

/// Key of the readings that are reduced together.
type Key = (String, String, String);

/// Reduces every session and applies the rules. The order of the readings is of no account.
pub fn reduce_sessions(
    readings: &[RawReading],
    facts: &Thermometers,
    budget: &BudgetSettings,
    rules: &SessionSettings,
) -> Sessions {
    let mut groups: BTreeMap<Key, Vec<&RawReading>> = BTreeMap::new();
    for reading in readings {
        let key = (
            reading.session.clone(),
            reading.instrument.clone(),
            reading.point.name(),
        );
        groups.entry(key).or_default().push(reading);
    }
    let mut sessions = Sessions::default();
    let mut kept = Vec::with_capacity(groups.len());
    for group in groups.values_mut() {
        group.sort_by(|a, b| {
            a.date
                .total_cmp(&b.date)
                .then((a.file, a.row).cmp(&(b.file, b.row)))
        });
        match one(group, facts, budget, rules) {
            Ok(result) => kept.push((result, went_in_warm(group), is_small(group))),
            Err(reason) => sessions
                .rejected
                .extend(group.iter().map(|r| RejectedReading {
                    file: r.file,
                    row: r.row,
                    column: "",
                    value: String::new(),
                    reason: reason.clone(),
                })),
        }
    }
    kept.sort_by(|(a, ..), (b, ..)| {
        a.date
            .total_cmp(&b.date)
            .then_with(|| (&a.session, &a.instrument).cmp(&(&b.session, &b.instrument)))
    });
    count_from_first(&mut kept);
    apply_shared_rules(&mut kept, rules);
    sessions.results = kept.into_iter().map(|(result, ..)| result).collect();
    note_adoptions(&mut sessions.results, facts);
    sessions.rejected.sort_by_key(|r| (r.file, r.row));
    sessions
}

fn one(
    readings: &[&RawReading],
    facts: &Thermometers,
    budget: &BudgetSettings,
    rules: &SessionSettings,
) -> Result<SessionResult, String> {
    let first = readings.first().ok_or("no readings")?;
    let reduced = reduce(readings, budget).map_err(|e| e.to_string())?;
    let own = facts.of(&first.instrument);
    let in_use = own
        .filter(|_| first.point == ReadingPoint::Fixed(FixedPoint::Water))
        .map(|f| f.value_on(first.date).ohm);
    let found = violations(&Evidence {
        readings,
        reduced: &reduced,
        facts: own,
        settings: rules,
    });
    // Of several notes each is kept once, in order of the text.
    let notes: BTreeSet<&str> = readings
        .iter()
        .map(|r| r.notes.as_str())
        .filter(|n| !n.is_empty())
        .collect();
    let event = readings
        .iter()
        .map(|r| r.event.as_str())
        .find(|e| !e.is_empty());
    let mut result = SessionResult {
        session: first.session.clone(),
        instrument: first.instrument.clone(),
        point: first.point,
        date: mean_date(readings),
        cell: first.cell.name.clone(),
        check_standard: own.is_some_and(|f| f.check_standard),
        reduced,
        reference_ohm: in_use.unwrap_or(f64::NAN),
        reference_in_use: in_use.is_some(),
        adopted: None,
        violations: Vec::new(),
        event: event.unwrap_or("").to_string(),
        notes: notes.into_iter().collect::<Vec<_>>().join("; "),
        readings: readings.len(),
        first_row: readings
            .iter()
            .map(|r| (r.file, r.row))
            .min()
            .unwrap_or((0, 0)),
    };
    for violation in found {
        result.add(violation, rules);
    }
    Ok(result)
}

fn mean_date(readings: &[&RawReading]) -> f64 {
    let first = readings.first().map_or(f64::NAN, |r| r.date);
    first + readings.iter().map(|r| r.date - first).sum::<f64>() / readings.len() as f64
}

fn went_in_warm(readings: &[&RawReading]) -> bool {
    readings.iter().all(|r| r.pre_cooled != Some(true))
}

fn is_small(readings: &[&RawReading]) -> bool {
    readings.iter().any(|r| r.cell.small)
}

/// Where no value is in use, changes count from the first session.
fn count_from_first(kept: &mut [(SessionResult, bool, bool)]) {
    let mut first: BTreeMap<(String, String), f64> = BTreeMap::new();
    for (result, ..) in kept {
        if !result.reference_in_use {
            let key = (result.instrument.clone(), result.point.name());
            result.reference_ohm = *first.entry(key).or_insert(result.reduced.resistance_ohm);
        }
    }
}

/// Notes at each accepted session at the triple point of water which value was adopted between
/// it and the next one.
fn note_adoptions(results: &mut [SessionResult], facts: &Thermometers) {
    let mut next: BTreeMap<String, f64> = BTreeMap::new();
    for result in results.iter_mut().rev() {
        let accepted = result.standing() != Standing::Rejected;
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

fn apply_shared_rules(kept: &mut [(SessionResult, bool, bool)], rules: &SessionSettings) {
    let watched: BTreeSet<String> = kept
        .iter()
        .filter(|(result, ..)| result.check_standard)
        .map(|(result, ..)| result.session.clone())
        .collect();
    let mut order: Vec<(String, String)> = Vec::new();
    let mut sessions: BTreeMap<(String, String), SessionGroup<'_>> = BTreeMap::new();
    for (result, warm, small) in kept {
        let key = (result.session.clone(), result.point.name());
        if !sessions.contains_key(&key) {
            order.push(key.clone());
        }
        let group = sessions.entry(key).or_insert_with(|| SessionGroup {
            results: Vec::new(),
            warm: Vec::new(),
            small: false,
            has_standard: watched.contains(&result.session),
        });
        group.results.push(result);
        group.warm.push(*warm);
        group.small |= *small;
    }
    let mut history = StandardHistory::new();
    for key in order {
        if let Some(group) = sessions.get_mut(&key) {
            thermometers(group, rules);
            check_standard(group, &mut history, rules);
        }
    }
}
