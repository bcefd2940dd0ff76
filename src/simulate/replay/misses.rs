/*! Histories whose bands missed far more often than chance: where a model does not fit its item. */

use super::coverage::{Coverage, coverage};
use super::forecast::{Ahead, Scored};
use crate::records::Histories;
use crate::stats::binomial_at_least;
use std::collections::BTreeMap;

/// One history whose next readings fell outside far more often than the level allows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Missed {
    /// Name of the history.
    pub name: String,
    /// Readings outside.
    pub outside: u64,
    /// Readings forecast.
    pub count: u64,
}

/// The histories that missed too often, and the coverage of all others.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Misses {
    /// The worst first.
    pub histories: Vec<Missed>,
    /// Next readings of the other histories.
    pub others: Coverage,
}

/// Finds them by the exact binomial tail of each history's misses (of bands that hold, the misses
/// of one next reading after another are independent), Bonferroni over the histories, so that with bands that hold a fleet names one only with probability
/// 1 − confidence. `None` where no history stands out.
pub(super) fn misses(
    scored: &[&Scored],
    histories: &Histories,
    (level, confidence): (f64, f64),
) -> Option<Misses> {
    let next = || scored.iter().copied().filter(|s| s.ahead == Ahead::Next);
    let mut counts: BTreeMap<u32, (u64, u64)> = BTreeMap::new();
    for forecast in next() {
        let entry = counts.entry(forecast.history).or_default();
        entry.0 += u64::from(!forecast.inside);
        entry.1 += 1;
    }
    let threshold = (1.0 - confidence) / counts.len().max(1) as f64;
    let mut found: Vec<(f64, u32)> = counts
        .iter()
        .map(|(index, (outside, count))| (binomial_at_least(*outside, *count, 1.0 - level), *index))
        .filter(|(chance, _)| *chance < threshold)
        .collect();
    if found.is_empty() {
        return None;
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let named = |index: u32| found.iter().any(|(_, other)| *other == index);
    let others = next().filter(|s| !named(s.history));
    Some(Misses {
        others: coverage("next reading of the other histories", others, confidence),
        histories: found
            .iter()
            .map(|(_, index)| Missed {
                name: histories.items[*index as usize].name(),
                outside: counts[index].0,
                count: counts[index].1,
            })
            .collect(),
    })
}
