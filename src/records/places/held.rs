/*! What is noted of the places of rows. */

use super::lines::Lines;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Blocks of one file, ascending, each as its distance from the one before.
pub(crate) type Blocks = Vec<u32>;

/// The instruments of one group and the blocks in which their rows lie, by file.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct GroupPlaces {
    pub instruments: BTreeSet<String>,
    pub blocks: Vec<Blocks>,
}

/// The places of all rows.
#[derive(Debug, Clone, Default)]
pub struct Places {
    /// The lines of each file of checks.
    pub(crate) files: Vec<Lines>,
    /// The groups of the register.
    pub(crate) groups: BTreeMap<String, GroupPlaces>,
    /// The groups of each instrument and of the check standards that speak of it; without those that are
    /// in none.
    pub(crate) groups_of: BTreeMap<String, BTreeSet<String>>,
    /// Blocks of rows that no history took, by file.
    pub(crate) apart: Vec<Blocks>,
}

/// Ascending numbers as their distances.
pub(super) fn distances(numbers: impl Iterator<Item = u32>) -> Blocks {
    let mut last = 0;
    let step = |number: u32| number - std::mem::replace(&mut last, number);
    numbers.map(step).collect()
}

/// The numbers again.
pub(super) fn numbers(distances: &[u32]) -> impl Iterator<Item = u32> {
    distances.iter().scan(0u32, |last, distance| {
        *last = last.saturating_add(*distance);
        Some(*last)
    })
}
