/*! One worker of an engine: the stages of a run on a part of a fleet.

```text
checks of whole groups ──► learn ──► learned ─┐ (broadcast)
checks of whole histories ────────────────────┴─► decide ──► decisions, proposals, fits
```

What a history takes from others is learned from all of them, once: what its class lends, the sums of
its group, the step of its display, its sources, shifts that many share, check standards out of
control. After that every history is decided by itself, on whatever machine, as a run decides it.
What takes the whole fleet in view at once is refused, in words.
*/

mod classes;
mod decide;
mod learn;
mod learned;
mod place;
mod refusals;

pub(crate) use decide::decide;
pub(crate) use learn::learn;
pub(crate) use learned::{COLUMN, Learned};
pub(crate) use place::place;

use crate::records::reading::columnar::arrow_stream::ArrowTable;
use crate::records::{LoadError, RecordsError};

/// What messages call the stream of checks.
const STREAM: &str = "standard input";

/// Why a worker has no answer.
#[derive(Debug, thiserror::Error)]
pub(crate) enum WorkerError {
    /// The checks cannot be used.
    #[error(transparent)]
    Records(#[from] RecordsError),
    /// What was learned, or what is asked, does not fit the checks.
    #[error("{0}")]
    Unfit(String),
    /// The answer could not be handed over.
    #[error("the answer cannot be written: {0}")]
    Output(String),
}

impl From<LoadError> for WorkerError {
    fn from(why: LoadError) -> Self {
        Self::Records(why.into())
    }
}

impl WorkerError {
    /// Something that does not fit, and the mend.
    fn unfit(what: impl std::fmt::Display, mend: &str) -> Self {
        Self::Unfit(format!("{what}\nhelp: {mend}"))
    }
}

/// The stream of checks in `bytes`.
fn stream_of(bytes: &[u8]) -> Result<ArrowTable, LoadError> {
    ArrowTable::read(bytes, STREAM)
}
