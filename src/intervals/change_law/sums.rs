/*! Sums for the regression of changes since the last calibration: they add up over partitions. */

/// Sums over changes δ after times Δt. Changes are shares of the half-width of each item's
/// tolerance; time is in days.
#[derive(Debug, Clone, Copy, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub(crate) struct ChangeSums {
    /// Number of changes.
    pub n: u64,
    /// Σ Δt.
    pub t: f64,
    /// Σ Δt².
    pub tt: f64,
    /// Σ Δt³.
    pub ttt: f64,
    /// Σ Δt⁴.
    pub tttt: f64,
    /// Σ δ.
    pub d: f64,
    /// Σ δ·Δt.
    pub dt: f64,
    /// Σ δ·Δt².
    pub dtt: f64,
    /// Σ δ².
    pub dd: f64,
    /// Σ δ²/Δt.
    pub dd_per_t: f64,
    /// Shortest Δt; 0 where there is no change.
    pub shortest: f64,
    /// Longest Δt.
    pub longest: f64,
}

impl ChangeSums {
    /// Adds one `change` after `days`, a time above 0.
    pub(crate) fn add(&mut self, days: f64, change: f64) {
        let square = days * days;
        self.shortest = match self.n {
            0 => days,
            _ => self.shortest.min(days),
        };
        self.n += 1;
        self.t += days;
        self.tt += square;
        self.ttt += square * days;
        self.tttt += square * square;
        self.d += change;
        self.dt += change * days;
        self.dtt += change * square;
        self.dd += change * change;
        self.dd_per_t += change * change / days;
        self.longest = self.longest.max(days);
    }

    /// Adds another partition's sums.
    pub(crate) fn merge(&mut self, other: &ChangeSums) {
        self.shortest = match (self.n, other.n) {
            (_, 0) => self.shortest,
            (0, _) => other.shortest,
            _ => self.shortest.min(other.shortest),
        };
        self.n += other.n;
        self.t += other.t;
        self.tt += other.tt;
        self.ttt += other.ttt;
        self.tttt += other.tttt;
        self.d += other.d;
        self.dt += other.dt;
        self.dtt += other.dtt;
        self.dd += other.dd;
        self.dd_per_t += other.dd_per_t;
        self.longest = self.longest.max(other.longest);
    }
}
