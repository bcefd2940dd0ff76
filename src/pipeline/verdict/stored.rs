/*! What a verdict looks at beside the new reading. */

use crate::decisions::cases::closings::Closings;
use crate::impact::jobs::Jobs;
use crate::ledger::earlier::{earlier_results, remember_failures};
use crate::ledger::memory::Memory;
use crate::ledger::places::part_of;
use crate::pipeline::thermometry;
use crate::records::{Certificate, Given, Histories, History, Loaded, RecordsError};
use crate::report::compose::results::ThermometryResults;
use crate::settings::plan::Plan;

/// What is stored: all that a verdict looks at beside the new reading.
#[derive(Debug, Default)]
pub(crate) struct Stored {
    /// The histories; of text tables only those of the instrument's group where a register
    /// tells it.
    pub histories: Histories,
    /// What certificates state of each of them.
    pub certificates: Vec<Vec<Certificate>>,
    /// Who gave their readings, and where the rows of each history began when they were read.
    pub given: Option<(Given, Vec<usize>)>,
    /// Number of rows among them that could not be used.
    pub rejected: usize,
    /// Work done with the instruments.
    pub jobs: Jobs,
    /// Sessions of thermometers, where there are raw readings.
    pub thermometry: Option<ThermometryResults>,
    /// The book of closings; `None` where no cases are kept.
    pub closings: Option<Closings>,
    /// Classes known from earlier runs.
    pub memory: Memory,
    /// True where the new readings are among those sessions: then their advice is the verdict's.
    pub read_in: bool,
    /// Why every row was read, where a report could have told which ones matter.
    pub note: Option<String>,
}

impl Stored {
    /// Reads what a verdict on `instruments` rests on.
    ///
    /// # Errors
    /// Records, readings or jobs that cannot be read; failures or adjustments among the rejected
    /// rows, as in a run.
    pub(crate) fn load(plan: &Plan, instruments: &[&str]) -> Result<Self, RecordsError> {
        let thermometry = thermometry::read(plan)?;
        let mut note = None;
        let mut loaded = match instruments {
            [only] => {
                let part = part_of(plan, only).unwrap_or_else(|why| {
                    note = Some(why.to_string());
                    None
                });
                thermometry::load_group(plan, thermometry.as_ref(), only, part)?
            }
            _ => thermometry::load(plan, thermometry.as_ref())?,
        };
        loaded.refuse_lost_failures(plan.settings.checks.allow_rejected_failures)?;
        let closings = plan.closings()?;
        remember_failures(plan, &mut loaded.histories, closings.as_ref());
        let jobs = plan.jobs()?;
        Ok(Self {
            rejected: loaded.rejects.len(),
            certificates: certificates(&loaded),
            given: loaded
                .given
                .map(|given| (given, loaded.histories.offsets.clone())),
            histories: loaded.histories,
            jobs,
            thermometry,
            closings,
            memory: earlier_results(plan),
            read_in: false,
            note,
        })
    }

    /// Who gave the readings of history `index`, with the place of its first row among them.
    pub(super) fn given_of(&self, index: usize) -> Option<(&Given, usize)> {
        let (given, firsts) = self.given.as_ref()?;
        Some((given, *firsts.get(index)?))
    }
}

fn certificates(loaded: &Loaded) -> Vec<Vec<Certificate>> {
    let (all, given) = (&loaded.histories, loaded.given.as_ref());
    let of = |(history, first): (History<'_>, &usize)| {
        given.map_or_else(Vec::new, |given| given.certificates(&history, *first))
    };
    all.iter().zip(&all.offsets).map(of).collect()
}
