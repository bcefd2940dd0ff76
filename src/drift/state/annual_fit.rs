/*! What the fit of a history tells of its swing with the year. */

use super::annual::AnnualTerm;
use super::motion::WithAnnualTerm;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::figures::{month, spaced};
use crate::drift::state::forecast::StateForecast;
use crate::drift::{Coefficient, Fit};
use crate::records::History;
use crate::stats::p_value;
use crate::words::{percent, resolved};
use std::sync::Arc;

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
    fit.motion = Some(Arc::new(WithAnnualTerm { forecast, annual }));
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
