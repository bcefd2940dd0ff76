/*! Scores of forecasts against what came: proper ones, so that honesty wins.

References: T. Gneiting and A. E. Raftery, *Strictly proper scoring rules,
prediction, and estimation*, J. Am. Stat. Assoc. 102 (2007) 359–378 (CRPS of the
normal distribution, interval score); A. Jordan, F. Krüger and S. Lerch,
*Evaluating probabilistic forecasts with scoringRules*, J. Stat. Softw. 90 (2019)
(CRPS of Student's t); A. H. Murphy, *A new vector partition of the probability
score*, J. Appl. Meteorol. 12 (1973) 595–600 (parts of the Brier score). Formulas
from memory, each checked in the tests by numerical integration or by identity.
*/

use super::estimate::share_of_dependent;
use crate::stats::cumulative;
use statrs::distribution::{Continuous, StudentsT};
use statrs::function::beta::ln_beta;
use std::f64::consts::PI;

/// Beyond this many degrees of freedom the normal formula serves.
const NORMAL_FROM: f64 = 1e6;

/// Continuous ranked probability score of a forecast `mean` ± `deviation` with Student's
/// t shape (normal where the degrees of freedom are infinite), against `value`.
/// Unit: the value's; smaller is better. NaN up to one degree of freedom, where it is infinite.
pub(crate) fn crps(value: f64, mean: f64, deviation: f64, degrees_of_freedom: f64) -> f64 {
    if deviation == 0.0 {
        return (value - mean).abs();
    }
    let z = (value - mean) / deviation;
    let below = cumulative(z, degrees_of_freedom);
    if degrees_of_freedom > NORMAL_FROM {
        let density = (-0.5 * z * z).exp() / (2.0 * PI).sqrt();
        return deviation * (z * (2.0 * below - 1.0) + 2.0 * density - 1.0 / PI.sqrt());
    }
    let nu = degrees_of_freedom;
    if nu <= 1.0 {
        return f64::NAN;
    }
    let density = StudentsT::new(0.0, 1.0, nu).map_or(f64::NAN, |student| student.pdf(z));
    let spread = (ln_beta(0.5, nu - 0.5) - 2.0 * ln_beta(0.5, 0.5 * nu)).exp();
    deviation
        * (z * (2.0 * below - 1.0) + 2.0 * density * (nu + z * z) / (nu - 1.0)
            - 2.0 * nu.sqrt() / (nu - 1.0) * spread)
}

/// Interval score of the central band (lower, upper) at `level`: its width, and what a
/// value outside costs. Unit: the value's; smaller is better.
pub(crate) fn interval_score(value: f64, (lower, upper): (f64, f64), level: f64) -> f64 {
    let miss = (lower - value).max(value - upper).max(0.0);
    upper - lower + 2.0 / (1.0 - level) * miss
}

/// One bin of a reliability diagram.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Bin {
    /// Forecasts in the bin.
    pub count: u64,
    /// Events among them.
    pub events: u64,
    /// Sum of the forecast probabilities.
    pub sum: f64,
    /// Sum of their squares.
    pub squares: f64,
    /// Limits of the observed proportion at 95 %; histories, or stretches of few, are the
    /// independent units.
    pub limits: (f64, f64),
}

impl Bin {
    /// Mean forecast probability.
    pub(crate) fn forecast(&self) -> f64 {
        self.sum / self.count as f64
    }

    /// Observed proportion.
    pub(crate) fn observed(&self) -> f64 {
        self.events as f64 / self.count as f64
    }
}

/// Brier score of probabilities and its parts:
/// score = reliability − resolution + uncertainty + within-bin part.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Brier {
    /// Forecasts scored.
    pub count: u64,
    /// Mean squared difference of probability and outcome; smaller is better.
    pub score: f64,
    /// How far the bins' proportions are from their forecasts; smaller is better.
    pub reliability: f64,
    /// How far the bins' proportions are from the overall one; larger is better.
    pub resolution: f64,
    /// Scatter of the outcome itself: that of always saying the overall proportion.
    pub uncertainty: f64,
    /// What binning hides.
    pub within: f64,
    /// The bins, by forecast probability; empty ones left out.
    pub bins: Vec<Bin>,
}

/// Edges of the bins: in-tolerance probabilities crowd near 1.
const EDGES: [f64; 10] = [0.1, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.999];

/// Confidence of the limits of a bin.
const CONFIDENCE: f64 = 0.95;

/// Brier score of (history, probability, happened), in walking order.
pub(crate) fn brier(forecasts: impl Iterator<Item = (u32, f64, bool)>) -> Brier {
    let mut bins = vec![Bin::default(); EDGES.len() + 1];
    let mut cases = vec![Vec::new(); bins.len()];
    let mut score = 0.0;
    for (history, probability, happened) in forecasts {
        let place = EDGES.partition_point(|edge| *edge <= probability);
        cases[place].push((history, f64::from(u8::from(happened))));
        let bin = &mut bins[place];
        bin.count += 1;
        bin.events += u64::from(happened);
        bin.sum += probability;
        bin.squares += probability * probability;
        score += (probability - f64::from(u8::from(happened))).powi(2);
    }
    for (bin, cases) in bins.iter_mut().zip(cases) {
        bin.limits = share_of_dependent(cases.into_iter(), CONFIDENCE);
    }
    bins.retain(|bin| bin.count > 0);
    let count: u64 = bins.iter().map(|bin| bin.count).sum();
    if count == 0 {
        return Brier::default();
    }
    let n = count as f64;
    let overall = bins.iter().map(|bin| bin.events).sum::<u64>() as f64 / n;
    let weigh = |of: &dyn Fn(&Bin) -> f64| bins.iter().map(of).sum::<f64>() / n;
    let reliability = weigh(&|bin| bin.count as f64 * (bin.forecast() - bin.observed()).powi(2));
    let resolution = weigh(&|bin| bin.count as f64 * (bin.observed() - overall).powi(2));
    let uncertainty = overall * (1.0 - overall);
    let score = score / n;
    Brier {
        count,
        score,
        reliability,
        resolution,
        uncertainty,
        within: score - (reliability - resolution + uncertainty),
        bins,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// CRPS by its definition: ∫ (F(x) − 1{x ≥ value})² dx.
    fn by_integration(value: f64, freedom: f64) -> f64 {
        let (steps, reach) = (400_000, 400.0);
        let width = 2.0 * reach / f64::from(steps);
        (0..steps)
            .map(|i| {
                let x = -reach + (f64::from(i) + 0.5) * width;
                let step = f64::from(u8::from(x >= value));
                (cumulative(x, freedom) - step).powi(2) * width
            })
            .sum()
    }

    #[test]
    fn crps_is_the_integral_of_its_definition() {
        for (value, freedom) in [
            (0.0, f64::INFINITY),
            (1.7, f64::INFINITY),
            (0.4, 4.0),
            (-3.0, 10.0),
        ] {
            let closed = crps(value, 0.0, 1.0, freedom);
            near!(closed, by_integration(value, freedom), 2e-4);
        }
        let at_centre = (2.0f64.sqrt() - 1.0) / PI.sqrt();
        near!(crps(0.0, 0.0, 1.0, f64::INFINITY), at_centre, 1e-9);
    }

    #[test]
    fn crps_scales_with_the_unit_and_is_the_distance_for_a_certain_forecast() {
        let one = crps(1.0, 0.3, 0.5, 7.0);
        near!(crps(1000.0, 300.0, 500.0, 7.0), 1000.0 * one, 1e-9);
        assert_eq!(crps(1.0, 0.25, 0.0, 5.0), 0.75);
    }

    #[test]
    fn a_miss_costs_two_over_alpha() {
        assert_eq!(interval_score(0.5, (0.0, 1.0), 0.95), 1.0);
        near!(
            interval_score(1.1, (0.0, 1.0), 0.95),
            1.0 + 40.0 * 0.1,
            1e-12
        );
    }

    #[test]
    fn the_parts_of_the_brier_score_add_up() {
        let forecasts = [
            (0, 0.96, true),
            (0, 0.97, false),
            (1, 0.2, false),
            (1, 0.25, true),
            (2, 0.995, true),
        ];
        let brier = brier(forecasts.into_iter());
        let sum = brier.reliability - brier.resolution + brier.uncertainty + brier.within;
        near!(brier.score, sum, 1e-15);
        assert_eq!(brier.count, 5);
        let plain: f64 = forecasts
            .iter()
            .map(|(_, p, y)| (p - f64::from(u8::from(*y))).powi(2))
            .sum();
        near!(brier.score, plain / 5.0, 1e-15);
    }
}
