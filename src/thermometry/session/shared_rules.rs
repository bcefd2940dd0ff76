/*! The rules that look at a whole session: how many thermometers, and its check standard. */

use super::result::SessionResult;
use super::settings::{OnViolation, SessionSettings};
use super::violation::{Standing, Violation};
use crate::words::{Short, count};
use std::collections::BTreeMap;

/// Thermometers of one session in the order in which they were read.
pub(super) struct SessionGroup<'a> {
    pub results: Vec<&'a mut SessionResult>,
    /// True for each thermometer that went in warm.
    pub warm: Vec<bool>,
    /// True where the cell is small.
    pub small: bool,
    /// True where a check standard was read in the session, be it at another point.
    pub has_standard: bool,
}

/// More warm thermometers than the plateau of a small cell takes.
pub(super) fn thermometers(group: &mut SessionGroup<'_>, settings: &SessionSettings) {
    if !group.small {
        return;
    }
    let mut warm = 0;
    for (result, went_in_warm) in group.results.iter_mut().zip(&group.warm) {
        warm += u32::from(*went_in_warm);
        if *went_in_warm && warm > settings.thermometers {
            let words = format!(
                "thermometer number {warm} that was not pre-cooled on one plateau; a small cell takes {}",
                settings.thermometers
            );
            let violation = Violation::new("thermometers", settings.on_thermometers, words);
            result.add(violation, settings);
        }
    }
}

/// Earlier accepted changes of the check standards, mK, by name of instrument and point.
pub(super) type StandardHistory = BTreeMap<(String, String), (f64, Vec<f64>)>;

/// The check standard of the session is in control, or all its checks are in doubt.
pub(super) fn check_standard(
    group: &mut SessionGroup<'_>,
    history: &mut StandardHistory,
    settings: &SessionSettings,
) {
    let standards: Vec<&SessionResult> = group
        .results
        .iter()
        .map(|r| &**r)
        .filter(|r| r.check_standard)
        .collect();
    if !group.has_standard {
        let words =
            "no check standard in this session: cell, resistor and bridge are not confirmed";
        spread(
            group,
            "no_check_standard",
            settings.on_no_check_standard,
            words,
            settings,
        );
        return;
    }
    let mut complaint = None;
    for standard in &standards {
        let key = (standard.instrument.clone(), standard.point.name());
        let start = (standard.reference_ohm, Vec::new());
        let (origin_ohm, earlier) = history.entry(key).or_insert(start);
        let change = standard.change_from_mk(*origin_ohm);
        let mean = earlier.iter().sum::<f64>() / earlier.len() as f64;
        let moved = change - mean;
        if !earlier.is_empty() && moved.abs() > settings.check_standard_mk {
            complaint = Some(format!(
                "check standard {} moved by {:+.2} mK from the mean of its {}; limit {} mK: \
                 cell, resistor or bridge in doubt, repeat the session",
                standard.instrument,
                Short(moved),
                count(earlier.len(), "earlier session"),
                settings.check_standard_mk
            ));
        } else if standard.standing() != Standing::Rejected {
            earlier.push(change);
        }
    }
    if let Some(words) = complaint {
        spread(
            group,
            "check_standard",
            settings.on_check_standard,
            &words,
            settings,
        );
    }
}

fn spread(
    group: &mut SessionGroup<'_>,
    rule: &'static str,
    effect: OnViolation,
    words: &str,
    settings: &SessionSettings,
) {
    for result in &mut group.results {
        result.add(Violation::new(rule, effect, words), settings);
    }
}
