/*! What a run keeps of every history for the next one: `kept/histories.csv`.

One row a history: its decision in short, and a short hash of every check it rests on,
so that the next run can tell what was added, edited or taken away.
*/

use super::check_bytes::push_check;
use crate::control::ControlState;
use crate::decisions::policy::Decision;
use crate::decisions::stage::DecisionStage;
use crate::files::run_error::RunError;
use crate::records::reading::plain_file;
use crate::records::{History, date};
use crate::words::history_name;
use crate::words::neutralised as neutralise;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};

/// Name of the table in the kept folder.
pub(crate) const HISTORIES: &str = "histories.csv";

/// Hexadecimal digits of one check's hash: two checks of a history of 100 agree by chance
/// once in 3,000 such histories, and then only an edit from one into the other goes unseen.
const CHECK_DIGITS: usize = 6;

/// One history as a run left it. Names are neutralised as in every CSV.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct KeptHistory {
    /// Identity of the instrument.
    pub instrument: String,
    /// Quantity or set point.
    pub point: String,
    /// Unit of the error.
    pub unit: String,
    /// What was decided.
    pub action: String,
    /// What could be estimated, in words.
    pub status: String,
    /// Interval in use, days.
    pub current_interval_days: Option<f64>,
    /// Interval in use that the register or the records state, days, whatever the book of approvals has put in force;
    /// `None` where none, or the run did not keep it.
    #[serde(default)]
    pub stated_interval_days: Option<f64>,
    /// Interval decided, days.
    pub interval_days: Option<f64>,
    /// Due date in force, ISO 8601; empty where none, and where the item is lent or stored.
    pub due_date: String,
    /// Drift, unit per year.
    pub drift_per_year: Option<f64>,
    /// Its standard uncertainty.
    pub u_drift_per_year: Option<f64>,
    /// `in`, `out`, or empty where no control chart can be drawn.
    pub control: String,
    /// True where it has limits; `None` where the run did not keep them.
    #[serde(default)]
    pub limited: Option<bool>,
    /// Lower limit on the error, in its unit; `None` where that side is open.
    #[serde(default)]
    pub lower: Option<f64>,
    /// Upper limit.
    #[serde(default)]
    pub upper: Option<f64>,
    /// Class of the item; `None` where it states none, or the run did not keep it.
    #[serde(default)]
    pub group: Option<String>,
    /// Last check, ISO 8601.
    pub last_check: String,
    /// As-of dates of the extensions that were followed within the last years, with spaces between.
    pub extensions: String,
    /// Short hashes of the checks in order of date, six digits each.
    pub check_hashes: String,
}

impl KeptHistory {
    /// Instrument and point.
    pub(crate) fn key(&self) -> (&str, &str) {
        (&self.instrument, &self.point)
    }

    /// Due date, days since 1970-01-01; NaN where none.
    pub(crate) fn due(&self) -> f64 {
        date::parse_iso(self.due_date.as_bytes()).unwrap_or(f64::NAN)
    }

    /// "TH-014" or "TH-014, 100 °C".
    pub(crate) fn name(&self) -> String {
        history_name(&self.instrument, &self.point)
    }

    /// As-of dates of the extensions that were followed.
    pub(crate) fn extension_days(&self) -> Vec<f64> {
        let dates = self.extensions.split_whitespace();
        dates
            .filter_map(|text| date::parse_iso(text.as_bytes()))
            .collect()
    }

    /// The checks' hashes, in order of date.
    pub(crate) fn checks(&self) -> Vec<&str> {
        each_hash(&self.check_hashes).collect()
    }
}

/// The states of all histories after this run, in their order.
pub(crate) fn states(stage: &DecisionStage<'_>, decisions: &[Decision]) -> Vec<KeptHistory> {
    (0..decisions.len())
        .into_par_iter()
        .map(|index| state(stage, index, &decisions[index]))
        .collect()
}

fn state(stage: &DecisionStage<'_>, index: usize, decision: &Decision) -> KeptHistory {
    let history = stage.histories.get(index);
    let fit = &stage.fits.fits[index];
    let tolerance = history.item.tolerance;
    let some = |value: f64| value.is_finite().then_some(value);
    let day = |value: f64| some(value).map_or(String::new(), date::iso);
    let past = stage.past.get(index).map_or(&[][..], Vec::as_slice);
    let extensions: Vec<String> = past.iter().map(|made| date::iso(made.day)).collect();
    KeptHistory {
        instrument: neutralise(&history.item.instrument).into_owned(),
        point: neutralise(&history.item.point).into_owned(),
        unit: neutralise(&history.item.unit).into_owned(),
        action: decision.action.word().into(),
        status: fit.status.words().into(),
        current_interval_days: some(decision.current_interval_days),
        stated_interval_days: history.item.stated_interval_days(),
        interval_days: some(decision.interval_days.round()),
        due_date: match history.item.status.is_away() {
            true => String::new(),
            false => day(decision.act_on()),
        },
        drift_per_year: some(fit.drift_per_year),
        u_drift_per_year: some(fit.u_drift_per_year),
        control: in_control(stage, index).into(),
        limited: Some(tolerance.is_some()),
        lower: tolerance.and_then(|limits| some(limits.lower())),
        upper: tolerance.and_then(|limits| some(limits.upper())),
        group: Some(neutralise(&history.item.group).into_owned()).filter(|name| !name.is_empty()),
        last_check: day(history.date.last().copied().unwrap_or(f64::NAN)),
        extensions: extensions.join(" "),
        check_hashes: check_hashes(&history),
    }
}

/// State of the control chart, as on the instrument's page.
fn in_control(stage: &DecisionStage<'_>, index: usize) -> &'static str {
    match stage.controls.charts.get(&index).map(|chart| chart.state) {
        Some(ControlState::InControl | ControlState::Warning) => "in",
        Some(ControlState::OutOfControl) => "out",
        Some(ControlState::Unknown) | None => "",
    }
}

/// Short hashes of everything each check states, in order.
pub(crate) fn check_hashes(history: &History<'_>) -> String {
    let mut text = String::with_capacity(history.len() * CHECK_DIGITS);
    let mut bytes = Vec::new();
    for row in 0..history.len() {
        bytes.clear();
        push_check(&mut bytes, history, row);
        let hash = Sha256::digest(&bytes);
        let digits = hash.iter().flat_map(|byte| [byte >> 4, byte & 0xf]);
        let hexadecimal = |digit: u8| char::from_digit(digit.into(), 16).unwrap_or('0');
        text.extend(digits.take(CHECK_DIGITS).map(hexadecimal));
    }
    text
}

/// The hashes in such a text.
pub(crate) fn each_hash(hashes: &str) -> impl Iterator<Item = &str> {
    let parts = hashes.as_bytes().chunks(CHECK_DIGITS);
    parts.filter_map(|part| std::str::from_utf8(part).ok())
}

/// Writes the states to the kept folder.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn keep(states: &[KeptHistory], kept: &Path) -> Result<(), RunError> {
    let failed = |why: csv::Error| RunError::write(HISTORIES, why);
    let mut writer = csv::Writer::from_path(kept.join(HISTORIES)).map_err(failed)?;
    for state in states {
        writer.serialize(state).map_err(failed)?;
    }
    writer
        .flush()
        .map_err(|why| RunError::write(HISTORIES, why))
}

/// A file of an earlier run that cannot be read, and what is said of it.
#[derive(Debug, thiserror::Error)]
#[error("{}: {why}", path.display())]
pub(crate) struct NotRead {
    path: PathBuf,
    why: Box<dyn std::error::Error + Send + Sync>,
}

impl NotRead {
    /// Of the file at `path`.
    pub(crate) fn of(path: &Path, why: impl std::error::Error + Send + Sync + 'static) -> Self {
        Self {
            path: path.to_path_buf(),
            why: why.into(),
        }
    }
}

/// Reads the states of an earlier run.
///
/// # Errors
/// The table is not there or is not what a run writes.
pub(crate) fn read(kept: &Path) -> Result<Vec<KeptHistory>, NotRead> {
    let path = kept.join(HISTORIES);
    let file = plain_file::open(&path).map_err(|why| NotRead::of(&path, why))?;
    let mut reader = csv::Reader::from_reader(file);
    let rows: Result<Vec<KeptHistory>, csv::Error> = reader.deserialize().collect();
    rows.map_err(|why| NotRead::of(&path, why))
}
