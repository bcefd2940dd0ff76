/*! What the stages of a run found, before anything is written. */

use crate::drift::class::fits::Fits;
use crate::impact::Job;
use crate::intervals::EvidenceByGroup;
use crate::records::{InputFile, Loaded, MadeChecks, Warning};
use crate::reliability::GroupReliability;
use crate::thermometry::Thermometers;
use crate::thermometry::closure::AroundWorkSettings;
use crate::thermometry::readings::RejectedReading;
use crate::thermometry::session_findings::SessionFindings;

/// Everything that was computed in memory, before anything is written.
pub(crate) struct Results {
    /// The records.
    pub loaded: Loaded,
    /// Classes and fits.
    pub fits: Fits,
    /// What the groups lend.
    pub groups: GroupResults,
    /// Sessions reduced from raw readings, where there are any.
    pub thermometry: Option<ThermometryResults>,
}

/// What the groups lend to the methods, and their fitted reliability.
#[derive(Debug, Clone, Default)]
pub(crate) struct GroupResults {
    /// Sums by group, for the methods.
    pub groups: EvidenceByGroup,
    /// R(t) of every group, sorted by group; empty where nothing asks for it.
    pub reliability: Vec<GroupReliability>,
}

/// The sessions of the raw readings, and where they came from.
#[derive(Debug, Clone, Default)]
pub(crate) struct ThermometryResults {
    /// Sessions, advice, rejected readings.
    pub findings: SessionFindings,
    /// What is known of the thermometers.
    pub facts: Thermometers,
    /// Work done with instruments, for the closure of sessions around it.
    pub jobs: Vec<Job>,
    /// Limits around work.
    pub around_work: AroundWorkSettings,
    /// Files of readings, then that of the thermometers.
    pub inputs: Vec<InputFile>,
    /// The last row of the header of each file of readings.
    pub header_rows: Vec<u32>,
    /// Rows that are no readings at all.
    pub unreadable: Vec<RejectedReading>,
    /// Headers read loosely, and rows of another width.
    pub warnings: Vec<Warning>,
    /// Checks as the records take them; `None` where no raw readings are named.
    pub made: Option<MadeChecks>,
}

impl ThermometryResults {
    /// True where raw readings are named.
    pub(crate) fn has_readings(&self) -> bool {
        self.made.is_some()
    }
}
