/*! `[thermometry]`: where raw readings are, and the tables of rules below it. */

use super::advice::AdviceSettings;
use super::closure::AroundWorkSettings;
use super::iec60751::ClassRanges;
use super::its90::PlatinumSettings;
use super::readings::{COLUMNS, ReadingFormat};
use super::reduction::BudgetSettings;
use super::session::{CheckUnit, SessionSettings};
use crate::records::date::{DateFormat, UsableDateFormat};
use crate::records::{Delimiter, Encoding, Event};
use crate::settings::{SettingError, SettingsTable};
use std::collections::BTreeMap;

crate::settings! {
    /// Raw readings of thermometers and what is done with them.
    pub struct ThermometrySettings in "thermometry" {
        /// Files and globs of raw readings (CSV or Parquet), relative to the pipeline file; empty = none.
        files: Vec<String> = Vec::new(),
        /// Delimiter of CSV files: auto, ",", ";", tab or "|".
        delimiter: Delimiter = Delimiter::Auto,
        /// Encoding of CSV files: utf-8, latin-1 or another by its standard name, such as windows-1250.
        encoding: Encoding = Encoding::Utf8,
        /// True where numbers are written 0,5 rather than 0.5.
        decimal_comma: bool = false,
        /// Format of date and time in strftime notation, such as "%d.%m.%Y %H:%M"; empty for ISO 8601.
        date_format: String = String::new() => UsableDateFormat,
        /// Number that divides u_ohm and u_common_ohm, for expanded uncertainties with this k.
        coverage_factor: f64 = 1.0 => above(0.0),
        /// File of the thermometers: values in use, ratings, coefficients (TOML).
        thermometers: Option<String> = None,
        /// File of adopted values, written by driftbook adopt and only ever appended to (CSV); none yet where it is not there.
        adoptions: Option<String> = None,
        /// Unit of the reduced checks: mK or mΩ.
        unit: CheckUnit = CheckUnit::Millikelvin,
        /// Own words for events, as in { "baked out" = "annealed" }, or "none".
        events: BTreeMap<String, Event> = BTreeMap::new(),
        /// Own headers of the raw readings: our name = "their header".
        columns: BTreeMap<String, String> = BTreeMap::new(),
        /// Assumptions of the uncertainty budget; see thermometry.budget.
        budget: BudgetSettings = BudgetSettings::default(),
        /// Rules of a session; see thermometry.session.
        session: SessionSettings = SessionSettings::default(),
        /// Limits of the advice; see thermometry.advice.
        advice: AdviceSettings = AdviceSettings::default(),
        /// Checks around work; see thermometry.around_work.
        around_work: AroundWorkSettings = AroundWorkSettings::default(),
        /// Acceptance of the platinum; see thermometry.platinum.
        platinum: PlatinumSettings = PlatinumSettings::default(),
        /// Ranges of the classes of industrial sensors; see thermometry.class_ranges.
        class_ranges: ClassRanges = ClassRanges::default(),
    }
    together ThermometrySettings::together
}

impl ThermometrySettings {
    /// True where raw readings or thermometers are named.
    pub(crate) fn is_used(&self) -> bool {
        !self.files.is_empty() || self.thermometers.is_some()
    }

    /// How the raw readings are written.
    pub(crate) fn reading_format(&self) -> ReadingFormat {
        ReadingFormat {
            decimal_comma: self.decimal_comma,
            coverage_factor: self.coverage_factor,
            dates: DateFormat::from_setting(&self.date_format),
            events: self.events.clone(),
        }
    }

    /// All impossible values of the room's tables.
    fn together(&self) -> Vec<SettingError> {
        let known = |name: &str| COLUMNS.iter().any(|column| column.name == name);
        let unknown = self.columns.keys().filter(|name| !known(name)).map(|name| {
            SettingError::new(
                "thermometry",
                "columns",
                format!("there is no column {name:?} of raw readings"),
            )
        });
        unknown
            .chain(self.check_standard_limit())
            .chain(self.budget.check())
            .chain(self.session.check())
            .chain(self.advice.check())
            .chain(self.around_work.check())
            .chain(self.platinum.check())
            .chain(self.class_ranges.check())
            .collect()
    }

    /// A check standard that may move farther than what is adopted confirms nothing.
    fn check_standard_limit(&self) -> Option<SettingError> {
        let (limit, adopt) = (self.session.check_standard_mk, self.advice.adopt_mk);
        (limit > adopt).then(|| {
            let words =
                format!("{limit}; expected no more than adopt_mk of [thermometry.advice], {adopt}");
            SettingError::new("thermometry.session", "check_standard_mk", words)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::SettingRow;

    /// Reference rows of every table of the room; nested tables stand for themselves.
    fn all_rows() -> Vec<SettingRow> {
        let nested = [
            "budget",
            "session",
            "advice",
            "around_work",
            "platinum",
            "class_ranges",
        ];
        let own = ThermometrySettings::rows()
            .into_iter()
            .filter(|row| !nested.contains(&row.key));
        own.chain(BudgetSettings::rows())
            .chain(SessionSettings::rows())
            .chain(AdviceSettings::rows())
            .chain(AroundWorkSettings::rows())
            .chain(PlatinumSettings::rows())
            .chain(ClassRanges::rows())
            .collect()
    }

    #[test]
    fn defaults_are_possible_and_read_back() {
        let settings = ThermometrySettings::default();
        assert!(settings.check().is_empty());
        let text = toml::to_string(&settings).unwrap();
        assert_eq!(
            toml::from_str::<ThermometrySettings>(&text).unwrap(),
            settings
        );
        assert!(all_rows().len() > 60);
    }

    #[test]
    fn keys_and_columns_that_do_not_exist_are_named() {
        assert!(toml::from_str::<ThermometrySettings>("[session]\nwait = 3").is_err());
        let wrong: ThermometrySettings = toml::from_str("columns = { ohms = \"R\" }").unwrap();
        says!(wrong.check()[0].message, "ohms");
    }

    /// The page of formulas names every default with where it comes from.
    #[test]
    fn every_default_stands_with_its_source_on_the_page_of_formulas() {
        let page = include_str!("../../docs/methods-thermometry.md");
        let list = page
            .split("## 11. Every default with its source")
            .nth(1)
            .unwrap();
        let rows: Vec<Vec<&str>> = list
            .lines()
            .filter(|line| line.starts_with("| "))
            .map(|line| line.trim_matches('|').split(" | ").map(str::trim).collect())
            .collect();
        let tables = all_rows();
        for row in tables
            .iter()
            .filter(|r| r.table.starts_with("thermometry."))
        {
            let table = row.table.trim_start_matches("thermometry.");
            let default = match row.default.as_str() {
                "" => "–".to_string(),
                text => format!("`{text}`"),
            };
            let listed = rows
                .iter()
                .find(|cells| cells[0] == table && cells[1] == format!("`{}`", row.key));
            let cells = listed.unwrap_or_else(|| panic!("{table}.{} is not listed", row.key));
            assert_eq!(cells[2], default, "{table}.{}", row.key);
            assert!(!cells[3].is_empty(), "{table}.{} has no source", row.key);
        }
    }
}
