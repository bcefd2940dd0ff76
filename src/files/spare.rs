/*! The report that another replaced: removed, or left beside it as a *spare*, whose pages the next run
moves into place, which is cheaper than linking some hundred thousand anew. */

use super::folder_error::sibling;
use super::lock::Lock;
use super::own_files::OwnFiles;
use crate::records::reading::own_report::RECORD;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// What becomes of the report that is replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Replaced {
    /// It is removed, and so is a spare.
    Removed,
    /// Its entries of these names are left as a spare.
    Spared(&'static [&'static str]),
}

/// Where pages of the report before the one in `target` lie, if they do.
pub(super) fn spare_of(target: &Path) -> Option<PathBuf> {
    let spare = sibling(target, "spare");
    own_spare(&spare).map(|_| spare)
}

/// The files of the spare at this place; `None` where there is none, or not the program's alone.
/// A spare has folders and the record: a whole report there is one that somebody put aside.
fn own_spare(spare: &Path) -> Option<OwnFiles> {
    let own = OwnFiles::read(spare)?;
    let part = |entry: io::Result<fs::DirEntry>| {
        entry.is_ok_and(|entry| entry.path().is_dir() || entry.file_name() == *RECORD)
    };
    let spared = fs::read_dir(spare).ok()?.all(part);
    (spared && matches!(own.foreign(spare), Ok(None))).then_some(own)
}

/// Removes the report `old` by its list, or leaves it as the `spare`; a spare that lies there
/// goes first. One that is not the program's stays, and none is left then.
pub(super) fn set_aside(
    own: &OwnFiles,
    old: &Path,
    spare: &Path,
    replaced: Replaced,
) -> io::Result<()> {
    if let Some(own) = own_spare(spare) {
        own.remove(spare, &[])?;
    }
    match replaced {
        Replaced::Spared(names) if fs::symlink_metadata(spare).is_err() => {
            own.remove(old, &[names, &[RECORD]].concat())?;
            fs::rename(old, spare)
        }
        _ => own.remove(old, &[]),
    }
}

/// Removes the spare of the report in `target`, unless a run is writing that report. A spare that
/// stays harms nothing.
pub(crate) fn remove_spare(target: &Path) {
    let spare = sibling(target, "spare");
    if fs::symlink_metadata(&spare).is_ok()
        && let Ok(_lock) = Lock::take(target)
        && let Some(own) = own_spare(&spare)
    {
        let _ = own.remove(&spare, &[]);
    }
}
