/*! The probability that all points of an instrument are in tolerance at once.

Where nothing is known of how points go together only the bound of Bonferroni and Fréchet is
safe: P(all) ≥ 1 − Σ(1 − P_i), whatever the dependence (M. Fréchet 1935; formula of any
textbook). Where the data show that every pair goes together towards the limits they are near,
the joint probability is that of one common factor with the smallest correlation the data leave
open: by Slepian's inequality (D. Slepian 1962) larger correlations make it no smaller. That
holds for one limit each; what a point may do otherwise, leave its tolerance at the other limit or in a
step, is taken off in full, as the bound does.
*/

use super::changes::Correlation;
use crate::stats::{integral, normal_above, normal_density, normal_quantile};
use crate::words::{percent, percent_down, significant};

/// Beyond this many standard deviations of the common factor nothing is left to add.
const FARTHEST: f64 = 9.0;
/// Absolute error of the integral.
const PRECISION: f64 = 1e-12;

/// One point: probability in tolerance, that of not being beyond the nearer limit by drift and wander, and
/// whether the upper limit is the nearer one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Point {
    pub probability: f64,
    pub near: f64,
    pub upwards: bool,
}

/// What a joint probability takes the dependence of the points to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Dependence {
    /// One point alone.
    OnePoint,
    /// The points' own changes: at least this correlation, by the fewest common changes.
    Data {
        /// Smallest correlation that the data leave open for any pair.
        correlation: f64,
        /// Common changes of the pair with the fewest.
        changes: usize,
    },
    /// Any dependence whatever: the smallest probability that the points allow.
    Bound,
    /// A point has no forecast or no tolerance.
    Unknown,
}

impl Dependence {
    /// The word written to the table.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Dependence::OnePoint => "one_point",
            Dependence::Data { .. } => "data",
            Dependence::Bound => "bound",
            Dependence::Unknown => "unknown",
        }
    }
}

/// Probability that all points are in tolerance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Joint {
    /// The probability; NaN where a point's own is not known.
    pub probability: f64,
    /// What it takes the dependence to be.
    pub dependence: Dependence,
}

impl Joint {
    /// A point has no probability.
    pub(super) fn unknown() -> Self {
        Self {
            probability: f64::NAN,
            dependence: Dependence::Unknown,
        }
    }

    /// Of one point.
    pub(super) fn of_one(probability: f64) -> Self {
        let dependence = match probability.is_nan() {
            true => Dependence::Unknown,
            false => Dependence::OnePoint,
        };
        Self {
            probability,
            dependence,
        }
    }

    /// Of several points, with the correlation of each pair where the data tell it.
    pub(super) fn of_many(
        points: &[Point],
        pair: impl Fn(usize, usize) -> Option<Correlation>,
    ) -> Self {
        if points.iter().any(|point| point.probability.is_nan()) {
            return Self::unknown();
        }
        let missing: f64 = points.iter().map(|point| 1.0 - point.probability).sum();
        let bound = (1.0 - missing).max(0.0);
        let Some((correlation, changes)) = smallest(points, pair) else {
            return Self {
                probability: bound,
                dependence: Dependence::Bound,
            };
        };
        Self {
            probability: by_data(points, correlation).max(bound),
            dependence: Dependence::Data {
                correlation,
                changes,
            },
        }
    }

    /// "all 3 points are then in tolerance with probability at least 91 %, whatever …".
    pub(super) fn words(&self, points: usize, due: f64) -> String {
        let which = match points {
            2 => "both points".to_string(),
            n => format!("all {n} points"),
        };
        let then = if due.is_nan() { "" } else { " then" };
        let probability = percent(self.probability);
        match self.dependence {
            Dependence::Unknown => format!(
                "no probability that {which} are{then} in tolerance, since one has no forecast or no tolerance"
            ),
            Dependence::Data {
                correlation,
                changes,
            } => format!(
                "{which} are{then} in tolerance with probability {probability}, since their changes go together (correlation {} or more by {changes} common changes)",
                significant(correlation, 2)
            ),
            Dependence::OnePoint | Dependence::Bound => format!(
                "{which} are{then} in tolerance with probability at least {}, however they depend on each other",
                percent_down(self.probability)
            ),
        }
    }
}

/// Smallest correlation towards their near limits that the data leave open for any pair, with
/// the fewest common changes; `None` where some pair may not go together at all.
fn smallest(
    points: &[Point],
    pair: impl Fn(usize, usize) -> Option<Correlation>,
) -> Option<(f64, usize)> {
    let mut least = (1.0_f64, usize::MAX);
    for first in 0..points.len() {
        for second in first + 1..points.len() {
            let known = pair(first, second)?;
            // Points near opposite limits fail together where they change oppositely.
            let same = points[first].upwards == points[second].upwards;
            let lower = if same {
                known.limits.0
            } else {
                -known.limits.1
            };
            if lower <= 0.0 {
                return None;
            }
            least = (least.0.min(lower), least.1.min(known.changes));
        }
    }
    (points.len() > 1).then_some(least)
}

/// All points this side of their near limits, less what each may do otherwise.
fn by_data(points: &[Point], correlation: f64) -> f64 {
    let otherwise = |point: &Point| (point.near - point.probability).max(0.0);
    let others: f64 = points.iter().map(otherwise).sum();
    (one_factor(points, correlation) - others).max(0.0)
}

/// ∫ φ(z) Π Φ((b_i − √ρ·z)/√(1 − ρ)) dz with Φ(b_i) = P_i: all points of one common factor this side
/// of their near limits.
fn one_factor(points: &[Point], correlation: f64) -> f64 {
    let least = points.iter().map(|p| p.near).fold(1.0, f64::min);
    let (shared, own) = (correlation.sqrt(), (1.0 - correlation).max(0.0).sqrt());
    if own == 0.0 {
        return least;
    }
    let ends: Vec<f64> = points
        .iter()
        .map(|point| normal_quantile(point.near))
        .collect();
    let all = |z: f64| {
        let inside = |end: &f64| normal_above((shared * z - end) / own);
        normal_density(z) * ends.iter().map(inside).product::<f64>()
    };
    integral(-FARTHEST, FARTHEST, PRECISION, &all).clamp(0.0, least)
}

#[cfg(test)]
#[path = "joint_tests.rs"]
mod tests;
