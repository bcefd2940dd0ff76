/*! `[output]`: what a run writes and where. */

use super::template::unknown_word;
use crate::settings::SettingError;
use serde::{Deserialize, Serialize};

/// Which histories get a chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, clap::ValueEnum)]
#[serde(rename_all = "lowercase")]
pub enum Charts {
    /// Every history.
    #[default]
    All,
    /// Histories that ask for something: any action but keep.
    Flagged,
    /// None.
    None,
}

/// Whether the forecast table is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ForecastTable {
    /// Every history, but for a fleet beyond [`LARGE_FLEET`] that is run without charts.
    #[default]
    Auto,
    /// Every history.
    All,
    /// No history: the header alone.
    None,
}

/// Whether the run's report has a replay section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ReplaySection {
    /// Where it takes no more than a moment: see [`ReplaySection::made`].
    #[default]
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// Checks of a fleet up to which its report has a replay section of itself.
const REPLAY_CHECKS: usize = 20_000;
/// Checks of the longest history up to which the report has one: the time grows with their square.
const REPLAY_LONGEST: usize = 200;

impl ReplaySection {
    /// True where the section is to be made for a fleet of so many checks, the longest
    /// history having `longest`.
    pub(crate) fn made(self, charts: Charts, checks: usize, longest: usize) -> bool {
        match self {
            ReplaySection::Always => true,
            ReplaySection::Never => false,
            ReplaySection::Auto => {
                charts != Charts::None && checks <= REPLAY_CHECKS && longest <= REPLAY_LONGEST
            }
        }
    }
}

/// Histories from which a run without charts leaves its largest table, the forecast, empty.
pub(crate) const LARGE_FLEET: usize = 20_000;

impl ForecastTable {
    /// True where the table is to be filled for a fleet of `histories`.
    pub(crate) fn filled(self, charts: Charts, histories: usize) -> bool {
        match self {
            ForecastTable::All => true,
            ForecastTable::None => false,
            ForecastTable::Auto => charts != Charts::None || histories <= LARGE_FLEET,
        }
    }
}

/// In which formats the tables are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum TableFormats {
    /// CSV and Parquet; of a fleet beyond [`LARGE_FLEET`] Parquet alone.
    #[default]
    Auto,
    /// CSV and Parquet.
    Both,
    /// CSV alone.
    Csv,
    /// Parquet alone.
    Parquet,
}

impl TableFormats {
    /// True where a report of so many `histories` has its tables as CSV.
    pub(crate) fn csv(self, histories: usize) -> bool {
        match self {
            TableFormats::Auto => histories <= LARGE_FLEET,
            TableFormats::Both | TableFormats::Csv => true,
            TableFormats::Parquet => false,
        }
    }

    /// True where a report has its tables as Parquet.
    pub(crate) fn parquet(self) -> bool {
        self != TableFormats::Csv
    }
}

crate::settings! {
    /// What a run writes.
    pub struct OutputSettings in "output" {
        /// Folder of the report, relative to the pipeline file; {year}, {month} and {date} are those of the as-of date.
        folder: String = "reports".to_string(),
        /// Histories that get a chart: all, flagged (any action but keep) or none.
        charts: Charts = Charts::All,
        /// Table of forecasts: auto (all, but none for more than 20,000 histories without charts), all or none.
        forecast: ForecastTable = ForecastTable::Auto,
        /// Formats of the tables: auto (CSV and Parquet; Parquet alone for more than 20,000 histories), both, csv or parquet; rejects and warnings are always CSV.
        tables: TableFormats = TableFormats::Auto,
        /// Compare with the run before and write the digest; never with charts = "none".
        digest: bool = true,
        /// Section that replays the records' own past: auto (up to 20,000 checks, 200 a history, and not without charts), always or never.
        replay: ReplaySection = ReplaySection::Auto,
    }
    together OutputSettings::together
}

impl OutputSettings {
    /// Folders that cannot be named.
    fn together(&self) -> Vec<SettingError> {
        let error = |word| {
            let message =
                format!("unknown word {word} in braces: expected {{year}}, {{month}} or {{date}}");
            SettingError::new("output", "folder", message)
        };
        unknown_word(&self.folder).map(error).into_iter().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_large_fleet_has_its_tables_as_parquet_alone() {
        let auto = TableFormats::Auto;
        assert!(auto.csv(LARGE_FLEET) && !auto.csv(LARGE_FLEET + 1) && auto.parquet());
        assert!(TableFormats::Both.csv(LARGE_FLEET + 1));
    }
}
