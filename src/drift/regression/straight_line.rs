/*! The straight line as a drift model: alone, through zero, or with what its class lends. */

use super::curves::{LINE_THROUGH_ZERO, OfReadings, fit_tested, fit_untested, origin_of};
use super::line_fit::fit_line;
use crate::drift::model::{Case, DriftModel};
use crate::drift::pooled::pooled_fit::fit_pooled;
use crate::drift::series::readings::Reading;
use crate::drift::settings::Pooling;
use crate::drift::{DriftSettings, Fit, ModelName};

pub(crate) const STRAIGHT_LINE: StraightLine = StraightLine;

/// See [`STRAIGHT_LINE`].
pub(crate) struct StraightLine;

impl DriftModel for StraightLine {
    fn name(&self) -> ModelName {
        ModelName::Line
    }

    fn fit(&self, case: &Case<'_>) -> Fit {
        pooled(case, fit_tested).unwrap_or_else(|| fit_tested(case, self))
    }

    fn forecast(&self, case: &Case<'_>) -> Fit {
        pooled(case, fit_tested).unwrap_or_else(|| fit_untested(case, self))
    }
}

/// The line that borrows from its class, where lines are to.
fn pooled(case: &Case<'_>, own: fn(&Case<'_>, &dyn OfReadings) -> Fit) -> Option<Fit> {
    let class = case
        .class
        .filter(|_| case.settings.borrow == Pooling::Class)?;
    let own = || own(case, &STRAIGHT_LINE);
    Some(fit_pooled(case.history, class, case.settings, own))
}

impl OfReadings for StraightLine {
    fn fit_readings(&self, readings: &[Reading], u_common: f64, settings: &DriftSettings) -> Fit {
        match settings.intercept {
            true => fit_line(readings, u_common, origin_of(readings, settings)),
            false => LINE_THROUGH_ZERO.fit_readings(readings, u_common, settings),
        }
    }
}

/// The fit of readings by the regression of this name, for tests.
#[cfg(test)]
pub(crate) fn fit_readings(
    readings: &[Reading],
    u_common: f64,
    settings: &DriftSettings,
    name: ModelName,
) -> Fit {
    use super::curves::{CONSTANT, POLYNOMIAL, QUADRATIC, SEASON};
    let curves = [CONSTANT, QUADRATIC, POLYNOMIAL, SEASON];
    match curves.iter().find(|curve| curve.name() == name) {
        Some(curve) => curve.fit_readings(readings, u_common, settings),
        None => STRAIGHT_LINE.fit_readings(readings, u_common, settings),
    }
}
