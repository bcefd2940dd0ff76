/*! Files, patterns and folders become one sorted list of files.

Every real folder is entered once and a linked one only where it is named or matched: a link
to a parent would never end. What is passed over is told: reports of this program, whose tables
are results, linked folders, pipes and devices.
*/

use super::own_report::is_report;
use super::plain_file;
use glob::{MatchOptions, Pattern};
use std::collections::HashSet;
use std::ffi::OsStr;
use std::io::Read;
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

/// Files that `entry` names, relative to `base`; folders are searched with all their folders.
///
/// # Errors
/// What is missing.
pub(crate) fn find(entry: &str, base: &Path) -> Result<FoundFiles, NoFiles> {
    let path = base.join(entry);
    if path.exists() || !entry.contains(['*', '?', '[']) {
        return find_path(&path).map_err(|why| match path.to_str() == Some(entry) {
            true => why,
            false => NoFiles::At {
                what: Box::new(why),
                place: path.clone(),
            },
        });
    }
    let mut parts = parts(entry)?;
    if parts.last() == Some(&Part::AnyFolders) {
        parts.push(Part::Any(None));
    }
    Search::default().of(base, &parts, NoFiles::NoMatch)
}

/// The file at `path`, or those in the folder there.
///
/// # Errors
/// What is missing.
pub(crate) fn find_path(path: &Path) -> Result<FoundFiles, NoFiles> {
    if !path.exists() {
        return Err(NoFiles::Nothing);
    }
    if !path.is_dir() {
        return match path.is_file() {
            true => Ok(FoundFiles {
                files: vec![path.to_path_buf()],
                ..FoundFiles::default()
            }),
            false => Err(NoFiles::Device),
        };
    }
    if is_report(path) {
        return Err(NoFiles::Report);
    }
    let search = Search {
        tables: true,
        ..Search::default()
    };
    let parts = [Part::AnyFolders, Part::Any(None)];
    search.of(path, &parts, NoFiles::NoTable)
}

/// True where the file holds Parquet, by its first bytes.
pub(crate) fn is_parquet(path: &Path) -> bool {
    let mut magic = [0u8; 4];
    plain_file::open(path).is_ok_and(|mut f| f.read_exact(&mut magic).is_ok()) && &magic == b"PAR1"
}

/// `path` as a person would write it: relative to `base` where it lies below, with slashes.
pub(crate) fn shown(path: &Path, base: &Path) -> String {
    let short = path.strip_prefix(base).unwrap_or(path);
    short.to_string_lossy().replace('\\', "/")
}

/// One part of a pattern, between slashes.
#[derive(Debug, Clone, PartialEq)]
enum Part {
    /// This very name.
    Name(PathBuf),
    /// Every name that matches; with no pattern any.
    Any(Option<Pattern>),
    /// Any number of folders, `**`.
    AnyFolders,
}

fn parts(entry: &str) -> Result<Vec<Part>, NoFiles> {
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
struct Search {
    /// True where only tables are looked for, in folders that are not set aside by their name.
    tables: bool,
    found: FoundFiles,
    /// Folders that were entered for a rest of the pattern of this length.
    entered: HashSet<(usize, PathBuf)>,
}

impl Search {
    fn of(
        mut self,
        place: &Path,
        parts: &[Part],
        otherwise: NoFiles,
    ) -> Result<FoundFiles, NoFiles> {
        let place = match place.as_os_str().is_empty() {
            true => Path::new("."),
            false => place,
        };
        self.enter(place, parts)?;
        let mut found = self.found;
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

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder with these files.
    fn folder(names: &[&str]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for name in names {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, "{\"driftbook\": \"0\"}").unwrap();
        }
        folder
    }

    fn names(entry: &str, folder: &Path) -> Vec<String> {
        let found = find(entry, folder).unwrap();
        found.files.iter().map(|f| shown(f, folder)).collect()
    }

    #[test]
    fn folders_are_searched_and_sorted() {
        let place = folder(&[
            "b/2.csv",
            "b/1.parquet",
            "a.csv",
            "notes.md",
            ".hidden/x.csv",
            "_old/x.csv",
            "c/d/e.TSV",
        ]);
        let names = |entry: &str| names(entry, place.path());
        assert_eq!(names("."), ["a.csv", "b/1.parquet", "b/2.csv", "c/d/e.TSV"]);
        assert_eq!(names("b/*"), ["b/1.parquet", "b/2.csv"]);
        assert_eq!(names("a.csv"), ["a.csv"]);
        assert_eq!(names("**/*.csv"), ["_old/x.csv", "a.csv", "b/2.csv"]);
        assert_eq!(names("*/?.csv"), ["_old/x.csv", "b/2.csv"]);
        assert_eq!(names(".hidden/*"), [".hidden/x.csv"]);
        assert_eq!(names("c/**"), ["c/d/e.TSV"]);
        let refusal = |entry: &str| find(entry, place.path()).unwrap_err().to_string();
        assert!(refusal("none.csv").contains("no such file"));
        assert!(refusal("*.xls").contains("no file matches"));
        assert!(refusal("[a.csv").contains("bad pattern"));
    }

    #[test]
    fn a_report_is_no_records_and_told() {
        let place = folder(&[
            "a.csv",
            "out/run.json",
            "out/decisions.csv",
            "out/charts/x.csv",
        ]);
        for entry in [".", "**/*.csv", "*/*.csv"] {
            match find(entry, place.path()) {
                Ok(found) => {
                    assert_eq!(found.files.len(), 1, "{entry}");
                    assert!(found.left_out[0].ends_with("is a report of this program"));
                }
                Err(why) => {
                    let refusal = why.to_string();
                    assert!(refusal.contains("is a report of this program"), "{refusal}");
                }
            }
        }
        let refusal = find("out", place.path()).unwrap_err().to_string();
        assert!(refusal.contains("a report, not records"), "{refusal}");
    }

    #[cfg(unix)]
    #[test]
    fn loops_of_links_end() {
        let place = folder(&["a/1.csv", "b/2.csv"]);
        for (link, to) in [
            ("a/x", "../b"),
            ("b/y", "../a"),
            ("a/self", "."),
            ("up", ".."),
        ] {
            std::os::unix::fs::symlink(to, place.path().join(link)).unwrap();
        }
        let left_out = find("**/*.csv", place.path()).unwrap().left_out;
        assert_eq!(left_out.len(), 4, "{left_out:?}");
        let names = |entry: &str| names(entry, place.path());
        assert_eq!(names("**/*.csv"), ["a/1.csv", "b/2.csv"]);
        assert_eq!(names("."), ["a/1.csv", "b/2.csv"]);
        assert_eq!(names("a/x/*.csv"), ["a/x/2.csv"], "named by the person");
        std::fs::remove_file(place.path().join("up")).unwrap();
        let many = "*/".repeat(40) + "*.csv";
        assert!(names(&many).len() < 10);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn names_that_are_not_utf_8_are_found() {
        use std::os::unix::ffi::OsStrExt;
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join(OsStr::from_bytes(b"caf\xE9.csv"));
        std::fs::write(&path, "x").unwrap();
        assert_eq!(find_path(&path).unwrap().files, std::slice::from_ref(&path));
        assert_eq!(find("*.csv", place.path()).unwrap().files, [path]);
    }
}
