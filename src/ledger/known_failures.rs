/*! The failures that a run knew, for the next one: `kept/failures.csv`, one row a failure.

They are kept whether a digest is written or not: a failure is remembered until a named person has closed it.
*/

use super::state::NotRead;
use crate::conformity::DecisionRule;
use crate::decisions::cases::closings::Closings;
use crate::decisions::cases::{CaseStanding, failure_days, standing};
use crate::files::run_error::RunError;
use crate::records::reading::plain_file;
use crate::records::{Histories, date};
use crate::words::{history_name, neutralised};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::path::Path;

/// Name of the table in the kept folder.
pub(crate) const FAILURES: &str = "failures.csv";

/// A check out of tolerance that a run read. Names are neutralised as in every CSV.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub(crate) struct KnownFailure {
    pub instrument: String,
    pub point: String,
    /// Day of the check, ISO 8601.
    pub finding: String,
    /// As-of date of the last run that read it in the records, ISO 8601.
    pub read_by: String,
}

impl KnownFailure {
    /// Day of the check, days since 1970-01-01; `None` where the table was edited into no date.
    pub(super) fn day(&self) -> Option<f64> {
        date::parse_iso(self.finding.as_bytes())
    }

    /// Instrument and point, as the records had them.
    pub(super) fn names(&self) -> (&str, &str) {
        (bare(&self.instrument), bare(&self.point))
    }

    /// "TH-014" or "TH-014, 100 °C".
    pub(super) fn name(&self) -> String {
        let (instrument, point) = self.names();
        history_name(instrument, point)
    }

    /// True where nobody had closed it by `as_of`; `names` are those of its history now.
    pub(super) fn stands(&self, names: (&str, &str), book: Option<&Closings>, as_of: f64) -> bool {
        let became = self.day().map(|day| standing(names, day, book, as_of));
        matches!(became, Some(CaseStanding::Open | CaseStanding::NotKept))
    }

    /// Instrument, point and day.
    fn key(&self) -> (&str, &str, &str) {
        (&self.instrument, &self.point, &self.finding)
    }
}

/// A text without the apostrophe that keeps a spreadsheet from running it.
fn bare(text: &str) -> &str {
    let bare = text.strip_prefix('\'');
    bare.filter(|bare| *neutralised(bare) == *text)
        .unwrap_or(text)
}

/// The failures that the run of `as_of` reads in `histories`, in their order.
pub(crate) fn read_in(histories: &Histories, rule: &DecisionRule, as_of: f64) -> Vec<KnownFailure> {
    let read_by = date::iso(as_of);
    let of = |place: usize| {
        let history = histories.get(place);
        let (days, item) = (failure_days(&history, rule), history.item);
        let read_by = &read_by;
        days.into_iter().map(move |day| KnownFailure {
            instrument: neutralised(&item.instrument).into_owned(),
            point: neutralised(&item.point).into_owned(),
            finding: date::iso(day),
            read_by: read_by.clone(),
        })
    };
    let places = (0..histories.len()).into_par_iter();
    places.flat_map_iter(of).collect()
}

/// `first` and those of `second` that are not among them, in order.
pub(super) fn joined(first: Vec<KnownFailure>, second: Vec<KnownFailure>) -> Vec<KnownFailure> {
    let mut all = first;
    all.extend(second);
    // Stable: of two rows on one failure the one of `first` stays.
    all.sort_by(|one, other| one.key().cmp(&other.key()));
    all.dedup_by(|later, earlier| later.key() == earlier.key());
    all
}

/// Writes the failures to the kept folder.
///
/// # Errors
/// A file that cannot be written.
pub(super) fn keep(failures: &[KnownFailure], kept: &Path) -> Result<(), RunError> {
    let failed = |why: csv::Error| RunError::write(FAILURES, why);
    let mut writer = csv::Writer::from_path(kept.join(FAILURES)).map_err(failed)?;
    for failure in failures {
        writer.serialize(failure).map_err(failed)?;
    }
    writer.flush().map_err(|why| RunError::write(FAILURES, why))
}

/// Reads the failures that an earlier run left.
///
/// # Errors
/// The table is not there or is not what a run writes.
pub(super) fn read(kept: &Path) -> Result<Vec<KnownFailure>, NotRead> {
    let path = kept.join(FAILURES);
    let file = plain_file::open(&path).map_err(|why| NotRead::of(&path, why))?;
    let mut reader = csv::Reader::from_reader(file);
    let rows: Result<Vec<KnownFailure>, csv::Error> = reader.deserialize().collect();
    rows.map_err(|why| NotRead::of(&path, why))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_come_back_as_the_records_had_them() {
        for name in ["-10V-REF", "'quoted", "=A1", "TH-014", "-5"] {
            let known = KnownFailure {
                instrument: neutralised(name).into_owned(),
                point: neutralised(name).into_owned(),
                finding: "2024-03-05".into(),
                read_by: "2026-04-30".into(),
            };
            assert_eq!(known.names(), (name, name));
        }
    }
}
