/*! The folder that a path means. */

use super::folder_error::{FolderError, system};
use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};

/// The folder that `out` means, whole: a link stands for what it points to, so that the link
/// stays and the folder behind it is replaced.
pub(crate) fn resolved(out: &Path) -> Result<PathBuf, FolderError> {
    let whole = std::path::absolute(out).map_err(system("resolve", out))?;
    let link = fs::symlink_metadata(&whole).is_ok_and(|data| data.is_symlink());
    let detour = whole.components().any(|part| part == Component::ParentDir);
    let no_folder = |what| FolderError::NoFolder {
        path: out.to_path_buf(),
        what,
    };
    let target = match (link || detour, whole.exists()) {
        (false, _) => whole,
        (true, true) => whole.canonicalize().map_err(system("resolve", out))?,
        (true, false) if link => return Err(no_folder("is a link to nothing")),
        (true, false) => resolved_parent(&whole).map_err(system("resolve", out))?,
    };
    match target.file_name() {
        None => Err(no_folder("is the root of the disk")),
        Some(_) if target.exists() && !target.is_dir() => Err(no_folder("is a file")),
        Some(_) => Ok(target),
    }
}

/// A path with detours whose end does not stand yet.
fn resolved_parent(path: &Path) -> io::Result<PathBuf> {
    let (Some(parent), Some(name)) = (path.parent(), path.file_name()) else {
        let why = "it ends in a detour over a folder that is not there";
        return Err(io::Error::new(io::ErrorKind::NotFound, why));
    };
    let parent = match parent.exists() {
        true => parent.canonicalize()?,
        false => resolved_parent(parent)?,
    };
    Ok(parent.join(name))
}
