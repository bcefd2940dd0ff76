/*! The items before a decision, as their group's own readings show them: mean and spread of
the true errors, by a normal distribution and by the errors themselves. */

use super::global::{GlobalRisks, Process, global_risks};
use crate::records::Tolerance;
use crate::stats::{normal_above, normal_between, root};

/// Readings from which a spread is taken at the least (common practice, no source).
const FEWEST: usize = 10;
/// A spread of more tolerance widths than this is no prior for a decision within them.
const WIDEST: f64 = 10.0;

/// True errors of the items of a group, as known before a reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Population {
    /// Mean error.
    pub mean: f64,
    /// Standard deviation of the true errors: that of the readings without their own uncertainty.
    pub deviation: f64,
    /// The errors read, drawn towards the mean until their spread is `deviation`.
    pub errors: Vec<f64>,
}

impl Population {
    /// From `readings`, each with its standard uncertainty.
    ///
    /// # Errors
    /// Why they show no spread of true errors.
    pub fn of(readings: &[(f64, f64)]) -> Result<Self, String> {
        let n = readings.len();
        if n < FEWEST {
            return Err(format!(
                "{n} readings of the class with a stated u are too few for a prior, {FEWEST} are needed"
            ));
        }
        let mean = readings.iter().map(|(error, _)| error).sum::<f64>() / n as f64;
        let squares = readings.iter().map(|(error, _)| (error - mean).powi(2));
        let seen = squares.sum::<f64>() / (n - 1) as f64;
        let own = readings.iter().map(|(_, u)| u * u).sum::<f64>() / n as f64;
        let variance = seen - own;
        if !(variance > 0.0 && variance.is_finite()) {
            return Err("the readings of the class scatter no more than their u explains".into());
        }
        let drawn = (variance / seen).sqrt();
        Ok(Self {
            mean,
            deviation: variance.sqrt(),
            errors: readings
                .iter()
                .map(|(error, _)| mean + drawn * (error - mean))
                .collect(),
        })
    }

    /// Why it is no prior for a decision within `tolerance`; `None` where it is one.
    pub fn unfit(&self, tolerance: Tolerance) -> Option<String> {
        let width = tolerance.upper() - tolerance.lower();
        (width.is_finite() && self.deviation > WIDEST * width).then(|| {
            format!("the class scatters by more than {WIDEST} tolerance widths: no prior for it")
        })
    }

    /// Readings of these items with standard uncertainty `u_reading`.
    pub fn process(&self, u_reading: f64) -> Process {
        Process {
            mean: self.mean,
            deviation: self.deviation,
            u_reading,
        }
    }

    /// Global risks with the errors themselves as the distribution of true errors: means over
    /// them of the chance that a reading is accepted or not.
    pub fn empirical_risks(
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

/// Guard band, in the unit of the error, at which `process` is accepted though outside with
/// probability `risk`; 0 where no guard band is needed, `None` where none that leaves room meets it.
pub fn guard_for_risk(process: &Process, tolerance: Tolerance, risk: f64) -> Option<f64> {
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
        assert!((risks.consumer - 0.018_942).abs() < 6e-7, "{risks:?}");
        assert!((risks.producer - 0.037_208).abs() < 6e-7, "{risks:?}");
        let guard = guard_for_risk(&process, tolerance, 0.000_468_634).unwrap();
        assert!((guard - 0.08).abs() < 1e-5, "{guard}");
        assert_eq!(guard_for_risk(&process, tolerance, 0.02), Some(0.0));
    }

    /// Quantiles of a normal distribution of deviation 1 read with u = 0.5: the spread without
    /// u, and empirical risks near those of the normal.
    #[test]
    fn a_population_is_its_readings_without_their_uncertainty() {
        let total = 1.25_f64.sqrt();
        let quantile = |i: u32| crate::stats::normal_quantile((f64::from(i) + 0.5) / 2000.0);
        let readings: Vec<(f64, f64)> = (0..2000).map(|i| (total * quantile(i), 0.5)).collect();
        let population = Population::of(&readings).unwrap();
        assert!((population.deviation - 1.0).abs() < 1e-3);
        let tolerance = Tolerance::new(-2.0, 2.0).unwrap();
        let normal = global_risks(&population.process(0.5), tolerance, 0.3).unwrap();
        let own = population.empirical_risks(0.5, tolerance, 0.3).unwrap();
        assert!(
            (normal.consumer - own.consumer).abs() < 2e-4,
            "{normal:?} {own:?}"
        );
        assert!(
            (normal.producer - own.producer).abs() < 1e-3,
            "{normal:?} {own:?}"
        );
        assert!(population.unfit(tolerance).is_none());
        assert!(
            population
                .unfit(Tolerance::new(-0.01, 0.01).unwrap())
                .is_some()
        );
    }

    #[test]
    fn too_little_is_said_in_words() {
        assert!(
            Population::of(&[(0.0, 0.1); 9])
                .unwrap_err()
                .contains("too few")
        );
        assert!(
            Population::of(&[(0.0, 0.1); 20])
                .unwrap_err()
                .contains("no more than their u")
        );
    }
}
