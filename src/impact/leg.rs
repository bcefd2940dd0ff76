/*! A stretch between two readings, and what is believed of the error on a day in it.

Between a good reading and a failed one the value either moved in one step at a time that
nobody saw (uniform over the stretch) or drifted and wandered. Each is believed as much as
the drift model believes it; after a recorded shock the step has the say.
*/

use super::bridge::{Bridge, out_of};
use crate::records::Tolerance;

/// One way the error may have stood: how much it is believed, mean and standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ErrorState {
    /// Belief, 0 to 1.
    pub weight: f64,
    /// Expected error.
    pub error: f64,
    /// Standard uncertainty of it.
    pub u: f64,
}

/// How the error came from one reading to the next, or on from the last one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Leg {
    /// Between two readings; the belief in a step between them.
    Between {
        /// The readings and the wander between them.
        bridge: Bridge,
        /// Belief that the value stepped rather than drifted.
        step: f64,
    },
    /// From the last reading on.
    Onward {
        /// The reading: time, error, standard uncertainty.
        from: (f64, f64, f64),
        /// Drift per unit of time, and its standard uncertainty.
        drift: (f64, f64),
        /// Variance of the wander per unit of time.
        wander: f64,
    },
}

impl Leg {
    /// The ways in which the error may have stood at `time`; the beliefs add up to one.
    pub(crate) fn standings(&self, time: f64) -> Vec<ErrorState> {
        let standing = |weight, (error, u)| ErrorState { weight, error, u };
        match self {
            Leg::Between { bridge, step } => {
                let share = bridge.share(time);
                let (from, to) = (bridge.from, bridge.to);
                vec![
                    standing(1.0 - step, bridge.at(time)),
                    standing(step * (1.0 - share), (from.1, from.2)),
                    standing(step * share, (to.1, to.2)),
                ]
            }
            Leg::Onward {
                from,
                drift,
                wander,
            } => {
                let passed = (time - from.0).max(0.0);
                let u = from
                    .2
                    .hypot(drift.1 * passed)
                    .hypot((wander * passed).sqrt());
                vec![standing(1.0, (from.1 + drift.0 * passed, u))]
            }
        }
    }

    /// First and last moment of it; the last one open after the last reading.
    pub(crate) fn span(&self) -> (f64, f64) {
        match self {
            Leg::Between { bridge, .. } => (bridge.from.0, bridge.to.0),
            Leg::Onward { from, .. } => (from.0, f64::INFINITY),
        }
    }
}

/// Probability that the error was out of tolerance.
pub(crate) fn probability_out(standings: &[ErrorState], tolerance: Tolerance) -> f64 {
    let each = standings
        .iter()
        .map(|s| s.weight * out_of((s.error, s.u), tolerance));
    each.sum::<f64>().clamp(0.0, 1.0)
}

/// Mean and standard deviation of the error over all ways.
pub(crate) fn mean_of(standings: &[ErrorState]) -> (f64, f64) {
    let mean: f64 = standings.iter().map(|s| s.weight * s.error).sum();
    let variance: f64 = standings
        .iter()
        .map(|s| s.weight * (s.u * s.u + (s.error - mean) * (s.error - mean)))
        .sum();
    (mean, variance.sqrt())
}
