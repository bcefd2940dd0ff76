/*! What the fit of a history tells of its swing with the year. */

use super::annual::AnnualTerm;
use super::motion::WithAnnualTerm;
use super::notes::TELLING;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::figures::{month, spaced};
use crate::drift::state::forecast::StateForecast;
use crate::drift::{Coefficient, Fit};
use crate::records::History;
use crate::stats::p_value;
use crate::words::{percent, resolved};
use std::sync::Arc;

/// Probability from which on a swing in doubt is told in any case. Our own choice, no source.
const LIKELY: f64 = 0.5;

/// Adds a yearly swing to the fit of what swings about it.
pub(super) fn add_annual_term(
    fit: &mut Fit,
    forecast: StateForecast,
    annual: AnnualTerm,
    (class, history): (&ClassParameters, &History<'_>),
) {
    let (cosine, _, sine) = annual.covariance;
    fit.coefficients.extend([
        Coefficient::shared("cosine", annual.cosine, cosine),
        Coefficient::shared("sine", annual.sine, sine),
    ]);
    let deviation = annual.deviation();
    let unit = spaced(&history.item.unit);
    let about = |size: f64, deviation: f64| format!("{}{unit}", resolved(size, deviation));
    let highest = month(annual.highest());
    let in_doubt = !annual.is_own() && class.annual.belief < 1.0;
    fit.motion = Some(Arc::new(WithAnnualTerm { forecast, annual }));
    if in_doubt && class.annual.belief < LIKELY && widens(&forecast, &annual) < TELLING {
        return;
    }
    fit.notes.push(match (annual.is_own(), annual.is_known()) {
        _ if in_doubt => in_doubt_note(&annual, class, history),
        (own, true) => {
            let why = match own {
                true => p_value(annual.p),
                false => "as similar histories swing".to_string(),
            };
            let size = about(annual.amplitude(), deviation);
            format!("the value swings by {size} with the year, highest in {highest} ({why}); the forecast swings with it")
        }
        (true, false) => {
            let lowest = month((annual.highest() + 0.5).fract());
            let size = about(2.0 * annual.amplitude(), deviation);
            format!("the value is higher by {size} in {highest} than in {lowest} ({}); its checks do not spread over the year, so when its swing is highest is not known, and the bands allow for it", p_value(annual.p))
        }
        (false, false) => {
            let typical = class.annual.typical() * class.scale_of(history.item);
            format!(
                "similar histories swing by about {} with the year; when its own swing is highest is not known yet, and the bands allow for it",
                about(typical, 0.1 * typical),
            )
        }
    });
}

/// How many times as wide a swing makes the band of the true error in the year after the last
/// reading, where it does so most.
fn widens(forecast: &StateForecast, annual: &AnnualTerm) -> f64 {
    let months = (0..=12).map(|month| forecast.origin + f64::from(month) / 12.0);
    let times = months.map(|x| {
        let without = forecast.at(x);
        annual.added_to(without, x).u_error / without.u_error
    });
    times.fold(1.0, f64::max)
}

/// What is said where the readings leave open whether there is a swing.
fn in_doubt_note(annual: &AnnualTerm, class: &ClassParameters, history: &History<'_>) -> String {
    let typical = class.annual.typical_if() * class.scale_of(history.item);
    let who = match class.members {
        0 | 1 => "the value",
        _ => "similar histories",
    };
    let highest = match annual.is_known() {
        true => format!(", this one highest in {}", month(annual.highest())),
        false => String::new(),
    };
    format!(
        "{who} may swing with the year: by about {}{} with a probability of {}{highest}; forecast and bands allow for it as far",
        resolved(typical, 0.1 * typical),
        spaced(&history.item.unit),
        percent(class.annual.belief),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::state::estimate::StateEstimate;

    /// A level known to 3, wandering by nothing, and cosine and sine known to `u`.
    #[test]
    fn a_swing_widens_the_band_most_where_its_phase_is_least_known() {
        let forecast = StateForecast {
            origin: 50.0,
            estimate: StateEstimate {
                error_variance: 9.0,
                ..StateEstimate::default()
            },
            rates: Default::default(),
            noise: 0.0,
            step_rate: 0.0,
            step_time: f64::INFINITY,
            most_steps: 0.0,
            u_common: 0.0,
            degrees_of_freedom: f64::INFINITY,
        };
        let with = |u: f64| AnnualTerm {
            cosine: 0.0,
            sine: 0.0,
            covariance: (u * u, 0.0, u * u),
            p: f64::NAN,
            origin: 50.0,
            // The level is what the last reading left beside the swing, so half a year later
            // twice the cosine is open: √(9 + (2·u)²)/3.
            level: (-1.0, 0.0),
            drift: (0.0, 0.0),
        };
        near!(widens(&forecast, &with(2.0)), 5.0 / 3.0, 1e-12);
        near!(widens(&forecast, &with(0.0)), 1.0, 1e-12);
    }
}
