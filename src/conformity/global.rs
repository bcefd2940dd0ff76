/*! Risks over a population (JCGM 106:2012, clause 9): accepted though outside the
tolerance, rejected though inside. True values and readings are taken as normal. */

use crate::records::Tolerance;
use crate::stats::{Corner, Turn, crossings, normal_between};

/// Items before the decision, and how they are measured; unit of the error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Process {
    /// Mean of the true values.
    pub mean: f64,
    /// Standard deviation of the true values.
    pub deviation: f64,
    /// Standard uncertainty of a reading.
    pub u_reading: f64,
}

/// Probabilities over the population, each 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlobalRisks {
    /// Accepted and outside the tolerance.
    pub consumer: f64,
    /// Rejected and inside the tolerance.
    pub producer: f64,
    /// Inside the tolerance.
    pub conforming: f64,
    pub accepted: f64,
}

/// Half the square of the deviations by which a limit must lie farther than another for what is
/// beyond it to be lost in the other's rounding.
const LOST: f64 = 60.0;

/// Risks of accepting readings inside `tolerance` narrowed by `guard` on each closed side
/// (negative: widened). `None` where a deviation is not positive or a number is missing.
///
/// A reading is its true value and an error independent of it, so that each risk is the chance
/// of two normal values to either side of their limits: of each tolerance limit with the
/// acceptance limit beside it, less what would cross the other acceptance limit as well.
///
/// The resistors of JCGM 106:2012, clause 9 (figures from memory, recomputed in the tests):
///
/// ```
/// use driftbook::conformity::{Process, global_risks};
/// use driftbook::records::Tolerance;
///
/// let process = Process { mean: 1500.0, deviation: 0.12, u_reading: 0.04 };
/// let tolerance = Tolerance::new(1499.8, 1500.2).unwrap();
/// let risks = global_risks(&process, tolerance, 0.0).unwrap();
/// assert!((risks.consumer - 0.018942).abs() < 1e-6);
/// ```
pub fn global_risks(process: &Process, tolerance: Tolerance, guard: f64) -> Option<GlobalRisks> {
    let Process {
        mean,
        deviation,
        u_reading,
    } = *process;
    let usable = mean.is_finite() && guard.is_finite() && deviation > 0.0 && u_reading > 0.0;
    let total = deviation.hypot(u_reading);
    if !usable || !total.is_finite() {
        return None;
    }
    let (lower, upper) = (
        (tolerance.lower() - mean) / deviation,
        (tolerance.upper() - mean) / deviation,
    );
    let conforming = normal_between(lower, upper);
    let (low, high) = (tolerance.lower() + guard, tolerance.upper() - guard);
    if low >= high {
        return Some(GlobalRisks {
            consumer: 0.0,
            producer: conforming,
            conforming,
            accepted: 0.0,
        });
    }
    let turn = Turn {
        cosine: deviation / total,
        sine: u_reading / total,
    };
    let own = -guard / u_reading;
    let other = own - ((high - low) / u_reading).max(0.0);
    let lost = other < 0.0 && other * other > own * own + 2.0 * LOST;
    // Both sides as if each were the upper one.
    let [above, below] = [upper, -lower].map(|x| {
        let (accepted, refused) = crossings(Corner { x, e: own }, turn);
        let through = match lost {
            true => 0.0,
            false => crossings(Corner { x, e: other }, turn).0,
        };
        (accepted - through, refused - through)
    });
    Some(GlobalRisks {
        consumer: (above.0 + below.0).max(0.0),
        producer: (above.1 + below.1).max(0.0),
        conforming,
        accepted: normal_between((low - mean) / total, (high - mean) / total),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::{integral, normal_above, normal_density, normal_quantile};

    /// Both risks by integration over the true values, cut where the integrand turns quickly: at
    /// the acceptance limits and up to eight reading deviations to both sides, and at the mean.
    fn integrated(process: &Process, tolerance: Tolerance, guard: f64) -> (f64, f64) {
        let Process {
            mean,
            deviation,
            u_reading,
        } = *process;
        let standard = |x: f64| (x - mean) / deviation;
        let (low, high) = (tolerance.lower() + guard, tolerance.upper() - guard);
        let chance = |z: f64| {
            let x = mean + deviation * z;
            normal_density(z) * normal_between((low - x) / u_reading, (high - x) / u_reading)
        };
        let miss = |z: f64| {
            let x = mean + deviation * z;
            let out = normal_above((x - low) / u_reading) + normal_above((high - x) / u_reading);
            normal_density(z) * out
        };
        let over = |a: f64, b: f64, f: &dyn Fn(f64) -> f64| {
            let (a, b) = (a.max(-38.0), b.min(38.0));
            let mut cuts = vec![a, b, 0.0, -3.0, 3.0];
            for edge in [standard(low), standard(high)] {
                let width = u_reading / deviation;
                cuts.extend([-8.0, -2.0, 0.0, 2.0, 8.0].map(|k| edge + k * width));
            }
            cuts.retain(|x| *x >= a && *x <= b);
            cuts.sort_by(f64::total_cmp);
            let part = |pair: &[f64]| integral(pair[0], pair[1], 1e-15, &f);
            cuts.windows(2).map(part).sum::<f64>()
        };
        let (lower, upper) = (standard(tolerance.lower()), standard(tolerance.upper()));
        let outside = over(f64::NEG_INFINITY, lower, &chance) + over(upper, f64::INFINITY, &chance);
        (outside, over(lower, upper, &miss))
    }

    /// 7,000 sets of prior, uncertainty, limits and guard band: within 1e-12 of the integration.
    #[test]
    fn the_closed_form_is_the_integral() {
        let open = f64::INFINITY;
        for i in 0..7000_u32 {
            let pick = |n: u32, of: u32| f64::from(i / n % of);
            let (lower, upper) =
                [(-1.0, 1.0), (-1.0, 0.2), (-open, 1.0), (-0.3, open)][i as usize % 4];
            let tolerance = Tolerance::new(lower, upper).unwrap();
            let process = Process {
                mean: -1.2 + 0.4 * pick(4, 7),
                deviation: [0.05, 0.2, 0.5, 1.0, 3.0][i as usize / 28 % 5],
                u_reading: [0.001, 0.05, 0.2, 0.5, 2.0][i as usize / 140 % 5],
            };
            let guard = process.u_reading * (-2.0 + 0.7 * pick(700, 10));
            if lower + guard >= upper - guard {
                continue;
            }
            let risks = global_risks(&process, tolerance, guard).unwrap();
            let (consumer, producer) = integrated(&process, tolerance, guard);
            assert!(
                (risks.consumer - consumer).abs() < 1e-12
                    && (risks.producer - producer).abs() < 1e-12,
                "{process:?} {tolerance:?} {guard}: {risks:?} {consumer:e} {producer:e}"
            );
        }
    }

    fn process_deviation(limit: f64, reliability: f64, observed_with: f64) -> f64 {
        let seen = limit / normal_quantile(0.5 + 0.5 * reliability);
        (seen * seen - observed_with * observed_with).sqrt()
    }

    /// At a ratio of the limit to the expanded uncertainty.
    fn risks_of_ratio(reliability: f64, observed: bool, ratio: f64) -> GlobalRisks {
        let u_reading = 1.0 / (ratio * normal_quantile(0.975));
        let observed_with = if observed { u_reading } else { 0.0 };
        let process = Process {
            mean: 0.0,
            deviation: process_deviation(1.0, reliability, observed_with),
            u_reading,
        };
        global_risks(&process, Tolerance::new(-1.0, 1.0).unwrap(), 0.0).unwrap()
    }

    /// Interval-practice 5.2 and checks 31, 41 to 43 (scipy 1.17.1 quad).
    #[test]
    fn false_accept_by_reliability_and_ratio() {
        let risks = risks_of_ratio(0.95, false, 4.0);
        near!(risks.consumer, 0.008710, 6e-7);
        near!(risks.producer, 0.015954, 6e-7);
        let table = [
            (1.0, 0.85, 0.044904, 0.140864),
            (2.0, 0.89, 0.024498, 0.053394),
            (10.0, 0.95, 0.004133, 0.005281),
        ];
        for (ratio, reliability, consumer, producer) in table {
            let risks = risks_of_ratio(reliability, false, ratio);
            near!(risks.consumer, consumer, 6e-7);
            near!(risks.producer, producer, 6e-7);
        }
        let observed = |r, ratio| risks_of_ratio(r, true, ratio).consumer;
        near!(observed(0.95, 4.0), 0.00777971, 6e-9);
        near!(observed(0.89, 4.0), 0.0141843, 6e-8);
        near!(observed(0.89, 1.9707), 0.0195154, 6e-8);
        for (r, u) in [(0.99, 3.882245), (0.95, 5.102135), (0.85, 6.946705)] {
            near!(process_deviation(10.0, r, 0.0), u, 6e-7);
        }
    }

    #[test]
    fn impossible_inputs_give_none() {
        let tolerance = Tolerance::new(-1.0, 1.0).unwrap();
        let process = Process {
            mean: 0.0,
            deviation: 0.0,
            u_reading: 0.1,
        };
        assert_eq!(global_risks(&process, tolerance, 0.0), None);
    }

    #[test]
    fn no_room_rejects_everything() {
        let process = Process {
            mean: 0.0,
            deviation: 0.5,
            u_reading: 0.2,
        };
        let risks = global_risks(&process, Tolerance::new(-1.0, 1.0).unwrap(), 1.5).unwrap();
        assert_eq!((risks.consumer, risks.accepted), (0.0, 0.0));
        near!(risks.producer, risks.conforming, 1e-14);
    }
}
