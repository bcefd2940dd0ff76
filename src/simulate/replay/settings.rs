/*! The `[replay]` table. */

crate::settings! {
    /// How a replay walks through past records.
    pub struct ReplaySettings in "replay" {
        /// Horizons at which forecasts are scored beside the next reading, years.
        horizons: Vec<f64> = vec![0.25, 0.5, 1.0, 2.0] => above(0.0),
        /// What a class lends, and what all groups lend to the methods, is learned anew on the day its known checks have grown by this share.
        review_growth: f64 = 0.1 => above(0.0),
        /// … and at the latest after this many days.
        review_days: f64 = 365.0 => above(0.0),
        /// Level of the limits on proportions and differences.
        confidence: f64 = 0.95 => PROBABILITY,
        /// Fewer scored forecasts than this are too few to tell.
        fewest_forecasts: u64 = 30,
    }
}
