/*! Risks over a population (JCGM 106:2012, clause 9): accepted though outside the
tolerance, rejected though inside. True values and readings are taken as normal. */

use crate::records::Tolerance;
use crate::stats::{integral, normal_above, normal_between, normal_density};

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
    /// Accepted.
    pub accepted: f64,
}

/// Beyond this many deviations nothing is left in double precision.
const FARTHEST: f64 = 38.0;
/// Absolute error of the integrals.
const PRECISION: f64 = 1e-15;

/// Risks of accepting readings inside `tolerance` narrowed by `guard` on each closed side
/// (negative: widened). `None` where a deviation is not positive or a number is missing.
pub fn global_risks(process: &Process, tolerance: Tolerance, guard: f64) -> Option<GlobalRisks> {
    let Process {
        mean,
        deviation,
        u_reading,
    } = *process;
    let usable = mean.is_finite() && guard.is_finite() && deviation > 0.0 && u_reading > 0.0;
    if !usable || !(deviation + u_reading).is_finite() {
        return None;
    }
    let standard = |x: f64| (x - mean) / deviation;
    let (lower, upper) = (standard(tolerance.lower()), standard(tolerance.upper()));
    let (low, high) = (tolerance.lower() + guard, tolerance.upper() - guard);
    let room = low < high;
    let chance = |z: f64| {
        let x = mean + deviation * z;
        let inside = normal_between((low - x) / u_reading, (high - x) / u_reading);
        if room { inside } else { 0.0 }
    };
    let miss = |z: f64| {
        let x = mean + deviation * z;
        let outside = normal_above((x - low) / u_reading) + normal_above((high - x) / u_reading);
        if room { outside } else { 1.0 }
    };
    let consumer = |z: f64| normal_density(z) * chance(z);
    let producer = |z: f64| normal_density(z) * miss(z);
    let edges = [standard(low), standard(high)];
    let width = u_reading / deviation;
    let over = |a: f64, b: f64, f: &dyn Fn(f64) -> f64| stretches(a, b, edges, width, f);
    let total = deviation.hypot(u_reading);
    Some(GlobalRisks {
        consumer: over(f64::NEG_INFINITY, lower, &consumer) + over(upper, f64::INFINITY, &consumer),
        producer: over(lower, upper, &producer),
        conforming: normal_between(lower, upper),
        accepted: if room {
            normal_between((low - mean) / total, (high - mean) / total)
        } else {
            0.0
        },
    })
}

/// Integral cut where the integrand turns quickly: at the acceptance limits and eight
/// reading deviations to both sides, and at the mean.
fn stretches(a: f64, b: f64, edges: [f64; 2], width: f64, f: &dyn Fn(f64) -> f64) -> f64 {
    let (a, b) = (a.max(-FARTHEST), b.min(FARTHEST));
    let mut cuts = vec![a, b, 0.0, -3.0, 3.0];
    for edge in edges {
        cuts.extend([-8.0, -2.0, 0.0, 2.0, 8.0].map(|k| edge + k * width));
    }
    cuts.retain(|x| *x >= a && *x <= b);
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2)
        .map(|pair| integral(pair[0], pair[1], PRECISION, &f))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::normal_quantile;

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
        assert!((risks.consumer - 0.008710).abs() < 6e-7);
        assert!((risks.producer - 0.015954).abs() < 6e-7);
        let table = [
            (1.0, 0.85, 0.044904, 0.140864),
            (2.0, 0.89, 0.024498, 0.053394),
            (10.0, 0.95, 0.004133, 0.005281),
        ];
        for (ratio, reliability, consumer, producer) in table {
            let risks = risks_of_ratio(reliability, false, ratio);
            assert!((risks.consumer - consumer).abs() < 6e-7, "{risks:?}");
            assert!((risks.producer - producer).abs() < 6e-7, "{risks:?}");
        }
        let observed = |r, ratio| risks_of_ratio(r, true, ratio).consumer;
        assert!((observed(0.95, 4.0) - 0.00777971).abs() < 6e-9);
        assert!((observed(0.89, 4.0) - 0.0141843).abs() < 6e-8);
        assert!((observed(0.89, 1.9707) - 0.0195154).abs() < 6e-8);
        for (r, u) in [(0.99, 3.882245), (0.95, 5.102135), (0.85, 6.946705)] {
            assert!((process_deviation(10.0, r, 0.0) - u).abs() < 6e-7);
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
        assert!((risks.producer - risks.conforming).abs() < 1e-14);
    }
}
