/*! The lock of a run folder: two jobs cannot write it at once. */

use super::folder::{FolderError, sibling, system};
use std::fs;
use std::path::{Path, PathBuf};

/// Held while a run writes; the system releases it when the process ends, however it ends,
/// so that a left-over lock file never blocks the next run.
#[derive(Debug)]
pub(super) struct Lock {
    path: PathBuf,
    _file: fs::File,
}

impl Lock {
    /// Takes the lock of the run folder `target`.
    pub fn take(target: &Path) -> Result<Self, FolderError> {
        let path = sibling(target, "lock");
        let file = fs::File::create(&path).map_err(system("create", &path))?;
        match file.try_lock() {
            // Between opening and locking, the run before may have ended and removed the name.
            Ok(()) if !still_named(&file, &path) => Self::take(target),
            Ok(()) => Ok(Self { path, _file: file }),
            Err(fs::TryLockError::WouldBlock) => Err(FolderError::Busy(target.to_path_buf())),
            Err(fs::TryLockError::Error(source)) => Err(system("lock", &path)(source)),
        }
    }

    /// The lock file.
    pub fn path(&self) -> &Path {
        &self.path
    }
}

/// True where `path` still names the open file, so that the next run meets the same lock.
#[cfg(unix)]
fn still_named(file: &fs::File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let (Ok(open), Ok(named)) = (file.metadata(), fs::metadata(path)) else {
        return false;
    };
    (open.dev(), open.ino()) == (named.dev(), named.ino())
}

/// An open file cannot be removed here, so that its name stays.
#[cfg(not(unix))]
fn still_named(_: &fs::File, _: &Path) -> bool {
    true
}

impl Drop for Lock {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.path);
    }
}
