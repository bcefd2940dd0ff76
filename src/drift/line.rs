/*! The fleet's straight line: one pass kernel, no allocation, segments included.

Every level segment has its own level; segments of one drift segment share a
slope. Centring each level segment about its own weighted mean makes level and
slope of the current segment uncorrelated, so three numbers and their
uncertainties predict everything: `level + slope·(x − x_level)`.

Weights are 1/u² where every reading states u (known absolutely), else all
readings weigh alike and their scatter is estimated. Scatter beyond u is added
by Paule–Mandel's condition χ²(τ²) = n − p, generalised to regression
(R. C. Paule and J. Mandel, J. Res. NBS 87 (1982) 377–385).
*/

use super::{Prediction, Reading, Status};
use crate::stats::{chi_squared_upper, median, whole_degrees};

/// Excess scatter enters the bands where χ² is this improbable or less. Chosen by the
/// coverage study (`benches/coverage.rs`): later, real excess is missed too often; earlier,
/// bands of consistent readings grow too wide.
pub const EXCESS_ENTERS_BELOW: f64 = 0.05;

/// Values and uncertainties inside this range square without overflow or underflow.
const SQUARES_SAFELY: std::ops::Range<f64> = 1e-100..1e100;

/// Straight line of one history in its current segment. Unit: the history's; x in years
/// since 1970-01-01 or use. NaN where the data cannot give a figure; `status` says why.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineFit {
    /// What could be estimated.
    pub status: Status,
    /// Readings used.
    pub readings: u32,
    /// Coefficients estimated: levels and slopes of all segments.
    pub parameters: u32,
    /// True where every reading states a usable u.
    pub u_known: bool,
    /// Weighted mean x of the current level segment.
    pub x_level: f64,
    /// Fitted value at `x_level`.
    pub level: f64,
    /// Its standard uncertainty, uncorrelated with that of the slope.
    pub u_level: f64,
    /// Slope, unit per unit of x.
    pub slope: f64,
    /// Its standard uncertainty.
    pub u_slope: f64,
    /// Standard deviation of the residuals; of the residuals over u where u is known.
    pub residual_deviation: f64,
    /// n − p.
    pub residual_freedom: f64,
    /// Sum of squared residuals over stated u²; NaN where u is not known.
    pub chi_squared: f64,
    /// Probability of a larger χ² where u explains all scatter; NaN where u is not known.
    pub consistency: f64,
    /// Excess scatter that is part of the bands, standard uncertainty.
    pub excess_u: f64,
    /// Standard uncertainty of `excess_u`² relative to itself; NaN without excess.
    pub relative_u_of_excess: f64,
    /// Standard uncertainty of the next reading about the true error.
    pub u_next: f64,
    /// Degrees of freedom of the bands; infinite where u is known and suffices.
    pub degrees_of_freedom: f64,
    /// Shared uncertainty of the reference; part of the true error, never of the slope.
    pub u_common: f64,
    /// x of the last reading.
    pub last_x: f64,
}

/// Fits the straight line of `readings` (oldest first, as `fill_readings` makes them).
///
/// One reading, or readings of one date, give a level but no drift; two need a known u.
/// No allocation up to 32 readings. Values near 1e±300 are scaled before they are squared.
pub fn fit(readings: &[Reading]) -> LineFit {
    let mut line = LineFit::empty(readings);
    if readings.is_empty() {
        return line;
    }
    let known = readings.iter().all(|r| r.u.is_finite() && r.u > 0.0);
    let scale = safe_scale(readings, known);
    let mut pass = Pass::over(readings, known.then_some(0.0), scale);
    let freedom = f64::from(line.readings) - f64::from(pass.parameters);
    line.u_known = known;
    line.parameters = pass.parameters;
    line.residual_freedom = freedom;
    let mut variance = 1.0;
    if known {
        line.chi_squared = pass.residual;
        line.degrees_of_freedom = f64::INFINITY;
        line.excess_u = 0.0;
        let usual = typical_u(readings);
        line.u_next = usual;
        if freedom > 0.0 {
            line.consistency = chi_squared_upper(pass.residual, freedom);
        }
        if freedom > 0.0 && pass.residual > freedom && line.consistency <= EXCESS_ENTERS_BELOW {
            let excess = paule_mandel(readings, &mut pass, freedom, scale);
            line.add_excess(excess, &pass, usual * scale, scale);
        }
    } else {
        variance = pass.residual / freedom;
        line.u_next = variance.sqrt() / scale;
        line.degrees_of_freedom = freedom;
    }
    line.residual_deviation = if known {
        (line.chi_squared / freedom).sqrt()
    } else {
        line.u_next
    };
    line.take(&pass, variance, scale);
    line
}

impl LineFit {
    fn empty(readings: &[Reading]) -> Self {
        LineFit {
            status: Status::NoReading,
            readings: readings.len() as u32,
            parameters: 0,
            u_known: false,
            x_level: f64::NAN,
            level: f64::NAN,
            u_level: f64::NAN,
            slope: f64::NAN,
            u_slope: f64::NAN,
            residual_deviation: f64::NAN,
            residual_freedom: 0.0,
            chi_squared: f64::NAN,
            consistency: f64::NAN,
            excess_u: f64::NAN,
            relative_u_of_excess: f64::NAN,
            u_next: f64::NAN,
            degrees_of_freedom: f64::NAN,
            u_common: 0.0,
            last_x: readings.last().map_or(f64::NAN, |r| r.x),
        }
    }

    /// Excess τ² (scaled) with the degrees of freedom its estimate leaves: Satterthwaite's
    /// 2σ⁴/var(τ²) with var(τ²) = 2(n − p)/(tr P)²; n − p where all u are equal.
    fn add_excess(&mut self, excess: f64, pass: &Pass, usual: f64, scale: f64) {
        let total = excess + usual * usual;
        let freedom = self.residual_freedom;
        self.excess_u = excess.sqrt() / scale;
        self.relative_u_of_excess = (2.0 * freedom).sqrt() / (pass.trace * excess);
        self.u_next = total.sqrt() / scale;
        self.degrees_of_freedom = whole_degrees((total * pass.trace).powi(2) / freedom);
    }

    fn take(&mut self, pass: &Pass, variance: f64, scale: f64) {
        self.x_level = pass.x_level;
        self.level = pass.y_level / scale;
        self.u_level = (variance / pass.weight).sqrt() / scale;
        if pass.spread > 0.0 && (self.u_known || self.residual_freedom > 0.0) {
            self.slope = pass.slope / scale;
            self.u_slope = (variance / pass.spread).sqrt() / scale;
            let sound = self.slope.is_finite() && self.u_slope.is_finite();
            let sound = sound && self.level.is_finite() && self.u_next.is_finite();
            self.status = if sound {
                Status::Estimated
            } else {
                Status::Failed
            };
        } else {
            self.status = Status::LevelOnly;
        }
    }

    /// Forecast at `x`; `None` where the drift could not be estimated.
    #[inline]
    pub fn at(&self, x: f64) -> Option<Prediction> {
        if self.status != Status::Estimated {
            return None;
        }
        let along = x - self.x_level;
        let u_line = length(self.u_level, along * self.u_slope);
        Some(Prediction {
            expected: self.level + self.slope * along,
            u_error: if self.u_common > 0.0 {
                length(u_line, self.u_common)
            } else {
                u_line
            },
            u_reading: length(u_line, self.u_next),
            degrees_of_freedom: self.degrees_of_freedom,
            no_step: 1.0,
        })
    }
}

/// √(a² + b²), safe for huge and tiny values and quick for the others.
fn length(a: f64, b: f64) -> f64 {
    let square = a * a + b * b;
    if SQUARES_SAFELY.contains(&square) {
        square.sqrt()
    } else {
        a.hypot(b)
    }
}

/// Power of two that brings the values into the range that squares safely; usually 1.
fn safe_scale(readings: &[Reading], known: bool) -> f64 {
    let size = |r: &Reading| r.value.abs().max(if known { r.u } else { 0.0 });
    let largest = readings.iter().map(size).fold(0.0, f64::max);
    if largest == 0.0 || SQUARES_SAFELY.contains(&largest) {
        return 1.0;
    }
    // Bounded, so that the scale of a subnormal history is itself finite.
    let exponent = -largest.log2().floor().clamp(-1020.0, 1020.0);
    exponent.exp2()
}

/// Median of the stated u: what the next reading will have.
fn typical_u(readings: &[Reading]) -> f64 {
    const ON_STACK: usize = 32;
    let first = readings[0].u;
    if readings.iter().all(|r| r.u == first) {
        return first;
    }
    if readings.len() > ON_STACK {
        return median(&readings.iter().map(|r| r.u).collect::<Vec<_>>());
    }
    let mut buffer = [0.0; ON_STACK];
    let used = &mut buffer[..readings.len()];
    used.iter_mut()
        .zip(readings)
        .for_each(|(slot, r)| *slot = r.u);
    used.sort_unstable_by(f64::total_cmp);
    crate::stats::median_of_sorted(used)
}

/// Root τ² of χ²(τ²) = n − p by Newton's method on 1/χ², which is nearly straight in τ².
/// Leaves `pass` at the root.
fn paule_mandel(readings: &[Reading], pass: &mut Pass, freedom: f64, scale: f64) -> f64 {
    const MOST_STEPS: usize = 60;
    const CLOSE: f64 = 1e-13;
    let mut excess = 0.0;
    for _ in 0..MOST_STEPS {
        let step = (pass.residual / freedom - 1.0) * pass.residual / pass.curvature;
        let next: f64 = (excess + step).max(0.0);
        if !next.is_finite() {
            break;
        }
        *pass = Pass::over(readings, Some(next), scale);
        let done = (next - excess).abs() <= CLOSE * next;
        excess = next;
        if done {
            break;
        }
    }
    excess
}

/// Sums of one weighted fit, all segments; level and slope of the current one.
#[derive(Default)]
struct Pass {
    parameters: u32,
    weight: f64,
    x_level: f64,
    y_level: f64,
    spread: f64,
    slope: f64,
    /// Σ w r².
    residual: f64,
    /// Σ w² r² = −dχ²/dτ².
    curvature: f64,
    /// Σ w (1 − h), the trace of the residual-forming matrix.
    trace: f64,
}

impl Pass {
    /// `excess` is τ² (scaled) on top of the stated u²; `None` weighs all readings alike.
    fn over(readings: &[Reading], excess: Option<f64>, scale: f64) -> Pass {
        let mut pass = Pass::default();
        for drift in readings.chunk_by(|a, b| a.drift_segment == b.drift_segment) {
            let (mut spread, mut shared) = (0.0, 0.0);
            for level in drift.chunk_by(|a, b| a.segment == b.segment) {
                let mean = Mean::of(level, excess, scale);
                pass.parameters += 1;
                for r in level {
                    let (along, weight) = (r.x - mean.x, weight(r, excess, scale));
                    spread += weight * along * along;
                    shared += weight * along * (r.value * scale - mean.y);
                }
                (pass.weight, pass.x_level, pass.y_level) = (mean.weight, mean.x, mean.y);
            }
            pass.spread = spread;
            pass.slope = if spread > 0.0 { shared / spread } else { 0.0 };
            pass.parameters += u32::from(spread > 0.0);
            for level in drift.chunk_by(|a, b| a.segment == b.segment) {
                pass.add_residuals(level, excess, scale);
            }
        }
        pass
    }

    fn add_residuals(&mut self, level: &[Reading], excess: Option<f64>, scale: f64) {
        let mean = Mean::of(level, excess, scale);
        let (per_weight, per_spread) = (
            1.0 / mean.weight,
            if self.spread > 0.0 {
                1.0 / self.spread
            } else {
                0.0
            },
        );
        for r in level {
            let (along, weight) = (r.x - mean.x, weight(r, excess, scale));
            let residual = r.value * scale - mean.y - self.slope * along;
            let weighted = weight * residual * residual;
            self.residual += weighted;
            self.curvature += weight * weighted;
            let leverage = weight * (per_weight + along * along * per_spread);
            self.trace += weight * (1.0 - leverage);
        }
    }
}

#[derive(Clone, Copy)]
struct Mean {
    weight: f64,
    x: f64,
    y: f64,
}

impl Mean {
    /// About the first reading, so that equal dates and values give exact zeros.
    fn of(level: &[Reading], excess: Option<f64>, scale: f64) -> Mean {
        let (x0, y0) = (level[0].x, level[0].value * scale);
        let (mut total, mut x, mut y) = (0.0, 0.0, 0.0);
        for r in level {
            let weight = weight(r, excess, scale);
            total += weight;
            x += weight * (r.x - x0);
            y += weight * (r.value * scale - y0);
        }
        Mean {
            weight: total,
            x: x0 + x / total,
            y: y0 + y / total,
        }
    }
}

#[inline]
fn weight(r: &Reading, excess: Option<f64>, scale: f64) -> f64 {
    match excess {
        Some(excess) => {
            let u = r.u * scale;
            1.0 / (u * u + excess)
        }
        None => 1.0,
    }
}
