/*! Fits of which everything is known, for tests, and what most of them need beside it. */

pub(crate) use super::class::classes::class_parameters;
pub(crate) use super::{DriftSettings, Fit, ModelName, Status, fit_model};
pub(crate) use crate::records::testing::{Record, fleet};
pub(crate) use crate::records::{DAYS_PER_YEAR, Histories};
pub(crate) use rand::{RngExt, SeedableRng};
pub(crate) use rand_distr::{Distribution, StandardNormal};
pub(crate) use rand_pcg::Pcg64;

use super::class::parameters::ClassParameters;
use super::class::rates::{ClassScale, QUADRATURE_POINTS, QuadraturePoint, Rates};
use super::state::estimate::StateEstimate;
use super::state::forecast::StateForecast;
use std::sync::Arc;

/// The most steps that the record bears, over those expected.
const TIMES_EXPECTED: f64 = 10.0;

/// Level and drift at the last reading, as a state forecast knows them.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Known {
    pub error: f64,
    pub u_error: f64,
    pub drift: f64,
    pub u_drift: f64,
    pub wander: f64,
    pub step_rate: f64,
}

impl Known {
    /// A fit whose last reading lies on `day`.
    pub(crate) fn fit(self, day: f64, readings: u32) -> Fit {
        let origin = day / DAYS_PER_YEAR;
        Fit {
            model: ModelName::State,
            status: Status::Estimated,
            readings,
            degrees_of_freedom: f64::INFINITY,
            residual_deviation: 0.1,
            excess_u: 0.0,
            chi_squared: f64::from(readings),
            drift_per_year: self.drift,
            u_drift_per_year: self.u_drift,
            wander_per_sqrt_year: self.wander,
            shrinkage_weight: 1.0,
            last_x: origin,
            origin,
            motion: Some(Arc::new(StateForecast {
                origin,
                estimate: StateEstimate {
                    error: self.error,
                    drift: self.drift,
                    error_variance: self.u_error * self.u_error,
                    covariance: 0.0,
                    drift_variance: self.u_drift * self.u_drift,
                },
                rates: Rates {
                    wander: self.wander * self.wander,
                    ..Rates::default()
                },
                noise: 0.01,
                step_rate: self.step_rate,
                step_time: f64::INFINITY,
                most_steps: TIMES_EXPECTED * self.step_rate,
                u_common: 0.0,
                degrees_of_freedom: f64::INFINITY,
            })),
            ..Fit::default()
        }
    }
}

/// A class of one member whose rates are known, without swing, surprises and steps.
pub(crate) fn class_of_rates(rates: Rates) -> ClassParameters {
    let mut quadrature_points = [QuadraturePoint::default(); QUADRATURE_POINTS];
    quadrature_points[0] = QuadraturePoint { rates, weight: 1.0 };
    ClassParameters {
        rates,
        quadrature_points,
        unstated_noise: 0.0,
        own_scatter: Default::default(),
        recent_scatter: Default::default(),
        annual: Default::default(),
        surprises: Default::default(),
        left: Default::default(),
        missing: None,
        scale: ClassScale::Fixed(1.0),
        pace: 1.0,
        members: 1,
        informed: 1,
        before: None,
        steps: 0.0,
        years_per_step: 30.0,
        most_steps: 0.0,
        pooled: None,
    }
}

/// A fit of nothing, with a status.
pub(crate) fn unfitted(status: Status) -> Fit {
    Fit {
        status,
        motion: None,
        ..Known::default().fit(0.0, 0)
    }
}
