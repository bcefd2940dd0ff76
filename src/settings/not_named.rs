/*! Files beside those of checks that are named one by one, named like them, and read by nobody: most likely next
month's file, whose checks a run would miss without a word. */

use super::file::Settings;
use crate::records::Warning;
use crate::records::reading::files::resolved;
use crate::words::{agreeing, and_others, series::series};
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// Files that a warning lists.
const LISTED: usize = 6;

/// A folder with what its files are called, without their numbers.
type Series = (PathBuf, String);

/// The files in the folders of `base` that are called like two files or more that `settings` name one by one and
/// that are none of those which are `read`; sorted.
pub(crate) fn not_named(settings: &Settings, base: &Path, read: &[PathBuf]) -> Vec<PathBuf> {
    let mut series: BTreeMap<Series, usize> = BTreeMap::new();
    let checks = &settings.checks;
    let of_checks = (0..=checks.other.len()).flat_map(|form| &checks.form(form).files);
    for entry in of_checks.chain(&settings.thermometry.files) {
        let path = base.join(entry);
        if let (true, Some(series_of)) = (path.is_file(), series_of(&path)) {
            *series.entry(series_of).or_default() += 1;
        }
    }
    let several = series.iter().filter(|(_, files)| **files > 1);
    let series: BTreeSet<&Series> = several.map(|(series, _)| series).collect();
    let folders: BTreeSet<&PathBuf> = series.iter().map(|(folder, _)| folder).collect();
    let listed = folders
        .into_iter()
        .filter_map(|folder| std::fs::read_dir(folder).ok());
    let files = listed.flatten().flatten().map(|entry| entry.path());
    let alike = files
        .filter(|path| series_of(path).is_some_and(|own| series.contains(&own)) && path.is_file());
    let known: BTreeSet<PathBuf> = read.iter().map(|path| resolved(path)).collect();
    let mut found: Vec<PathBuf> = alike
        .filter(|path| !known.contains(&resolved(path)))
        .collect();
    found.sort();
    found
}

/// The series of a file whose name has a number; `None` where it has none.
fn series_of(path: &Path) -> Option<Series> {
    let name = path.file_name().and_then(OsStr::to_str)?;
    Some((path.parent()?.to_path_buf(), series(name)?))
}

/// What a run says of such `files`; `None` where there are none.
pub(crate) fn warning(files: &[PathBuf]) -> Option<Warning> {
    let names = files.iter().take(LISTED).map(|path| {
        let name = path.file_name().unwrap_or(path.as_os_str());
        name.to_string_lossy().into_owned()
    });
    let names: Vec<String> = names.collect();
    if names.is_empty() {
        return None;
    }
    let words = format!(
        "{}{} {} beside files of checks that are called alike, and {} not read: where checks are in {}, add {} to files under [checks], or run driftbook start again",
        names.join(", "),
        and_others(files.len() - names.len()),
        agreeing(files.len(), "lies", "lie"),
        agreeing(files.len(), "is", "are"),
        agreeing(files.len(), "it", "them"),
        agreeing(files.len(), "it", "them"),
    );
    Some(Warning::new("files", words))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(named: &[&str], others: &[&str]) -> Vec<String> {
        let place = tempfile::tempdir().unwrap();
        for name in named.iter().chain(others) {
            std::fs::write(place.path().join(name), "x").unwrap();
        }
        let mut settings = Settings::default();
        settings.checks.files = named.iter().map(|name| name.to_string()).collect();
        let read: Vec<PathBuf> = named.iter().map(|name| place.path().join(name)).collect();
        let files = not_named(&settings, place.path(), &read);
        let name = |path: &PathBuf| path.file_name().unwrap().to_string_lossy().into_owned();
        files.iter().map(name).collect()
    }

    #[test]
    fn the_next_file_of_a_series_is_found() {
        let months = ["2025-11.csv", "2025-12.csv"];
        let others = [
            "2026-01.csv",
            "register.csv",
            "2026-01.csv.bak",
            "notes-1.csv",
        ];
        assert_eq!(found(&months, &others), ["2026-01.csv"]);
        let counted = ["checks 8.csv", "checks 9.csv"];
        assert_eq!(found(&counted, &["checks 10.csv"]), ["checks 10.csv"]);
        // One file alone is no series, and files without numbers are none.
        assert!(found(&["2025.csv"], &["2026.csv"]).is_empty());
        assert!(found(&["a.csv", "b.csv"], &["c.csv"]).is_empty());
    }

    #[test]
    fn the_warning_names_them() {
        let files = ["in/2026-01.csv", "in/2026-02.csv"].map(PathBuf::from);
        let words = warning(&files).unwrap().words;
        assert!(
            words.starts_with("2026-01.csv, 2026-02.csv lie beside"),
            "{words}"
        );
        assert_eq!(warning(&[]), None);
    }
}
