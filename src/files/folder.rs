/*! The run folder: written under a temporary name beside it, swapped in at the end.

A run that fails or is killed leaves the previous report whole. The swap is one
atomic exchange where the system offers it, else two renames that the next run
mends when it was killed between them. The report that was replaced is removed, or
left as a *spare* beside the new one: the next run moves its pages into place, which
is cheaper than linking some hundred thousand anew.
*/

use super::folder_error::{FolderError, sibling, system};
use super::lock::Lock;
use super::own_files::{OwnFiles, mark, remove_left_over, remove_unfinished};
use crate::records::reading::own_report::{RECORD, is_report};
use crate::words::and_others;
use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};

/// What becomes of the report that is replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Replaced {
    /// It is removed, and so is a spare.
    Removed,
    /// Its entries of these names are left as a spare.
    Spared(&'static [&'static str]),
}

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
        let spare = sibling(&self.target, "spare");
        own_spare(&spare).map(|_| spare)
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
fn set_aside(own: &OwnFiles, old: &Path, spare: &Path, replaced: Replaced) -> io::Result<()> {
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
mod tests {
    use super::*;

    /// A report with one page, put in place of what stands in `target`.
    fn make(target: &Path, page: &str, replaced: Replaced) -> Published {
        let staging = begun(target, page);
        staging.publish(replaced).unwrap()
    }

    /// The same, not yet put in place.
    fn begun(target: &Path, page: &str) -> Staging {
        let staging = Staging::open(target, &[]).unwrap();
        let charts = staging.path().join("charts");
        fs::create_dir(&charts).unwrap();
        fs::write(charts.join("a.svg"), page).unwrap();
        let files = OwnFiles::of(staging.path(), &[RECORD]).unwrap();
        let record = serde_json::json!({"driftbook": "0", "files": files});
        fs::write(staging.path().join(RECORD), record.to_string()).unwrap();
        staging
    }

    fn page(folder: &Path) -> String {
        fs::read_to_string(folder.join("charts/a.svg")).unwrap()
    }

    fn names(place: &Path) -> Vec<String> {
        let entries = fs::read_dir(place).unwrap().map(Result::unwrap);
        let mut names: Vec<String> = entries
            .map(|entry| entry.file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_dropped_run_leaves_the_last_one() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("out");
        make(&target, "first", Replaced::Removed);
        let second = begun(&target, "half");
        let busy = Staging::open(&target, &[]);
        assert!(matches!(busy, Err(FolderError::Busy(_))));
        drop(second);
        assert_eq!(page(&target), "first");
        make(&target, "third", Replaced::Removed);
        assert_eq!(page(&target), "third");
        assert_eq!(names(place.path()), ["out"]);
    }

    /// What a killed run left of a month that no run comes back to goes with the next run; what is
    /// being written, and what is not the program's, stays.
    #[test]
    fn what_is_left_beside_other_folders_goes() {
        let place = tempfile::tempdir().unwrap();
        let target = |month: &str| place.path().join(month);
        let killed = begun(&target("may"), "half");
        let left = place.path().join(".april.writing-1");
        fs::create_dir(&left).unwrap();
        fs::write(left.join("1.parquet"), "half").unwrap();
        mark(&left).unwrap();
        let dear = place.path().join(".march.writing-1");
        fs::create_dir(&dear).unwrap();
        fs::write(dear.join("thesis.doc"), "dear").unwrap();
        make(&target("june"), "page", Replaced::Removed);
        let stay = [".march.writing-1", ".may.lock", ".may.writing-1", "june"];
        assert_eq!(names(place.path()), stay);
        assert_eq!(names(&dear), ["thesis.doc"]);
        drop(killed);
        assert_eq!(names(place.path()), [".march.writing-1", "june"]);
    }

    #[test]
    fn a_spare_has_the_pages_of_the_report_before() {
        const PAGES: Replaced = Replaced::Spared(&["charts"]);
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("out");
        let spare = sibling(&target, "spare");
        make(&target, "first", PAGES);
        make(&target, "second", PAGES);
        assert_eq!(page(&spare), "first");
        make(&target, "third", PAGES);
        assert_eq!(page(&spare), "second");
        remove_spare(&target);
        assert!(!spare.exists());
        make(&target, "fourth", PAGES);
        make(&target, "fifth", Replaced::Removed);
        assert_eq!(names(place.path()), ["out"]);
    }

    #[test]
    fn a_spare_that_is_somebody_s_stays() {
        const PAGES: Replaced = Replaced::Spared(&["charts"]);
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("out");
        let spare = sibling(&target, "spare");
        fs::create_dir(&spare).unwrap();
        fs::write(spare.join("thesis.doc"), "dear").unwrap();
        for replaced in [PAGES, PAGES, Replaced::Removed] {
            assert_eq!(make(&target, "page", replaced).notes, Vec::<String>::new());
        }
        remove_spare(&target);
        assert_eq!(names(&spare), ["thesis.doc"]);
        assert_eq!(names(place.path()), [".out.spare", "out"]);
    }

    /// A report that somebody moved to where a spare would lie: all of it is listed, and it stays.
    #[test]
    fn a_whole_report_is_no_spare() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("out");
        let whole = begun(&target, "kept");
        fs::write(whole.path().join("decisions.csv"), "x").unwrap();
        let files = OwnFiles::of(whole.path(), &[]).unwrap();
        let record = serde_json::json!({"driftbook": "0", "files": files});
        fs::write(whole.path().join(RECORD), record.to_string()).unwrap();
        whole.publish(Replaced::Removed).unwrap();
        let spare = sibling(&target, "spare");
        fs::rename(&target, &spare).unwrap();
        for replaced in [Replaced::Spared(&["charts"]), Replaced::Removed] {
            make(&target, "page", replaced);
        }
        remove_spare(&target);
        assert_eq!(names(&spare), ["charts", "decisions.csv", RECORD]);
        assert_eq!(page(&spare), "kept");
    }

    #[test]
    fn a_folder_that_belongs_to_something_else_is_refused() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("out");
        let refused = |target: &Path| Staging::open(target, &[]).unwrap_err().to_string();
        fs::write(place.path().join("thesis.doc"), "dear").unwrap();
        assert!(refused(place.path()).contains("thesis.doc"));
        make(&target, "page", Replaced::Removed);
        fs::write(target.join("charts/photo.jpg"), "dear").unwrap();
        assert!(refused(&target).contains("charts/photo.jpg"));
        fs::remove_file(target.join("charts/photo.jpg")).unwrap();
        let inputs = [target.join("charts/a.svg")];
        let words = Staging::open(&target, &inputs).unwrap_err().to_string();
        assert!(words.contains("which this run reads"), "{words}");
        fs::write(target.join(RECORD), "{\"driftbook\": \"0.0.1\"}").unwrap();
        assert!(refused(&target).contains("does not list its files"));
        assert_eq!(page(&target), "page");
    }

    #[test]
    fn what_comes_into_the_folder_during_the_run_stops_it() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("out");
        make(&target, "first", Replaced::Removed);
        let second = begun(&target, "second");
        fs::write(target.join("thesis.doc"), "dear").unwrap();
        let words = second.publish(Replaced::Removed).unwrap_err().to_string();
        assert!(words.contains("thesis.doc"), "{words}");
        assert_eq!(page(&target), "first");
        assert_eq!(names(place.path()), ["out"]);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stands_for_what_it_points_to() {
        let place = tempfile::tempdir().unwrap();
        let (link, behind) = (place.path().join("link"), place.path().join("behind"));
        std::os::unix::fs::symlink("behind", &link).unwrap();
        let words = Staging::open(&link, &[]).unwrap_err().to_string();
        assert!(words.contains("link to nothing"), "{words}");
        fs::create_dir(&behind).unwrap();
        for page in ["first", "second"] {
            assert_eq!(
                make(&link, page, Replaced::Removed).notes,
                Vec::<String>::new()
            );
        }
        assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
        assert_eq!(page(&behind), "second");
        let detour = behind.join("charts/../../behind");
        make(&detour, "third", Replaced::Removed);
        assert_eq!(page(&behind), "third");
        assert_eq!(names(place.path()), ["behind", "link"]);
    }

    #[test]
    fn a_lock_that_is_somebody_s_file_stays() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("out");
        let lock = sibling(&target, "lock");
        fs::write(&lock, "dear").unwrap();
        let words = Staging::open(&target, &[]).unwrap_err().to_string();
        assert!(words.contains(".out.lock"), "{words}");
        #[cfg(unix)]
        {
            let dear = place.path().join("dear");
            fs::rename(&lock, &dear).unwrap();
            std::os::unix::fs::symlink(&dear, &lock).unwrap();
            assert!(Staging::open(&target, &[]).is_err());
            assert_eq!(fs::read_to_string(&dear).unwrap(), "dear");
        }
    }
}
