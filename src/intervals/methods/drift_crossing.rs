/*! Drift crossing: the longest time for which the item is likely enough to be in tolerance.

With P(h) the probability that the true error is inside the tolerance at `h`
days after the last calibration, given all readings so far, the interval is the
first h at which P(h) falls below the reliability target. It is the variables
form of "find the time at which R(t) equals the target" (NASA RP-1342, 1994,
section 6.3.3), applied to the forecast of one item.
*/

use crate::drift::Prediction;
use crate::intervals::search::{Crossing, Forecast, first_below};
use crate::intervals::{
    Evidence, GroupEvidence, Method, MethodName, NoProposal, Proposal, Proposed,
};
use crate::records::DAYS_PER_YEAR;
use crate::words::{count, date, days, figure, percent, plus_minus};

/// The method; it has no settings of its own.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct DriftCrossing;

impl Method for DriftCrossing {
    fn name(&self) -> MethodName {
        MethodName::DriftCrossing
    }

    fn proposal(&self, evidence: &Evidence<'_>, _group: &GroupEvidence) -> Proposed {
        let tolerance = evidence.tolerance.ok_or(NoProposal::NoTolerance)?;
        let forecast = Forecast::new(evidence)?;
        let probability = |h: f64| {
            forecast
                .at(h)
                .map_or(f64::NAN, |p| p.probability_in(tolerance))
        };
        let panels = forecast.panels(0.0, evidence.cap);
        let crossing = first_below(evidence.target, 0.0, &panels, probability);
        let target = percent(evidence.target);
        let (interval, reason) = match crossing {
            Crossing::AtStart => (
                0.0,
                format!(
                    "the probability in tolerance is {} at the last reading already, below the target of {target}{}",
                    percent(probability(0.0)),
                    shared_words(evidence)
                ),
            ),
            Crossing::At(h) => (
                h,
                format!(
                    "the probability in tolerance stays at or above {target} for {} after the calibration of {}{}",
                    days(h),
                    date(evidence.last_calibration),
                    error_at(evidence, &forecast, h.floor())
                ),
            ),
            Crossing::Beyond => (
                evidence.cap,
                format!(
                    "the probability in tolerance is still {} after the longest interval allowed, {}{}",
                    percent(probability(evidence.cap)),
                    days(evidence.cap),
                    error_at(evidence, &forecast, evidence.cap)
                ),
            ),
        };
        let weight = f64::from(evidence.fit.readings);
        let basis = basis(evidence);
        Ok(Proposal::of(self.name(), interval, weight, basis, reason))
    }
}

/// "; the error is then expected at 1.2 mK ± 0.8 mK (k = 2); most of the risk is that of a
/// sudden step by then, 4.9 %".
fn error_at(evidence: &Evidence<'_>, forecast: &Forecast<'_>, h: f64) -> String {
    let unit = &evidence.history.item.unit;
    forecast.at(h).map_or_else(String::new, |p| {
        format!(
            "; the error is then expected at {} (k = 2){}{}",
            plus_minus(p.expected, 2.0 * p.u_error, unit),
            shared_words(evidence),
            steps_words(evidence, p)
        )
    })
}

/// "; most of the risk is that of a sudden step by then, 4.9 %": an error expected far inside the
/// limits says nothing about it, and a reader would look for the risk in the drift.
fn steps_words(evidence: &Evidence<'_>, prediction: Prediction) -> String {
    let step = 1.0 - prediction.no_step;
    let risk = evidence.tolerance.map_or(f64::NAN, |tolerance| {
        1.0 - prediction.probability_in(tolerance)
    });
    match step > 0.5 * risk {
        true => format!(
            "; most of the risk is that of a sudden step by then, {}",
            percent(step)
        ),
        false => String::new(),
    }
}

/// ", the 0.45 mK included that the readings' scatter shows to be shared by all checks".
pub(super) fn shared_words(evidence: &Evidence<'_>) -> String {
    let (shared, unit) = (evidence.fit.shared_u, &evidence.history.item.unit);
    match shared > 0.0 {
        true => format!(
            ", with {} of the stated u taken as shared by all checks, since the readings scatter far less than it says",
            figure(shared, unit)
        ),
        false => String::new(),
    }
}

/// "12 readings", and that those after adjustments are among them where they are more than the checks.
fn readings_words(evidence: &Evidence<'_>) -> String {
    let readings = evidence.fit.readings as usize;
    let after = match readings > evidence.history.len() {
        true => " as found and as left",
        false => "",
    };
    count(readings, "reading") + after
}

/// What a forecast rests on: "12 readings over 5.5 years, state model, drift 0.31 ± 0.05 mK a year".
pub(crate) fn basis(evidence: &Evidence<'_>) -> String {
    let fit = evidence.fit;
    let unit = &evidence.history.item.unit;
    let mut text = format!(
        "{} over {} years, {} model",
        readings_words(evidence),
        figure(evidence.years(), ""),
        fit.model.word()
    );
    if fit.drift_per_year.is_finite() && fit.u_drift_per_year.is_finite() {
        text += &format!(
            ", drift {} a year (k = 1)",
            plus_minus(fit.drift_per_year, fit.u_drift_per_year, unit)
        );
    }
    let behind = (evidence.as_of - evidence.last_calibration) / DAYS_PER_YEAR;
    if behind > 1.0 {
        text += &format!(", last calibrated {} years ago", figure(behind, ""));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intervals::testing::*;
    use crate::property_cases::usual;
    use proptest::prelude::*;

    fn crossing(known: Known) -> f64 {
        let histories = Record::new()
            .check(0.0, 0.0)
            .check(365.25, known.error)
            .histories();
        let fit = known.fit(365.25, 2);
        let proposal =
            DriftCrossing.propose(&evidence(&histories, &fit), &GroupEvidence::default());
        proposal.interval_days.unwrap()
    }

    /// Closed form: error at h is drift·h with u, so Φ((1 − d·h)/u) = 0.95 at
    /// h = (1 − z·u)/d with z = 1.6448536269514722 (the lower limit plays no part).
    #[test]
    fn a_known_drift_crosses_where_the_closed_form_says() {
        let known = Known {
            drift: 0.4,
            u_error: 0.1,
            ..Known::default()
        };
        let truth = (1.0 - 1.644_853_626_951_472_2 * 0.1) / 0.4 * DAYS_PER_YEAR;
        let found = crossing(known);
        assert!(
            found <= truth && truth - found < 0.02,
            "{found} against {truth}"
        );
    }

    /// Random walk alone: erf(1/√(2 s²)) = 0.886153702 at s² = (0.2 + 0.05·12)/2, the
    /// facts sheet's check value 58 (time 12 at θ1 = 0.2, θ2 = 0.05), months as years.
    #[test]
    fn a_random_walk_crosses_where_the_published_model_says() {
        let histories = Record::new().check(0.0, 0.0).histories();
        let known = Known {
            u_error: 0.1_f64.sqrt(),
            wander: 0.025_f64.sqrt(),
            ..Known::default()
        };
        let fit = known.fit(0.0, 2);
        let mut evidence = evidence(&histories, &fit);
        (evidence.cap, evidence.target) = (1e4, 0.886_153_702);
        let proposal = DriftCrossing.propose(&evidence, &GroupEvidence::default());
        let years = proposal.interval_days.unwrap() / DAYS_PER_YEAR;
        near!(years, 12.0, 1e-4);
    }

    #[test]
    fn what_cannot_be_forecast_says_why() {
        let histories = Record::new().check(0.0, 0.0).histories();
        let fit = unfitted(Status::LevelOnly);
        let proposal =
            DriftCrossing.propose(&evidence(&histories, &fit), &GroupEvidence::default());
        assert_eq!(proposal.interval_days, None);
        assert_eq!(
            proposal.reason(),
            "not applicable, because there are too few readings to estimate a drift"
        );
    }

    proptest! {
        #![proptest_config(usual())]

        #[test]
        fn more_uncertainty_never_lengthens(
            error in -0.5..0.5f64, u in 0.01..0.2f64, drift in -1.0..1.0f64,
            u_drift in 0.0..0.5f64, wander in 0.0..0.3f64, more in 1.0..3.0f64,
        ) {
            let known = Known { error, u_error: u, drift, u_drift, wander, step_rate: 0.0 };
            let less = crossing(known);
            for worse in [
                Known { u_drift: u_drift * more + 0.01, ..known },
                Known { wander: wander * more + 0.01, ..known },
                Known { step_rate: 0.1, ..known },
            ] {
                prop_assert!(crossing(worse) <= less + 0.02);
            }
        }
    }
}
