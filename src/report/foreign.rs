/*! A run folder may be replaced only where everything in it is a run's. */

use super::folder::FolderError;
use std::fs;
use std::path::Path;

/// Names a run writes at the top of its folder; anything else there is not ours.
const OWN_NAMES: &[&str] = &[
    "adoption.csv",
    "adoption.parquet",
    "calendar.ics",
    "charts",
    "coefficients.csv",
    "coefficients.parquet",
    "decisions.csv",
    "decisions.parquet",
    "diagnostics.csv",
    "diagnostics.parquet",
    "digest.html",
    "digest.json",
    "digest.md",
    "digest.txt",
    "doubts.csv",
    "doubts.parquet",
    "fits.csv",
    "fits.parquet",
    "forecast.csv",
    "forecast.parquet",
    "groups",
    "index.html",
    "instruments",
    "kept",
    "proposals.csv",
    "proposals.parquet",
    "rejects.csv",
    "replay",
    "replay.csv",
    "replay.md",
    "run.json",
    "sessions.csv",
    "sessions.parquet",
    "budgets.csv",
    "budgets.parquet",
    "ratios.csv",
    "ratios.parquet",
    "summary.md",
    "thermometers.csv",
    "thermometers.parquet",
    "timings.json",
    "warnings.csv",
];

/// Fails where `target` is a file, or holds what no run writes.
pub(super) fn refuse_foreign(target: &Path) -> Result<(), FolderError> {
    if target.is_file() {
        return Err(FolderError::File(target.to_path_buf()));
    }
    let Ok(entries) = fs::read_dir(target) else {
        return Ok(());
    };
    let mut names: Vec<String> = entries
        .filter_map(|entry| {
            entry
                .ok()
                .map(|e| e.file_name().to_string_lossy().into_owned())
        })
        .collect();
    names.sort();
    match names
        .into_iter()
        .find(|name| !OWN_NAMES.contains(&name.as_str()))
    {
        Some(name) => Err(FolderError::Foreign {
            folder: target.to_path_buf(),
            name,
        }),
        None => Ok(()),
    }
}
