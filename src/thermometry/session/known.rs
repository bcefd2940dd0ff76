/*! What all sessions of a thermometer tell about one of them: its current, its self-heating, its noise. */

use super::SessionSettings;
use crate::thermometry::readings::RawReading;
use crate::thermometry::reduction::{AtCurrent, Reduced, Series, same_current};
use crate::thermometry::{ThermometerFacts, Thermometers};
use std::collections::BTreeMap;

/// Fewest other sessions whose scatter tells what is usual.
const FEWEST: usize = 3;

/// The current at which R of each thermometer is wanted: as its file states it; else zero power
/// where some session has two currents; else the current of most of its readings, as they are.
pub(super) fn wanted_currents(
    readings: &[RawReading],
    facts: &Thermometers,
) -> BTreeMap<String, AtCurrent> {
    let mut own: BTreeMap<&str, Vec<&RawReading>> = BTreeMap::new();
    for reading in readings {
        own.entry(&reading.instrument).or_default().push(reading);
    }
    let of =
        |(name, all): (&str, Vec<&RawReading>)| (name.to_string(), wanted(&all, facts.of(name)));
    own.into_iter().map(of).collect()
}

fn wanted(readings: &[&RawReading], facts: Option<&ThermometerFacts>) -> AtCurrent {
    let stated = facts.and_then(|f| f.current_ma);
    AtCurrent {
        ma: stated.unwrap_or_else(|| suggested(readings)),
        stated: stated.is_some(),
        compared: facts.is_some_and(|f| !f.from_sessions),
        own_rise_mk: facts.and_then(ThermometerFacts::rise_mk),
    }
}

fn suggested(readings: &[&RawReading]) -> f64 {
    let mut sessions: BTreeMap<(&str, String), Vec<f64>> = BTreeMap::new();
    for reading in readings.iter().filter(|r| r.current_ma.is_finite()) {
        let key = (reading.session.as_str(), reading.point.name());
        sessions.entry(key).or_default().push(reading.current_ma);
    }
    let two = |all: &Vec<f64>| all.iter().any(|ma| !same_current(*ma, all[0]));
    if sessions.values().any(two) {
        return 0.0;
    }
    let mut currents: Vec<f64> = sessions.into_values().flatten().collect();
    currents.sort_by(f64::total_cmp);
    // The current that most readings have; of equally common ones the smallest.
    let common = currents
        .chunk_by(|a, b| same_current(*a, *b))
        .rev()
        .max_by_key(|run| run.len());
    common.map_or(f64::NAN, |run| run[0])
}

/// Largest noise of the readings of a run, mK.
pub(super) fn scatter_mk(reduced: &Reduced) -> f64 {
    let runs = reduced.series.iter().flat_map(|s: &Series| &s.runs);
    let deviations = runs.map(|run| run.noise).filter(|d| d.is_finite());
    let largest = deviations.max_by(f64::total_cmp).unwrap_or(f64::NAN);
    reduced.in_mk(largest * reduced.scale_ohm)
}

/// Usual scatter of single readings beside session `place` of `all`, mK, with where it comes from:
/// as set, else the median of the other sessions; `None` where these are too few.
pub(super) fn usual_noise(
    all: &[f64],
    place: usize,
    settings: &SessionSettings,
) -> Option<(f64, &'static str)> {
    if let Some(noise) = settings.noise_mk {
        return Some((noise, "stated for the readout"));
    }
    let mut others: Vec<f64> = (0..all.len())
        .filter(|&i| i != place && all[i].is_finite())
        .map(|i| all[i])
        .collect();
    others.sort_by(f64::total_cmp);
    (others.len() >= FEWEST).then(|| {
        (
            others[others.len() / 2],
            "of this thermometer's other sessions",
        )
    })
}
