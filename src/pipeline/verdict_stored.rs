/*! What a verdict looks at beside the new reading, and where in it the reading belongs. */

use super::between::{Memory, earlier_results};
use super::jobs;
use super::plan::Plan;
use super::season::{self, SeasonResults};
use crate::impact::Job;
use crate::records::{Histories, LoadError, nearest};

/// What is stored: all that a verdict looks at beside the new reading.
#[derive(Debug, Default)]
pub struct Stored {
    /// The histories; of text tables only those of the instrument's group where a register
    /// tells it.
    pub histories: Histories,
    /// Number of rows among them that could not be used.
    pub rejected: usize,
    /// Work done with the instruments.
    pub jobs: Vec<Job>,
    /// Sessions of thermometers, where there are raw readings.
    pub season: Option<SeasonResults>,
    /// Classes known from earlier runs.
    pub memory: Memory,
    /// True where the new readings are among those sessions: then their advice is the verdict's.
    pub read_in: bool,
}

impl Stored {
    /// Reads what a verdict on `instruments` rests on.
    ///
    /// # Errors
    /// Records, readings or jobs that cannot be read.
    pub fn load(plan: &Plan, instruments: &[&str]) -> Result<Self, LoadError> {
        let season = season::read(plan)?;
        let loaded = match instruments {
            [only] => season::load_group(plan, season.as_ref(), only)?,
            _ => season::load(plan, season.as_ref())?,
        };
        let jobs = jobs::of(plan)?;
        Ok(Self {
            rejected: loaded.rejects.len(),
            histories: loaded.histories,
            jobs,
            season,
            memory: earlier_results(plan),
            read_in: false,
        })
    }
}

/// Finds the history that the reading belongs to.
///
/// # Errors
/// Unknown instrument or point, or several points and none named; lists what there is.
pub fn find(histories: &Histories, instrument: &str, point: Option<&str>) -> Result<usize, String> {
    let own: Vec<usize> = (0..histories.len())
        .filter(|&i| histories.items[i].instrument == instrument)
        .collect();
    let points = || {
        let names: Vec<&str> = own
            .iter()
            .map(|&i| histories.items[i].point.as_str())
            .collect();
        names.join(", ")
    };
    match (own.as_slice(), point) {
        ([], _) => {
            let names = histories.items.iter().map(|item| item.instrument.as_str());
            let hint = nearest(instrument, names)
                .map_or(String::new(), |n| format!("; did you mean {n}?"));
            Err(format!("no history of instrument {instrument}{hint}"))
        }
        ([only], None) => Ok(*only),
        (_, None) => Err(format!(
            "{instrument} has several points; name one with --point: {}",
            points()
        )),
        (_, Some(point)) => own
            .iter()
            .copied()
            .find(|&i| histories.items[i].point == point)
            .ok_or_else(|| format!("{instrument} has no point {point}; it has {}", points())),
    }
}
