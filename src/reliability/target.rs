/*! The two meanings of a reliability target, and the interval each asks for.

End of period: R at the end of the interval, what checks at due dates estimate.
Average over period: (1/I)·∫₀ᴵ R(t) dt, what a user meets at a random moment.
For the exponential the two are tied by R̄ = (1 − R)/(−ln R).
*/

use super::models::{LifeModel, MOST_PARAMETERS, crossing, reliability, time_at};
use crate::stats::integral;
use serde::{Deserialize, Serialize};

/// Absolute error of the average, far below what any record can tell.
const AVERAGE_ERROR: f64 = 1e-12;

crate::words::worded! {
    /// What a reliability target speaks about.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum TargetKind with words {
        /// Probability of being in tolerance at the end of the interval.
        #[default]
        EndOfPeriod = "at the end of the interval",
        /// Probability averaged over the interval.
        AverageOverPeriod = "averaged over the interval",
    }
}

impl TargetKind {
    /// Longest interval in years that keeps `target`; 0 where it is never met,
    /// infinite where it is always met.
    pub(crate) fn interval(self, model: &dyn LifeModel, theta: &[f64], target: f64) -> f64 {
        match self {
            TargetKind::EndOfPeriod => time_at(model, theta, target),
            TargetKind::AverageOverPeriod => crossing(|t| average(model, theta, t) - target),
        }
    }

    /// ∂ ln interval/∂θ at the interval `t` that meets the target.
    pub(super) fn ln_interval_gradient(
        self,
        model: &dyn LifeModel,
        theta: &[f64],
        t: f64,
    ) -> [f64; MOST_PARAMETERS] {
        let mut slopes = [0.0; MOST_PARAMETERS];
        let r = model.ln_reliability(t, theta, &mut slopes).exp();
        // Stretching time by a factor moves ln R by Σ e·θ·∂ ln R/∂θ, e the power of "per time".
        let by_ln_time: f64 = (model.parameters().iter().zip(theta).zip(&slopes))
            .filter(|((p, _), _)| p.per_time != 0)
            .map(|((p, value), slope)| f64::from(p.per_time) * value * slope)
            .sum();
        match self {
            TargetKind::EndOfPeriod => slopes.map(|s| -s / by_ln_time),
            TargetKind::AverageOverPeriod => {
                let fall = r - average(model, theta, t);
                let mut by_parameter = [0.0; MOST_PARAMETERS];
                for (j, slope) in by_parameter.iter_mut().enumerate().take(theta.len()) {
                    let integrand = |x: f64| {
                        let mut at = [0.0; MOST_PARAMETERS];
                        let r = model.ln_reliability(x, theta, &mut at).exp();
                        r * at[j]
                    };
                    let sum = integral(0.0, t, AVERAGE_ERROR * t / theta[j], &integrand);
                    *slope = -sum / t / fall;
                }
                by_parameter
            }
        }
    }
}

/// (1/t)·∫₀ᵗ R; R(0) at t = 0.
fn average(model: &dyn LifeModel, theta: &[f64], t: f64) -> f64 {
    if t <= 0.0 {
        return reliability(model, 0.0, theta);
    }
    integral(0.0, t, AVERAGE_ERROR * t, &|x| reliability(model, x, theta)) / t
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reliability::models::LifeModelName;

    /// Closed form of interval-practice 5.1 (check 40).
    #[test]
    fn exponential_average_and_end() {
        let model = LifeModelName::Exponential.model();
        for (end, expected) in [(0.85, 0.9229694), (0.90, 0.9491222), (0.95, 0.9747863)] {
            let t = TargetKind::EndOfPeriod.interval(model, &[0.3], end);
            let mean = average(model, &[0.3], t);
            near!(mean, expected, 6e-8);
            let back = TargetKind::AverageOverPeriod.interval(model, &[0.3], mean);
            near!(back / t, 1.0, 1e-9);
        }
        let t = TargetKind::AverageOverPeriod.interval(model, &[1.0], 0.90);
        near!((-t).exp(), 0.806900, 6e-7);
    }

    /// Interval-practice 5.1: Weibull of data A at its 85 % interval.
    #[test]
    fn weibull_average() {
        let model = LifeModelName::Weibull.model();
        let mean = average(model, &[0.02901, 2.025677], 14.05743);
        near!(mean, 0.948803, 2e-6);
    }

    #[test]
    fn gradients_agree_with_differences() {
        for kind in [TargetKind::EndOfPeriod, TargetKind::AverageOverPeriod] {
            for name in [
                LifeModelName::Weibull,
                LifeModelName::NormalDrift,
                LifeModelName::LinearHazard,
            ] {
                let model = name.model();
                let theta = model.shapes()[0].to_vec();
                let t = kind.interval(model, &theta, 0.8);
                let gradient = kind.ln_interval_gradient(model, &theta, t);
                for j in 0..theta.len() {
                    let at = |factor: f64| {
                        let mut moved = theta.clone();
                        moved[j] *= factor;
                        kind.interval(model, &moved, 0.8).ln()
                    };
                    let difference = (at(1.0 + 1e-5) - at(1.0 - 1e-5)) / (2e-5 * theta[j]);
                    near!(gradient[j], difference, 1e-6, "{name:?} {kind:?} {j}");
                }
            }
        }
    }
}
