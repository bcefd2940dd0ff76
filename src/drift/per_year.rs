/*! Drift and wander per year, where a fit was made over use. */

use super::figures::{figure, spaced};
use super::series::readings::Axis;
use super::series::use_rate::UseRate;
use super::{DriftSettings, Fit};
use crate::records::History;

/// Figures of a year, where the fit was made over use.
pub(crate) fn in_years(mut fit: Fit, history: &History<'_>, settings: &DriftSettings) -> Fit {
    if settings.axis == Axis::Usage && fit.readings > 0 {
        per_year(&mut fit, history);
    }
    fit
}

/// On the usage axis drift and wander are per unit of use: turned into those of a year by the
/// item's rate of use, whose uncertainty that of the drift then contains, and said so.
pub(crate) fn per_year(fit: &mut Fit, history: &History<'_>) {
    fit.drift_per_use = (fit.drift_per_year, fit.u_drift_per_year);
    let rate = match UseRate::of(history) {
        Ok(rate) => rate,
        Err(why) => {
            fit.drift_per_year = f64::NAN;
            fit.u_drift_per_year = f64::NAN;
            fit.class_drift_per_year = f64::NAN;
            fit.wander_per_sqrt_year = f64::NAN;
            fit.notes.push(format!("use per year is unknown: {why}"));
            return;
        }
    };
    let (use_a_year, u_use) = rate.per_year();
    let (drift, u_drift) = fit.drift_per_use;
    fit.drift_per_year = drift * use_a_year;
    fit.class_drift_per_year *= use_a_year;
    fit.u_drift_per_year = (u_drift * use_a_year)
        .hypot(drift * u_use)
        .hypot(u_drift * u_use);
    fit.wander_per_sqrt_year *= use_a_year.sqrt();
    if !drift.is_finite() {
        return;
    }
    let known = match rate.freedom > 0.0 {
        true => format!("{} ± {} (k = 1) a year", figure(use_a_year), figure(u_use)),
        false => format!(
            "{} a year, which one stretch between two counts tells without its uncertainty: forecasts \
             by date are as if it were known",
            figure(use_a_year)
        ),
    };
    fit.notes.push(format!(
        "drift is {}{} per unit of use; per year at the history's mean use of {known}",
        figure(drift),
        spaced(&history.item.unit),
    ));
}
