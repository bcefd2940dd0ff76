/*! Model = "auto": the state or the wander model, whichever the readings support, or their average.

A model that rules a walk out (constant, line, parabola, season) is too sure of itself where there is
one, and readings by the dozen cannot tell: four readings of a line once had a "constant" with a
band that covered 58 % of true errors, and a quarter of all walks of twenty readings support a
parabola by nine to one. State and wander become a constant or a line where nothing drifts or wanders, and weigh
that case themselves; the state model also follows a yearly swing and a drift that turns. So those
two compete, and the others are for those who name them. Coverage: benches/coverage_auto.rs.

Both see the same readings. `AICc = −2 ln L + 2k·n/(n − k − 1)` with k the number of
coefficients and variances (N. Sugiura 1978; C. M. Hurvich and C.-L. Tsai, Biometrika 76
(1989) 297–307); weights ∝ exp(−Δ/2), averages with the spread between models (K. P.
Burnham and D. R. Anderson, Model Selection and Multimodel Inference, Springer 2002,
2.9 and 4.3).
*/

use super::Prediction;
use super::fit::{Choice, Fit, Motion};
use super::prediction::average;
use std::sync::Arc;

/// A model with its likelihood on the readings.
#[derive(Debug, Clone)]
pub(crate) struct Candidate {
    pub fit: Fit,
    /// Natural logarithm of the maximised likelihood.
    pub log_likelihood: f64,
    /// Coefficients and variances estimated; a figure shared with others counts in part.
    pub parameters: f64,
}

/// One model stands alone from this weight on; below it the forecasts are averaged.
/// Burnham and Anderson (2002), 2.9.
const CLEAR_WEIGHT: f64 = 0.9;

/// Models below this weight do not enter the average.
const LEAST_WEIGHT: f64 = 0.01;

/// Fewest readings at which wander competes: with fewer its band, where AICc prefers it, holds up
/// to 2 % less often than the state model's (benches/coverage_auto.rs).
pub(super) const FEWEST_READINGS: usize = 20;

/// Chooses between `candidates`; `None` where none of them can answer.
pub(crate) fn best(candidates: Vec<Candidate>, readings: usize) -> Option<Fit> {
    let n = readings as f64;
    let mut ranked: Vec<(f64, Fit)> = candidates
        .into_iter()
        .filter(|c| c.fit.motion.is_some() && c.log_likelihood.is_finite())
        .map(|c| {
            let criterion = corrected_criterion(c.log_likelihood, c.parameters, n);
            (criterion, c.fit)
        })
        .collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
    (!ranked.is_empty()).then(|| settle(weigh(ranked), readings))
}

/// AICc; infinite where the readings are too few for the correction.
fn corrected_criterion(log_likelihood: f64, parameters: f64, n: f64) -> f64 {
    let k = parameters;
    if n <= k + 1.0 {
        return f64::INFINITY;
    }
    2.0 * k * n / (n - k - 1.0) - 2.0 * log_likelihood
}

fn weigh(ranked: Vec<(f64, Fit)>) -> Vec<(f64, Fit)> {
    let least = ranked[0].0;
    // The best has a weight even where the readings are too few for the correction.
    let weight = |criterion: f64| match criterion == least {
        true => 1.0,
        false => (-0.5 * (criterion - least)).exp(),
    };
    let raw: Vec<f64> = ranked.iter().map(|(c, _)| weight(*c)).collect();
    let total: f64 = raw.iter().sum();
    let fits = ranked.into_iter().map(|(_, fit)| fit);
    raw.iter().map(|w| w / total).zip(fits).collect()
}

fn settle(mut weighted: Vec<(f64, Fit)>, readings: usize) -> Fit {
    let alone = weighted.len() == 1 || weighted[0].0 >= CLEAR_WEIGHT;
    let mut fit = weighted[0].1.clone();
    fit.notes.push(match readings < FEWEST_READINGS || weighted.len() == 1 {
        true => format!(
            "{readings} readings cannot decide between models; the {} model, which allows for drift and wander, is used",
            fit.model.word()
        ),
        false => support(&weighted, alone),
    });
    fit.choice = Some(Choice {
        weight: weighted[0].0,
        runner_up: weighted.get(1).map(|(weight, fit)| (fit.model, *weight)),
        averaged: !alone,
    });
    if alone {
        return fit;
    }
    weighted.retain(|(weight, _)| *weight >= LEAST_WEIGHT);
    let total: f64 = weighted.iter().map(|(weight, _)| weight).sum();
    weighted.iter_mut().for_each(|(weight, _)| *weight /= total);
    let kept = weighted;
    let mean = |value: &dyn Fn(&Fit) -> f64| kept.iter().map(|(w, f)| w * value(f)).sum::<f64>();
    let drift = mean(&|f| f.drift_per_year);
    let variance = mean(&|f| f.u_drift_per_year.powi(2) + (f.drift_per_year - drift).powi(2));
    fit.drift_per_year = drift;
    fit.u_drift_per_year = variance.sqrt();
    fit.motion = Some(Arc::new(Average(kept)));
    fit
}

/// Weighted average of several fits; the weights add up to one.
#[derive(Debug, Clone)]
struct Average(Vec<(f64, Fit)>);

impl Average {
    fn of(&self, answer: impl Fn(&Fit) -> Option<Prediction>) -> Option<Prediction> {
        let parts: Vec<_> = self.0.iter().map(|(w, fit)| (*w, answer(fit))).collect();
        average(&parts)
    }
}

impl Motion for Average {
    fn at(&self, x: f64) -> Option<Prediction> {
        self.of(|fit| fit.at(x))
    }

    fn fitted(&self, x: f64) -> Option<Prediction> {
        self.of(|fit| fit.fitted(x))
    }

    fn has_annual_term(&self) -> bool {
        self.0.iter().any(|(_, part)| part.has_annual_term())
    }

    fn shows_annual_term(&self) -> bool {
        self.0.iter().any(|(_, part)| part.shows_annual_term())
    }

    fn parts(&self) -> &[(f64, Fit)] {
        &self.0
    }
}

/// The weights, and what is used, in words.
fn support(weighted: &[(f64, Fit)], alone: bool) -> String {
    let listed: Vec<String> = weighted
        .iter()
        .map(|(weight, fit)| format!("{} {weight:.2}", fit.model.word()))
        .collect();
    let used = match alone {
        true => "the first is used",
        false => "the forecast is their average",
    };
    format!("support by AICc: {}; {used}", listed.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::model_name::ModelName;
    use crate::drift::testing::*;
    use rayon::prelude::*;

    /// Whether the 95 % bands of `models` hold the true error a year after `n` irregular yearly
    /// checks of an item that drifts and walks, in units of u; `None` where there is no band.
    fn inside(
        (drift, wander, u): (f64, f64, f64),
        n: usize,
        seed: u64,
        models: [ModelName; 4],
    ) -> [Option<bool>; 4] {
        let mut random = Pcg64::seed_from_u64(seed);
        let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
        let mut dates = Pcg64::seed_from_u64(!seed);
        let drift = drift * normal();
        let (mut year, mut error) = (45.0, 0.0);
        let mut step = |gap: f64| {
            year += gap;
            error += drift * gap + wander * gap.sqrt() * normal();
            (year * DAYS_PER_YEAR, error, error + normal())
        };
        let mut record = Record::new();
        record.item.tolerance = None;
        for _ in 0..n {
            let (day, _, reading) = step(dates.random_range(0.7..1.3));
            record = record.check(day, reading);
        }
        record.columns.u = vec![u; n];
        let (day, truth, _) = step(1.0);
        let all = record.histories();
        models.map(|model| {
            let settings = DriftSettings {
                model,
                ..DriftSettings::default()
            };
            let classes = class_parameters(&all, &settings);
            let fit = fit_model(&all.get(0), classes.of_history(0), &settings);
            let (low, high) = fit.at(day / DAYS_PER_YEAR)?.confidence(0.95);
            Some(low <= truth && truth <= high)
        })
    }

    /// On lines and walks, from few readings to many, the band holds as often as that of the best
    /// candidate, or 95 %, but for four standard deviations of a share. The whole table:
    /// benches/coverage_auto.rs.
    #[test]
    fn auto_holds_as_often_as_its_best_candidate() {
        const HISTORIES: u64 = 400;
        let models = [
            ModelName::Auto,
            ModelName::State,
            ModelName::Line,
            ModelName::Wander,
        ];
        for truth in [(1.0, 0.0, 1.0), (0.3, 2.0, 1.0), (0.3, 2.0, f64::NAN)] {
            for n in [3, 4, 5, 8, 12, 20] {
                let judged: Vec<_> = (0..HISTORIES)
                    .into_par_iter()
                    .map(|seed| inside(truth, n, seed, models))
                    .collect();
                let share = |model: usize| {
                    let given: Vec<bool> = judged.iter().filter_map(|of| of[model]).collect();
                    let held = given.iter().filter(|held| **held).count() as f64;
                    held / given.len() as f64
                };
                let best = (1..4).map(share).fold(0.0, f64::max).min(0.95);
                let deviation = (best * (1.0 - best) / HISTORIES as f64).sqrt();
                let auto = share(0);
                println!("{truth:?} {n}: {auto:.3}, best {best:.3}");
                assert!(
                    auto > best - 4.0 * deviation,
                    "{truth:?} {n}: {auto} {best}"
                );
            }
        }
    }

    /// R's AIC of the line of h0012 (fits/h0012_r.json), 71.046113534821245 with three parameters,
    /// plus the correction 2k(k + 1)/(n − k − 1) = 3.
    #[test]
    fn the_criterion_agrees_with_r() {
        let found = corrected_criterion(-32.523_056_767_410_62, 3.0, 12.0);
        near!(found, 74.046_113_534_821_25, 1e-11);
        assert_eq!(corrected_criterion(-32.5, 3.0, 4.0), f64::INFINITY);
    }

    /// Readings 0, 1, 2, 3 with u = 0.05 are no constant.
    #[test]
    fn four_readings_on_a_line_drift() {
        let mut record = Record::new();
        for year in 0..4 {
            record = record.check(18_000.0 + f64::from(year) * DAYS_PER_YEAR, f64::from(year));
        }
        record.columns.u = vec![0.05; 4];
        let all = record.histories();
        let settings = DriftSettings {
            model: ModelName::Auto,
            ..DriftSettings::default()
        };
        let classes = class_parameters(&all, &settings);
        let fit = fit_model(&all.get(0), classes.of_history(0), &settings);
        assert_eq!(
            (fit.model, fit.status),
            (ModelName::State, Status::Estimated)
        );
        near!(fit.drift_per_year, 1.0, 0.1);
        let ahead = fit.at(fit.last_x + 1.0).unwrap();
        let (low, high) = ahead.confidence(0.95);
        assert!(low < 4.0 && high > 4.0 && high - low < 3.0, "{ahead:?}");
        assert!(
            fit.notes
                .iter()
                .any(|note| note.contains("allows for drift and wander"))
        );
    }
}
