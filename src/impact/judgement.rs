/*! What an error of the instrument does to the statement made for a job.

The reported error changes by the sensitivity times the instrument's error, so that the
corrected one is reported − sensitivity · error. Where the sensitivity is not stated, a
reading taken with the instrument (+1) and a device judged against it (−1) are both looked
at, and the worse one counts.
*/

use super::job::Job;
use super::leg::{ErrorState, mean_of};
use crate::records::Tolerance;
use crate::stats::normal_between;

/// Probability out of tolerance above which a job is in doubt; no source.
pub(super) const IN_DOUBT: f64 = 0.05;

/// The statement of a job, judged with one sensitivity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Judgement {
    /// Sensitivity it was judged with.
    pub sensitivity: f64,
    /// Reported error corrected for the expected error of the instrument.
    pub corrected: f64,
    /// Probability that the true error of the job is inside its limits.
    pub inside: f64,
    /// The statement changes, with the expected error or with one that is believed enough.
    pub changed: bool,
    /// The way that changes it where the expected error does not: belief and corrected error.
    pub decided_by: Option<(f64, f64)>,
}

/// The worse judgement of the signs that are possible; `None` where limits or result are missing.
pub(super) fn worst(job: &Job, standings: &[ErrorState]) -> Option<Judgement> {
    let limits = job.limits()?;
    let signs = match job.sensitivity.is_nan() {
        true => vec![1.0, -1.0],
        false => vec![job.sensitivity],
    };
    let judged = signs
        .into_iter()
        .map(|sensitivity| judged(job, limits, standings, sensitivity));
    judged.min_by(|a, b| {
        let (a_holds, b_holds) = (holds(a, job, limits), holds(b, job, limits));
        b.changed.cmp(&a.changed).then(a_holds.total_cmp(&b_holds))
    })
}

/// Probability that the statement made holds.
fn holds(judged: &Judgement, job: &Job, limits: Tolerance) -> f64 {
    match limits.contains(job.measured_error) {
        true => judged.inside,
        false => 1.0 - judged.inside,
    }
}

fn judged(job: &Job, limits: Tolerance, standings: &[ErrorState], sensitivity: f64) -> Judgement {
    let corrected_for = |error: f64| job.measured_error - sensitivity * error;
    let stated = limits.contains(job.measured_error);
    let corrected = corrected_for(mean_of(standings).0);
    let changes = |corrected: f64| limits.contains(corrected) != stated;
    let believed = standings.iter().filter(|s| s.weight > IN_DOUBT);
    let decisive = believed
        .map(|s| (s.weight, corrected_for(s.error)))
        .find(|(_, corrected)| changes(*corrected));
    let own = if job.u.is_finite() { job.u } else { 0.0 };
    let inside = standings.iter().map(|s| {
        let u = own.hypot(sensitivity * s.u);
        s.weight * inside(limits, corrected_for(s.error), u)
    });
    Judgement {
        sensitivity,
        corrected,
        inside: inside.sum(),
        changed: changes(corrected) || decisive.is_some(),
        decided_by: decisive.filter(|_| !changes(corrected)),
    }
}

fn inside(limits: Tolerance, corrected: f64, u: f64) -> f64 {
    let z = |limit: f64| (limit - corrected) / u;
    match u > 0.0 {
        // What is uncertain is never certain, however the tail underflows.
        true => {
            let inside = normal_between(z(limits.lower()), z(limits.upper()));
            inside.clamp(f64::EPSILON, 1.0 - f64::EPSILON)
        }
        false => f64::from(limits.contains(corrected)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn job(sensitivity: f64) -> Job {
        Job {
            lower: -1500.0,
            upper: 1500.0,
            measured_error: -1100.0,
            sensitivity,
            ..Job::unknown()
        }
    }

    /// A standard that was −655 off, a device judged against it: −1100 − (−1)·(−655) = −1755.
    #[test]
    fn the_sign_of_the_sensitivity_decides_the_statement() {
        let standing = ErrorState {
            weight: 1.0,
            error: -655.0,
            u: 10.0,
        };
        let judged = |sensitivity| worst(&job(sensitivity), &[standing]).unwrap();
        assert_eq!(judged(-1.0).corrected, -1755.0);
        assert!(judged(-1.0).changed);
        assert_eq!(judged(1.0).corrected, -445.0);
        assert!(!judged(1.0).changed);
        assert_eq!(judged(f64::NAN), judged(-1.0));
    }

    #[test]
    fn the_uncertainty_of_the_job_is_in_the_probability() {
        let standing = ErrorState {
            weight: 1.0,
            error: 300.0,
            u: 30.0,
        };
        let with = |u: f64| {
            let job = Job { u, ..job(1.0) };
            worst(&job, &[standing]).unwrap().inside
        };
        // Φ((−1400 + 1500)/30) = Φ(3.333) and Φ(100/50) = Φ(2) = 0.97725.
        near!(with(0.0), 0.999_571, 1e-6);
        near!(with(40.0), 0.977_250, 1e-6);
    }

    /// By hand: a result of 1450 against ±1500, the instrument believed at 0 (0.7) or stepped to 100 (0.3), u = 30,
    /// the job's own u = 40, together 50: 0.7·Φ(50/50) + 0.3·Φ(150/50) = 0.7·0.841345 + 0.3·0.998650 = 0.888536;
    /// without the job's own u 0.7·Φ(5/3) + 0.3·Φ(5) = 0.7·0.952210 + 0.3 = 0.966547. With the sensitivity 2 the
    /// instrument's part is 60 and 200 off: u = √(40² + 60²) = 72.111, 0.7·Φ(50/72.111) + 0.3·Φ(250/72.111) =
    /// 0.7·0.755961 + 0.3·0.999737 = 0.829095.
    #[test]
    fn both_uncertainties_and_both_ways_are_in_the_probability() {
        let standing = |weight, error| ErrorState {
            weight,
            error,
            u: 30.0,
        };
        let standings = [standing(0.7, 0.0), standing(0.3, 100.0)];
        for (sensitivity, u, expected) in [
            (1.0, 40.0, 0.888_536),
            (1.0, f64::NAN, 0.966_547),
            (2.0, 40.0, 0.829_095),
        ] {
            let job = Job {
                u,
                measured_error: 1450.0,
                ..job(sensitivity)
            };
            let inside = worst(&job, &standings).unwrap().inside;
            near!(inside, expected, 2e-6);
        }
    }
}
