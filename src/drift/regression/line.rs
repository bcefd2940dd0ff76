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

use super::doubt::{doubted_freedom, freedom_with_excess};
use super::line_pass::{Pass, paule_mandel};
use crate::drift::series::next_u::next_u;
use crate::drift::series::readings::Reading;
use crate::drift::{Prediction, Status};
use crate::stats::{chi_squared_upper, whole_degrees};

/// Excess scatter is estimated, and enters weights, uncertainties and bands, where χ² is this
/// improbable or less: the scatter is then more than the stated u explains.
pub(crate) const SIGNIFICANT: f64 = 0.05;

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
///
/// ```
/// use driftbook::drift::{Reading, fit_line_readings};
///
/// let readings = [0.0, 1.0, 2.0].map(|x| Reading { x, value: 0.1 * x, u: 0.02, ..Reading::default() });
/// let line = fit_line_readings(&readings);
/// assert!((line.slope - 0.1).abs() < 1e-15);
/// // u/√Σ(x − x̄)², GUM H.3.
/// assert!((line.u_slope - 0.02 / 2_f64.sqrt()).abs() < 1e-15);
/// ```
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
        let usual = next_u(readings);
        line.u_next = usual;
        if freedom > 0.0 {
            line.consistency = chi_squared_upper(pass.residual, freedom);
        }
        if freedom > 0.0 && pass.residual > freedom && line.consistency <= SIGNIFICANT {
            let excess = paule_mandel(readings, &mut pass, freedom, scale);
            line.add_excess(excess, &pass, usual * scale, scale);
        } else {
            line.degrees_of_freedom = doubted_freedom(pass.residual, freedom, line.consistency);
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
    /// Nothing estimated yet; all readings weigh alike.
    pub(crate) fn empty(readings: &[Reading]) -> Self {
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
    /// 2σ⁴/var(τ²) with var(τ²) = 2(n − p)/(tr P)²; n − p where all u are equal. One or two
    /// degrees of freedom cannot tell the excess: `freedom_with_excess` says what they leave.
    fn add_excess(&mut self, excess: f64, pass: &Pass, usual: f64, scale: f64) {
        let total = excess + usual * usual;
        let freedom = self.residual_freedom;
        self.excess_u = excess.sqrt() / scale;
        self.relative_u_of_excess = (2.0 * freedom).sqrt() / (pass.trace * excess);
        self.u_next = total.sqrt() / scale;
        let own = whole_degrees((total * pass.trace).powi(2) / freedom);
        let ratio = total.sqrt() / usual;
        self.degrees_of_freedom = freedom_with_excess(self.chi_squared, freedom, ratio, own);
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
            no_step_at_most: 1.0,
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
