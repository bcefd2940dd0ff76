/*! Borrowed strength for straight lines: the lines of one group share a distribution.

```text
y = level + drift·t + e,   (level, drift) ~ N((level₀, drift₀), G),   Var e = σ²/weight
```

with t in years (or use) from the item's own first reading of its current segment. G and
σ² maximise the restricted likelihood (N. M. Laird and J. H. Ware, *Random-effects models
for longitudinal data*, Biometrics 38 (1982) 963–974), σ² profiled out; each item's line
is then the best linear unbiased prediction (C. R. Henderson, Biometrics 31 (1975)
423–447): its own line, drawn to the group's by as much as it is uncertain.

A history enters by six sums and two counts. Statistics of two partitions merge by putting
the lists together; the likelihood is a sum over the lists.
*/

use crate::drift::class::rates::Rates;
use crate::drift::series::readings::Reading;
use crate::drift::state::estimate::StateEstimate;
use crate::drift::state::forecast::StateForecast;
use nalgebra::{Matrix2, Matrix3, Vector2, Vector3};

/// Step of the fourth-order differences in the factors of G.
const DIFFERENCE: f64 = 1e-3;
/// Gain in log likelihood that the last step may still promise.
const NOTHING: f64 = 1e-6;
/// Gain that rounding hides.
const ROUNDING: f64 = 1e-16;
/// Newton steps before the search gives up.
const STEPS: usize = 60;

/// The sums of one history since its drift started anew: all that pooling needs of it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LineSums {
    /// Readings less the levels of earlier segments, which were eliminated.
    pub count: u32,
    /// Readings of the current segment.
    pub current: u32,
    /// True where the weights are 1/u², false where all are one.
    pub u_stated: bool,
    /// Σw, Σwt, Σwt².
    pub moments: [f64; 3],
    /// Σwy, Σwty.
    pub products: [f64; 2],
    /// Σwy².
    pub square: f64,
    /// x from which t counts.
    pub origin: f64,
    /// x of the last reading.
    pub last: f64,
}

impl LineSums {
    /// Sums of the readings since the drift started anew; weights 1/u² where all state u, else 1.
    /// Segments before the last one tell of the drift alone: each has its own level, which is
    /// eliminated. `None` of no reading.
    pub fn of(readings: &[Reading]) -> Option<Self> {
        let last = readings.last()?;
        let weighted = readings.iter().all(|reading| reading.u > 0.0);
        let mut sums = Self {
            u_stated: weighted,
            last: last.x,
            ..Self::default()
        };
        let weight = |r: &Reading| if weighted { 1.0 / (r.u * r.u) } else { 1.0 };
        let same_drift = readings
            .iter()
            .position(|reading| reading.drift_segment == last.drift_segment)?;
        for level in readings[same_drift..].chunk_by(|a, b| a.segment == b.segment) {
            if level[0].segment == last.segment {
                sums.add_current(level, weight);
            } else {
                sums.add_earlier(level, weight);
            }
        }
        Some(sums)
    }

    fn add_current(&mut self, level: &[Reading], weight: impl Fn(&Reading) -> f64) {
        self.origin = level[0].x;
        for reading in level {
            let (w, t, y) = (weight(reading), reading.x - self.origin, reading.value);
            self.count += 1;
            self.current += 1;
            self.moments[0] += w;
            self.moments[1] += w * t;
            self.moments[2] += w * t * t;
            self.products[0] += w * y;
            self.products[1] += w * t * y;
            self.square += w * y * y;
        }
    }

    /// About the weighted means of the segment, at the price of one reading.
    fn add_earlier(&mut self, level: &[Reading], weight: impl Fn(&Reading) -> f64) {
        let (x0, y0) = (level[0].x, level[0].value);
        let (mut total, mut x, mut y) = (0.0, 0.0, 0.0);
        for reading in level {
            let w = weight(reading);
            total += w;
            x += w * (reading.x - x0);
            y += w * (reading.value - y0);
        }
        let (x, y) = (x0 + x / total, y0 + y / total);
        for reading in level {
            let (w, t, off) = (weight(reading), reading.x - x, reading.value - y);
            self.moments[2] += w * t * t;
            self.products[1] += w * t * off;
            self.square += w * off * off;
        }
        self.count += level.len() as u32 - 1;
    }

    fn matrix(&self) -> Matrix2<f64> {
        Matrix2::new(
            self.moments[0],
            self.moments[1],
            self.moments[1],
            self.moments[2],
        )
    }

    fn vector(&self) -> Vector2<f64> {
        Vector2::new(self.products[0], self.products[1])
    }
}

/// What the lines of a group share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PooledLines {
    /// Mean level (at an item's own first reading) and mean drift.
    pub mean: [f64; 2],
    /// Covariance of those means: 11, 12, 22.
    pub mean_covariance: [f64; 3],
    /// Covariance G of levels and drifts between items: 11, 12, 22.
    pub between: [f64; 3],
    /// Variance σ² of a reading of weight one.
    pub residual_variance: f64,
    /// Restricted log likelihood.
    pub log_likelihood: f64,
    /// True where weights are 1/u², and σ² is the factor that u² is too small by.
    pub u_stated: bool,
    /// Items that entered.
    pub items: u32,
    /// True where the search ended on a maximum.
    pub converged: bool,
}

/// One item's line after borrowing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BorrowedLine {
    /// Level at the item's own first reading, and drift.
    pub line: [f64; 2],
    /// Deviations from the group's means.
    pub deviation: [f64; 2],
    /// Covariance of the deviations given the means: 11, 12, 22.
    pub conditional: [f64; 3],
    /// Covariance of the line itself, the means' uncertainty included: 11, 12, 22.
    pub covariance: [f64; 3],
    /// Share of the drift that is the item's own, 0 to 1.
    pub own_share: f64,
}

/// Estimates what the lines of a group share; `None` where there are fewer than three
/// items, no scatter, or nothing that tells G from σ² (no item of three readings).
pub fn pool_lines(items: &[LineSums]) -> Option<PooledLines> {
    let telling = items.iter().filter(|item| item.count >= 3).count();
    if items.len() < 3 || telling == 0 {
        return None;
    }
    let typical = start(items)?;
    let mut at = typical;
    let value = |at: &Vector3<f64>| profile(items, at).map_or(f64::NEG_INFINITY, |p| p.value);
    let mut best = value(&at);
    let mut converged = false;
    for _ in 0..STEPS {
        let (slope, curvature) = derivatives(&value, &at, &typical, best);
        let step = ascent(&slope, &curvature);
        let mut part = 1.0;
        let mut moved = at + step;
        while value(&moved) < best && part > 1e-4 {
            part *= 0.5;
            moved = at + step * part;
        }
        let found = value(&moved);
        if found >= best {
            (at, best) = (moved, found);
        }
        // On the edge (a correlation of one, drifts all alike) steps stay coarse to the last,
        // while nothing is left to gain.
        let promised = slope.dot(&step);
        converged = promised < NOTHING;
        let settled = step.amax() < 1e-11 * (1.0 + at.amax());
        if settled || part < 1e-3 || promised < ROUNDING {
            break;
        }
    }
    let found = profile(items, &at)?;
    let variance = found.variance;
    let between = relative(&at) * variance;
    let covariance = found.covariance * variance;
    (best.is_finite() && variance > 0.0).then_some(PooledLines {
        mean: found.mean.into(),
        mean_covariance: three(&covariance),
        between: three(&between),
        residual_variance: variance,
        log_likelihood: best,
        u_stated: items.iter().all(|item| item.u_stated),
        items: items.len() as u32,
        converged,
    })
}

impl PooledLines {
    /// The line of one item; with a single reading its drift is the group's.
    pub fn line_of(&self, item: &LineSums) -> BorrowedLine {
        let mean = Vector2::from(self.mean);
        let relative = square(self.between) / self.residual_variance;
        let gain = relative * reduced(&relative, item);
        let deviation = gain * (item.vector() - item.matrix() * mean);
        let conditional = gain * self.residual_variance;
        let kept = Matrix2::identity() - gain * item.matrix();
        let covariance = conditional + kept * square(self.mean_covariance) * kept.transpose();
        let own_share = (1.0 - conditional[(1, 1)] / self.between[2]).clamp(0.0, 1.0);
        BorrowedLine {
            line: (mean + deviation).into(),
            deviation: deviation.into(),
            conditional: three(&conditional),
            covariance: three(&covariance),
            own_share: if own_share.is_nan() { 0.0 } else { own_share },
        }
    }

    /// The same as a forecast from the item's last reading.
    pub fn forecast(&self, item: &LineSums, u_common: f64) -> StateForecast {
        let line = self.line_of(item);
        let time = item.last - item.origin;
        let [level, between, drift] = line.covariance;
        let weight = item.moments[0] / f64::from(item.current.max(1));
        StateForecast {
            origin: item.last,
            estimate: StateEstimate {
                error: line.line[0] + time * line.line[1],
                drift: line.line[1],
                error_variance: (level + time * (2.0 * between + time * drift)).max(0.0),
                covariance: between + time * drift,
                drift_variance: drift,
            },
            rates: Rates::default(),
            noise: self.residual_variance / weight,
            step_rate: 0.0,
            step_time: f64::INFINITY,
            u_common,
            degrees_of_freedom: f64::INFINITY,
        }
    }
}

/// The restricted likelihood with means and σ² profiled out.
struct Profile {
    value: f64,
    variance: f64,
    mean: Vector2<f64>,
    /// Covariance of the means over σ².
    covariance: Matrix2<f64>,
}

/// (I + MΛ)⁻¹ of one item.
fn reduced(relative: &Matrix2<f64>, item: &LineSums) -> Matrix2<f64> {
    let matrix = Matrix2::identity() + item.matrix() * relative;
    matrix.try_inverse().unwrap_or_else(Matrix2::zeros)
}

fn profile(items: &[LineSums], at: &Vector3<f64>) -> Option<Profile> {
    let relative = relative(at);
    let (mut information, mut pull) = (Matrix2::zeros(), Vector2::zeros());
    let (mut squares, mut logarithms, mut count) = (0.0, 0.0, 0.0);
    for item in items {
        let (matrix, vector) = (item.matrix(), item.vector());
        let whole = Matrix2::identity() + matrix * relative;
        let reduced = reduced(&relative, item);
        logarithms += whole.determinant().ln();
        information += reduced * matrix;
        let drawn = reduced * vector;
        pull += drawn;
        squares += item.square - vector.dot(&(relative * drawn));
        count += f64::from(item.count);
    }
    let covariance = information.try_inverse()?;
    let mean = covariance * pull;
    let freedom = count - 2.0;
    let variance = (squares - pull.dot(&mean)) / freedom;
    let constant = freedom * (1.0 + (2.0 * std::f64::consts::PI * variance).ln());
    let value = -0.5 * (constant + logarithms + information.determinant().ln());
    value.is_finite().then_some(Profile {
        value,
        variance,
        mean,
        covariance,
    })
}

/// G/σ² from its factor: lower triangle (a, b, c).
fn relative(at: &Vector3<f64>) -> Matrix2<f64> {
    let factor = Matrix2::new(at[0], 0.0, at[1], at[2]);
    factor * factor.transpose()
}

/// Starting factor: items differ as much as readings scatter, over a typical span.
fn start(items: &[LineSums]) -> Option<Vector3<f64>> {
    let spans = items.iter().map(|item| item.last - item.origin);
    let span = spans.fold(0.0, f64::max);
    let weight = items.iter().map(|item| item.moments[0]).sum::<f64>()
        / items
            .iter()
            .map(|item| f64::from(item.current))
            .sum::<f64>();
    let size = weight.sqrt().recip();
    let usable = span > 0.0 && size.is_finite() && size > 0.0;
    usable.then(|| Vector3::new(size, 0.0, size / span))
}

/// Slope by fourth-order and curvature by second-order central differences, each factor
/// in steps relative to its own size, or to its `typical` size where it is small.
fn derivatives(
    value: &impl Fn(&Vector3<f64>) -> f64,
    at: &Vector3<f64>,
    typical: &Vector3<f64>,
    here: f64,
) -> (Vector3<f64>, Matrix3<f64>) {
    // A factor that goes to zero is stepped in parts of what it is measured by.
    let drift = at[1].hypot(at[2]).max(0.1 * typical[2]);
    let least = [0.03 * typical[0], 0.03 * drift, 0.03 * drift];
    let steps: [f64; 3] = std::array::from_fn(|i| DIFFERENCE * at[i].abs().max(least[i]));
    let axis = |i: usize, part: f64| {
        let mut moved = *at;
        moved[i] += part * steps[i];
        moved
    };
    let mut slope = Vector3::zeros();
    let mut curvature = Matrix3::zeros();
    for i in 0..3 {
        let [near, far] = [1.0, 2.0].map(|part| value(&axis(i, part)) - value(&axis(i, -part)));
        slope[i] = (8.0 * near - far) / (12.0 * steps[i]);
        let around = value(&axis(i, 3.0)) + value(&axis(i, -3.0));
        curvature[(i, i)] = (around - 2.0 * here) / (9.0 * steps[i] * steps[i]);
        for j in 0..i {
            let corner = |a: f64, b: f64| {
                let mut moved = axis(i, a);
                moved[j] += b * steps[j];
                value(&moved)
            };
            let mixed =
                corner(3.0, 3.0) - corner(3.0, -3.0) - corner(-3.0, 3.0) + corner(-3.0, -3.0);
            curvature[(i, j)] = mixed / (36.0 * steps[i] * steps[j]);
            curvature[(j, i)] = curvature[(i, j)];
        }
    }
    (slope, curvature)
}

/// Newton's step uphill, each axis of the curvature made to point up.
fn ascent(slope: &Vector3<f64>, curvature: &Matrix3<f64>) -> Vector3<f64> {
    let eigen = (-curvature).symmetric_eigen();
    let along = eigen.eigenvectors.transpose() * slope;
    let step = Vector3::from_fn(|i, _| along[i] / eigen.eigenvalues[i].abs().max(1e-6));
    eigen.eigenvectors * step
}

fn three(matrix: &Matrix2<f64>) -> [f64; 3] {
    [matrix[(0, 0)], matrix[(1, 0)], matrix[(1, 1)]]
}

fn square([a, b, c]: [f64; 3]) -> Matrix2<f64> {
    Matrix2::new(a, b, b, c)
}

#[cfg(test)]
#[path = "pooled_tests.rs"]
mod tests;
