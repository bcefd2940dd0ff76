/*! What changes count from where no value in use is stated, and sessions that cannot be of their thermometer. */

use super::result::SessionResult;
use super::settings::{OnViolation, SessionSettings};
use super::violation::Violation;
use crate::words::Short;
use std::collections::BTreeMap;

/// Changes count from the first session; one farther from most of the others than any thermometer
/// moves is rejected, the first one too. By date.
pub(super) fn count_from_first(results: &mut [&mut SessionResult], rules: &SessionSettings) {
    let mut groups: BTreeMap<(String, String), Vec<usize>> = BTreeMap::new();
    for (place, result) in results.iter().enumerate() {
        if !result.reference_in_use {
            let key = (result.instrument.clone(), result.point.name());
            groups.entry(key).or_default().push(place);
        }
    }
    for own in groups.into_values() {
        let typical = typical_ohm(results, &own, rules.plausible_mk);
        let far = |place: usize| {
            let change = results[place].change_from_mk(typical);
            (change.abs() > rules.plausible_mk).then_some(change)
        };
        let far: Vec<Option<f64>> = own.iter().map(|&place| far(place)).collect();
        let first = own.iter().zip(&far).find(|(_, far)| far.is_none());
        let first = first.map_or(own[0], |(place, _)| *place);
        let reference_ohm = results[first].reduced.resistance_ohm;
        for (&place, far) in own.iter().zip(far) {
            results[place].reference_ohm = reference_ohm;
            let Some(change) = far else { continue };
            let words = format!(
                "{:+.0} mK from the other sessions of this thermometer: another thermometer, another resistor or another point?",
                Short(change)
            );
            results[place].add(
                Violation::new("plausible", OnViolation::Reject, words),
                rules,
            );
        }
    }
}

/// R that more than half of the sessions are near; the first one's where there is none such.
fn typical_ohm(results: &[&mut SessionResult], own: &[usize], near_mk: f64) -> f64 {
    let ohm = |place: usize| results[place].reduced.resistance_ohm;
    let mut sorted = own.to_vec();
    sorted.sort_by(|a, b| ohm(*a).total_cmp(&ohm(*b)));
    let middle = ohm(sorted[sorted.len() / 2]);
    let near = own
        .iter()
        .filter(|&&place| results[place].change_from_mk(middle).abs() <= near_mk);
    match 2 * near.count() > own.len() {
        true => middle,
        false => ohm(own[0]),
    }
}
