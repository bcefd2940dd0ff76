/*! The run folder: written under a temporary name beside it, swapped in at the end.

A run that fails or is killed leaves the previous report whole. The swap is one
atomic exchange where the system offers it, else two renames that the next run
mends when it was killed between them.
*/

use super::folder_error::{FolderError, sibling, system};
use super::lock::Lock;
use super::meant::resolved;
use super::own_files::{OwnFiles, mark, remove_left_over, remove_unfinished};
use super::spare::{Replaced, set_aside, spare_of};
use crate::records::reading::own_report::is_report;
use crate::words::and_others;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// A report that was put in place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Published {
    /// Where it stands.
    pub folder: PathBuf,
    /// What became of the report before, where a person should know.
    pub notes: Vec<String>,
}

/// A folder being written; removed again when dropped before [`Staging::publish`].
#[derive(Debug)]
pub(crate) struct Staging {
    target: PathBuf,
    work: PathBuf,
    edited: Vec<String>,
    published: bool,
    _lock: Lock,
}

impl Staging {
    /// Checks that `target` may be replaced and holds none of the `inputs`, mends a run that was
    /// killed in its last step, and creates the temporary folder beside it.
    pub(crate) fn open(target: &Path, inputs: &[PathBuf]) -> Result<Self, FolderError> {
        let target = resolved(target)?;
        if let Some(parent) = target.parent() {
            fs::create_dir_all(parent).map_err(system("create", parent))?;
        }
        let lock = Lock::take(&target)?;
        let previous = sibling(&target, "previous");
        if !target.exists() && OwnFiles::read(&previous).is_some() {
            fs::rename(&previous, &target).map_err(system("restore", &target))?;
        }
        refuse_inputs(&target, inputs)?;
        let edited = match standing(&target)? {
            Some(own) if !own.is_empty() => own.edited(&target).map_err(system("list", &target))?,
            _ => Vec::new(),
        };
        if fs::symlink_metadata(&previous).is_ok() {
            remove_left_over(&previous).map_err(system("clear", &previous))?;
        }
        remove_beside(&target);
        let work = workplace(&target)?;
        let staging = Self {
            target,
            work,
            edited,
            published: false,
            _lock: lock,
        };
        mark(&staging.work).map_err(system("write into", &staging.work))?;
        Ok(staging)
    }

    /// Where to write.
    pub(crate) fn path(&self) -> &Path {
        &self.work
    }

    /// Where it will stand.
    pub(crate) fn target(&self) -> &Path {
        &self.target
    }

    /// Files of the standing report that a person changed by hand, by path from there. They are
    /// copied aside before the report is replaced, and nothing of it is taken over.
    pub(crate) fn edited(&self) -> &[String] {
        &self.edited
    }

    /// Where pages of the report before the standing one lie, if they do.
    pub(crate) fn spare(&self) -> Option<PathBuf> {
        spare_of(&self.target)
    }

    /// Puts the finished folder in the place of the previous one. Once it stands there the run has
    /// succeeded: what then cannot be removed of the previous one is told, and is no failure.
    pub(crate) fn publish(mut self, replaced: Replaced) -> Result<Published, FolderError> {
        // What came into the folder while this run was writing is somebody's too.
        let before = standing(&self.target)?;
        let mut left = Ok(());
        let kept = keep_edited(&self.target, &self.edited)?;
        if let Some(own) = before {
            let old = exchange(&self.work, &self.target);
            let old = old.map_err(system("replace", &self.target))?;
            self.published = true;
            left = set_aside(&own, &old, &sibling(&self.target, "spare"), replaced)
                .map_err(|why| format!("{}: {why}", old.display()));
        } else {
            fs::rename(&self.work, &self.target).map_err(system("create", &self.target))?;
            self.published = true;
        }
        let note = |why| {
            format!(
                "The report stands, but what it replaced could not be removed: {why}. Remove it by hand."
            )
        };
        Ok(Published {
            folder: self.target.clone(),
            notes: kept.into_iter().chain(left.err().map(note)).collect(),
        })
    }
}

/// Copies what was changed by hand in the report to a new folder beside it, and says so.
fn keep_edited(target: &Path, edited: &[String]) -> Result<Option<String>, FolderError> {
    let (Some(first), Some(name)) = (edited.first(), target.file_name()) else {
        return Ok(None);
    };
    let place = |number: u32| {
        let mut name = name.to_os_string();
        name.push(format!("-edited-{number}"));
        target.with_file_name(name)
    };
    let taken = |place: &PathBuf| fs::symlink_metadata(place).is_ok();
    let aside = (1..).map(place).find(|place| !taken(place));
    let aside = aside.unwrap_or_else(|| place(0));
    for file in edited {
        let (from, to) = (target.join(file), aside.join(file));
        let parent = to.parent().unwrap_or(&aside);
        fs::create_dir_all(parent).map_err(system("create", parent))?;
        fs::copy(&from, &to).map_err(system("copy", &from))?;
    }
    let more = and_others(edited.len() - 1);
    Ok(Some(format!(
        "{first}{more} of the report that stood here had been changed by hand; kept in {}.",
        aside.display()
    )))
}

/// Refuses a folder that holds what the run reads.
fn refuse_inputs(target: &Path, inputs: &[PathBuf]) -> Result<(), FolderError> {
    let Ok(place) = target.canonicalize() else {
        return Ok(());
    };
    let inside = |input: &&PathBuf| {
        let whole = input.canonicalize();
        whole.is_ok_and(|whole| whole.starts_with(&place))
    };
    match inputs.iter().find(inside) {
        None => Ok(()),
        Some(input) => Err(FolderError::HoldsInput {
            folder: target.to_path_buf(),
            input: input.clone(),
        }),
    }
}

/// The files of the report that stands in `target`; `None` where nothing stands there.
fn standing(target: &Path) -> Result<Option<OwnFiles>, FolderError> {
    if fs::symlink_metadata(target).is_err() {
        return Ok(None);
    }
    let list = OwnFiles::read(target);
    let unlisted = list.is_none() && is_report(target);
    let own = list.unwrap_or_default();
    match own.foreign(target).map_err(system("list", target))? {
        None => Ok(Some(own)),
        Some(_) if unlisted => Err(FolderError::Unlisted(target.to_path_buf())),
        Some(name) => Err(FolderError::Foreign {
            folder: target.to_path_buf(),
            name,
        }),
    }
}

/// Removes what killed runs left beside `target` and makes a folder to write in. What cannot be
/// removed, since it is another user's, stays and is written around.
fn workplace(target: &Path) -> Result<PathBuf, FolderError> {
    for number in 1_u32.. {
        let work = sibling(target, &format!("writing-{number}"));
        if fs::symlink_metadata(&work).is_ok() && remove_left_over(&work).is_err() {
            continue;
        }
        return match fs::create_dir(&work) {
            Ok(()) => Ok(work),
            Err(why) => Err(system("create", &work)(why)),
        };
    }
    let why = io::Error::other("every name for it is taken");
    Err(system("write beside", target)(why))
}

/// Removes what killed runs left beside other folders of this place: a pipeline whose folder has
/// the month in its name does not come back to the one before. What another run is writing, what is
/// not marked as the program's, and what cannot be removed stays.
fn remove_beside(target: &Path) {
    let entries = target.parent().and_then(|place| fs::read_dir(place).ok());
    for entry in entries.into_iter().flatten().flatten() {
        let name = entry.file_name();
        let other = name.to_str().and_then(written_for);
        let other = other.map(|other| target.with_file_name(other));
        if let Some(other) = other.filter(|other| other != target)
            && OwnFiles::read(&entry.path()).is_some()
            && let Ok(_lock) = Lock::take(&other)
        {
            let _ = remove_left_over(&entry.path());
        }
    }
}

/// The name of the folder that a workplace of this name is beside.
fn written_for(name: &str) -> Option<&str> {
    let (folder, number) = name.strip_prefix('.')?.rsplit_once(".writing-")?;
    (!folder.is_empty() && number.parse::<u32>().is_ok()).then_some(folder)
}

impl Drop for Staging {
    fn drop(&mut self) {
        if !self.published {
            let _ = remove_unfinished(&self.work);
        }
    }
}

/// Swaps two folders; one system call on Linux, two renames elsewhere. Returns where the one
/// that stood at `target` lies now.
fn exchange(work: &Path, target: &Path) -> io::Result<PathBuf> {
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        if renameat_with(CWD, work, CWD, target, RenameFlags::EXCHANGE).is_ok() {
            return Ok(work.to_path_buf());
        }
    }
    let previous = sibling(target, "previous");
    fs::rename(target, &previous)?;
    if let Err(why) = fs::rename(work, target) {
        fs::rename(&previous, target)?;
        return Err(why);
    }
    Ok(previous)
}

#[cfg(test)]
#[path = "folder_tests.rs"]
mod tests;
