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
    near!(bound.probability, 0.91, 1e-12);
    let none = Joint::of_many(&points(&[0.3, 0.4]), |_, _| None);
    assert_eq!(none.probability, 0.0);
    let two = Joint::of_many(&points(&[0.5, 0.5]), going_together(0.5));
    near!(two.probability, 1.0 / 3.0, 1e-9);
    let three = Joint::of_many(&points(&[0.5, 0.5, 0.5]), going_together(0.5));
    near!(three.probability, 0.25, 1e-9);
    assert_eq!(three.dependence.word(), "data");
    let sure = Joint::of_many(&points(&[1.0, 0.9]), going_together(0.5));
    near!(sure.probability, 0.9, 1e-9);
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
