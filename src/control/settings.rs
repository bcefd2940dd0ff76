/*! Settings of the control charts. */

use super::FEWEST_BASELINE;
use super::runs::Chart;
use crate::records::{About, date};
use crate::settings::{SettingError, SettingsTable};
use serde::{Deserialize, Serialize};

/// Where the deviation of the limits comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Deviation {
    /// Mean moving range of neighbours, divided by d₂: robust against slow drift.
    #[default]
    MovingRange,
    /// Standard deviation of the base period.
    Standard,
    /// Mean range of repeated readings, each over its d₂, over √n: nothing between the runs counts.
    Range,
    /// Pooled standard deviation of repeated readings over √n: nothing between the runs counts.
    Within,
}

/// Which histories are charted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Charted {
    /// Those with a row of kind check, or with the role reference or check standard.
    #[default]
    Auto,
    /// All.
    All,
    /// None.
    None,
}

crate::settings! {
    /// Control charts of check standards.
    pub struct ControlSettings in "control" {
        /// Histories that are charted: auto (those with a row of kind check, or with the role reference or check_standard), all, none.
        charted: Charted = Charted::default(),
        /// What a chart is drawn about where the register's control_chart does not say: drift (the item's own drift model) or constant.
        about: About = About::default(),
        /// Charts whose signals take an item out of control: shewhart, ewma, cusum, runs, range, precision; the others are told beside.
        signals: Vec<Chart> = vec![Chart::Shewhart, Chart::Ewma],
        /// Values of the base period that set centre and deviation; 0 = all values.
        baseline: u32 = 25,
        /// Deviation of the limits about a constant: moving_range, standard; of repeated readings also range or within.
        deviation: Deviation = Deviation::default(),
        /// Weight of the newest value in the EWMA.
        ewma_weight: f64 = 0.2 => above(0.0).at_most(1.0),
        /// Half-width of the EWMA limits in its standard deviations.
        ewma_width: f64 = 3.0 => above(0.0),
        /// CUSUM allowance in deviations: half the shift to be found.
        cusum_allowance: f64 = 0.5 => at_least(0.0),
        /// CUSUM decision limit in deviations.
        cusum_limit: f64 = 5.0 => above(0.0),
        /// Values in a row on one side of the centre that signal.
        run_length: u32 = 8 => at_least(2.0),
        /// Shifts that many items share and that began by this day, YYYY-MM-DD, were judged by a person and hold no decision; absent = none was.
        shared_judged_until: Option<String> = None,
    }
    together ControlSettings::together
}

impl ControlSettings {
    /// The day up to which a person has judged the shared shifts.
    pub(crate) fn judged_until(&self) -> Option<f64> {
        date::parse_iso(self.shared_judged_until.as_deref()?.as_bytes()).map(f64::floor)
    }

    /// A base period must be long enough to set limits, and some chart must signal.
    fn together(&self) -> Vec<SettingError> {
        let rules = [
            (
                self.baseline == 0 || self.baseline >= FEWEST_BASELINE as u32,
                "baseline",
                format!(
                    "{} values cannot set limits: give 0 (all) or {FEWEST_BASELINE} or more",
                    self.baseline
                ),
            ),
            (
                self.shared_judged_until.is_none() || self.judged_until().is_some(),
                "shared_judged_until",
                "expected a date such as \"2026-01-31\"".into(),
            ),
            (
                !self.signals.is_empty(),
                "signals",
                "no chart could signal: name one or more, such as [\"shewhart\", \"ewma\"]".into(),
            ),
        ];
        let wrong = |(ok, key, message): (bool, &'static str, String)| {
            (!ok).then(|| SettingError::new(Self::TABLE, key, message))
        };
        rules.into_iter().filter_map(wrong).collect()
    }
}
