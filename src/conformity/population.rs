/*! The items before a decision, as their group's own readings show them: mean and spread of
the true errors, by a normal distribution and by the errors themselves. */

use super::global::{GlobalRisks, Process, global_risks};
use crate::records::Tolerance;
use crate::stats::{chi_squared_upper, normal_above, normal_between, quantile, root};
use crate::words::count;

/// Readings from which a spread is taken at the least (common practice, no source).
const FEWEST: usize = 10;
/// Items from which a spread is taken at the least: the 95 % limits of that of four are a factor
/// of 6.6 apart (ours, no source).
const FEWEST_ITEMS: usize = 5;
/// A spread of more tolerance widths than this is no prior for a decision within them.
const WIDEST: f64 = 10.0;
/// Share of the variance of the readings that stands for none between the items.
const NO_SPREAD: f64 = 1e-9;

/// Why the readings of a group are no prior for a decision.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub(crate) enum NoPopulation {
    /// So few items state the u of their readings.
    #[error(
        "the class of {} cannot carry a risk over the class: readings of {FEWEST_ITEMS} items with a stated u are needed",
        count(*.0, "item")
    )]
    FewItems(usize),
    /// So few readings state their u.
    #[error(
        "{0} readings of the class with a stated u are too few for a prior, {FEWEST} are needed"
    )]
    FewReadings(usize),
    /// The readings show no spread of true errors.
    #[error("the readings of the class scatter no more than their u explains")]
    NoSpread,
    /// The true errors spread too far for the tolerance.
    #[error("the class scatters by more than {WIDEST} tolerance widths: no prior for it")]
    Wide,
}

/// True errors of the items of a group, as known before a reading.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Population {
    /// Mean error.
    pub mean: f64,
    /// Standard deviation of the true errors: that of the readings without their own uncertainty.
    pub deviation: f64,
    /// The errors read, drawn towards the mean until their spread is `deviation`.
    pub errors: Vec<f64>,
    /// Items that the readings are of.
    pub items: usize,
    /// Variance of the readings.
    seen: f64,
}

impl Population {
    /// From `readings` of so many `items`, each with its standard uncertainty.
    ///
    /// # Errors
    /// Why they show no spread of true errors.
    pub(crate) fn of(readings: &[(f64, f64)], items: usize) -> Result<Self, NoPopulation> {
        let n = readings.len();
        if items < FEWEST_ITEMS {
            return Err(NoPopulation::FewItems(items));
        }
        if n < FEWEST {
            return Err(NoPopulation::FewReadings(n));
        }
        let mean = readings.iter().map(|(error, _)| error).sum::<f64>() / n as f64;
        let squares = readings.iter().map(|(error, _)| (error - mean).powi(2));
        let seen = squares.sum::<f64>() / (n - 1) as f64;
        let own = readings.iter().map(|(_, u)| u * u).sum::<f64>() / n as f64;
        let variance = seen - own;
        if !(variance > 0.0 && variance.is_finite()) {
            return Err(NoPopulation::NoSpread);
        }
        let drawn = (variance / seen).sqrt();
        Ok(Self {
            items,
            seen,
            mean,
            deviation: variance.sqrt(),
            errors: readings
                .iter()
                .map(|(error, _)| mean + drawn * (error - mean))
                .collect(),
        })
    }

    /// Why it is no prior for a decision within `tolerance`; `None` where it is one.
    pub(crate) fn unfit(&self, tolerance: Tolerance) -> Option<NoPopulation> {
        let width = tolerance.upper() - tolerance.lower();
        (width.is_finite() && self.deviation > WIDEST * width).then_some(NoPopulation::Wide)
    }

    /// Readings of these items with standard uncertainty `u_reading`.
    pub(crate) fn process(&self, u_reading: f64) -> Process {
        Process {
            mean: self.mean,
            deviation: self.deviation,
            u_reading,
        }
    }

    /// Smallest and largest consumer's and producer's risk over the 95 % limits of the mean (Student's
    /// t) and of the spread (χ²), as if each item were one reading: what several readings of an
    /// item say of the class is not independent.
    pub(crate) fn limits(
        &self,
        u_reading: f64,
        tolerance: Tolerance,
        guard: f64,
    ) -> [(f64, f64); 2] {
        let freedom = self.items as f64 - 1.0;
        let half = quantile(0.975, freedom) * (self.seen / self.items as f64).sqrt();
        let (low, high) = (self.mean - half, self.mean + half);
        let own = self.seen - self.deviation * self.deviation;
        let spread = |tail: f64| {
            let seen = self.seen * freedom / chi_squared_with_above(tail, freedom);
            // Where the readings may scatter by their u alone the true errors may be all but equal.
            (seen - own).max(NO_SPREAD * self.seen).sqrt()
        };
        let mut limits = [(f64::INFINITY, f64::NEG_INFINITY); 2];
        let middle = 0.5 * (tolerance.lower().max(low) + tolerance.upper().min(high));
        for mean in [low, self.mean, middle.clamp(low, high), high] {
            for deviation in [spread(0.025), self.deviation, spread(0.975)] {
                let process = Process {
                    mean,
                    deviation,
                    u_reading,
                };
                if let Some(risks) = global_risks(&process, tolerance, guard) {
                    for (limit, risk) in limits.iter_mut().zip([risks.consumer, risks.producer]) {
                        *limit = (limit.0.min(risk), limit.1.max(risk));
                    }
                }
            }
        }
        limits
    }

    /// Global risks with the errors themselves as the distribution of true errors: means over
    /// them of the chance that a reading is accepted or not.
    pub(crate) fn empirical_risks(
        &self,
        u_reading: f64,
        tolerance: Tolerance,
        guard: f64,
    ) -> Option<GlobalRisks> {
        if !(u_reading > 0.0 && u_reading.is_finite() && guard.is_finite()) {
            return None;
        }
        let (low, high) = (tolerance.lower() + guard, tolerance.upper() - guard);
        let mut risks = GlobalRisks {
            consumer: 0.0,
            producer: 0.0,
            conforming: 0.0,
            accepted: 0.0,
        };
        for &error in &self.errors {
            let (below, above) = ((low - error) / u_reading, (high - error) / u_reading);
            let (accepted, refused) = match low < high {
                true => (
                    normal_between(below, above),
                    normal_above(-below) + normal_above(above),
                ),
                false => (0.0, 1.0),
            };
            risks.accepted += accepted;
            match tolerance.contains(error) {
                true => {
                    risks.conforming += 1.0;
                    risks.producer += refused;
                }
                false => risks.consumer += accepted,
            }
        }
        let n = self.errors.len() as f64;
        Some(GlobalRisks {
            consumer: risks.consumer / n,
            producer: risks.producer / n,
            conforming: risks.conforming / n,
            accepted: risks.accepted / n,
        })
    }
}

/// χ² that is exceeded with probability `tail`; NaN where there is none.
fn chi_squared_with_above(tail: f64, freedom: f64) -> f64 {
    let far = freedom + 20.0 * (2.0 * freedom).sqrt() + 100.0;
    root(0.0, far, |q| chi_squared_upper(q, freedom) - tail).unwrap_or(f64::NAN)
}

/// Guard band, in the unit of the error, at which `process` is accepted though outside with
/// probability `risk`; 0 where no guard band is needed, `None` where none that leaves room meets it.
pub(crate) fn guard_for_risk(process: &Process, tolerance: Tolerance, risk: f64) -> Option<f64> {
    let excess = |guard: f64| {
        global_risks(process, tolerance, guard).map_or(f64::NAN, |found| found.consumer - risk)
    };
    if excess(0.0) <= 0.0 {
        return Some(0.0);
    }
    // Beyond both deviations from a single limit nothing outside is accepted any more.
    let half = 0.5 * (tolerance.upper() - tolerance.lower());
    let far = 40.0 * process.u_reading;
    root(0.0, half.min(far), excess)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The resistors of JCGM 106:2012 (clause 9; figures from memory, recomputed with scipy in
    /// the reference tests): risks without guard band 0.018942 and 0.037208.
    #[test]
    fn resistors_without_a_guard_band() {
        let tolerance = Tolerance::new(1499.8, 1500.2).unwrap();
        let process = Process {
            mean: 1500.0,
            deviation: 0.12,
            u_reading: 0.04,
        };
        let risks = global_risks(&process, tolerance, 0.0).unwrap();
        near!(risks.consumer, 0.018_942, 6e-7);
        near!(risks.producer, 0.037_208, 6e-7);
        let guard = guard_for_risk(&process, tolerance, 0.000_468_634).unwrap();
        near!(guard, 0.08, 1e-5);
        assert_eq!(guard_for_risk(&process, tolerance, 0.02), Some(0.0));
    }

    /// Quantiles of a normal distribution of deviation 1 read with u = 0.5: the spread without
    /// u, and empirical risks near those of the normal.
    #[test]
    fn a_population_is_its_readings_without_their_uncertainty() {
        let total = 1.25_f64.sqrt();
        let quantile = |i: u32| crate::stats::normal_quantile((f64::from(i) + 0.5) / 2000.0);
        let readings: Vec<(f64, f64)> = (0..2000).map(|i| (total * quantile(i), 0.5)).collect();
        let population = Population::of(&readings, 2000).unwrap();
        near!(population.deviation, 1.0, 1e-3);
        let tolerance = Tolerance::new(-2.0, 2.0).unwrap();
        let normal = global_risks(&population.process(0.5), tolerance, 0.3).unwrap();
        let own = population.empirical_risks(0.5, tolerance, 0.3).unwrap();
        near!(normal.consumer, own.consumer, 2e-4);
        near!(normal.producer, own.producer, 1e-3);
        assert!(population.unfit(tolerance).is_none());
        assert!(
            population
                .unfit(Tolerance::new(-0.01, 0.01).unwrap())
                .is_some()
        );
    }

    /// χ² of 9 degrees of freedom: 19.023 and 2.700 at 2.5 and 97.5 % (e-Handbook 1.3.6.7.4, from memory).
    /// The limits close in on the estimate as the items grow many.
    #[test]
    fn few_items_leave_the_risk_open() {
        near!(chi_squared_with_above(0.025, 9.0), 19.023, 5e-4);
        near!(chi_squared_with_above(0.975, 9.0), 2.700, 5e-4);
        let tolerance = Tolerance::new(-2.0, 2.0).unwrap();
        let total = 1.25_f64.sqrt();
        let wide = |items: u32| {
            let place = |i: u32| (f64::from(i) + 0.5) / f64::from(items);
            let value = |i| (total * crate::stats::normal_quantile(place(i)), 0.5);
            let readings: Vec<(f64, f64)> = (0..items).map(value).collect();
            let population = Population::of(&readings, items as usize).unwrap();
            let [consumer, producer] = population.limits(0.5, tolerance, 0.0);
            let own = global_risks(&population.process(0.5), tolerance, 0.0).unwrap();
            assert!(consumer.0 < own.consumer && own.consumer < consumer.1);
            assert!(producer.0 < own.producer && own.producer < producer.1);
            (consumer.1 - consumer.0) / own.consumer
        };
        assert!(wide(10) > 3.0 * wide(200), "{} {}", wide(10), wide(200));
    }

    #[test]
    fn too_little_is_said_in_words() {
        says!(
            Population::of(&[(0.0, 0.1); 9], 9).unwrap_err().to_string(),
            "too few"
        );
        says!(
            Population::of(&[(0.0, 0.1); 20], 4)
                .unwrap_err()
                .to_string(),
            "the class of 4 items cannot carry"
        );
        says!(
            Population::of(&[(0.0, 0.1); 20], 20)
                .unwrap_err()
                .to_string(),
            "no more than their u"
        );
    }
}
