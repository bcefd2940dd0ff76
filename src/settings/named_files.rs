/*! The files that a pipeline file names, found. */

use super::file::PipelineFile;
use super::file_error::Problem;
use crate::records::ChecksSettings;
use crate::records::reading::{files, plain_file};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// The files of checks with their forms, and what was left out.
pub(crate) fn resolve_checks(
    file: &PipelineFile,
    base: &Path,
    problems: &mut Vec<Problem>,
) -> (Vec<(PathBuf, usize)>, Vec<String>) {
    let checks = &file.settings.checks;
    let place = file.place("checks", "files");
    let mut problem = |title: String, label: &str| {
        problems.push(Problem {
            span: place.clone(),
            title,
            label: label.to_string(),
            help: None,
        });
    };
    // Raw readings of thermometers make checks by themselves.
    let reduced = !file.settings.thermometry.files.is_empty();
    if checks.files.is_empty() && checks.other.is_empty() && !reduced {
        let label = "expected files = [\"history/*.csv\"] under [checks]";
        problem("no records are named".to_string(), label);
    }
    let mut left_out = Vec::new();
    let mut find = |form: usize| {
        let mut all = Vec::new();
        for entry in &checks.form(form).files {
            match files::find(entry, base) {
                Ok(found) => {
                    all.extend(found.files.into_iter().map(|path| (path, form)));
                    left_out.extend(found.left_out);
                }
                Err(what) => problem(
                    format!("\"{entry}\": {what}"),
                    "paths are relative to this file",
                ),
            }
        }
        all
    };
    let own = find(0);
    let others: Vec<(PathBuf, usize)> = (1..=checks.other.len()).flat_map(find).collect();
    left_out.sort();
    left_out.dedup();
    (each_once(checks, others.into_iter().chain(own)), left_out)
}

/// The files with their forms, each once. Two entries may name the same file; its rows count once, in the form
/// that is stated of it apart where a folder or a pattern names it too. Forms that name other sheets of a
/// workbook share it.
fn each_once(
    checks: &ChecksSettings,
    found: impl Iterator<Item = (PathBuf, usize)>,
) -> Vec<(PathBuf, usize)> {
    let mut read: HashMap<PathBuf, Vec<usize>> = HashMap::new();
    let mut all: Vec<(PathBuf, usize)> = Vec::new();
    for (path, form) in found {
        let sheets = &checks.form(form).sheets;
        let apart = |other: &usize| {
            let known = &checks.form(*other).sheets;
            let named = !known.is_empty() && !sheets.is_empty();
            named && !known.iter().any(|sheet| sheets.contains(sheet))
        };
        let known = read.entry(path.clone()).or_default();
        if known.iter().all(apart) {
            known.push(form);
            all.push((path, form));
        }
    }
    all.sort_by_key(|(_, form)| *form);
    all
}

pub(super) fn resolve_register(
    file: &PipelineFile,
    base: &Path,
    problems: &mut Vec<Problem>,
) -> Option<PathBuf> {
    let path = base.join(file.settings.register.file.as_ref()?);
    if let Err(why) = plain_file::open(&path) {
        let shown = path.display();
        problems.push(Problem {
            span: file.place("register", "file"),
            title: match why.kind() {
                std::io::ErrorKind::NotFound => format!("no such file: {shown}"),
                _ => format!("{shown}: cannot be read: {why}"),
            },
            label: "paths are relative to this file".to_string(),
            help: None,
        });
    }
    Some(path)
}
