/*! The wander model as a drift model. */

use super::fit::{fit_wander, fit_wander_plain};
use super::likelihood::Likelihood;
use super::model::{WanderFit, fit_wander_readings};
use super::smooth::smoothed_wander;
use super::suspects::suspects_of_wander;
use crate::drift::choose::{Candidate, FEWEST_READINGS};
use crate::drift::diagnostics::tests::Diagnostics;
use crate::drift::model::{Case, DriftModel};
use crate::drift::per_year::in_years;
use crate::drift::series::readings::{Reading, fill_readings};
use crate::drift::suspect::Suspect;
use crate::drift::{Fit, ModelName, Prediction};

pub(crate) const WANDER: WanderModel = WanderModel;

/// See [`WANDER`].
pub(crate) struct WanderModel;

impl DriftModel for WanderModel {
    fn name(&self) -> ModelName {
        ModelName::Wander
    }

    fn fit(&self, case: &Case<'_>) -> Fit {
        let fit = fit_wander(case.history, case.settings);
        in_years(fit, case.history, case.settings)
    }

    fn forecast(&self, case: &Case<'_>) -> Fit {
        let fit = fit_wander_plain(case.history, case.settings);
        in_years(fit, case.history, case.settings)
    }

    fn past(&self, case: &Case<'_>, fit: &Fit, xs: &[f64]) -> Vec<Option<Prediction>> {
        let mut readings = Vec::new();
        fill_readings(case.history, case.settings.axis, &mut readings);
        let Ok(wander) = fit_wander_readings(&readings, Likelihood::Restricted) else {
            return Vec::new();
        };
        let levels = smoothed_wander(&readings, &as_forecast(&wander, fit), xs);
        levels.into_iter().map(Some).collect()
    }

    /// By the full likelihood, as that of the state model. Not where some reading states no u:
    /// with no noise and a free level that likelihood has no upper bound, and cannot be compared.
    fn candidate(&self, case: &Case<'_>, readings: &[Reading]) -> Option<Candidate> {
        if readings.len() < FEWEST_READINGS {
            return None;
        }
        let found = fit_wander_readings(readings, Likelihood::Full).ok()?;
        found.u_stated.then(|| Candidate {
            fit: fit_wander_plain(case.history, case.settings),
            log_likelihood: found.log_likelihood,
            // Levels and drifts, the wander and the noise (or its excess).
            parameters: f64::from(found.parameters + 2),
        })
    }

    fn suspects(&self, readings: &[Reading], found: &Diagnostics) -> Vec<Suspect> {
        match fit_wander_readings(readings, Likelihood::Restricted) {
            Ok(wander) => suspects_of_wander(readings, &wander),
            Err(_) => {
                let outliers = found.outliers.iter();
                outliers
                    .filter_map(|outlier| Suspect::of(outlier, readings))
                    .collect()
            }
        }
    }
}

/// The wander fit with the variances that the forecast has on average, so that past and
/// future meet.
fn as_forecast(wander: &WanderFit, fit: &Fit) -> WanderFit {
    match fit.motion.as_ref().and_then(|motion| motion.state()) {
        Some(forecast) => WanderFit {
            wander: forecast.rates.wander,
            noise: forecast.rates.excess,
            forecast: *forecast,
            ..*wander
        },
        None => *wander,
    }
}
