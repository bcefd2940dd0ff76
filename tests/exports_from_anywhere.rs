/*! Exports from laboratories in many languages and habits, as `start` meets them: the doubts that it
marks, and what is read once they are answered as it took them. All are invented.

`tests/records/exports/NAME` holds the file, the names of the doubts (`asked.txt`), settings and
columns that a person states beside (`stated.txt`, `columns.txt`), and the truth that made it. */

use crate::desk::{Desk, loaded};
use crate::raw_shapes::checks;
use std::path::{Path, PathBuf};

pub fn exports() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/records/exports");
    let entries = std::fs::read_dir(folder).unwrap();
    let mut exports: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    exports.sort();
    exports
}

fn text_of(export: &Path, name: &str) -> String {
    std::fs::read_to_string(export.join(name)).unwrap_or_default()
}

/// The draft with what a person states of an export.
fn stated(export: &Path, draft: &str) -> String {
    let stated = format!("{}[checks.columns]", text_of(export, "stated.txt"));
    let mut draft = draft.replacen("[checks.columns]", &stated, 1);
    for line in text_of(export, "columns.txt").lines() {
        let key = line.split(' ').next().unwrap();
        draft = draft.replace(&format!("# {key} = \"…\""), line);
    }
    draft
}

/// A desk with an export as `raw.csv`, and the pipeline file that a person makes of it.
pub fn desk_with(export: &Path) -> (Desk, PathBuf) {
    let desk = Desk::new();
    std::fs::copy(export.join("raw.csv"), desk.path("raw.csv")).unwrap();
    let (_, pipeline) = desk.start(&desk.path("raw.csv"));
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    std::fs::write(&pipeline, stated(export, &draft)).unwrap();
    (desk, pipeline)
}

/// What is wrong with what `start` makes of one export; `None` where nothing is.
fn wrong(export: &Path) -> Option<String> {
    let desk = Desk::new();
    std::fs::copy(export.join("raw.csv"), desk.path("raw.csv")).unwrap();
    let (done, pipeline) = desk.start(&desk.path("raw.csv"));
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    let marked = draft.lines().filter(|line| line.contains("right: "));
    let mut asked: Vec<&str> = marked.filter_map(|line| line.split(' ').next()).collect();
    asked.sort_unstable();
    let expected = text_of(export, "asked.txt");
    if asked != expected.split_whitespace().collect::<Vec<_>>() {
        return Some(format!("asked {asked:?}: {}", done.stdout));
    }
    let (again, _) = desk.start(&desk.path("raw.csv"));
    if std::fs::read_to_string(&pipeline).unwrap() != draft {
        return Some(format!("a second look changed its draft: {}", again.stdout));
    }
    std::fs::write(&pipeline, stated(export, &draft)).unwrap();
    let read = loaded(&pipeline);
    // What start left out is no column that came later.
    let mut words = read.warnings.iter().map(|warning| &warning.words);
    if let Some(later) = words.find(|words| words.contains("not_read does not name it")) {
        return Some(later.clone());
    }
    std::fs::write(desk.path("truth.csv"), text_of(export, "truth.csv")).unwrap();
    let truth = loaded(&desk.path("truth.csv"));
    let (own, true_ones) = (checks(&read.histories), checks(&truth.histories));
    let right = own == true_ones && read.rejects.is_empty();
    (!right).then(|| format!("{own:#?} is not {true_ones:#?}; {:?}", read.rejects))
}

#[test]
fn every_export_is_read_right_or_asked_about() {
    let exports = exports();
    assert!(exports.len() >= 12);
    let wrong = exports.iter().filter_map(|path| Some((path, wrong(path)?)));
    let wrong: Vec<String> = wrong
        .map(|(path, why)| format!("{}: {why}", path.display()))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
