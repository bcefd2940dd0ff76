/*! How a pipeline file names the files that it reads: one by one, or by a pattern that next month's
file fits too. */

use crate::records::reading::files;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Entries for `files` in a pipeline file in `folder`: those that were found in one of the folders
/// among `inputs` by a pattern, where one fits them all and nothing else there but files that are named `apart`.
pub(super) fn entries(
    files: &[PathBuf],
    apart: &[PathBuf],
    inputs: &[PathBuf],
    folder: &Path,
) -> Vec<String> {
    let searched = |parent: &Path| {
        let within = |input: &PathBuf| input.is_dir() && parent.starts_with(input);
        inputs.iter().any(within)
    };
    let mut entries = Vec::new();
    let mut rest = files;
    // Files come sorted by path, so that those of a folder mostly stand together.
    while let Some(first) = rest.first() {
        let parent = first.parent().unwrap_or(Path::new(""));
        let of_parent = |path: &&PathBuf| path.parent() == Some(parent);
        let (group, others) = rest.split_at(rest.iter().take_while(of_parent).count().max(1));
        rest = others;
        match searched(parent).then(|| pattern(group, apart, parent, folder)) {
            Some(Some(pattern)) => entries.push(pattern),
            _ => entries.extend(group.iter().map(|path| entry(path, folder))),
        }
    }
    entries
}

/// How a pipeline file in `folder` names the file or folder at `path`.
pub(super) fn entry(path: &Path, folder: &Path) -> String {
    let near = path.strip_prefix(folder).map(Path::to_path_buf);
    let near = near.or_else(|_| path.canonicalize());
    let near = near.unwrap_or_else(|_| path.to_path_buf());
    glob::Pattern::escape(&near.to_string_lossy().replace('\\', "/"))
}

/// A pattern for several files of the folder `parent`, the widest that fits no other file there but those `apart`.
fn pattern(group: &[PathBuf], apart: &[PathBuf], parent: &Path, folder: &Path) -> Option<String> {
    let names: Option<Vec<&str>> = group
        .iter()
        .map(|path| path.file_name().and_then(|name| name.to_str()))
        .collect();
    let names = names.filter(|names| names.len() > 1)?;
    let ending = Path::new(names[0]).extension()?.to_str()?;
    let ending = format!(".{ending}");
    if !names.iter().all(|name| name.ends_with(&ending)) {
        return None;
    }
    let start = |name: &str| name.chars().next().is_some_and(|c| c.is_ascii_digit());
    let dated = names.iter().all(|name| start(name));
    // Of names that count, such as checks-01 and checks-02, what stands before the number.
    let stem = shared(&names).trim_end_matches(|c: char| c.is_ascii_digit());
    let place = match entry(parent, folder) {
        place if place.is_empty() => place,
        place => place + "/",
    };
    let starts = [
        Some(String::new()),
        dated.then(|| "[0-9]".to_string()),
        (!stem.is_empty()).then(|| glob::Pattern::escape(stem)),
    ];
    let mut patterns = starts
        .into_iter()
        .flatten()
        .map(|start| format!("{place}{start}*{ending}"));
    patterns.find(|pattern| {
        files::find(pattern, folder).is_ok_and(|found| {
            let whole = |files: &[PathBuf]| -> BTreeSet<Option<PathBuf>> {
                files.iter().map(|path| path.canonicalize().ok()).collect()
            };
            let (meant, apart) = (whole(group), whole(apart));
            let found = whole(&found.files);
            found.difference(&apart).eq(&meant)
        })
    })
}

/// What all names begin with.
fn shared<'a>(names: &[&'a str]) -> &'a str {
    let Some((first, others)) = names.split_first() else {
        return "";
    };
    let agree = |at: &usize| {
        let whole = first.is_char_boundary(*at);
        whole && others.iter().all(|name| name.starts_with(&first[..*at]))
    };
    let longest = (0..=first.len()).rev().find(agree);
    &first[..longest.unwrap_or(0)]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(names: &[&str], others: &[&str]) -> Vec<String> {
        let place = tempfile::tempdir().unwrap();
        let inside = place.path().join("in");
        std::fs::create_dir(&inside).unwrap();
        for name in names.iter().chain(others) {
            std::fs::write(inside.join(name), "x").unwrap();
        }
        let files: Vec<PathBuf> = names.iter().map(|name| inside.join(name)).collect();
        entries(&files, &[], std::slice::from_ref(&inside), place.path())
    }

    #[test]
    fn files_named_apart_break_no_pattern() {
        let place = tempfile::tempdir().unwrap();
        let files = ["1.csv", "2.csv", "3.csv"].map(|name| place.path().join(name));
        for file in &files {
            std::fs::write(file, "x").unwrap();
        }
        let folder = place.path().to_path_buf();
        let named =
            |apart: &[PathBuf]| entries(&files[..2], apart, std::slice::from_ref(&folder), &folder);
        assert_eq!(named(&files[2..]), ["*.csv"]);
        assert_eq!(named(&[]), ["1.csv", "2.csv"]);
    }

    #[test]
    fn files_of_a_folder_are_named_by_a_pattern_that_the_next_one_fits() {
        let months = ["2026-01.csv", "2026-02.csv"];
        assert_eq!(of(&months, &["notes.txt"]), ["in/*.csv"]);
        assert_eq!(of(&months, &["register.csv"]), ["in/[0-9]*.csv"]);
        let counted = ["checks-01.csv", "checks-02.csv"];
        assert_eq!(of(&counted, &["register.csv"]), ["in/checks-*.csv"]);
    }

    #[test]
    fn files_that_no_pattern_sets_apart_are_named_one_by_one() {
        let months = ["2026-01.csv", "2026-03.csv"];
        let named = ["in/2026-01.csv", "in/2026-03.csv"];
        assert_eq!(of(&months, &["2026-02.csv"]), named);
        assert_eq!(
            of(&["a.csv", "b.csv"], &["c.csv"]),
            ["in/a.csv", "in/b.csv"]
        );
        assert_eq!(of(&["a.csv"], &["b.csv"]), ["in/a.csv"]);
    }
}
