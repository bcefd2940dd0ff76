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
mod tests {
    use super::*;

    fn points(probabilities: &[f64]) -> Vec<Point> {
        let point = |&probability: &f64| Point {
            probability,
            near: probability,
            upwards: true,
        };
        probabilities.iter().map(point).collect()
    }

    fn going_together(lower: f64) -> impl Fn(usize, usize) -> Option<Correlation> {
        move |_, _| {
            Some(Correlation {
                limits: (lower, 0.99),
                changes: 12,
            })
        }
    }

    /// Bonferroni: 0.95 + 0.97 + 0.99 − 2 = 0.91. Orthant of two medians with correlation 1/2:
    /// 1/4 + arcsin(1/2)/2π = 1/3 (W. F. Sheppard 1899); of three: 1/8 + 3·arcsin(1/2)/4π = 1/4.
    #[test]
    fn bounds_and_orthants() {
        let bound = Joint::of_many(&points(&[0.95, 0.97, 0.99]), |_, _| None);
        assert_eq!(bound.dependence, Dependence::Bound);
        assert!((bound.probability - 0.91).abs() < 1e-12);
        let none = Joint::of_many(&points(&[0.3, 0.4]), |_, _| None);
        assert_eq!(none.probability, 0.0);
        let two = Joint::of_many(&points(&[0.5, 0.5]), going_together(0.5));
        assert!((two.probability - 1.0 / 3.0).abs() < 1e-9, "{two:?}");
        let three = Joint::of_many(&points(&[0.5, 0.5, 0.5]), going_together(0.5));
        assert!((three.probability - 0.25).abs() < 1e-9, "{three:?}");
        assert_eq!(three.dependence.word(), "data");
        let sure = Joint::of_many(&points(&[1.0, 0.9]), going_together(0.5));
        assert!((sure.probability - 0.9).abs() < 1e-9, "{sure:?}");
    }

    /// Normal numbers of mean 0 and deviation 1, the same ones every time (Box and Muller 1958).
    struct Draws(u64);

    impl Draws {
        fn uniform(&mut self) -> f64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            ((self.0 >> 11) as f64 + 0.5) / (1u64 << 53) as f64
        }

        fn normal(&mut self) -> f64 {
            let (far, turn) = (self.uniform(), self.uniform());
            (-2.0 * far.ln()).sqrt() * (std::f64::consts::TAU * turn).cos()
        }
    }

    /// 200,000 instruments of three points about the upper limit, errors of standard deviation 1 between ±limits
    /// with the correlations a·b, a·c and b·c: the stated probability exceeds the share that is in tolerance by no
    /// more than three standard errors of the share; with equal correlations it is that share but for what the far
    /// limits take; the bound is below both.
    #[test]
    fn the_joint_probability_is_that_of_simulated_points_or_less() {
        const DRAWS: u32 = 200_000;
        let mut draws = Draws(19);
        for (loads, means) in [
            ([0.8, 0.8, 0.8], [0.5, 0.8, 1.2]),
            ([0.95, 0.7, 0.6], [0.5, 0.8, 1.2]),
            ([0.9, 0.9, 0.3], [1.5, 1.5, 1.5]),
            ([0.5, 0.5, 0.5], [2.0, 0.0, 1.0]),
        ] {
            let limit = 2.5;
            let mut all_in = 0u32;
            for _ in 0..DRAWS {
                let common = draws.normal();
                let inside = |(load, mean): (&f64, &f64)| {
                    let own = draws.normal() * (1.0 - load * load).sqrt();
                    (mean + load * common + own).abs() <= limit
                };
                let three: Vec<bool> = loads.iter().zip(&means).map(inside).collect();
                all_in += u32::from(three.iter().all(|inside| *inside));
            }
            let truth = f64::from(all_in) / f64::from(DRAWS);
            let error = 3.0 * (truth * (1.0 - truth) / f64::from(DRAWS)).sqrt();
            let point = |mean: &f64| Point {
                probability: normal_above(mean - limit) - normal_above(mean + limit),
                near: normal_above(mean - limit),
                upwards: true,
            };
            let each: Vec<Point> = means.iter().map(point).collect();
            let pair = |a: usize, b: usize| {
                let rho: f64 = loads[a] * loads[b];
                Some(Correlation {
                    limits: (rho, rho),
                    changes: 12,
                })
            };
            let joint = Joint::of_many(&each, pair).probability;
            let bound = Joint::of_many(&each, |_, _| None).probability;
            assert!(joint <= truth + error, "{loads:?} {joint} {truth} {error}");
            assert!(bound <= joint, "{loads:?} {bound} {joint}");
            if loads[0] == loads[2] {
                // What is taken off for the far limits: at most Φ(−2.5) for a point in the middle.
                let far: f64 = each.iter().map(|p| p.near - p.probability).sum();
                assert!(
                    truth - joint < far + error,
                    "{loads:?} {joint} {truth} {far}"
                );
            }
        }
    }

    #[test]
    fn points_near_opposite_limits_need_opposite_changes() {
        let mut both = points(&[0.9, 0.9]);
        both[1].upwards = false;
        let together = Joint::of_many(&both, going_together(0.5));
        assert_eq!(together.dependence, Dependence::Bound);
        let opposite = |_, _| {
            Some(Correlation {
                limits: (-0.9, -0.5),
                changes: 12,
            })
        };
        let apart = Joint::of_many(&both, opposite);
        assert_eq!(
            apart.dependence,
            Dependence::Data {
                correlation: 0.5,
                changes: 12
            }
        );
        assert!(apart.probability > 0.81 && apart.probability < 0.9);
    }

    #[test]
    fn a_point_without_probability_leaves_the_whole_unknown() {
        let joint = Joint::of_many(&points(&[0.9, f64::NAN]), |_, _| None);
        assert_eq!(joint.dependence, Dependence::Unknown);
        assert!(
            joint
                .words(2, 20_000.0)
                .starts_with("no probability that both points")
        );
        assert_eq!(Joint::of_one(f64::NAN).dependence, Dependence::Unknown);
        assert_eq!(Joint::of_one(0.9).dependence, Dependence::OnePoint);
    }
}
