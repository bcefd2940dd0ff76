/*! The files a report calls its own, by the list in its `run.json`.

Nothing is replaced or removed on the strength of its name: a folder is the program's where
its list accounts for every file in it, sub-folders included, and what is removed is what was
found there and listed. The list of a folder in the making is empty: it is filled at the end.
*/

use crate::records::reading::own_report::{RECORD, is_report};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs::{self, DirEntry};
use std::io;
use std::path::Path;
use std::time::Duration;

/// A file written to so long after the record, which a run writes last, was changed by hand. A
/// copy of a report takes less for its files. Ours, no source.
const LATER: Duration = Duration::from_secs(60);

/// How the list calls the report's own folder.
const TOP: &str = ".";

/// Sizes of a report's files by folder and name; no size where it is not known when the list is made.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub(crate) struct OwnFiles(BTreeMap<String, BTreeMap<String, Option<u64>>>);

/// The parts of a run record that tell whose folder it is.
#[derive(Serialize, Deserialize)]
struct Record {
    driftbook: String,
    files: OwnFiles,
}

/// What an entry of a folder is by the list.
enum Kind {
    File,
    Folder(String),
    Foreign,
}

impl OwnFiles {
    /// Lists what stands in `folder`, and the files that are written `later`.
    ///
    /// # Errors
    /// A folder that cannot be read, a name that is not UTF-8.
    pub(crate) fn of(folder: &Path, later: &[&str]) -> io::Result<Self> {
        let mut own = Self::default();
        own.add(folder, TOP)?;
        let top = own.0.entry(TOP.to_string()).or_default();
        top.extend(later.iter().map(|name| (name.to_string(), None)));
        Ok(own)
    }

    fn add(&mut self, folder: &Path, key: &str) -> io::Result<()> {
        let entries = fs::read_dir(folder)?.collect::<io::Result<Vec<_>>>()?;
        let looked = entries.par_iter().map(|entry| {
            let name = entry.file_name().into_string();
            let name = name.map_err(|_| io::Error::other("a name that is not UTF-8"))?;
            let data = entry.metadata()?;
            Ok((name, data.is_dir(), data.len()))
        });
        let looked = looked.collect::<io::Result<Vec<(String, bool, u64)>>>()?;
        let files = looked.iter().filter(|(_, is_folder, _)| !is_folder);
        let files = files.map(|(name, _, size)| (name.clone(), Some(*size)));
        self.0.insert(key.to_string(), files.collect());
        for (name, _, _) in looked.iter().filter(|(_, is_folder, _)| *is_folder) {
            self.add(&folder.join(name), &below(key, name))?;
        }
        Ok(())
    }

    /// Whether the list is kept, and has no file `name` in the sub-folder `folder`.
    pub(crate) fn lacks(&self, folder: &str, name: &str) -> bool {
        let listed = self.0.get(folder);
        !self.0.is_empty() && listed.is_none_or(|files| !files.contains_key(name))
    }

    /// The list in the record of `folder`; `None` where there is no whole one.
    pub(crate) fn read(folder: &Path) -> Option<Self> {
        // A link to a folder is no folder of this list: what it points to may be anybody's.
        let real = fs::symlink_metadata(folder).is_ok_and(|data| data.is_dir());
        if !real || !is_report(folder) {
            return None;
        }
        let bytes = fs::read(folder.join(RECORD)).ok()?;
        let record: Record = serde_json::from_slice(&bytes).ok()?;
        Some(record.files)
    }

    /// True where nothing is listed: a folder in the making.
    pub(crate) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The first thing in `folder`, by its path from there, that the list does not account for by
    /// name and kind.
    ///
    /// # Errors
    /// A folder that cannot be read.
    pub(crate) fn foreign(&self, folder: &Path) -> io::Result<Option<String>> {
        self.foreign_in(folder, TOP)
    }

    fn foreign_in(&self, folder: &Path, key: &str) -> io::Result<Option<String>> {
        let mut first: Option<String> = None;
        let mut folders = Vec::new();
        for entry in fs::read_dir(folder)? {
            let entry = entry?;
            match self.kind(key, &entry)? {
                Kind::File => {}
                Kind::Folder(key) => folders.push((entry.path(), key)),
                Kind::Foreign => {
                    let name = below(key, &entry.file_name().to_string_lossy());
                    first = Some(first.map_or(name.clone(), |other| other.min(name)));
                }
            }
        }
        folders.sort();
        for (path, key) in folders {
            if first.is_none() {
                first = self.foreign_in(&path, &key)?;
            }
        }
        Ok(first)
    }

    fn kind(&self, key: &str, entry: &DirEntry) -> io::Result<Kind> {
        let (kind, name) = (entry.file_type()?, entry.file_name());
        let Some(name) = name.to_str() else {
            return Ok(Kind::Foreign);
        };
        let inner = below(key, name);
        let listed = self
            .0
            .get(key)
            .is_some_and(|files| files.contains_key(name));
        Ok(match () {
            () if kind.is_dir() && self.0.contains_key(&inner) => Kind::Folder(inner),
            () if kind.is_file() && listed => Kind::File,
            () => Kind::Foreign,
        })
    }

    /// True where every listed file stands in `folder` with its size.
    pub(crate) fn stand(&self, folder: &Path) -> bool {
        self.0.par_iter().all(|(key, files)| {
            let place = folder.join(key);
            files.par_iter().all(|(name, size)| {
                let data = fs::symlink_metadata(place.join(name));
                data.is_ok_and(|data| data.is_file() && size.is_none_or(|size| data.len() == size))
            })
        })
    }

    /// What of `folder` was changed by hand since its run, by path from there: files of another
    /// size than listed, or written to when the record had long been closed. What was cut to
    /// nothing holds nothing of anybody's.
    ///
    /// # Errors
    /// A folder without its record, a system that keeps no times.
    pub(crate) fn edited(&self, folder: &Path) -> io::Result<Vec<String>> {
        let closed = fs::metadata(folder.join(RECORD))?.modified()? + LATER;
        let looked = self.0.par_iter().flat_map(|(key, files)| {
            files.par_iter().filter_map(move |(name, size)| {
                let data = fs::symlink_metadata(folder.join(key).join(name)).ok()?;
                let other = size.is_some_and(|size| size != data.len());
                let later = size.is_some() && data.modified().is_ok_and(|time| time > closed);
                (data.len() > 0 && (other || later)).then(|| below(key, name))
            })
        });
        Ok(looked.collect())
    }

    /// Removes from `folder` what is listed, but for the entries called `spared`, and then the
    /// folder itself where nothing is to be spared. The record goes last: as long as anything
    /// stands, it tells whose it is.
    ///
    /// # Errors
    /// A file that cannot be removed; a folder that holds something else, which stays.
    pub(crate) fn remove(&self, folder: &Path, spared: &[&str]) -> io::Result<()> {
        self.empty(folder, TOP, spared)?;
        match spared {
            [] => {
                remove_if_there(&folder.join(RECORD))?;
                fs::remove_dir(folder)
            }
            _ => Ok(()),
        }
    }

    /// A fleet's report has some hundred thousand files in a few folders: they are emptied side
    /// by side.
    fn empty(&self, folder: &Path, key: &str, spared: &[&str]) -> io::Result<()> {
        let entries = fs::read_dir(folder)?.collect::<io::Result<Vec<_>>>()?;
        let stays = |entry: &DirEntry| {
            let name = entry.file_name();
            key == TOP && (name == *RECORD || spared.iter().any(|spared| name == **spared))
        };
        entries.par_iter().try_for_each(|entry| {
            if stays(entry) {
                return Ok(());
            }
            match self.kind(key, entry)? {
                Kind::File => fs::remove_file(entry.path()),
                Kind::Folder(key) => {
                    self.empty(&entry.path(), &key, &[])?;
                    fs::remove_dir(entry.path())
                }
                Kind::Foreign => Ok(()),
            }
        })
    }
}

fn below(key: &str, name: &str) -> String {
    match key {
        TOP => name.to_string(),
        key => format!("{key}/{name}"),
    }
}

fn remove_if_there(file: &Path) -> io::Result<()> {
    match fs::remove_file(file) {
        Err(why) if why.kind() != io::ErrorKind::NotFound => Err(why),
        _ => Ok(()),
    }
}

/// Marks `folder` as one that the program is writing.
///
/// # Errors
/// A file that cannot be written.
pub(super) fn mark(folder: &Path) -> io::Result<()> {
    let record = Record {
        driftbook: env!("CARGO_PKG_VERSION").to_string(),
        files: OwnFiles::default(),
    };
    fs::write(folder.join(RECORD), serde_json::to_vec(&record)?)
}

/// Removes what a run that was killed left in `folder`: a report that was replaced by its list,
/// one in the making whole. Anything else stays.
///
/// # Errors
/// A file that cannot be removed.
pub(super) fn remove_left_over(folder: &Path) -> io::Result<()> {
    let not_ours = || io::Error::other("it is not the program's");
    if !fs::symlink_metadata(folder)?.is_dir() {
        return Err(not_ours());
    }
    // Killed before anything was in it, or before the mark was.
    if fs::remove_dir(folder).is_ok() {
        return Ok(());
    }
    match OwnFiles::read(folder) {
        Some(own) if !own.is_empty() => own.remove(folder, &[]),
        _ if is_report(folder) || has_only_an_empty_record(folder)? => remove_unfinished(folder),
        _ => Err(not_ours()),
    }
}

fn has_only_an_empty_record(folder: &Path) -> io::Result<bool> {
    let mut entries = fs::read_dir(folder)?.collect::<io::Result<Vec<_>>>()?;
    let only = entries
        .pop()
        .filter(|entry| entries.is_empty() && entry.file_name() == *RECORD);
    Ok(only.is_some_and(|entry| {
        entry
            .metadata()
            .is_ok_and(|data| data.is_file() && data.len() == 0)
    }))
}

/// Removes a folder in the making, its record last.
pub(super) fn remove_unfinished(folder: &Path) -> io::Result<()> {
    let entries = fs::read_dir(folder)?.collect::<io::Result<Vec<_>>>()?;
    let others = entries
        .par_iter()
        .filter(|entry| entry.file_name() != *RECORD);
    others.try_for_each(|entry| match entry.file_type()?.is_dir() {
        true => fs::remove_dir_all(entry.path()),
        false => fs::remove_file(entry.path()),
    })?;
    remove_if_there(&folder.join(RECORD))?;
    fs::remove_dir(folder)
}

#[cfg(test)]
#[path = "own_files_tests.rs"]
mod tests;
