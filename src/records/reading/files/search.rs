/*! The search through folders for the files that a pattern names.

Every real folder is entered once and a linked one only where it is named or matched: a link
to a parent would never end. What is passed over is told: reports of this program, whose tables
are results, linked folders, pipes and devices.
*/

use crate::records::reading::own_report::is_report;
use glob::{MatchOptions, Pattern};
use std::collections::HashSet;
use std::ffi::OsStr;
use std::path::{Component, Path, PathBuf};

/// Endings of files that a folder is searched for.
const ENDINGS: [&str; 8] = ["csv", "tsv", "txt", "parquet", "xlsx", "xlsm", "xls", "ods"];

/// As shells match names: a hidden file is meant only where the dot is written.
const NAMES: MatchOptions = MatchOptions {
    case_sensitive: true,
    require_literal_separator: true,
    require_literal_leading_dot: true,
};

/// Files that were found, and what was passed over, in words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct FoundFiles {
    /// The files, sorted by path.
    pub files: Vec<PathBuf>,
    /// What was passed over and why.
    pub left_out: Vec<String>,
}

/// Why no files are found.
#[derive(Debug, thiserror::Error)]
pub(crate) enum NoFiles {
    /// Nothing is there.
    #[error("no such file or folder")]
    Nothing,
    /// Something else than a file or a folder is there.
    #[error("this is a pipe or a device; only plain files are read")]
    Device,
    /// The folder is a report of this program.
    #[error("this folder is a report, not records")]
    Report,
    /// The folder holds no table.
    #[error("no CSV, Parquet or workbook file in this folder")]
    NoTable,
    /// Nothing matches the pattern.
    #[error("no file matches this pattern")]
    NoMatch,
    /// The pattern cannot be read.
    #[error("bad pattern: {0}")]
    Pattern(glob::PatternError),
    /// A folder cannot be listed.
    #[error("cannot list the folder {}: {why}", place.display())]
    Folder {
        /// The folder.
        place: PathBuf,
        /// What the system says.
        why: std::io::Error,
    },
    /// What is missing, where the entry does not name the place by itself.
    #[error("{what}: {}", place.display())]
    At {
        /// What is missing.
        what: Box<NoFiles>,
        /// Where.
        place: PathBuf,
    },
    /// What is missing, and what was passed over.
    #[error("{what}; {}", left_out.join("; "))]
    LeftOut {
        /// What is missing.
        what: Box<NoFiles>,
        /// What was passed over and why.
        left_out: Vec<String>,
    },
}

/// One part of a pattern, between slashes.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Part {
    /// This very name.
    Name(PathBuf),
    /// Every name that matches; with no pattern any.
    Any(Option<Pattern>),
    /// Any number of folders, `**`.
    AnyFolders,
}

/// The parts of a pattern.
pub(super) fn parts(entry: &str) -> Result<Vec<Part>, NoFiles> {
    let part = |component: Component<'_>| {
        let name = component.as_os_str();
        let text = name.to_string_lossy();
        match text.as_ref() {
            "**" => Ok(Part::AnyFolders),
            text if text.contains(['*', '?', '[']) => Pattern::new(text)
                .map(|pattern| Part::Any(Some(pattern)))
                .map_err(NoFiles::Pattern),
            _ => Ok(Part::Name(PathBuf::from(name))),
        }
    };
    Path::new(entry).components().map(part).collect()
}

/// A search under way.
#[derive(Default)]
pub(super) struct Search {
    /// True where only tables are looked for, in folders that are not set aside by their name.
    tables: bool,
    found: FoundFiles,
    /// Folders that were entered for a rest of the pattern of this length.
    entered: HashSet<(usize, PathBuf)>,
}

impl Search {
    /// A search for tables alone.
    pub(super) fn of_tables() -> Self {
        Self {
            tables: true,
            ..Self::default()
        }
    }

    /// The files below `place` that `parts` name; the error is `otherwise` where there are none.
    pub(super) fn of(
        mut self,
        place: &Path,
        parts: &[Part],
        otherwise: NoFiles,
    ) -> Result<FoundFiles, NoFiles> {
        let here = place.as_os_str().is_empty();
        self.enter(if here { Path::new(".") } else { place }, parts)?;
        let mut found = self.found;
        if here {
            // As a file here is named that is no pattern.
            let bare = |path: PathBuf| {
                path.strip_prefix(".")
                    .map(Path::to_path_buf)
                    .unwrap_or(path)
            };
            found.files = found.files.into_iter().map(bare).collect();
        }
        found.files.sort();
        found.files.dedup();
        found.left_out.sort();
        found.left_out.dedup();
        match found.files.is_empty() {
            false => Ok(found),
            true if found.left_out.is_empty() => Err(otherwise),
            true => Err(NoFiles::LeftOut {
                what: Box::new(otherwise),
                left_out: found.left_out,
            }),
        }
    }

    /// Looks in the folder `place` for the rest of the pattern.
    fn enter(&mut self, place: &Path, parts: &[Part]) -> Result<(), NoFiles> {
        let Some((part, rest)) = parts.split_first() else {
            return Ok(());
        };
        match part {
            Part::Name(name) => {
                let path = place.join(name);
                match rest.is_empty() {
                    true if path.is_file() => self.found.files.push(path),
                    false if path.is_dir() => self.enter(&path, rest)?,
                    _ => {}
                }
                return Ok(());
            }
            Part::AnyFolders => self.enter(place, rest)?,
            Part::Any(_) => {}
        }
        let whole = place.canonicalize().unwrap_or_else(|_| place.to_path_buf());
        if !self.entered.insert((parts.len(), whole)) {
            return Ok(());
        }
        let failed = |why| NoFiles::Folder {
            place: place.to_path_buf(),
            why,
        };
        for entry in std::fs::read_dir(place).map_err(failed)? {
            let entry = entry.map_err(failed)?;
            let (path, link) = (
                entry.path(),
                entry.file_type().map_err(failed)?.is_symlink(),
            );
            match part {
                Part::Any(pattern) if self.matches(pattern.as_ref(), &entry.file_name()) => {
                    self.take(path, rest)?;
                }
                Part::AnyFolders if path.is_dir() && self.meant(&entry.file_name()) => match link {
                    true => self.leave(&path, "is a link to a folder, which is not entered"),
                    false => self.enter_unless_report(&path, parts)?,
                },
                _ => {}
            }
        }
        Ok(())
    }

    /// What matched a part of the pattern: a file where it was the last, a folder where not.
    fn take(&mut self, path: PathBuf, rest: &[Part]) -> Result<(), NoFiles> {
        if !rest.is_empty() {
            return match path.is_dir() {
                true => self.enter_unless_report(&path, rest),
                false => Ok(()),
            };
        }
        if !self.tables || has_known_ending(&path) {
            match (path.is_file(), path.is_dir()) {
                (true, _) => self.found.files.push(path),
                (false, true) => {}
                (false, false) => self.leave(&path, "is no plain file"),
            }
        }
        Ok(())
    }

    fn enter_unless_report(&mut self, path: &Path, parts: &[Part]) -> Result<(), NoFiles> {
        match is_report(path) {
            true => self.leave(path, "is a report of this program"),
            false => return self.enter(path, parts),
        }
        Ok(())
    }

    fn leave(&mut self, path: &Path, why: &str) {
        let words = format!("{} {why}", path.display());
        self.found.left_out.push(words);
    }

    fn matches(&self, pattern: Option<&Pattern>, name: &OsStr) -> bool {
        match pattern {
            Some(pattern) => pattern.matches_with(&name.to_string_lossy(), NAMES),
            None => self.meant(name),
        }
    }

    /// False for hidden names, and in folders also for those set aside with an underscore and
    /// for what spreadsheet programs lay beside an open workbook.
    fn meant(&self, name: &OsStr) -> bool {
        let text = name.to_string_lossy();
        !(text.starts_with('.') || self.tables && (text.starts_with('_') || text.starts_with("~$")))
    }
}

fn has_known_ending(path: &Path) -> bool {
    path.extension()
        .is_some_and(|e| ENDINGS.iter().any(|known| e.eq_ignore_ascii_case(known)))
}
