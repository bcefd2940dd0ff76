/*! Likelihood of a random walk with fixed drift under reading noise, levels and drifts
profiled out.

```text
y(x) = level(segment) + drift·(x − origin) + w(x) + e,   Var w(x) = σ²·(x − first),  Var e = u² + excess
```

One filter with unit initial knowledge runs over three series at once: the readings, the
constant and the time; their innovations are those of the whitened regression (P. de
Jong, *The diffuse Kalman filter*, Ann. Statist. 19 (1991) 1073–1083). Sums over a
segment eliminate its level, sums over a drift segment its drift. Every level and every
drift is diffuse. The restricted likelihood (H. D. Patterson and R. Thompson, Biometrika
58 (1971) 545–554) counts the information they took.
*/

use super::jet::{Jet, Real};
use crate::drift::series::readings::Reading;

/// A reading in units of the history's own scale and span.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Point {
    pub time: f64,
    pub value: f64,
    /// Stated variance, 0 where u is not stated.
    pub noise: f64,
    pub segment: u32,
    pub drift_segment: u32,
}

/// Which likelihood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Likelihood {
    /// Restricted: allows for the levels and drifts estimated.
    #[default]
    Restricted,
    /// Maximum likelihood: compares models that differ in levels and drifts.
    Full,
}

/// What one pass over the readings gives.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Pass<R = Jet> {
    /// Log likelihood in the scaled units, constants included.
    pub log_likelihood: R,
    /// Sum of squared whitened residuals.
    pub chi_squared: f64,
    /// Levels and drifts eliminated.
    pub parameters: u32,
    /// Drift of the last drift segment and the information on it.
    pub drift: f64,
    pub drift_information: f64,
    /// Sums of the last segment: information on its level, and level at zero drift.
    pub level_information: f64,
    pub level_pull: f64,
    pub level_share: f64,
    /// Filter of the last segment after its last reading.
    pub state: [f64; 3],
    pub variance: f64,
    pub last_time: f64,
}

impl<R> Pass<R> {
    /// The same pass with its likelihood in another kind of number.
    pub(crate) fn with<S>(self, change: impl Fn(R) -> S) -> Pass<S> {
        Pass {
            log_likelihood: change(self.log_likelihood),
            chi_squared: self.chi_squared,
            parameters: self.parameters,
            drift: self.drift,
            drift_information: self.drift_information,
            level_information: self.level_information,
            level_pull: self.level_pull,
            level_share: self.level_share,
            state: self.state,
            variance: self.variance,
            last_time: self.last_time,
        }
    }
}

/// Sums of one segment: Σ vᵢvⱼ/F over (reading, constant, time).
#[derive(Clone, Copy, Default)]
struct Sums<R> {
    s00: R,
    s01: R,
    s02: R,
    s11: R,
    s12: R,
    s22: R,
}

#[derive(Clone, Copy, Default)]
struct Drift<R> {
    information: R,
    pull: R,
}

/// One pass at wander variance `wander` and excess variance `excess` (scaled units).
pub(crate) fn pass<R: Real>(points: &[Point], wander: R, excess: R, kind: Likelihood) -> Pass<R> {
    let mut out = Pass::<R>::default();
    let mut logarithms = R::default();
    let mut eliminated = R::default();
    let mut squares = R::default();
    let mut drift = Drift::<R>::default();
    let mut index = 0;
    while let Some(first) = points.get(index) {
        let rest = &points[index..];
        let length = rest
            .iter()
            .take_while(|point| point.segment == first.segment)
            .count();
        let segment = &rest[..length];
        let (sums, logs, state, variance) = filter(segment, wander, excess);
        logarithms = logarithms + logs;
        let inverse = sums.s11.reciprocal();
        drift.information = drift.information + (sums.s22 - sums.s12.squared() * inverse);
        drift.pull = drift.pull + (sums.s02 - sums.s01 * sums.s12 * inverse);
        squares = squares + (sums.s00 - sums.s01.squared() * inverse);
        eliminated = eliminated + sums.s11.ln();
        out.parameters += 1;
        index += length;
        let last = points
            .get(index)
            .is_none_or(|next| next.drift_segment != first.drift_segment);
        if last {
            out.drift = 0.0;
            out.drift_information = 0.0;
            // A drift that no segment of two readings speaks of takes no information.
            if drift.information.value() > 1e-12 * sums.s22.value().max(f64::MIN_POSITIVE) {
                squares = squares - drift.pull.squared() * drift.information.reciprocal();
                eliminated = eliminated + drift.information.ln();
                out.parameters += 1;
                out.drift = drift.pull.value() / drift.information.value();
                out.drift_information = drift.information.value();
            }
            drift = Drift::<R>::default();
        }
        out.level_information = sums.s11.value();
        out.level_pull = sums.s01.value() / sums.s11.value();
        out.level_share = sums.s12.value() / sums.s11.value();
        out.state = state;
        out.variance = variance;
        out.last_time = segment[length - 1].time;
    }
    out.chi_squared = squares.value();
    let (count, taken) = match kind {
        Likelihood::Restricted => (points.len() as f64 - f64::from(out.parameters), eliminated),
        Likelihood::Full => (points.len() as f64, R::default()),
    };
    let constant = R::constant(count * (2.0 * std::f64::consts::PI).ln());
    out.log_likelihood = (constant + logarithms + taken + squares).times(-0.5);
    out
}

/// Filters one segment: sums, Σ ln F, and the state after the last reading.
fn filter<R: Real>(segment: &[Point], wander: R, excess: R) -> (Sums<R>, R, [f64; 3], f64) {
    let mut sums = Sums::default();
    let mut logarithms = R::default();
    let mut state = [R::default(); 3];
    let mut variance = R::default();
    let mut before = segment.first().map_or(0.0, |point| point.time);
    for point in segment {
        variance = variance + wander.times(point.time - before);
        before = point.time;
        let spread = variance + excess + R::constant(point.noise);
        let inverse = spread.reciprocal();
        let gain = variance * inverse;
        let off = [point.value, 1.0, point.time];
        let v: [R; 3] = [0, 1, 2].map(|i| R::constant(off[i]) - state[i]);
        let w = v.map(|v| v * inverse);
        sums.s00 = sums.s00 + v[0] * w[0];
        sums.s01 = sums.s01 + v[0] * w[1];
        sums.s02 = sums.s02 + v[0] * w[2];
        sums.s11 = sums.s11 + v[1] * w[1];
        sums.s12 = sums.s12 + v[1] * w[2];
        sums.s22 = sums.s22 + v[2] * w[2];
        logarithms = logarithms + spread.ln();
        for i in 0..3 {
            state[i] = state[i] + gain * v[i];
        }
        variance = variance - gain * variance;
    }
    (sums, logarithms, state.map(R::value), variance.value())
}

/// Readings in units of `scale` about `centre`, times in units of `span` from `start`.
pub(crate) fn points(readings: &[Reading], units: &Units) -> Vec<Point> {
    let noise = |u: f64| {
        if u.is_nan() {
            0.0
        } else {
            (u / units.scale).powi(2)
        }
    };
    readings
        .iter()
        .map(|reading| Point {
            time: (reading.x - units.start) / units.span,
            value: (reading.value - units.centre) / units.scale,
            noise: noise(reading.u),
            segment: reading.segment,
            drift_segment: reading.drift_segment,
        })
        .collect()
}

/// Units that make a history's numbers of order one, whatever they were.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Units {
    pub centre: f64,
    pub scale: f64,
    pub start: f64,
    pub span: f64,
}

impl Units {
    /// `None` where readings do not differ in value or in time: nothing can be told.
    pub(crate) fn of(readings: &[Reading]) -> Option<Self> {
        let (first, last) = (readings.first()?, readings.last()?);
        let same = |pair: &&[Reading]| pair[0].segment == pair[1].segment;
        let largest = readings
            .windows(2)
            .filter(same)
            .map(|pair| (pair[1].value - pair[0].value).abs())
            .fold(0.0, f64::max);
        let span = last.x - first.x;
        let usable = |size: f64| size.is_finite() && size > 0.0;
        (usable(largest) && usable(span)).then_some(Self {
            centre: first.value,
            scale: largest,
            start: first.x,
            span,
        })
    }

    /// Adds to a log likelihood in scaled units what the change of unit took from it.
    pub(crate) fn log_jacobian(
        &self,
        readings: usize,
        parameters: u32,
        drifts: u32,
        kind: Likelihood,
    ) -> f64 {
        let count = match kind {
            Likelihood::Full => readings as f64,
            Likelihood::Restricted => readings as f64 - f64::from(parameters),
        };
        let times = match kind {
            Likelihood::Full => 0.0,
            Likelihood::Restricted => f64::from(drifts),
        };
        -count * self.scale.ln() - times * self.span.ln()
    }
}
