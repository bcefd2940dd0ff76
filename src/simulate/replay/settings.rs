/*! The `[replay]` table. */

use crate::settings::SettingError;

crate::settings! {
    /// How a replay walks through past records.
    pub struct ReplaySettings in "replay" {
        /// Horizons at which forecasts are scored beside the next reading, years.
        horizons: Vec<f64> = vec![0.25, 0.5, 1.0, 2.0],
        /// What the classes lend is fitted anew when the known checks have grown by this share.
        review_growth: f64 = 0.1,
        /// … and at the latest after this many days.
        review_days: f64 = 365.0,
        /// Level of the limits on proportions and differences, above 0 and below 1.
        confidence: f64 = 0.95,
        /// Fewer scored forecasts than this are too few to tell.
        fewest_forecasts: u64 = 30,
    }
}

impl ReplaySettings {
    /// The values that cannot be used.
    pub fn check(&self) -> Vec<SettingError> {
        let mut errors = Vec::new();
        let mut demand = |holds: bool, key, text: &str| {
            if !holds {
                errors.push(SettingError::new("replay", key, text));
            }
        };
        let above_zero = |value: &f64| value.is_finite() && *value > 0.0;
        demand(
            self.horizons.iter().all(above_zero),
            "horizons",
            "must be years above 0",
        );
        demand(
            above_zero(&self.review_growth),
            "review_growth",
            "must be a share above 0",
        );
        demand(
            above_zero(&self.review_days),
            "review_days",
            "must be days above 0",
        );
        let level = self.confidence;
        demand(
            level > 0.0 && level < 1.0,
            "confidence",
            "must lie above 0 and below 1",
        );
        errors
    }
}
