/*! Drift models by regression: constant, parabola, polynomial and season. */

use super::curve_fit::from_regression;
use super::design::Shape;
use super::fit as regression;
use super::least_squares::LeastSquaresError;
use super::shared_u::shared_u;
use crate::drift::diagnostics::notes;
use crate::drift::diagnostics::tests::diagnose;
use crate::drift::fit::failed;
use crate::drift::model::{Case, DriftModel};
use crate::drift::per_year::in_years;
use crate::drift::series::readings::{Axis, Reading, Unread, fill_readings};
use crate::drift::status::Status;
use crate::drift::{DriftSettings, Fit, ModelName};
use crate::records::{History, Outcome};

/// A constant level.
pub(crate) const CONSTANT: Regression = Regression::of(ModelName::Constant, |_| 0);
/// A parabola.
pub(crate) const QUADRATIC: Regression = Regression::of(ModelName::Quadratic, |_| 2);
/// A polynomial of the degree that the settings state.
pub(crate) const POLYNOMIAL: Regression =
    Regression::of(ModelName::Polynomial, |settings| settings.degree);
/// A line with an annual sine and cosine.
pub(crate) const SEASON: Regression = Regression {
    annual: true,
    ..Regression::of(ModelName::Season, |_| 1)
};
/// A straight line through zero.
pub(super) const LINE_THROUGH_ZERO: Regression = Regression::of(ModelName::Line, |_| 1);

/// One of them.
pub(crate) struct Regression {
    name: ModelName,
    degree: fn(&DriftSettings) -> u32,
    annual: bool,
}

impl Regression {
    const fn of(name: ModelName, degree: fn(&DriftSettings) -> u32) -> Self {
        Self {
            name,
            degree,
            annual: false,
        }
    }
}

impl DriftModel for Regression {
    fn name(&self) -> ModelName {
        self.name
    }

    fn fit(&self, case: &Case<'_>) -> Fit {
        fit_tested(case, self)
    }

    fn forecast(&self, case: &Case<'_>) -> Fit {
        fit_untested(case, self)
    }
}

/// A model that is fitted to readings as they are, whatever their history.
pub(crate) trait OfReadings: DriftModel {
    /// Fits `readings`, of which there is one at least; notes are not yet added, except where
    /// the fit failed.
    fn fit_readings(&self, readings: &[Reading], u_common: f64, settings: &DriftSettings) -> Fit;
}

impl OfReadings for Regression {
    fn fit_readings(&self, readings: &[Reading], u_common: f64, settings: &DriftSettings) -> Fit {
        if self.annual && settings.axis == Axis::Usage {
            let reason = "a season needs the time axis, not usage".to_string();
            return failed(self.name, readings, reason);
        }
        let shape = Shape {
            degree: (self.degree)(settings),
            annual: self.annual,
            intercept: settings.intercept,
        };
        match regression::fit(readings, shape, u_common) {
            Ok(curve) => from_regression(self.name, readings, origin_of(readings, settings), curve),
            Err(error) => without_answer(self.name, readings, error),
        }
    }
}

/// x from which coefficients count: the first reading, or no use.
pub(super) fn origin_of(readings: &[Reading], settings: &DriftSettings) -> f64 {
    match settings.axis {
        Axis::Time => readings.first().map_or(f64::NAN, |r| r.x),
        Axis::Usage => 0.0,
    }
}

/// The fit of a history by a model of readings, with tests, suspects and notes.
pub(crate) fn fit_tested(case: &Case<'_>, model: &dyn OfReadings) -> Fit {
    let (readings, unread) = readings_of(case);
    let mut fit = fit_figures(case, model, &readings);
    finish(&mut fit, case, model, &readings, unread);
    fit
}

/// As [`fit_tested`], without tests and notes.
pub(crate) fn fit_untested(case: &Case<'_>, model: &dyn OfReadings) -> Fit {
    let (readings, unread) = readings_of(case);
    let mut fit = fit_figures(case, model, &readings);
    if unread.is_some() {
        fit.lose_level();
    }
    fit
}

/// The readings of the history, and the event after the last of them whose value left was not
/// kept.
pub(crate) fn readings_of(case: &Case<'_>) -> (Vec<Reading>, Option<Unread>) {
    let mut readings = Vec::new();
    let unread = fill_readings(case.history, case.settings.axis, &mut readings);
    (readings, unread)
}

/// The fit of `readings`, its figures those of a year.
fn fit_figures(case: &Case<'_>, model: &dyn OfReadings, readings: &[Reading]) -> Fit {
    if readings.is_empty() {
        return nothing_to_fit(case.history, case.settings.axis);
    }
    let u_common = shared_u(case.history);
    let fit = model.fit_readings(readings, u_common, case.settings);
    in_years(fit, case.history, case.settings)
}

/// Adds suspects, by the rule of `model`, and notes.
pub(crate) fn finish(
    fit: &mut Fit,
    case: &Case<'_>,
    model: &dyn DriftModel,
    readings: &[Reading],
    unread: Option<Unread>,
) {
    let found = diagnose(fit, readings, case.settings.axis);
    fit.suspects = model.suspects(readings, &found);
    notes::add(fit, readings, case.history, &found);
    if unread.is_some() {
        fit.lose_level();
    }
}

pub(crate) fn nothing_to_fit(history: &History<'_>, axis: Axis) -> Fit {
    let outcomes = history.outcome.iter().any(|o| *o != Outcome::Unknown);
    let values = history.as_found.iter().any(|v| v.is_finite());
    let mut fit = Fit {
        status: if outcomes && !values {
            Status::OutcomesOnly
        } else {
            Status::NoReading
        },
        ..Fit::default()
    };
    if axis == Axis::Usage && values {
        fit.notes
            .push("no check states its usage; drift against use needs the column usage".into());
    }
    fit
}

fn without_answer(model: ModelName, readings: &[Reading], error: LeastSquaresError) -> Fit {
    let mut fit = failed(model, readings, format!("model {}: {error}", model.word()));
    match error {
        LeastSquaresError::TooFew { .. } => fit.status = Status::LevelOnly,
        LeastSquaresError::Dependent(_)
        | LeastSquaresError::TooClose(_)
        | LeastSquaresError::OneTimeOfYear => fit.status = Status::Undetermined,
        _ => {}
    }
    fit
}
