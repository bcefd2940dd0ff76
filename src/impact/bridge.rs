/*! The error between two readings: a line in the mean, a Brownian bridge about it. */

use crate::records::Tolerance;
use crate::stats::normal_between;

/// Two readings and what may have happened between them. Times in any one unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bridge {
    /// First reading: time, error, standard uncertainty.
    pub from: (f64, f64, f64),
    /// Second reading: time, error, standard uncertainty.
    pub to: (f64, f64, f64),
    /// Wander: variance per unit of time.
    pub wander: f64,
}

impl Bridge {
    /// Share of the time between the readings that had passed at `time`, 0 to 1.
    pub(crate) fn share(&self, time: f64) -> f64 {
        let span = self.to.0 - self.from.0;
        if span > 0.0 {
            ((time - self.from.0) / span).clamp(0.0, 1.0)
        } else {
            1.0
        }
    }

    /// Mean and standard deviation of the error at `time`, held at the ends outside them.
    pub(crate) fn at(&self, time: f64) -> (f64, f64) {
        let span = self.to.0 - self.from.0;
        let share = self.share(time);
        let mean = self.from.1 + share * (self.to.1 - self.from.1);
        let wander = self.wander * span.max(0.0) * share * (1.0 - share);
        let readings = ((1.0 - share) * self.from.2).hypot(share * self.to.2);
        (mean, (wander + readings * readings).sqrt())
    }
}

/// Probability that an error of this mean and standard deviation is out of tolerance.
pub(crate) fn out_of((mean, deviation): (f64, f64), tolerance: Tolerance) -> f64 {
    if deviation > 0.0 {
        let z = |limit: f64| (limit - mean) / deviation;
        (1.0 - normal_between(z(tolerance.lower()), z(tolerance.upper()))).clamp(0.0, 1.0)
    } else {
        f64::from(!tolerance.contains(mean))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked example of interval-practice.md 7.3 (check value 54): a = 0.01, f = 0.31,
    /// T = 12 months, L = 0.20, D = 0.0004 per month.
    #[test]
    fn the_worked_example_is_reproduced() {
        let bridge = Bridge {
            from: (0.0, 0.01, 0.0),
            to: (12.0, 0.31, 0.0),
            wander: 0.0004,
        };
        let limit = Tolerance::new(-0.2, 0.2).unwrap();
        for (time, error) in [(2.0, 0.060), (6.0, 0.160), (9.0, 0.235), (11.0, 0.285)] {
            near!(bridge.at(time).0, error, 1e-12);
        }
        near!(bridge.at(6.0).1, 0.034_641, 5e-7);
        near!(out_of(bridge.at(6.0), limit), 0.124_106, 1e-6);
    }

    #[test]
    fn ends_are_certain_without_uncertainty() {
        let bridge = Bridge {
            from: (0.0, 0.0, 0.0),
            to: (1.0, 2.0, 0.0),
            wander: 1.0,
        };
        let limit = Tolerance::new(-1.0, 1.0).unwrap();
        assert_eq!(out_of(bridge.at(-5.0), limit), 0.0);
        assert_eq!(out_of(bridge.at(5.0), limit), 1.0);
    }
}
