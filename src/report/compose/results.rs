/*! What the stages of a run found, before anything is written. */

use crate::drift::class::fits::Fits;
use crate::pipeline::groups::GroupResults;
use crate::pipeline::season::SeasonResults;
use crate::records::Loaded;

/// Everything that was computed in memory, before anything is written.
pub struct Results {
    /// The records.
    pub loaded: Loaded,
    /// Classes and fits.
    pub fits: Fits,
    /// What the groups lend.
    pub groups: GroupResults,
    /// Sessions reduced from raw readings, where there are any.
    pub season: Option<SeasonResults>,
}
