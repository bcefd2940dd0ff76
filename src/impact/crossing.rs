/*! When the item left its tolerance: the date and the window that holds it with 95 %. */

use super::leg::{Leg, probability_out};
use crate::records::Tolerance;

/// Moments of a window at which the belief is looked at; between them it is a straight line.
const LOOKS: usize = 512;
/// Belief from which one way alone is named.
const NAMED: f64 = 0.95;

crate::words::worded! {
    /// How the item came to leave its tolerance.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(crate) enum Mechanism with words and word {
        /// In one step at an unknown time.
        Step = "a step at an unknown time", "step";
        /// By drift and wander.
        Drift = "drift and wander", "drift";
        /// Either may be.
        StepOrDrift = "a step or by drift and wander", "step_or_drift";
        /// The values at its ends are not known.
        Unknown = "an unknown way", "unknown";
    }
}

impl Mechanism {
    /// By the belief in a step.
    pub(crate) fn of(step: f64) -> Self {
        match step {
            step if step >= NAMED => Mechanism::Step,
            step if step <= 1.0 - NAMED => Mechanism::Drift,
            _ => Mechanism::StepOrDrift,
        }
    }
}

/// When an item left its tolerance. Days since 1970-01-01.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LeftTolerance {
    /// Begin of the window that holds the moment with 95 %.
    pub from: f64,
    /// As likely earlier as later.
    pub at: f64,
    /// End of that window.
    pub to: f64,
    /// How.
    pub mechanism: Mechanism,
}

/// When the tolerance was left between the good reading and the failed one, given that it was.
pub(crate) fn left_tolerance(
    (good, found): (f64, f64),
    legs: &[Leg],
    tolerance: Tolerance,
    mechanism: Mechanism,
) -> LeftTolerance {
    let day = |look: usize| good + (found - good) * look as f64 / LOOKS as f64;
    let mut highest = 0.0_f64;
    let left: Vec<f64> = (0..=LOOKS)
        .map(|look| {
            let leg = legs.iter().rev().find(|leg| leg.span().0 <= day(look));
            let out = leg.map_or(0.0, |leg| {
                probability_out(&leg.standings(day(look)), tolerance)
            });
            highest = highest.max(out);
            highest
        })
        .collect();
    let (first, last) = (left[0], left[LOOKS]);
    let quantile = |share: f64| {
        let wanted = first + share * (last - first);
        let after = left.partition_point(|out| *out < wanted).clamp(1, LOOKS);
        let (below, above) = (left[after - 1], left[after]);
        let part = match above > below {
            true => (wanted - below) / (above - below),
            false => 0.5,
        };
        let step = day(after) - day(after - 1);
        day(after - 1) + part.clamp(0.0, 1.0) * step
    };
    // A belief that does not grow says nothing of the time.
    let grows = last > first;
    let at = |share| match grows {
        true => quantile(share),
        false => good + share * (found - good),
    };
    LeftTolerance {
        from: at(0.025),
        at: at(0.5),
        to: at(0.975),
        mechanism,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::impact::bridge::Bridge;

    /// Uniform over a window of 400 days: its 2.5 %, 50 % and 97.5 % points.
    #[test]
    fn a_step_left_at_any_time_of_the_window() {
        let bridge = Bridge {
            from: (0.0, 0.0, 0.01),
            to: (400.0, 10.0, 0.01),
            wander: 1e-9,
        };
        let tolerance = Tolerance::new(-1.0, 1.0).unwrap();
        let at = |step| {
            let leg = Leg::Between { bridge, step };
            left_tolerance((0.0, 400.0), &[leg], tolerance, Mechanism::of(step))
        };
        let stepped = at(1.0);
        for (found, expected) in [
            (stepped.from, 10.0),
            (stepped.at, 200.0),
            (stepped.to, 390.0),
        ] {
            near!(found, expected, 1e-9);
        }
        // The straight line crosses 1 at day 40.
        let drifted = at(0.0);
        near!(drifted.at, 40.0, 0.5);
        assert_eq!(drifted.mechanism.word(), "drift");
    }
}
