/*! The tolerance on an error. */

use crate::words::figure;

/// Limits on the error; either side may be open (infinite), not both.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Tolerance {
    lower: f64,
    upper: f64,
}

impl Tolerance {
    /// Limits with `lower < upper`, each finite or infinite on its own side; `None` otherwise.
    pub fn new(lower: f64, upper: f64) -> Option<Self> {
        let open = lower == f64::NEG_INFINITY && upper == f64::INFINITY;
        (lower < upper && !open).then_some(Self { lower, upper })
    }

    /// Lower limit in the history's unit; −∞ where open.
    pub fn lower(self) -> f64 {
        self.lower
    }

    /// Upper limit in the history's unit; +∞ where open.
    pub fn upper(self) -> f64 {
        self.upper
    }

    /// True where one side is open.
    pub(crate) fn is_one_sided(self) -> bool {
        self.lower.is_infinite() || self.upper.is_infinite()
    }

    /// In words, the lower of two limits with the first of the units: "-0.5 to 0.5 mK", "at least -0.5 mK".
    pub(crate) fn words(self, [unit_of_lower, unit]: [&str; 2]) -> String {
        match (self.lower.is_finite(), self.upper.is_finite()) {
            (true, true) => {
                let (lower, upper) = (figure(self.lower, unit_of_lower), figure(self.upper, unit));
                format!("{lower} to {upper}")
            }
            (true, false) => format!("at least {}", figure(self.lower, unit)),
            _ => format!("at most {}", figure(self.upper, unit)),
        }
    }

    /// True where the error lies inside the limits, limits included.
    pub(crate) fn contains(self, error: f64) -> bool {
        self.lower <= error && error <= self.upper
    }

    /// Half the distance between the limits; for a one-sided tolerance the limit's magnitude.
    pub(crate) fn half_width(self) -> f64 {
        match (self.lower.is_finite(), self.upper.is_finite()) {
            // Halved before: the width of limits near the largest number is none.
            (true, true) => 0.5 * self.upper - 0.5 * self.lower,
            (true, false) => self.lower.abs(),
            _ => self.upper.abs(),
        }
    }

    /// Share of the tolerance used up by `error`: 0 at its centre (or at zero, for a one-sided
    /// tolerance), 1 at a limit. `None` where the error is not known, and where the one limit is zero
    /// or leaves zero out: then nothing says from where on the tolerance is used up.
    pub(crate) fn share_used(self, error: f64) -> Option<f64> {
        let share = match (self.lower.is_finite(), self.upper.is_finite()) {
            (true, true) => (error - 0.5 * (self.lower + self.upper)).abs() / self.half_width(),
            (_, true) if self.upper > 0.0 => error / self.upper,
            (true, _) if self.lower < 0.0 => error / self.lower,
            _ => return None,
        };
        share.is_finite().then_some(share.max(0.0))
    }
}
