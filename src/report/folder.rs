/*! The run folder: written under a temporary name beside it, swapped in at the end.

A run that fails or is killed leaves the previous report whole. The swap is one
atomic exchange where the system offers it, else two renames that the next run
mends when it was killed between them. The report that was replaced is removed, or
left as a *spare* beside the new one: the next run moves its pages into place, which
is cheaper than linking some hundred thousand anew.
*/

use super::foreign::refuse_foreign;
use super::lock::Lock;
use rayon::prelude::*;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Why a run folder cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum FolderError {
    /// The folder holds something that no run wrote.
    #[error(
        "{folder} holds {name:?}, which Driftbook did not write; choose another --out or move it away"
    )]
    Foreign {
        /// The folder asked for.
        folder: PathBuf,
        /// The first name in it that is not ours.
        name: String,
    },
    /// The path is a file.
    #[error("{0} is a file; --out takes a folder")]
    File(PathBuf),
    /// Another run is writing the same folder.
    #[error("another run is writing {0}; wait for it, or choose another --out")]
    Busy(PathBuf),
    /// The system refused.
    #[error("cannot {action} {path}: {source}")]
    System {
        /// What was tried.
        action: &'static str,
        /// Where.
        path: PathBuf,
        /// The system's word.
        source: io::Error,
    },
}

/// What becomes of the report that is replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Replaced {
    /// It is removed, and so is a spare.
    Removed,
    /// Its entries of these names are left as a spare.
    Spared(&'static [&'static str]),
}

/// A folder being written; removed again when dropped before [`Staging::publish`].
#[derive(Debug)]
pub struct Staging {
    target: PathBuf,
    work: PathBuf,
    published: bool,
    lock: Lock,
}

pub(super) fn system(action: &'static str, path: &Path) -> impl FnOnce(io::Error) -> FolderError {
    let path = path.to_path_buf();
    move |source| FolderError::System {
        action,
        path,
        source,
    }
}

pub(super) fn sibling(target: &Path, suffix: &str) -> PathBuf {
    let name = target
        .file_name()
        .map(|n| n.to_string_lossy().into_owned())
        .unwrap_or_default();
    target.with_file_name(format!(".{name}.{suffix}"))
}

impl Staging {
    /// Checks that `target` may be replaced, mends a run that was killed in its last
    /// step, and creates the temporary folder beside it.
    pub fn open(target: &Path) -> Result<Self, FolderError> {
        let target = std::path::absolute(target).map_err(system("resolve", target))?;
        if let Some(parent) = target.parent() {
            fs::create_dir_all(parent).map_err(system("create", parent))?;
        }
        let lock = Lock::take(&target)?;
        let previous = sibling(&target, "previous");
        if !target.exists() && previous.exists() {
            fs::rename(&previous, &target).map_err(system("restore", &target))?;
        }
        refuse_foreign(&target)?;
        let work = sibling(&target, "writing");
        for left_over in [&work, &previous] {
            if left_over.exists() {
                fs::remove_dir_all(left_over).map_err(system("clear", left_over))?;
            }
        }
        fs::create_dir(&work).map_err(system("create", &work))?;
        Ok(Self {
            target,
            work,
            published: false,
            lock,
        })
    }

    /// Where to write.
    pub fn path(&self) -> &Path {
        &self.work
    }

    /// Where it will stand.
    pub fn target(&self) -> &Path {
        &self.target
    }

    /// The file that marks the folder as taken while this run writes.
    pub fn lock_file(&self) -> &Path {
        self.lock.path()
    }

    /// Where pages of the report before the standing one may lie.
    pub fn spare(&self) -> PathBuf {
        sibling(&self.target, "spare")
    }

    /// Puts the finished folder in the place of the previous one.
    pub fn publish(mut self, replaced: Replaced) -> Result<PathBuf, FolderError> {
        let mut old = None;
        if self.target.exists() {
            let found = exchange(&self.work, &self.target);
            old = Some(found.map_err(system("replace", &self.target))?);
        } else {
            fs::rename(&self.work, &self.target).map_err(system("create", &self.target))?;
        }
        self.published = true;
        let spare = self.spare();
        if spare.exists() {
            clear(&spare, &[]).map_err(system("clear", &spare))?;
        }
        if let Some(old) = old {
            match replaced {
                Replaced::Removed => clear(&old, &[]).map_err(system("clear", &old))?,
                Replaced::Spared(names) => {
                    clear(&old, names).map_err(system("clear", &old))?;
                    fs::rename(&old, &spare).map_err(system("set aside", &old))?;
                }
            }
        }
        Ok(self.target.clone())
    }
}

/// Removes the spare of the report in `target`, unless a run is writing that report. A spare that
/// stays harms nothing.
pub fn remove_spare(target: &Path) {
    let spare = sibling(target, "spare");
    if spare.exists()
        && let Ok(_lock) = Lock::take(target)
    {
        let _ = clear(&spare, &[]);
    }
}

impl Drop for Staging {
    fn drop(&mut self) {
        if !self.published {
            let _ = fs::remove_dir_all(&self.work);
        }
    }
}

/// Removes a report but for the entries called `spared`. A fleet's has some hundred thousand
/// files in a few folders, which are emptied side by side.
fn clear(folder: &Path, spared: &[&str]) -> io::Result<()> {
    let entries: Vec<fs::DirEntry> = fs::read_dir(folder)?.collect::<io::Result<_>>()?;
    let cleared = |entry: &&fs::DirEntry| !spared.iter().any(|name| entry.file_name() == **name);
    entries
        .par_iter()
        .filter(cleared)
        .try_for_each(|entry| match entry.file_type()?.is_dir() {
            true => fs::remove_dir_all(entry.path()),
            false => fs::remove_file(entry.path()),
        })?;
    match spared {
        [] => fs::remove_dir(folder),
        _ => Ok(()),
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
    fs::rename(work, target)?;
    Ok(previous)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dropped_run_leaves_the_last_one() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("out");
        let first = Staging::open(&target).unwrap();
        fs::write(first.path().join("run.json"), "first").unwrap();
        first.publish(Replaced::Removed).unwrap();
        let second = Staging::open(&target).unwrap();
        fs::write(second.path().join("run.json"), "half").unwrap();
        assert!(matches!(Staging::open(&target), Err(FolderError::Busy(_))));
        drop(second);
        assert_eq!(
            fs::read_to_string(target.join("run.json")).unwrap(),
            "first"
        );
        let third = Staging::open(&target).unwrap();
        fs::write(third.path().join("run.json"), "third").unwrap();
        third.publish(Replaced::Removed).unwrap();
        assert_eq!(
            fs::read_to_string(target.join("run.json")).unwrap(),
            "third"
        );
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_spare_has_the_pages_of_the_report_before() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("out");
        const PAGES: Replaced = Replaced::Spared(&["charts"]);
        let make = |page: &str, replaced| {
            let staging = Staging::open(&target).unwrap();
            let spare = staging.spare();
            let charts = staging.path().join("charts");
            fs::create_dir(&charts).unwrap();
            fs::write(charts.join("a.svg"), page).unwrap();
            fs::write(staging.path().join("run.json"), page).unwrap();
            staging.publish(replaced).unwrap();
            spare
        };
        make("first", PAGES);
        let spare = make("second", PAGES);
        let kept = fs::read_to_string(spare.join("charts/a.svg")).unwrap();
        assert_eq!(kept, "first");
        assert!(!spare.join("run.json").exists());
        make("third", PAGES);
        let kept = fs::read_to_string(spare.join("charts/a.svg")).unwrap();
        assert_eq!(kept, "second");
        remove_spare(&target);
        assert!(!spare.exists());
        make("fourth", PAGES);
        make("fifth", Replaced::Removed);
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_folder_that_belongs_to_something_else_is_refused() {
        let place = tempfile::tempdir().unwrap();
        fs::write(place.path().join("thesis.doc"), "dear").unwrap();
        let error = Staging::open(place.path()).unwrap_err().to_string();
        assert!(error.contains("thesis.doc"), "{error}");
        assert!(place.path().join("thesis.doc").exists());
    }
}
