/*! What a replay found, in numbers: coverage, sharpness, calibration of probabilities,
differences with their errors, and intervals against the record. */

use super::super::estimate::{ratio, share_of_dependent, units};
use super::super::scores::{Brier, brier};
use super::coverage::{Coverage, coverage};
use super::decisions::{Hindsight, PastDecision, calibrations_per_year};
use super::forecast::{Ahead, Scored};
use super::misses::{Misses, misses};
use crate::records::Histories;
use crate::stats::normal_quantile;
use std::collections::BTreeMap;

/// One forecaster over all records.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ForecasterResult {
    pub name: String,
    /// All forecasts of the next reading.
    pub next: Coverage,
    /// By how far ahead.
    pub by_horizon: Vec<Coverage>,
    /// Next reading, by how many checks were known.
    pub by_known: Vec<Coverage>,
    /// Next reading, by group.
    pub by_group: Vec<Coverage>,
    /// Probability that the next reading is in tolerance, against what was found.
    pub in_tolerance: Brier,
    /// Histories whose bands missed far more often than chance, where there are any.
    pub misses: Option<Misses>,
}

/// A difference of two forecasters or methods on the same cases.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Difference {
    pub first: String,
    pub second: String,
    /// What is compared.
    pub what: &'static str,
    /// First minus second.
    pub mean: f64,
    /// Its standard error: histories are the independent units, or stretches of them where
    /// there are fewer than ten; NaN from a single unit.
    pub error: f64,
    /// Limits at the settings' confidence.
    pub limits: (f64, f64),
    /// Cases.
    pub count: u64,
}

/// One method's (or the policy's) intervals against the record.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct MethodResult {
    pub name: String,
    /// Past calibrations at which it proposed an interval.
    pub proposed: u64,
    /// In tolerance on the day it would have been due.
    pub inside: u64,
    /// Out of tolerance by then.
    pub outside: u64,
    /// The record cannot tell.
    pub unknown: u64,
    /// Limits of inside / (inside + outside), by histories.
    pub limits: (f64, f64),
    /// Calibrations a year that were made.
    pub made_per_year: f64,
    /// Calibrations a year it would have led to.
    pub proposed_per_year: f64,
}

/// Numbers of checks known, as the table groups them: upper ends.
const KNOWN: [(u32, &str); 6] = [
    (1, "1 check known"),
    (2, "2 checks known"),
    (3, "3 checks known"),
    (5, "4 to 5 checks known"),
    (10, "6 to 10 checks known"),
    (u32::MAX, "more than 10 checks known"),
];

/// One forecaster's figures.
pub(super) fn forecaster(
    name: &str,
    scored: &[Option<Scored>],
    histories: &Histories,
    horizons: &[f64],
    (level, confidence): (f64, f64),
) -> ForecasterResult {
    let scored: Vec<&Scored> = scored.iter().flatten().collect();
    let all = || scored.iter().copied();
    let next = || all().filter(|forecast| forecast.ahead == Ahead::Next);
    let mut groups: BTreeMap<&str, Vec<&Scored>> = BTreeMap::new();
    for forecast in next() {
        let item = &histories.items[forecast.history as usize];
        groups.entry(&item.group).or_default().push(forecast);
    }
    let mut lower = 0;
    let by_known = KNOWN.map(|(upper, label)| {
        let range = lower + 1..=upper;
        lower = upper;
        coverage(
            label,
            next().filter(|f| range.contains(&(f.origin + 1))),
            confidence,
        )
    });
    let by_horizon = horizons.iter().map(|&years| {
        let at = all().filter(|forecast| forecast.ahead == Ahead::Years(years));
        coverage(horizon_words(years), at, confidence)
    });
    let with_chance = next().filter(|forecast| forecast.probability_in.is_finite());
    let filled = |list: Vec<Coverage>| list.into_iter().filter(|c| c.count > 0).collect();
    ForecasterResult {
        name: name.to_string(),
        next: coverage("next reading", next(), confidence),
        by_horizon: filled(by_horizon.collect()),
        by_known: filled(by_known.into()),
        by_group: groups
            .into_iter()
            .map(|(group, list)| {
                let label = if group.is_empty() { "no group" } else { group };
                coverage(label, list.into_iter(), confidence)
            })
            .collect(),
        in_tolerance: brier(with_chance.map(|f| (f.history, f.probability_in, f.was_in))),
        misses: misses(&scored, histories, (level, confidence)),
    }
}

fn horizon_words(years: f64) -> String {
    if years < 1.0 {
        return format!("about {} months ahead", (12.0 * years).round());
    }
    let plural = if years == 1.0 { "" } else { "s" };
    format!("about {years} year{plural} ahead")
}

/// Mean of (value of first − value of second) over cases in walking order.
pub(super) fn difference(
    (first, second): (&str, &str),
    what: &'static str,
    cases: impl Iterator<Item = (u32, f64)>,
    confidence: f64,
) -> Difference {
    let cases: Vec<(u32, f64)> = cases.collect();
    let (sums, counts) = units(&cases);
    let (mean, error) = ratio(&sums, &counts);
    let half = normal_quantile(0.5 + 0.5 * confidence) * error;
    Difference {
        first: first.to_string(),
        second: second.to_string(),
        what,
        mean,
        error,
        limits: (mean - half, mean + half),
        count: cases.len() as u64,
    }
}

/// Candidate `number`'s intervals against the record.
pub(super) fn method(
    name: &str,
    decisions: &[PastDecision],
    number: usize,
    confidence: f64,
) -> MethodResult {
    let proposed = || decisions.iter().filter(|d| d.intervals[number].is_finite());
    let count = |verdict| proposed().filter(|d| d.verdicts[number] == verdict).count() as u64;
    let (inside, outside) = (count(Hindsight::In), count(Hindsight::Out));
    let judged = proposed().filter_map(|d| match d.verdicts[number] {
        Hindsight::In => Some((d.history, 1.0)),
        Hindsight::Out => Some((d.history, 0.0)),
        Hindsight::Unknown => None,
    });
    let (made_per_year, proposed_per_year) = calibrations_per_year(decisions, number);
    MethodResult {
        name: name.to_string(),
        proposed: proposed().count() as u64,
        inside,
        outside,
        unknown: count(Hindsight::Unknown),
        limits: share_of_dependent(judged, confidence),
        made_per_year,
        proposed_per_year,
    }
}
