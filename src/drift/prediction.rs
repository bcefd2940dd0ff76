/*! What every drift model answers about one date: expected error and two uncertainties. */

use crate::records::Tolerance;
use crate::stats::{cumulative, quantile};

/// Forecast of the error at one date (or usage), in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Prediction {
    /// Expected true error.
    pub expected: f64,
    /// Standard uncertainty of the true error (`u_common` included).
    pub u_error: f64,
    /// Standard uncertainty of the next reading about `expected`.
    pub u_reading: f64,
    /// Degrees of freedom of both; infinite where a normal distribution applies.
    pub degrees_of_freedom: f64,
    /// Probability that no sudden step happened since the last reading: exp(−λh).
    pub no_step: f64,
    /// The same at the largest rate of steps that agrees with the record of the class; 1 where
    /// the model counts no steps.
    pub no_step_at_most: f64,
}

impl Prediction {
    /// Confidence band of the true error at `level` (two-sided), as (lower, upper).
    pub fn confidence(&self, level: f64) -> (f64, f64) {
        self.bands(level).0
    }

    /// Prediction band of the next reading at `level` (two-sided), as (lower, upper).
    pub fn reading(&self, level: f64) -> (f64, f64) {
        self.bands(level).1
    }

    /// Both bands at `level`: confidence, then prediction; one quantile serves the two.
    pub(crate) fn bands(&self, level: f64) -> ((f64, f64), (f64, f64)) {
        let quantile = quantile(0.5 + 0.5 * level, self.degrees_of_freedom);
        let about = |u: f64| (self.expected - quantile * u, self.expected + quantile * u);
        (about(self.u_error), about(self.u_reading))
    }

    /// Probability that the true error is inside the tolerance, steps included:
    /// `[F((upper − m)/s) − F((lower − m)/s)] · exp(−λh)`.
    pub fn probability_in(&self, tolerance: Tolerance) -> f64 {
        let below = |limit: f64| {
            let z = (limit - self.expected) / self.u_error;
            if z.is_nan() {
                f64::from(limit >= self.expected)
            } else {
                cumulative(z, self.degrees_of_freedom)
            }
        };
        ((below(tolerance.upper()) - below(tolerance.lower())) * self.no_step).clamp(0.0, 1.0)
    }

    /// As [`Self::probability_in`], were steps as frequent as the record of the class bears.
    pub(crate) fn probability_at_most_steps(&self, tolerance: Tolerance) -> f64 {
        let no_step = self.no_step_at_most;
        Self { no_step, ..*self }.probability_in(tolerance)
    }
}

/// Average of forecasts: the spread between models adds to the uncertainty.
pub(crate) fn average(parts: &[(f64, Option<Prediction>)]) -> Option<Prediction> {
    let known = parts.iter().map(|(w, p)| p.map(|p| (*w, p)));
    Some(mixture(&known.collect::<Option<Vec<_>>>()?, None))
}

/// Mean and variance of a mixture of forecasts, by weight. Degrees of freedom by Welch–Satterthwaite
/// (JCGM 100:2008, G.4, equation G.2b), where the spread between the parts has a `freedom` of its own.
pub(super) fn mixture(parts: &[(f64, Prediction)], freedom: Option<f64>) -> Prediction {
    let mean =
        |value: &dyn Fn(&Prediction) -> f64| parts.iter().map(|(w, p)| w * value(p)).sum::<f64>();
    let expected = mean(&|p| p.expected);
    let between = mean(&|p| (p.expected - expected).powi(2));
    let (error, reading) = (mean(&|p| p.u_error.powi(2)), mean(&|p| p.u_reading.powi(2)));
    let whole = error + between;
    let own = 1.0 / mean(&|p| 1.0 / p.degrees_of_freedom);
    let degrees_of_freedom = match freedom {
        Some(freedom) if between > 0.0 => {
            whole.powi(2) / (error.powi(2) / own + between.powi(2) / freedom)
        }
        _ => own,
    };
    Prediction {
        expected,
        u_error: whole.sqrt(),
        u_reading: (reading + between).sqrt(),
        degrees_of_freedom,
        no_step: mean(&|p| p.no_step),
        no_step_at_most: mean(&|p| p.no_step_at_most),
    }
}
