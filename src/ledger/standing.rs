/*! The run whose report stands in a folder, as its own `run.json` tells it. */

use super::build::{build, build_of};
use super::{KEPT, settings_sha256};
use crate::files::own_files::OwnFiles;
use crate::records::reading::files;
use crate::records::reading::own_report::RECORD;
use crate::records::reading::plain_file;
use crate::records::reading::plain_file::LARGEST_MB;
use crate::records::reading::source::input_of;
use crate::records::{InputFile, RowCounts, date};
use crate::settings::plan::Plan;
use serde::Deserialize;
use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::path::Path;

/// What `run.json` of a standing report tells.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct StandingReport {
    /// Version of the program.
    pub driftbook: String,
    /// Build of the program, from the kept folder; empty where it does not tell.
    #[serde(skip)]
    pub build: String,
    /// As-of date, ISO 8601.
    pub as_of: String,
    /// Inputs with their SHA-256.
    pub inputs: Vec<InputFile>,
    /// Row accounts.
    pub rows: RowCounts,
    /// Number of histories.
    pub histories: usize,
    /// Histories with each action.
    pub actions: BTreeMap<String, usize>,
    /// Findings that nobody had closed.
    #[serde(default)]
    pub open_cases: usize,
    /// SHA-256 of the settings; empty where an older version did not write it.
    #[serde(default)]
    pub settings_sha256: String,
    /// The files of the report with their sizes.
    #[serde(default)]
    pub files: OwnFiles,
}

impl StandingReport {
    /// Reads `run.json` of `folder`; `None` where there is none or it cannot be read.
    pub(crate) fn read(folder: &Path) -> Option<Self> {
        let text = plain_file::read_text(&folder.join(RECORD), LARGEST_MB).ok()?;
        let mut standing: Self = serde_json::from_str(&text).ok()?;
        standing.build = build_of(&folder.join(KEPT)).unwrap_or_default();
        Some(standing)
    }

    /// As-of date, days since 1970-01-01; NaN where it is no date.
    pub(crate) fn day(&self) -> f64 {
        date::parse_iso(self.as_of.as_bytes()).unwrap_or(f64::NAN)
    }

    /// True where the build of the program, the as-of date and the settings are those of `plan`.
    pub(crate) fn same_setting(&self, plan: &Plan) -> bool {
        self.driftbook == env!("CARGO_PKG_VERSION")
            && self.build == build()
            && self.day() == plan.as_of
            && self.settings_sha256 == settings_sha256(&plan.settings)
    }

    /// True where `plan` would write the very report that stands in `folder`.
    /// The dearest is asked last: a fleet's report has a file or two a history to look for.
    pub(crate) fn is_done(&self, plan: &Plan, folder: &Path) -> bool {
        self.same_setting(plan) && self.same_inputs(plan) && self.files.stand(folder)
    }

    fn same_inputs(&self, plan: &Plan) -> bool {
        let paths = plan.inputs();
        let by_path: BTreeMap<&str, &InputFile> = self
            .inputs
            .iter()
            .map(|input| (input.path.as_str(), input))
            .collect();
        let known = |path: &Path| {
            by_path
                .get(files::shown(path, &plan.base).as_str())
                .copied()
        };
        let alike = |path: &std::path::PathBuf| {
            let size = std::fs::metadata(path).map(|data| data.len()).ok();
            known(path).is_some_and(|input| size == Some(input.bytes))
        };
        let equal = |path: &std::path::PathBuf| {
            known(path).is_some_and(|input| {
                input_of(path, &input.path).is_ok_and(|found| found.sha256 == input.sha256)
            })
        };
        // An input that the plan does not know of makes the report anew: the safe side.
        paths.len() == self.inputs.len() && paths.iter().all(alike) && paths.iter().all(equal)
    }

    /// How the version that wrote the report compares with this one, where it differs.
    pub(crate) fn version_words(&self) -> Option<String> {
        let here = env!("CARGO_PKG_VERSION");
        let word = match compare_versions(&self.driftbook, here) {
            Ordering::Equal if self.build == build() => return None,
            Ordering::Equal => {
                return Some(format!(
                    "The report that stood here was made by another build of version {here} and is made \
                     anew; what differs may come from the program."
                ));
            }
            Ordering::Less => "an older",
            Ordering::Greater => "a newer",
        };
        Some(format!(
            "The report that stood here was made by {word} version, {}, and is made anew by {here}; \
             what differs may come from the version.",
            self.driftbook
        ))
    }
}

/// Orders versions by their numbers; equal texts are equal.
fn compare_versions(one: &str, other: &str) -> Ordering {
    let numbers = |text: &str| -> Vec<u64> {
        let parts = text.split(|c: char| !c.is_ascii_digit());
        parts.filter_map(|part| part.parse().ok()).collect()
    };
    numbers(one).cmp(&numbers(other)).then(one.cmp(other))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn versions_are_ordered_by_number() {
        assert_eq!(compare_versions("0.9.0", "0.10.0"), Ordering::Less);
        assert_eq!(compare_versions("1.0", "0.10.0"), Ordering::Greater);
        assert_eq!(compare_versions("0.1.0", "0.1.0"), Ordering::Equal);
    }
}
