/*! The wander model of one long history: random walk with fixed drift under reading noise.

The wander variance and the reading noise (or its excess beyond stated u) maximise the
restricted or full likelihood of [`super::likelihood`] by Newton's method on
exact derivatives in the logarithms of both. A variance that the likelihood sends to
zero is set to zero and the other found alone. Level and drift then are generalised
least squares; the plain forecast has their uncertainty and the wander since. What the
variances themselves are not known to adds [`super::mixture::mixed_forecast`].
*/

use super::likelihood::{Likelihood, Pass, Point, Units, points};
use super::search::{Search, SearchPoint};
use crate::drift::class::rates::Rates;
use crate::drift::series::next_u::next_u;
use crate::drift::series::readings::Reading;
use crate::drift::state::estimate::StateEstimate;
use crate::drift::state::forecast::StateForecast;

/// Fitted wander of one history. Units: the history's, and its axis (years or use).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WanderFit {
    /// Readings used.
    pub readings: u32,
    /// Largest change between neighbours, in which filters and smoothers count.
    pub scale: f64,
    /// Levels and drifts estimated beside the two variances.
    pub parameters: u32,
    /// Variance of the random walk per unit of x.
    pub wander: f64,
    /// Variance of a reading, where u is not stated; excess variance beyond u, where it is.
    pub noise: f64,
    /// True where `noise` adds to stated u.
    pub u_stated: bool,
    /// Covariance of ln(noise) and ln(wander): 11, 12, 22; NaN where one of them is none.
    pub covariance_of_logs: [f64; 3],
    /// Log likelihood at the maximum, of the kind asked for.
    pub log_likelihood: f64,
    /// Weighted sum of squared innovations.
    pub chi_squared: f64,
    /// True where the search ended on a maximum.
    pub converged: bool,
    /// Level and drift at the last reading, and the rates ahead.
    pub forecast: StateForecast,
}

/// Why a history has no wander fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WanderError {
    /// Fewer readings than levels, drifts and variances need.
    TooFew,
    /// Readings that do not differ in value, or all of one date.
    NoChange,
    /// Values or uncertainties out of the range of computation.
    OutOfRange,
}

impl WanderError {
    /// A sentence for the notes.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Self::TooFew => {
                "too few readings for a wander model: it needs three more than its levels where u is stated, four where not"
            }
            Self::NoChange => {
                "the readings do not differ in value or date; there is no wander to estimate"
            }
            Self::OutOfRange => {
                "the values or uncertainties are too large or too small to compute with"
            }
        }
    }
}

/// Fits the wander model to the readings of one history, oldest first.
///
/// # Errors
/// `WanderError` where the readings cannot carry the model.
pub fn fit_wander_readings(
    readings: &[Reading],
    kind: Likelihood,
) -> Result<WanderFit, WanderError> {
    let u_stated = !readings.is_empty() && readings.iter().all(|reading| reading.u > 0.0);
    let segments = 1 + readings.last().map_or(0, |last| last.segment) as usize;
    if readings.len() < segments + if u_stated { 2 } else { 3 } {
        return Err(WanderError::TooFew);
    }
    let units = Units::of(readings).ok_or(WanderError::NoChange)?;
    let points = points(readings, &units);
    let search = Search {
        points: &points,
        kind,
        u_stated,
    };
    let found = search.run();
    let fit = fitted(&search, &found, &units, readings);
    match fit.log_likelihood.is_finite() && fit.forecast.estimate.error.is_finite() {
        true => Ok(fit),
        false => Err(WanderError::OutOfRange),
    }
}

/// What the variances found say of the history.
fn fitted(
    search: &Search<'_>,
    found: &SearchPoint,
    units: &Units,
    readings: &[Reading],
) -> WanderFit {
    let pass = &found.pass;
    let square = units.scale * units.scale;
    let drifts = pass.parameters - segments(search.points);
    let jacobian = units.log_jacobian(readings.len(), pass.parameters, drifts, search.kind);
    let (noise, wander) = (
        found.at[0].exp() * square,
        found.at[1].exp() * square / units.span,
    );
    let next = next_u(readings);
    let stated = if search.u_stated { next * next } else { 0.0 };
    WanderFit {
        readings: readings.len() as u32,
        scale: units.scale,
        parameters: pass.parameters,
        wander,
        noise,
        u_stated: search.u_stated,
        covariance_of_logs: inverse(pass.log_likelihood.curvature, found.at),
        log_likelihood: pass.log_likelihood.value + jacobian,
        chi_squared: pass.chi_squared,
        converged: found.converged,
        forecast: StateForecast {
            origin: readings.last().map_or(f64::NAN, |last| last.x),
            estimate: estimate(pass, units),
            rates: Rates {
                wander,
                excess: noise,
                common: 0.0,
                ..Rates::default()
            },
            noise: stated + noise,
            step_rate: 0.0,
            step_time: f64::INFINITY,
            most_steps: 0.0,
            u_common: 0.0,
            degrees_of_freedom: f64::INFINITY,
        },
    }
}

fn segments(points: &[Point]) -> u32 {
    let changes = points
        .windows(2)
        .filter(|pair| pair[0].segment != pair[1].segment);
    1 + changes.count() as u32
}

/// Covariance of the log variances from the curvature at the maximum.
fn inverse(curvature: [f64; 3], at: [f64; 2]) -> [f64; 3] {
    let [a, b, d] = curvature.map(|x| -x);
    let determinant = a * d - b * b;
    if at.contains(&f64::NEG_INFINITY) || determinant <= 0.0 {
        return [f64::NAN; 3];
    }
    [d / determinant, -b / determinant, a / determinant]
}

/// Level and drift at the last reading with their covariance, in the history's units.
pub(crate) fn estimate<R>(pass: &Pass<R>, units: &Units) -> StateEstimate {
    let drift_variance = if pass.drift_information > 0.0 {
        1.0 / pass.drift_information
    } else {
        0.0
    };
    let level = pass.level_pull - pass.level_share * pass.drift;
    let level_variance = 1.0 / pass.level_information + pass.level_share.powi(2) * drift_variance;
    let between = -pass.level_share * drift_variance;
    let (constant, time) = (1.0 - pass.state[1], pass.last_time - pass.state[2]);
    let error = pass.state[0] + constant * level + time * pass.drift;
    let variance = pass.variance
        + constant * constant * level_variance
        + 2.0 * constant * time * between
        + time * time * drift_variance;
    let covariance = constant * between + time * drift_variance;
    let (scale, span) = (units.scale, units.span);
    StateEstimate {
        error: units.centre + scale * error,
        drift: scale * pass.drift / span,
        error_variance: scale * scale * variance.max(0.0),
        covariance: scale * scale * covariance / span,
        drift_variance: scale * scale * drift_variance / (span * span),
    }
}

#[cfg(test)]
#[path = "wander_tests.rs"]
mod tests;
