/*! Reduced sessions as rows of the checks table. */

use super::result::SessionResult;
use super::violation::Standing;
use crate::thermometry::readings::RejectedReading;
use chrono::{DateTime, SecondsFormat};
use serde::{Deserialize, Serialize};

/// Unit in which reduced checks are kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum CheckUnit {
    /// Change from the value in use as temperature at the point, mK.
    #[default]
    #[serde(rename = "mK")]
    Millikelvin,
    /// Change from the value in use as resistance, mΩ.
    #[serde(rename = "mΩ", alias = "mohm")]
    Milliohm,
}

impl CheckUnit {
    /// The unit's symbol.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Millikelvin => "mK",
            Self::Milliohm => "mΩ",
        }
    }
}

/// One row of the checks table.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReducedCheck {
    /// Thermometer.
    pub instrument: String,
    /// Point in words.
    pub point: String,
    /// ISO 8601 date and time.
    pub date: String,
    /// Change from the reference value, in `unit`.
    pub as_found: f64,
    /// Standard uncertainty that is new with every check.
    pub u: f64,
    /// Standard uncertainty shared by all checks.
    pub u_common: f64,
    /// Event word.
    pub event: String,
    /// Unit.
    pub unit: &'static str,
}

impl SessionResult {
    /// The check, or why there is none.
    ///
    /// # Errors
    /// The rejected reading that stands for the session, with its reasons.
    pub fn check(&self, unit: CheckUnit) -> Result<ReducedCheck, RejectedReading> {
        if self.standing() == Standing::Rejected {
            return Err(RejectedReading {
                file: self.first_row.0,
                row: self.first_row.1,
                column: "session",
                value: self.session.clone(),
                reason: format!("{}: {}", self.instrument, self.reasons()),
            });
        }
        let of_mk = match unit {
            CheckUnit::Millikelvin => 1.0,
            CheckUnit::Milliohm => self.reduced.ohm_per_mk * 1000.0,
        };
        Ok(ReducedCheck {
            instrument: self.instrument.clone(),
            point: self.point.name(),
            date: iso(self.date),
            as_found: self.change_mk() * of_mk,
            u: self.u_mk() * of_mk,
            u_common: self.u_common_mk() * of_mk,
            event: self.event.clone(),
            unit: unit.symbol(),
        })
    }
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
pub fn checks_csv<'a>(
    results: impl IntoIterator<Item = &'a SessionResult>,
    unit: CheckUnit,
) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let header = [
        "instrument",
        "point",
        "date",
        "as_found",
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
            check.u.to_string(),
            check.u_common.to_string(),
            check.event,
            check.unit.to_string(),
        ]);
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes).into_owned()
}
