/*! What predicts a history under the state model, the wander model and lines that borrow. */

use super::estimate::StateEstimate;
use crate::drift::Prediction;
use crate::drift::class::rates::Rates;

/// What predicts a history under the state model: plain numbers in the history's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StateForecast {
    /// x of the last reading.
    pub origin: f64,
    /// Level and drift at the origin.
    pub estimate: StateEstimate,
    /// Wander and turning from the origin on.
    pub rates: Rates,
    /// Variance of the next reading about the true error.
    pub noise: f64,
    /// Sudden steps per unit of x, as expected.
    pub step_rate: f64,
    /// Time watched for them, in x, what is believed before counted in: the rate has a gamma
    /// distribution of `step_rate × step_time` steps in it. Infinite where the rate is known.
    pub step_time: f64,
    /// The most sudden steps per unit of x that agree with the record of the class.
    pub most_steps: f64,
    /// Standard uncertainty shared by all checks, the reference's; part of `u_error` only.
    pub u_common: f64,
    /// Degrees of freedom of forecasts; infinite where members of the class are alike.
    pub degrees_of_freedom: f64,
}

impl StateForecast {
    /// False where a number left the range that can be computed with.
    pub(crate) fn is_finite(&self) -> bool {
        self.estimate.error.is_finite() && self.estimate.error_variance.is_finite()
    }

    /// Forecast at `x`; before the last reading the level there is carried back by the
    /// drift with the same growth of uncertainty (the smoother knows better).
    pub fn at(&self, x: f64) -> Prediction {
        let ahead = x - self.origin;
        let time = ahead.abs();
        let mut start = self.estimate;
        if ahead < 0.0 {
            start.drift = -start.drift;
            start.covariance = -start.covariance;
        }
        let later = start.predicted(time, &self.rates);
        let variance = later.error_variance.max(0.0);
        Prediction {
            expected: later.error,
            u_error: (variance + self.u_common * self.u_common).sqrt(),
            u_reading: (variance + self.noise).sqrt(),
            degrees_of_freedom: self.degrees_of_freedom,
            no_step: self.no_step(ahead.max(0.0)),
            no_step_at_most: match ahead > 0.0 {
                true => (-self.most_steps * ahead).exp(),
                false => 1.0,
            },
        }
    }

    /// Probability of no step within `time`, over all rates that what was counted leaves:
    /// (1 + h/T)^−n, which is exp(−λh) for a known rate λ = n/T.
    fn no_step(&self, time: f64) -> f64 {
        let expected = self.step_rate * time;
        let share = time / self.step_time;
        match share > 0.0 {
            true => (-expected * share.ln_1p() / share).exp(),
            false => (-expected).exp(),
        }
    }
}
