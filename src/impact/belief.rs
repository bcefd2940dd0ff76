/*! What is believed of the error through a suspect window, for its picture: the very ways and weights by which jobs in it
are judged.
*/

use super::leg::{ErrorState, Leg, mean_of, probability_out};
use super::window::Window;
use crate::stats::{normal_above, root};

/// Moments at which a stretch between two readings is looked at.
const MOMENTS: usize = 24;

/// Standard deviations from the ways' means within which a quantile is looked for.
const FAR: f64 = 10.0;

/// What is believed of the error on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Belief {
    /// Days since 1970-01-01.
    pub day: f64,
    /// Expected error.
    pub expected: f64,
    /// Band of the true error.
    pub error: (f64, f64),
    /// Band of a reading.
    pub reading: (f64, f64),
    /// Probability in tolerance; `None` where no tolerance was in force.
    pub in_tolerance: Option<f64>,
}

impl Window {
    /// The stretches between two readings of the window, each from end to end, with bands at `level`; `noise` is the
    /// standard deviation of a reading about the true error on a day.
    pub(crate) fn beliefs(&self, level: f64, noise: impl Fn(f64) -> f64) -> Vec<Vec<Belief>> {
        let between = |leg: &&Leg| matches!(leg, Leg::Between { .. });
        let stretch = |leg: &Leg| {
            let (from, to) = leg.span();
            let day = |k: usize| from + (to - from) * k as f64 / MOMENTS as f64;
            let belief = |k| self.belief(leg, day(k), level, noise(day(k)));
            (0..=MOMENTS).map(belief).collect()
        };
        self.legs.iter().filter(between).map(stretch).collect()
    }

    fn belief(&self, leg: &Leg, day: f64, level: f64, noise: f64) -> Belief {
        let ways = self.standings(leg, day);
        let read: Vec<ErrorState> = ways
            .iter()
            .map(|way| ErrorState {
                u: way.u.hypot(noise),
                ..*way
            })
            .collect();
        let out = self.tolerance.map(|limits| probability_out(&ways, limits));
        Belief {
            day,
            expected: mean_of(&ways).0,
            error: band(&ways, level),
            reading: band(&read, level),
            in_tolerance: out.map(|out| 1.0 - out),
        }
    }
}

/// The central band of all ways at `level`: as much lies below it as above.
fn band(ways: &[ErrorState], level: f64) -> (f64, f64) {
    let tail = 0.5 * (1.0 - level);
    (quantile(ways, tail), quantile(ways, 1.0 - tail))
}

fn quantile(ways: &[ErrorState], share: f64) -> f64 {
    let believed = ways.iter().filter(|way| way.weight > 0.0);
    let ends = believed
        .clone()
        .map(|way| (way.error - FAR * way.u, way.error + FAR * way.u));
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), end| {
        (low.min(end.0), high.max(end.1))
    });
    let below = |error: f64| -> f64 {
        let of = |way: &ErrorState| match way.u > 0.0 {
            true => way.weight * normal_above((way.error - error) / way.u),
            false => way.weight * f64::from(way.error <= error),
        };
        believed.clone().map(of).sum()
    };
    root(low, high, |error| below(error) - share).unwrap_or(0.5 * (low + high))
}

#[cfg(test)]
mod tests {
    use super::super::bridge::Bridge;
    use super::*;
    use crate::records::Tolerance;

    fn window(step: f64) -> Window {
        let bridge = Bridge {
            from: (0.0, 0.25, 0.05),
            to: (360.0, 1.7, 0.05),
            wander: 1e-5,
        };
        Window {
            good_since: Some(0.0),
            found: 360.0,
            until: 360.0,
            last_failed: 1,
            tolerance: Tolerance::new(-1.0, 1.0),
            legs: vec![Leg::Between { bridge, step }],
            u_common: 0.0,
        }
    }

    /// A step at an unknown time: the share of the time that has passed is the probability that the tolerance was left,
    /// as jobs are judged. Quantiles of the mixture by scipy 1.15 (brentq on the sum of two normal distributions).
    #[test]
    fn a_step_leaves_the_tolerance_as_time_passes() {
        let beliefs = window(1.0).beliefs(0.95, |_| 0.0);
        let [stretch] = &beliefs[..] else {
            panic!("{beliefs:?}")
        };
        for (k, share) in [(0, 0.0), (6, 0.25), (12, 0.5), (24, 1.0)] {
            let at = stretch[k];
            near!(at.in_tolerance.unwrap(), 1.0 - share, 1e-9, "{k}");
            near!(at.expected, 0.25 + share * 1.45, 1e-12);
        }
        near!(stretch[0].error.0, 0.152_001_8, 1e-6);
        near!(stretch[12].error.0, 0.167_757_3, 1e-6);
        near!(stretch[12].error.1, 1.782_242_7, 1e-6);
        near!(stretch[24].error.1, 1.797_998_2, 1e-6);
    }

    #[test]
    fn without_a_step_the_band_follows_the_bridge() {
        let beliefs = window(0.0).beliefs(0.95, |_| 0.05);
        let middle = beliefs[0][12];
        near!(middle.expected, 0.975, 1e-12);
        let u = (1e-5_f64 * 360.0 * 0.25 + 0.5 * 0.05 * 0.05).sqrt();
        near!(middle.error.1 - middle.expected, 1.959_964 * u, 1e-6);
        near!(
            middle.reading.1 - middle.expected,
            1.959_964 * u.hypot(0.05),
            1e-6
        );
    }
}
