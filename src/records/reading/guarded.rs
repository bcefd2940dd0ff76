/*! A broken file ends as an error, even where its reader panics. */

use crate::no_memory;
use crate::records::LoadError;
use std::panic::AssertUnwindSafe;
use std::sync::Once;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What a reader of Parquet reads, and the mend.
pub(crate) const PARQUET: Kind = Kind {
    name: "Parquet file",
    mend: "Write the file again, or export the records as CSV.",
};

/// What a reader of Arrow streams reads, and the mend.
pub(crate) const ARROW: Kind = Kind {
    name: "Arrow stream",
    mend: "Send an Arrow IPC stream, whole and not compressed, each name once, numbers as doubles or whole numbers.",
};

/// What a reader of workbooks reads, and the mend.
pub(crate) const WORKBOOK: Kind = Kind {
    name: "workbook",
    mend: "Open it in a spreadsheet program and save it again, or export the records as CSV.",
};

/// A kind of file.
pub(crate) struct Kind {
    name: &'static str,
    pub mend: &'static str,
}

/// Readings under way; a panic is told on the terminal only where there is none.
static READINGS: AtomicUsize = AtomicUsize::new(0);

/// Runs the reading of a file; what a panicking reader says stays off the terminal.
pub(crate) fn guarded<T>(
    shown: &str,
    kind: Kind,
    reading: impl FnOnce() -> Result<T, LoadError>,
) -> Result<T, LoadError> {
    static QUIET: Once = Once::new();
    QUIET.call_once(|| {
        let usual = std::panic::take_hook();
        // The reader's own threads may be the ones that panic.
        std::panic::set_hook(Box::new(move |info| {
            if READINGS.load(Ordering::Relaxed) == 0 {
                usual(info);
            }
        }));
    });
    READINGS.fetch_add(1, Ordering::Relaxed);
    let caught = std::panic::catch_unwind(AssertUnwindSafe(reading));
    READINGS.fetch_sub(1, Ordering::Relaxed);
    caught.unwrap_or_else(|panic| {
        if no_memory::is_told(&*panic) {
            return Err(LoadError::new(shown, no_memory::WHAT, no_memory::MEND));
        }
        let what = format!("this {} is broken", kind.name);
        Err(LoadError::new(shown, what, kind.mend))
    })
}
