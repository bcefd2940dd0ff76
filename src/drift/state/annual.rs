/*! A yearly swing beside the state model: cosine and sine of the calendar year, estimated by
generalised least squares about a wandering level, where the readings support it.

Within a segment the readings are a level that wanders (variance σ² a year) plus noise; each
segment has a level of its own, each drift segment a drift of its own, all unknown. A local
level filter started from each segment's first reading turns readings and regressors into
independent errors of one-step forecasts (A. C. Harvey, *Forecasting, structural time series
models and the Kalman filter*, 1989, section 3.4), on which the swing is ordinary least squares,
along the directions that the dates can show ([`crate::drift::regression::year_dates`]). An F test decides: few
steady items may be taken for seasonal ones. Of a direction that the dates leave open nothing
is told but that it may be as large as what was seen in the other.
*/

use crate::drift::Prediction;
use crate::drift::class::annual::ClassAnnualTerm;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::regression::year_dates::Seen;
use crate::drift::series::readings::{Axis, Reading};
use crate::stats::fisher_upper;
use nalgebra::{Matrix2, Vector2};
use std::f64::consts::{SQRT_2, TAU};

/// Golden angle, radians: π(3 − √5).
const GOLDEN_ANGLE: f64 = 2.399_963_229_728_653;

/// A swing counts when chance would show one as clear less often than this.
const SIGNIFICANCE: f64 = 1e-3;
/// Chance that a class of steady items shows even one (Bonferroni).
const FAMILY_SIGNIFICANCE: f64 = 0.01;
/// Residual degrees of freedom below which no swing is sought.
const LEAST_FREEDOM: f64 = 5.0;
/// Years that must lie between the first and the last reading: a swing has to come again.
const LEAST_YEARS: f64 = 2.0;

/// When a swing is highest is told from this many standard deviations on.
const KNOWN: f64 = 2.5;

/// A yearly swing of one item, in its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AnnualTerm {
    /// Coefficient of cos 2πx, x in years since 1970-01-01.
    pub cosine: f64,
    /// Coefficient of sin 2πx.
    pub sine: f64,
    /// Variance of the cosine, covariance, variance of the sine.
    pub covariance: (f64, f64, f64),
    /// Probability of a swing as clear as this where there is none; NaN where the class lends it.
    pub p: f64,
    /// x of the last reading, from where on level and drift move with the swing as told below.
    pub origin: f64,
    /// How the level there moves with the cosine and with the sine.
    pub level: (f64, f64),
    /// How the drift there does, per year.
    pub drift: (f64, f64),
}

impl AnnualTerm {
    /// The swing at `x`, years since 1970-01-01.
    pub(crate) fn at(&self, x: f64) -> f64 {
        let (sine, cosine) = (TAU * x).sin_cos();
        self.cosine * cosine + self.sine * sine
    }

    /// What the uncertainty of the swing adds to the variance of the true error at `x`.
    pub(crate) fn variance_at(&self, x: f64) -> f64 {
        let (mut sine, mut cosine) = (TAU * x).sin_cos();
        if x >= self.origin {
            cosine += self.level.0 + (x - self.origin) * self.drift.0;
            sine += self.level.1 + (x - self.origin) * self.drift.1;
        }
        let (cc, cs, ss) = self.covariance;
        (cosine * cosine * cc + 2.0 * cosine * sine * cs + sine * sine * ss).max(0.0)
    }

    /// A forecast of what swings about, with the swing.
    pub(crate) fn added_to(&self, prediction: Prediction, x: f64) -> Prediction {
        let variance = self.variance_at(x);
        let wider = |u: f64| (u * u + variance).sqrt();
        Prediction {
            expected: prediction.expected + self.at(x),
            u_error: wider(prediction.u_error),
            u_reading: wider(prediction.u_reading),
            ..prediction
        }
    }

    /// Takes out of `readings`, which are without the likeliest swing, what a plausible one
    /// of a class's member number `member` differs by. The directions go round the circle by
    /// the golden angle, so those of many members have mean zero and variance one.
    pub(crate) fn take_plausible(&self, member: usize, readings: &mut [Reading]) {
        let (sine, cosine) = (member as f64 * GOLDEN_ANGLE).sin_cos();
        let (first, second) = (SQRT_2 * cosine, SQRT_2 * sine);
        let (cc, cs, ss) = self.covariance;
        let width = cc.max(0.0).sqrt();
        let across = if width > 0.0 { cs / width } else { 0.0 };
        let rest = (ss - across * across).max(0.0).sqrt();
        let other = AnnualTerm {
            cosine: width * first,
            sine: across * first + rest * second,
            ..*self
        };
        for reading in readings {
            reading.value -= other.at(reading.x);
        }
    }

    /// Largest deviation from the yearly mean.
    pub(crate) fn amplitude(&self) -> f64 {
        self.cosine.hypot(self.sine)
    }

    /// Standard deviation of cosine and sine, their mean.
    pub(crate) fn deviation(&self) -> f64 {
        (0.5 * (self.covariance.0 + self.covariance.2)).sqrt()
    }

    /// True where the item's own readings show that it swings.
    pub(crate) fn is_own(&self) -> bool {
        self.p.is_finite()
    }

    /// True where there is no doubt of when the swing is highest.
    pub(crate) fn is_known(&self) -> bool {
        self.amplitude() > KNOWN * self.deviation()
    }

    /// Share of the year, 0 to 1, at which the swing is highest.
    pub(crate) fn highest(&self) -> f64 {
        (self.sine.atan2(self.cosine) / TAU).rem_euclid(1.0)
    }
}

/// Takes a clear yearly swing out of `readings` of one item of the class, whose values are
/// in units of `scale` there, and returns it. None on the usage axis.
pub(crate) fn remove_annual_term(
    readings: &mut [Reading],
    class: &ClassParameters,
    scale: f64,
    axis: Axis,
) -> Option<AnnualTerm> {
    if axis != Axis::Time {
        return None;
    }
    if class.annual.has_annual_term() {
        let found = class.annual.of_member(readings, class, scale)?;
        for reading in readings {
            reading.value -= found.at(reading.x);
        }
        return Some(found);
    }
    let square = scale * scale;
    let noise = |u: f64| class.rates.noise(class.noise_of(u, scale)) * square;
    let found = annual_term(readings, class.rates.wander * square, noise)?;
    if found.p * f64::from(class.members) >= FAMILY_SIGNIFICANCE {
        return None;
    }
    for reading in readings.iter_mut() {
        reading.value -= found.at(reading.x);
    }
    let (level, drift) = ClassAnnualTerm::default().response(readings, class, scale);
    Some(AnnualTerm {
        origin: readings.last()?.x,
        level,
        drift,
        ..found
    })
}

/// What is carried through the filter: a value and its regressors, minus the level's forecast.
type Columns = [f64; 4];
const DRIFT: usize = 0;
const COSINE: usize = 1;
const SINE: usize = 2;
const VALUE: usize = 3;

/// Products of independent columns, summed.
#[derive(Debug, Clone, Copy, Default)]
struct Products([[f64; 4]; 4]);

impl Products {
    fn add(&mut self, row: &Columns) {
        for (i, sums) in self.0.iter_mut().enumerate() {
            for (j, sum) in sums.iter_mut().enumerate() {
                *sum += row[i] * row[j];
            }
        }
    }

    /// What is left of the other columns without the drift; the number of drifts taken out.
    fn without_drift(&self) -> (Products, f64) {
        let own = self.0[DRIFT][DRIFT];
        if own <= 0.0 {
            return (*self, 0.0);
        }
        let mut left = *self;
        for i in 0..4 {
            for j in 0..4 {
                left.0[i][j] -= self.0[i][DRIFT] * self.0[DRIFT][j] / own;
            }
        }
        (left, 1.0)
    }

    fn merge(&mut self, other: &Products) {
        for (sums, more) in self.0.iter_mut().zip(other.0) {
            for (sum, more) in sums.iter_mut().zip(more) {
                *sum += more;
            }
        }
    }
}

/// The swing that `readings` support, x in years; `wander` is the variance a year of the
/// level, `noise` the variance of a reading by its stated u. `None` where none is clear.
pub(crate) fn annual_term(
    readings: &[Reading],
    wander: f64,
    noise: impl Fn(f64) -> f64,
) -> Option<AnnualTerm> {
    let span = readings.last()?.x - readings.first()?.x;
    // A level, a cosine and a sine take three.
    if readings.len() < LEAST_FREEDOM as usize + 3 || span < LEAST_YEARS {
        return None;
    }
    let seen = Seen::by(readings);
    if seen == Seen::Nothing {
        return None;
    }
    let (mut total, mut freedom) = (Products::default(), 0.0);
    for drift in readings.chunk_by(|a, b| a.drift_segment == b.drift_segment) {
        let mut own = Products::default();
        for level in drift.chunk_by(|a, b| a.segment == b.segment) {
            freedom += level.len() as f64 - 1.0;
            whiten(level, wander, &noise, &mut own);
        }
        let (left, drifts) = own.without_drift();
        freedom -= drifts;
        total.merge(&left);
    }
    solve(&total.0, freedom, seen)
}

/// Adds the scaled one-step errors of one segment: a local level filter over each column.
fn whiten(level: &[Reading], wander: f64, noise: &impl Fn(f64) -> f64, products: &mut Products) {
    let Some(first) = level.first() else { return };
    let columns = |reading: &Reading| -> Columns {
        let (sine, cosine) = (TAU * reading.x).sin_cos();
        [reading.x - first.x, cosine, sine, reading.value]
    };
    let (mut state, mut variance, mut x) = (columns(first), noise(first.u), first.x);
    for reading in &level[1..] {
        variance += wander * (reading.x - x).max(0.0);
        let spread = variance + noise(reading.u);
        if spread.is_nan() || spread <= 0.0 {
            continue;
        }
        let (gain, scale) = (variance / spread, spread.sqrt().recip());
        let mut row = columns(reading);
        for (value, known) in row.iter_mut().zip(&mut state) {
            let off = *value - *known;
            *known += gain * off;
            *value = off * scale;
        }
        products.add(&row);
        variance -= gain * variance;
        x = reading.x;
    }
}

/// Least squares of the value on what is seen of cosine and sine, with the F test of it.
fn solve(sums: &[[f64; 4]; 4], freedom: f64, seen: Seen) -> Option<AnnualTerm> {
    let shared = sums[COSINE][SINE];
    let information = Matrix2::new(sums[COSINE][COSINE], shared, shared, sums[SINE][SINE]);
    let pull = Vector2::new(sums[COSINE][VALUE], sums[SINE][VALUE]);
    let (known, directions) = match seen {
        Seen::Nothing => return None,
        Seen::One(own) => (own * own.transpose() / own.dot(&(information * own)), 1.0),
        Seen::Both => (information.try_inverse()?, 2.0),
    };
    let freedom = freedom - directions;
    if freedom < LEAST_FREEDOM {
        return None;
    }
    let found = known * pull;
    let explained = pull.dot(&found);
    let left = (sums[VALUE][VALUE] - explained).max(f64::MIN_POSITIVE);
    let p = fisher_upper(
        explained / directions / (left / freedom),
        directions,
        freedom,
    );
    if p.is_nan() || p >= SIGNIFICANCE {
        return None;
    }
    // Residuals larger than the variances say so enlarge the uncertainty, never the reverse.
    let mut covariance = known * (left / freedom).max(1.0);
    if let Seen::One(own) = seen {
        // The other direction may hold as much.
        let other = Vector2::new(-own[1], own[0]);
        covariance += other * other.transpose() * found.norm_squared();
    }
    Some(AnnualTerm {
        cosine: found[0],
        sine: found[1],
        covariance: (covariance[(0, 0)], covariance[(0, 1)], covariance[(1, 1)]),
        p,
        origin: f64::INFINITY,
        level: (0.0, 0.0),
        drift: (0.0, 0.0),
    })
}

#[cfg(test)]
#[path = "annual_tests.rs"]
mod tests;
