/*! The lock of a run folder: two jobs cannot write it at once. */

use super::folder_error::{FolderError, sibling, system};
use std::fs;
use std::io::ErrorKind;
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
    pub(crate) fn take(target: &Path) -> Result<Self, FolderError> {
        let path = sibling(target, "lock");
        refuse_foreign(&path)?;
        let file = match fs::File::open(&path) {
            Err(why) if why.kind() == ErrorKind::NotFound => fs::File::create_new(&path),
            other => other,
        };
        let file = match file {
            // Another run was quicker.
            Err(why) if why.kind() == ErrorKind::AlreadyExists => return Self::take(target),
            other => other.map_err(system("open", &path))?,
        };
        match file.try_lock() {
            // Between opening and locking, the run before may have ended and removed the name.
            Ok(()) if !still_named(&file, &path) => Self::take(target),
            Ok(()) => Ok(Self { path, _file: file }),
            Err(fs::TryLockError::WouldBlock) => Err(FolderError::Busy(target.to_path_buf())),
            Err(fs::TryLockError::Error(source)) => Err(system("lock", &path)(source)),
        }
    }
}

/// A lock file is a plain file and empty: what else bears its name is somebody's, and is neither
/// opened nor removed.
fn refuse_foreign(path: &Path) -> Result<(), FolderError> {
    match fs::symlink_metadata(path) {
        Ok(data) if !data.is_file() || data.len() > 0 => Err(FolderError::Foreign {
            folder: path.parent().unwrap_or(Path::new(".")).to_path_buf(),
            name: path
                .file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned(),
        }),
        _ => Ok(()),
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
