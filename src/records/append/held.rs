/*! A file of records held against other writers, and replaced whole or not at all. */

use std::fs::{File, OpenOptions};
use std::io::{Error, ErrorKind, Result, Write};
use std::path::{Path, PathBuf};

/// The file, locked against other runs of the command until it is dropped.
pub(crate) struct Held {
    file: File,
    path: PathBuf,
    /// True where it was made for this writer.
    made: bool,
}

impl Held {
    /// Opens and locks the file; makes an empty one where there is none, so that two
    /// writers of a new file wait for each other too.
    ///
    /// # Errors
    /// A file that may not be written, a folder that refuses a new one.
    pub(crate) fn open(path: &Path) -> Result<Self> {
        loop {
            if std::fs::metadata(path).is_ok_and(|data| !data.is_file()) {
                return Err(Error::other("this is no plain file"));
            }
            let (file, made) = match File::open(path) {
                Ok(file) => (file, false),
                Err(e) if e.kind() == ErrorKind::NotFound => {
                    match OpenOptions::new().write(true).create_new(true).open(path) {
                        Ok(file) => (file, true),
                        // Another writer was quicker.
                        Err(e) if e.kind() == ErrorKind::AlreadyExists => continue,
                        Err(e) => return Err(e),
                    }
                }
                Err(e) => return Err(e),
            };
            file.lock()?;
            // Another run may have renamed a new file into place while this one waited.
            if !is_same(&file, path)? {
                continue;
            }
            if file.metadata()?.permissions().readonly() {
                let why = "the file is write-protected";
                return Err(Error::new(ErrorKind::PermissionDenied, why));
            }
            let path = path.to_path_buf();
            return Ok(Self { file, path, made });
        }
    }

    /// Removes the file again where it was made for nothing.
    pub(crate) fn give_up(self) {
        let empty = self.file.metadata().is_ok_and(|m| m.len() == 0);
        if self.made && empty {
            // The reason for giving up is told already; an empty file does no harm.
            let _ = std::fs::remove_file(&self.path);
        }
    }
}

#[cfg(unix)]
fn is_same(file: &File, path: &Path) -> Result<bool> {
    use std::os::unix::fs::MetadataExt;
    let held = file.metadata()?;
    match std::fs::metadata(path) {
        Ok(there) => Ok(held.ino() == there.ino() && held.dev() == there.dev()),
        Err(e) if e.kind() == ErrorKind::NotFound => Ok(false),
        Err(e) => Err(e),
    }
}

#[cfg(not(unix))]
fn is_same(_: &File, _: &Path) -> Result<bool> {
    Ok(true)
}

/// Puts `old` and `added` in the place of `target`: written beside it, flushed, renamed.
///
/// # Errors
/// A folder or disk that refuses; `target` is untouched then.
pub(crate) fn replace(target: &Path, old: &[u8], added: &[u8]) -> Result<()> {
    let folder = match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    };
    let mut fresh = tempfile::NamedTempFile::new_in(&folder)?;
    fresh.write_all(old)?;
    fresh.write_all(added)?;
    fresh.as_file().sync_all()?;
    if let Ok(metadata) = std::fs::metadata(target) {
        fresh.as_file().set_permissions(metadata.permissions())?;
    }
    fresh.persist(target)?;
    Ok(())
}
