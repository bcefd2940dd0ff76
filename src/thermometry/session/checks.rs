/*! Reduced sessions as rows of the checks table. */

use super::result::SessionResult;
use crate::records::{self, Event};
use crate::thermometry::readings::RejectedReading;
use chrono::{DateTime, SecondsFormat};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Event of a check after which a new value is carried.
const ADOPTION: &str = "adjusted";

crate::words::worded! {
    /// Unit in which reduced checks are kept.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
    pub enum CheckUnit with symbol {
        /// Change from the value in use as temperature at the point, mK.
        #[default]
        #[serde(rename = "mK")]
        Millikelvin = "mK",
        /// Change from the value in use as resistance, mΩ.
        #[serde(rename = "mΩ", alias = "mohm")]
        Milliohm = "mΩ",
    }
}

/// One row of the checks table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(crate) struct ReducedCheck {
    /// Thermometer.
    pub instrument: String,
    /// Point in words.
    pub point: String,
    /// ISO 8601 date and time.
    pub date: String,
    /// Change from the reference value, in `unit`.
    pub as_found: f64,
    /// Change from the value adopted after it, in `unit`; absent where none was.
    pub as_left: Option<f64>,
    /// Standard uncertainty that is new with every check.
    pub u: f64,
    /// Standard uncertainty shared by all checks.
    pub u_common: f64,
    /// Event word.
    pub event: String,
    pub unit: &'static str,
}

impl SessionResult {
    /// A change in mK at the point, in the unit of the checks.
    pub(crate) fn in_unit(&self, change_mk: f64, unit: CheckUnit) -> f64 {
        match unit {
            CheckUnit::Millikelvin => change_mk,
            CheckUnit::Milliohm => change_mk * self.reduced.ohm_per_mk * 1000.0,
        }
    }

    /// The check, or why there is none.
    ///
    /// # Errors
    /// The rejected reading that stands for the session, with its reasons.
    pub(crate) fn check(&self, unit: CheckUnit) -> Result<ReducedCheck, RejectedReading> {
        if !self.is_accepted() {
            return Err(RejectedReading {
                file: self.first_row.0,
                row: self.first_row.1,
                column: "session",
                value: self.session.clone(),
                reason: format!("{}: {}", self.instrument, self.reasons()),
                session_cause: self.rejecting_cause(),
                // The next accepted session takes its event over.
                event: Event::None,
            });
        }
        let as_left = self.adopted.map(|value| self.change_from_mk(value.ohm));
        let (as_found, as_left, event) = match records::event(&self.event) {
            // What happened before the reading set its level: it has no history with the old
            // value, which one value both as found and as left says.
            Some(event) if event.restarts_drift() => {
                let read_after = as_left.unwrap_or(self.change_mk());
                (read_after, Some(read_after), self.event.clone())
            }
            // A new value resets the error and leaves the drift, as an adjustment does.
            _ if as_left.is_some() => (self.change_mk(), as_left, ADOPTION.to_string()),
            _ => (self.change_mk(), None, self.event.clone()),
        };
        Ok(ReducedCheck {
            instrument: self.instrument.clone(),
            point: self.point.name(),
            date: iso(self.date),
            as_found: self.in_unit(as_found, unit),
            as_left: as_left.map(|left| self.in_unit(left, unit)),
            u: self.in_unit(self.u_mk(), unit),
            u_common: self.in_unit(self.u_common_mk(), unit),
            event,
            unit: unit.symbol(),
        })
    }
}

/// For each thermometer and point of `results`, the unit of the two that its checks are not in,
/// with its size in the unit they are in: (instrument, point, other unit, factor).
pub(crate) fn other_units<'a>(
    results: impl IntoIterator<Item = &'a SessionResult>,
    unit: CheckUnit,
) -> Vec<(String, String, CheckUnit, f64)> {
    let mut sizes: BTreeMap<(String, String), f64> = BTreeMap::new();
    for result in results {
        let key = (result.instrument.clone(), result.point.name());
        sizes
            .entry(key)
            .or_insert(result.in_unit(1.0, CheckUnit::Milliohm));
    }
    let other = |((instrument, point), milliohm): ((String, String), f64)| match unit {
        CheckUnit::Milliohm => (instrument, point, CheckUnit::Millikelvin, milliohm),
        CheckUnit::Millikelvin => (instrument, point, CheckUnit::Milliohm, 1.0 / milliohm),
    };
    sizes.into_iter().map(other).collect()
}

/// Date and time to the minute of days since 1970-01-01.
fn iso(days: f64) -> String {
    let minutes = (days * 1440.0).round() as i64;
    DateTime::from_timestamp(minutes * 60, 0).map_or(String::new(), |moment| {
        let text = moment.to_rfc3339_opts(SecondsFormat::Secs, true);
        text.trim_end_matches('Z').to_string()
    })
}

/// The checks as CSV text with the contract's column names.
pub(crate) fn checks_csv<'a>(
    results: impl IntoIterator<Item = &'a SessionResult>,
    unit: CheckUnit,
) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let header = [
        "instrument",
        "point",
        "date",
        "as_found",
        "as_left",
        "u",
        "u_common",
        "event",
        "unit",
    ];
    // Writing to memory cannot fail; a field that could not be written is left out.
    let _ = writer.write_record(header);
    for check in results.into_iter().filter_map(|r| r.check(unit).ok()) {
        let _ = writer.write_record([
            check.instrument,
            check.point,
            check.date,
            check.as_found.to_string(),
            check.as_left.map_or(String::new(), |left| left.to_string()),
            check.u.to_string(),
            check.u_common.to_string(),
            check.event,
            check.unit.to_string(),
        ]);
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}
