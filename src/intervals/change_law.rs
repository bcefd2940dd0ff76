/*! The law of change since the last calibration: mean and scatter by regression through the origin.

δ, the error as found less the error as left before, on the time Δt between them, with no
intercept (a change of nothing in no time) and weights w = 1 (scatter constant) or 1/Δt
(its variance grows with the time):

```text
linear      b = Σwδ·Δt/ΣwΔt²
quadratic   [ΣwΔt² ΣwΔt³; ΣwΔt³ ΣwΔt⁴]·(b, c) = (Σwδ·Δt, Σwδ·Δt²)
scatter     s² (or D, per unit of time) = (Σwδ² − bΣwδ·Δt − cΣwδ·Δt²)/(n − p);   C = s²·[…]⁻¹
test        F = (S₁ − S₂)/(S₂/(n − 2)) on (1, n − 2), S the sums of squares left
R(t) = Φ((U − μ)/σ) − Φ((L − μ)/σ),  μ = e + b·t + c·t²,  σ² = u₀² + (s² or D·t) + xᵀCx,  x = (t, t²)
```

It is the variables-data method of the calibration-interval literature (H. Castrup,
"Calibration intervals from variables data", NCSL International 2005; the formulas by
interval-practice.md 4.1 and 4.4). The square is kept only where F says so.
*/

pub(super) mod sums;

use self::sums::ChangeSums;
use crate::stats::{fisher_upper, normal_between};
use serde::{Deserialize, Serialize};

/// How the scatter of the changes depends on the time between calibrations.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Scatter {
    /// Its variance grows in proportion to the time.
    #[default]
    Growing,
    /// It is the same after any time.
    Constant,
}

/// Degree of the mean change in the time since calibration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Order {
    /// Quadratic where the times are spread and the F test keeps the square, else linear.
    #[default]
    Tested,
    /// Linear.
    Linear,
    /// Quadratic, where there are enough different times.
    Quadratic,
}

/// Significance of the F test that keeps the square (interval-practice.md 4.4).
const SIGNIFICANCE: f64 = 0.05;
/// The square is tested only where the longest time is at least so many times the shortest:
/// over nearly one interval a line and a square are the same (this program's own rule).
const LEAST_SPREAD: f64 = 2.0;
/// Times nearer to each other than this, as the part of the determinant that is left, do not
/// tell a square from a line.
const SINGULAR: f64 = 1e-9;

/// The fitted law of change, in the unit and time of the sums.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ChangeLaw {
    /// Mean change per unit of time.
    pub rate: f64,
    /// Mean change per unit of time squared; 0 for a linear law.
    pub bend: f64,
    /// Variances of rate and bend, and between them their covariance.
    pub covariance: [f64; 3],
    /// Scatter: variance, or variance per unit of time where it grows.
    pub scatter: f64,
    /// Whether it grows.
    pub kind: Scatter,
    /// Probability of so large an F without a square; NaN where it was not or cannot be tested.
    pub p_square: f64,
}

/// Weighted sums of one law of scatter: of Δt², Δt³, Δt⁴, δ·Δt, δ·Δt², δ².
struct Weighted {
    n: f64,
    times: [f64; 3],
    changes: [f64; 2],
    squares: f64,
}

impl Weighted {
    fn of(sums: &ChangeSums, kind: Scatter) -> Self {
        let (times, changes, squares) = match kind {
            Scatter::Growing => (
                [sums.t, sums.tt, sums.ttt],
                [sums.d, sums.dt],
                sums.dd_per_t,
            ),
            Scatter::Constant => ([sums.tt, sums.ttt, sums.tttt], [sums.dt, sums.dtt], sums.dd),
        };
        Self {
            n: sums.n as f64,
            times,
            changes,
            squares,
        }
    }

    /// The linear law and the sum of squares it leaves.
    fn linear(&self, kind: Scatter) -> (ChangeLaw, f64) {
        let rate = self.changes[0] / self.times[0];
        let left = (self.squares - rate * self.changes[0]).max(0.0);
        let scatter = left / (self.n - 1.0);
        let law = ChangeLaw {
            rate,
            bend: 0.0,
            covariance: [scatter / self.times[0], 0.0, 0.0],
            scatter,
            kind,
            p_square: f64::NAN,
        };
        (law, left)
    }

    /// The quadratic law and the sum of squares it leaves; `None` from fewer than three changes
    /// or times that are all alike.
    fn quadratic(&self, kind: Scatter) -> Option<(ChangeLaw, f64)> {
        let ([s2, s3, s4], [p1, p2]) = (self.times, self.changes);
        let determinant = s2 * s4 - s3 * s3;
        if self.n < 3.0 || determinant.is_nan() || determinant <= SINGULAR * s2 * s4 {
            return None;
        }
        let rate = (s4 * p1 - s3 * p2) / determinant;
        let bend = (s2 * p2 - s3 * p1) / determinant;
        let left = (self.squares - rate * p1 - bend * p2).max(0.0);
        let scatter = left / (self.n - 2.0);
        let covariance = [s4, -s3, s2].map(|s| scatter * s / determinant);
        let law = ChangeLaw {
            rate,
            bend,
            covariance,
            scatter,
            kind,
            p_square: f64::NAN,
        };
        Some((law, left))
    }
}

impl ChangeLaw {
    /// Fits the law; `None` from fewer than two changes or no time at all.
    pub(crate) fn fit(sums: &ChangeSums, kind: Scatter, order: Order) -> Option<Self> {
        if sums.n < 2 || sums.t.is_nan() || sums.t <= 0.0 {
            return None;
        }
        let weighted = Weighted::of(sums, kind);
        let (linear, left) = weighted.linear(kind);
        let spread = sums.longest >= LEAST_SPREAD * sums.shortest;
        let quadratic = match order {
            Order::Linear => None,
            Order::Tested if !spread => None,
            _ => weighted.quadratic(kind),
        };
        let Some((quadratic, still_left)) = quadratic else {
            return Some(linear);
        };
        let freedom = weighted.n - 2.0;
        let f = (left - still_left).max(0.0) / (still_left / freedom);
        let p_square = fisher_upper(f, 1.0, freedom);
        let kept = order == Order::Quadratic || p_square < SIGNIFICANCE;
        let law = if kept { quadratic } else { linear };
        Some(Self { p_square, ..law })
    }

    /// Probability in tolerance at `time` after leaving `error` with variance `start`.
    pub(crate) fn probability_in(
        &self,
        time: f64,
        error: f64,
        start: f64,
        tolerance: (f64, f64),
    ) -> f64 {
        let grown = match self.kind {
            Scatter::Growing => self.scatter * time,
            Scatter::Constant => self.scatter,
        };
        let [rate, both, bend] = self.covariance;
        let of_mean = time * time * (rate + time * (2.0 * both + time * bend));
        let deviation = (start + grown + of_mean.max(0.0)).sqrt();
        let mean = error + time * (self.rate + time * self.bend);
        if deviation > 0.0 {
            let low = (tolerance.0 - mean) / deviation;
            normal_between(low, (tolerance.1 - mean) / deviation)
        } else {
            f64::from(tolerance.0 <= mean && mean <= tolerance.1)
        }
    }
}

#[cfg(test)]
mod tests;
