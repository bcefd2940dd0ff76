/*! The cell, resistor and bridge that a thermometer usually meets, and what another one costs.

Errors of the same cell, resistor and bridge cancel in a change from one session to the next; those
of another one do not: there both parts count, as new with that session.
*/

use super::result::SessionResult;
use crate::thermometry::reduction::{BudgetRow, BudgetSettings, Distribution, Shared};
use std::collections::BTreeMap;

/// Name of what a session was done with.
type NameOf = fn(&SessionResult) -> &str;

/// What the sessions of a history may share, and where a result keeps it.
const SHARED: [(Shared, &str, NameOf); 3] = [
    (Shared::Cell, "cell", |r| &r.cell),
    (Shared::Resistor, "resistor", |r| &r.resistor),
    (Shared::Bridge, "bridge", |r| &r.bridge),
];

/// Makes new, in sessions away from the usual cell, resistor or bridge, what does not cancel there.
pub(super) fn count_others_as_new(results: &mut [&mut SessionResult], budget: &BudgetSettings) {
    let mut histories: BTreeMap<(String, String), Vec<usize>> = BTreeMap::new();
    for (place, result) in results.iter().enumerate() {
        let key = (result.instrument.clone(), result.point.name());
        histories.entry(key).or_default().push(place);
    }
    for places in histories.into_values() {
        for (shared, word, of) in SHARED {
            let Some((usual, u_usual_mk)) = usual(results, &places, shared, of) else {
                continue;
            };
            let u_usual_mk = match shared {
                Shared::Cell => u_usual_mk.max(budget.cells_uk / 1000.0),
                _ => u_usual_mk,
            };
            for &place in &places {
                // An uncertainty that the laboratory states has all its components.
                if of(results[place]) != usual && !results[place].reduced.stated {
                    make_new(results[place], shared, (word, &usual), u_usual_mk);
                }
            }
        }
    }
}

/// The name that most accepted sessions have, and the largest shared part that they carry, mK; of
/// equally common names the one that came first.
fn usual(
    results: &[&mut SessionResult],
    places: &[usize],
    shared: Shared,
    of: NameOf,
) -> Option<(String, f64)> {
    let mut counts: Vec<(&str, usize, f64)> = Vec::new();
    for &place in places {
        let result: &SessionResult = results[place];
        if !result.is_accepted() {
            continue;
        }
        let u_mk = result
            .reduced
            .in_mk(result.reduced.budget.u_shared_ohm(shared));
        match counts.iter_mut().find(|(name, ..)| *name == of(result)) {
            Some((_, count, largest)) => (*count, *largest) = (*count + 1, largest.max(u_mk)),
            None => counts.push((of(result), 1, u_mk)),
        }
    }
    let most = counts.iter().map(|(_, count, _)| *count).max()?;
    let first = counts.iter().find(|(_, count, _)| *count == most)?;
    Some((first.0.to_string(), first.2))
}

fn make_new(result: &mut SessionResult, shared: Shared, other: (&str, &str), u_usual_mk: f64) {
    let rows = &mut result.reduced.budget.rows;
    for row in rows.iter_mut().filter(|row| row.shared == shared) {
        row.shared = Shared::No;
    }
    let (word, usual) = other;
    let usual = if usual.is_empty() { "unnamed" } else { usual };
    result.reduced.budget.add(BudgetRow::new(
        format!("usual {word} ({usual}), not the one here"),
        (u_usual_mk, "mK"),
        Distribution::Normal,
        result.reduced.ohm_per_mk,
    ));
}
