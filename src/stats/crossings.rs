/*! Two normal values that go together, one to each side of its limit: P(x > h, y < k) and
P(x < h, y > k) of a bivariate normal distribution, to 1e-16, and mostly to twelve digits of what is small.

With y = ρx + se, s² = 1 − ρ² and e independent of x, the smaller of the two is the integral
of the bivariate density at (h, k) over the correlations from ρ to 1 (R. L. Plackett, Biometrika
41, 1954), and the larger one is more by Φ(k) − Φ(h). The integral is a sum of two functions of
D. B. Owen (Annals of Mathematical Statistics 27, 1956) where these do not cancel, and is summed
where they do. All formulas from memory; checked against the integral over x.
*/

use super::{normal_above, normal_between};
use std::f64::consts::PI;

/// How y goes with x: y = `cosine`·x + `sine`·e.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Turn {
    /// Correlation of x and y, above 0.
    pub cosine: f64,
    /// Share of e in y, above 0.
    pub sine: f64,
}

/// Where the limit of x meets that of y, in x and in e.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Corner {
    /// Limit of x.
    pub x: f64,
    /// What e is at that x where y is at its limit.
    pub e: f64,
}

/// Gap between the limits, in deviations of y about x, from which Owen's functions lose digits.
const FAR: f64 = 1.5;
/// Fall of the exponent after which nothing is left of a normal density.
const SPENT: f64 = 36.0;
/// Deviations that one panel of the sum covers.
const PANEL: f64 = 3.6;

/// Positive nodes and weights of the Gauss–Legendre rule of 16 points (by Newton steps in 50 decimals).
const RULE: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_5),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_58),
    (0.458_016_777_657_227_37, 0.169_156_519_395_002_54),
    (0.617_876_244_402_643_7, 0.149_595_988_816_576_73),
    (0.755_404_408_355_003_1, 0.124_628_971_255_533_88),
    (0.865_631_202_387_831_8, 0.095_158_511_682_492_79),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_894),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_095),
];

impl Corner {
    /// The limit of y.
    fn y(self, turn: Turn) -> f64 {
        turn.cosine * self.x + turn.sine * self.e
    }

    /// How far y leaves x behind, in deviations of y about x: (x − y) / sine without loss of digits.
    fn gap(self, turn: Turn) -> f64 {
        self.x * turn.sine / (1.0 + turn.cosine) - self.e
    }
}

/// P(x > `corner.x`, y < its limit) and P(x < `corner.x`, y > its limit), x and y standard normal.
pub(crate) fn crossings(corner: Corner, turn: Turn) -> (f64, f64) {
    if corner.x.is_infinite() || corner.e.is_infinite() {
        return (0.0, 0.0);
    }
    let (x, y) = (corner.x, corner.y(turn));
    let more = normal_between(x.min(y), x.max(y));
    let least = if corner.gap(turn).abs() < FAR {
        near(corner, turn, more)
    } else {
        far(corner, turn)
    };
    let most = least + more;
    if y > x { (most, least) } else { (least, most) }
}

/// The smaller crossing by Owen's functions; `more` is what the larger one has beyond it.
fn near(corner: Corner, turn: Turn, more: f64) -> f64 {
    let (x, y) = (corner.x, corner.y(turn));
    if x == 0.0 && y == 0.0 {
        return turn.sine.atan2(turn.cosine) / (2.0 * PI);
    }
    // The corner seen along the limit of x, and along that of y.
    let along = turn.sine * x - turn.cosine * corner.e;
    let sum = owen(x, corner.e) + owen(y, along);
    let opposite = x * y < 0.0 || (x * y == 0.0 && x + y < 0.0);
    (sum + if opposite { 0.5 } else { 0.0 } - 0.5 * more).max(0.0)
}

/// Owen's function T(h, m/h): between the foot of a line at distance h and a point m along it.
fn owen(h: f64, m: f64) -> f64 {
    let (height, along) = (h.abs(), m.abs());
    let size = if along <= height {
        flat(height, along)
    } else {
        let (over, beyond) = (normal_above(height), normal_above(along));
        0.5 * (over + beyond) - over * beyond - flat(along, height)
    };
    if (h < 0.0) == (m < 0.0) { size } else { -size }
}

/// Owen's function for m no longer than h, by its integral over the angle's tangent.
fn flat(h: f64, m: f64) -> f64 {
    let end = (m / h).min((2.0 * SPENT).sqrt() / h);
    let panels = (end * h / PANEL).ceil();
    let density = |t: f64| (-0.5 * h * h * (1.0 + t * t)).exp() / (1.0 + t * t);
    sum(0.0, end, panels, density) / (2.0 * PI)
}

/// The smaller crossing as the integral over the angle between x and y, by d·cot of the angle,
/// in which it is the tail of a normal density times a slow function.
fn far(corner: Corner, turn: Turn) -> f64 {
    let (x, y) = (corner.x, corner.y(turn));
    let apart = (corner.gap(turn) * turn.sine).abs();
    let product = x * y;
    let start = apart * turn.cosine / turn.sine;
    let slope = product.max(0.0) * apart / (x.abs() + y.abs());
    let end = (start * start + slope + 2.0 * SPENT).sqrt();
    let density = |v: f64| {
        let square = apart * apart + v * v;
        let length = square.sqrt();
        (-0.5 * square - product * length / (length + v)).exp() / square
    };
    apart * sum(start, end, ((end - start) / PANEL).ceil(), density) / (2.0 * PI)
}

/// Sum of `f` over `panels` equal panels from `low` to `high`.
fn sum(low: f64, high: f64, panels: f64, f: impl Fn(f64) -> f64) -> f64 {
    let panels = panels.max(1.0);
    let half = 0.5 * (high - low) / panels;
    let panel = |i: u32| {
        let middle = low + half * (2.0 * f64::from(i) + 1.0);
        let pair = |&(node, weight): &(f64, f64)| {
            weight * (f(middle - half * node) + f(middle + half * node))
        };
        RULE.iter().map(pair).sum::<f64>()
    };
    half * (0..panels as u32).map(panel).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::{integral, normal_density};

    /// P(x > h, y < k) as the integral over x of the density times the chance of e, cut where it turns.
    fn by_integral(corner: Corner, turn: Turn) -> f64 {
        let steep = turn.cosine / turn.sine;
        let f = |x: f64| normal_density(x) * normal_above(steep * (x - corner.x) - corner.e);
        let mut cuts = vec![corner.x, corner.x.max(39.0), 0.0, 3.0];
        cuts.extend((-10..=10).map(|k| corner.x + (corner.e + f64::from(k)) / steep));
        cuts.retain(|x| *x >= corner.x && *x <= corner.x.max(39.0));
        cuts.sort_by(f64::total_cmp);
        cuts.windows(2)
            .map(|pair| integral(pair[0], pair[1], 1e-20, &f))
            .sum()
    }

    fn assert_both(corner: Corner, turn: Turn) {
        let mirrored = Corner {
            x: -corner.x,
            e: -corner.e,
        };
        let (above, below) = crossings(corner, turn);
        for (found, whole) in [
            (above, by_integral(corner, turn)),
            (below, by_integral(mirrored, turn)),
        ] {
            let off = (found - whole).abs();
            assert!(
                off < 1e-12 * whole || off < 0.5 * f64::EPSILON,
                "{corner:?} {turn:?}: {found:e} {whole:e}"
            );
        }
    }

    #[test]
    fn both_crossings_are_the_integral_over_x() {
        for angle in [1e-3, 0.02, 0.1, 0.24, 0.4, 0.7, 1.0, 1.2, 1.4, 1.55_f64] {
            let turn = Turn {
                cosine: angle.cos(),
                sine: angle.sin(),
            };
            let steps = |n: u8, width: f64| (0..n).map(move |i| width * (f64::from(i) / 4.0 - 1.0));
            for x in steps(10, 4.0) {
                for e in steps(13, 3.0).map(|e| e - 2.7) {
                    assert_both(Corner { x, e }, turn);
                }
            }
            for (x, e) in [
                (0.0, 0.0),
                (0.0, 1.0),
                (0.0, -1.0),
                (1.0, -1.0 / angle.tan()),
            ] {
                assert_both(Corner { x, e }, turn);
            }
        }
    }

    #[test]
    fn an_open_side_is_never_crossed() {
        let turn = Turn {
            cosine: 0.8,
            sine: 0.6,
        };
        let corner = |x, e| crossings(Corner { x, e }, turn);
        assert_eq!(corner(f64::INFINITY, 1.0), (0.0, 0.0));
        assert_eq!(corner(0.5, f64::NEG_INFINITY), (0.0, 0.0));
    }
}
