/*! Closed loop: instruments live, methods set their intervals, the truth keeps the score.

Data flow: [`LoopSettings`] → `World` (truth and chance of one class) →
`live` under each `Planner` → `Cell`s: cost against perfect knowledge of
each instrument, with Monte Carlo error.
*/

mod baselines;
pub(crate) mod guardrails;
mod live;
mod logbook;
pub(crate) mod own_line;
pub mod product;
pub mod promises;
mod score;
mod settings;
mod world;

pub(crate) use baselines::{Knowledge, NeverChange, PerfectKnowledge};
pub(crate) use live::{Planner, Tally, live};
pub(crate) use score::Cell;
pub use settings::{ClassSize, LoopSettings};
pub(crate) use world::World;

use rayon::prelude::*;
use std::sync::Arc;

/// Name of the bound in every table.
pub(crate) const PERFECT: &str = "perfect knowledge";

/// Makes a fresh planner for a class of one fleet of the settings.
type Maker = dyn Fn() -> Box<dyn Planner> + Send + Sync;

type Preparation = dyn Fn(&LoopSettings, usize) -> Box<Maker> + Send + Sync;

/// A named way to make planners for the classes of one fleet.
pub struct Candidate {
    /// Name in tables.
    pub name: String,
    /// Learns once what all classes of fleet number `fleet` are told; then makes a fresh planner
    /// for each.
    pub prepare: Box<Preparation>,
}

impl Candidate {
    /// A candidate by name and maker, which is told nothing before.
    pub(crate) fn new<P: Planner + 'static>(
        name: impl Into<String>,
        make: impl Fn(&LoopSettings, usize) -> P + Send + Sync + 'static,
    ) -> Self {
        let make = Arc::new(make);
        Self::prepared(name, move |settings, fleet| {
            let (make, settings) = (Arc::clone(&make), settings.clone());
            move || make(&settings, fleet)
        })
    }

    /// A candidate by name and preparation, which returns the maker.
    pub(crate) fn prepared<P: Planner + 'static, M: Fn() -> P + Send + Sync + 'static>(
        name: impl Into<String>,
        prepare: impl Fn(&LoopSettings, usize) -> M + Send + Sync + 'static,
    ) -> Self {
        Candidate {
            name: name.into(),
            prepare: Box::new(move |settings, fleet| {
                let make = prepare(settings, fleet);
                Box::new(move || Box::new(make()))
            }),
        }
    }
}

/// Lets every kind and class size live under every candidate; cells in the order of
/// class size, kind, candidate, with perfect knowledge last of each kind.
///
/// Uses all cores; the same cells for any number of threads.
pub fn run(settings: &LoopSettings, candidates: &[Candidate]) -> Vec<Cell> {
    let mut cells = Vec::new();
    for size in &settings.class_sizes {
        for fleet in 0..settings.fleet.len() {
            cells.extend(run_kind(settings, candidates, fleet, *size));
        }
    }
    cells
}

fn run_kind(
    settings: &LoopSettings,
    candidates: &[Candidate],
    fleet: usize,
    size: ClassSize,
) -> Vec<Cell> {
    let bound = Candidate::new(PERFECT, |settings: &LoopSettings, fleet| {
        PerfectKnowledge::new(settings, fleet, Knowledge::Nature)
    });
    let all: Vec<&Candidate> = candidates.iter().chain(std::iter::once(&bound)).collect();
    let makers: Vec<Box<Maker>> = all
        .par_iter()
        .map(|candidate| (candidate.prepare)(settings, fleet))
        .collect();
    let classes: Vec<Vec<Vec<Tally>>> = (0..size.classes)
        .into_par_iter()
        .map(|class| {
            let world = World::new(settings, fleet, size.instruments, class);
            makers
                .par_iter()
                .map(|make| live(settings, &world, make().as_mut()))
                .collect()
        })
        .collect();
    let tallies = |candidate: usize| -> Vec<Tally> {
        classes
            .iter()
            .flat_map(|class| class[candidate].iter().copied())
            .collect()
    };
    let perfect = tallies(candidates.len());
    all.iter()
        .enumerate()
        .map(|(i, candidate)| {
            let names = (candidate.name.as_str(), fleet, size.instruments);
            score::cell(settings, names, &tallies(i), &perfect)
        })
        .collect()
}

#[cfg(test)]
mod tests;
