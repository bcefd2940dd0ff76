/*! Fit of the state model to one history: figures for the tables. */

use super::annual::remove_annual_term;
use super::annual_fit::add_annual_term;
use super::filter::StateFilter;
use super::notes::Fitted;
use super::surprise_words::{Place, Surprise, surprises_in_words};
use crate::drift::class::parameters::ClassParameters;
use crate::drift::class::rates::ClassScale;
use crate::drift::regression::year_dates::one_time_note;
use crate::drift::series::readings::{Axis, Reading};
use crate::drift::state::forecast::StateForecast;
use crate::drift::state::innovation::Innovation;
use crate::drift::state::innovation::is_far;
use crate::drift::{Coefficient, DriftSettings, Fit, ModelName, Status};
use crate::records::{History, Outcome};
use std::sync::Arc;

/// A class informs of a drift when at least this many of its histories say something of one.
const INFORMING_CLASS: u32 = 3;

/// Fits the state model with what the class lends; see [`crate::drift::class::classes::class_parameters`].
///
/// Never panics: a history without a usable reading gets no motion, a status and
/// a note.
pub fn fit_state(history: &History<'_>, class: &ClassParameters, settings: &DriftSettings) -> Fit {
    let (mut fit, screened) = fit_state_screened(history, class, settings);
    tell(&mut fit, screened.surprises);
    fit
}

/// What the fit's own pass saw of readings that surprise.
#[derive(Debug, Default)]
pub(crate) struct Screened {
    /// Some reading lies so far off its forecast that [`crate::drift::diagnostics::suspects::suspects_of_state`]
    /// would look at it closely.
    pub far: bool,
    /// The surprises, to be told.
    pub surprises: Vec<Surprise>,
}

impl Screened {
    fn of(readings: &[Reading], innovations: &[Option<Innovation>], place: &Place<'_>) -> Self {
        Self {
            far: innovations.iter().flatten().any(is_far),
            surprises: surprises_in_words(readings, innovations, place),
        }
    }
}

/// Numbers that cannot be computed with.
fn fail(fit: &mut Fit) {
    fit.status = Status::Failed;
    fit.notes
        .push("the values are too large or too small to compute with; check their unit".into());
}

/// Tells of surprises, before all other notes.
pub(crate) fn tell(fit: &mut Fit, surprises: Vec<Surprise>) {
    let step = surprises.iter().rfind(|surprise| surprise.step);
    fit.stepped = step.map(|surprise| surprise.row);
    let words = surprises.into_iter().map(|surprise| surprise.words);
    fit.notes.splice(0..0, words);
}

/// As [`fit_state`], with the surprises still to be told.
pub(crate) fn fit_state_screened(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
) -> (Fit, Screened) {
    let mut readings = Vec::with_capacity(history.len() + 1);
    let unread = class.fill_readings(history, settings.axis, &mut readings);
    let u_common = history.u_common.last().copied().unwrap_or(0.0);
    let mut fit = empty_fit(ModelName::State, readings.len() as u32, u_common);
    let Some(last) = readings.last().copied() else {
        (fit.status, fit.notes) = nothing_to_fit(history);
        return (fit, Screened::default());
    };
    (fit.last_x, fit.origin) = (last.x, last.x);
    let scale = class.scale_of(history.item);
    let annual = remove_annual_term(&mut readings, class, scale, settings.axis);
    let mut filter = StateFilter::of(&readings, class, scale);
    let each = readings.iter().map(|reading| filter.push(reading));
    let innovations: Vec<Option<Innovation>> = each.collect();
    let run = Run::of(&innovations);
    filter.end(unread);
    fit.steps = step_probabilities(&readings, &innovations);
    let screened = Screened::of(&readings, &innovations, &Place::of(history, settings.axis));
    let Some(mut forecast) = filter.forecast() else {
        return (fit, screened);
    };
    share_u(&mut fit, &mut forecast);
    let (class_drift, lent_variance) = class_drift(&readings, class, scale);
    let shrinkage_weight = shrinkage_weight(&forecast, lent_variance);
    fill_figures(&mut fit, &forecast, &run, shrinkage_weight);
    fit.class_drift_per_year = class_drift;
    fit.status = status(&run, shrinkage_weight, class, &readings);
    let fitted = Fitted {
        history,
        class,
        readings: &readings,
        filter: &filter,
        forecast: &forecast,
        unread: unread.is_some(),
    };
    let without_scale = class.scale == ClassScale::Unknown;
    match forecast.is_finite() && !(without_scale && beyond_squares(&readings)) {
        true => fit.notes = fitted.notes(&fit),
        false => fail(&mut fit),
    }
    if without_scale {
        forget_scatter(&mut fit);
    }
    if matches!(fit.status, Status::Failed | Status::LevelOnly) {
        forget_drift(&mut fit);
        return (fit, screened);
    }
    fit.motion = Some(Arc::new(forecast));
    match annual {
        Some(annual) => add_annual_term(&mut fit, forecast, annual, (class, history)),
        None if settings.axis == Axis::Time => fit.notes.extend(one_time_note(&readings)),
        None => (),
    }
    (fit, screened)
}

/// Adds the shared u that the scatter shows to the stated one.
fn share_u(fit: &mut Fit, forecast: &mut StateForecast) {
    fit.shared_u = forecast.u_common;
    forecast.u_common = fit.u_common.hypot(fit.shared_u);
    fit.u_common = forecast.u_common;
}

/// True where there are values or uncertainties, but none whose square is a number: they serve as
/// no scale, as if all were zero.
fn beyond_squares(readings: &[Reading]) -> bool {
    let sizes = readings
        .iter()
        .flat_map(|reading| [reading.value.abs(), reading.u]);
    let largest = sizes.fold(0.0, f64::max);
    largest > 0.0 && !(f64::MIN_POSITIVE..=f64::MAX).contains(&(largest * largest))
}

/// Belief below which a step is not kept.
const LEAST_STEP: f64 = 0.001;

/// Rows before which the level may have stepped, and how much that is believed against drift
/// and wander. A reading taken for outlying speaks for neither.
fn step_probabilities(readings: &[Reading], innovations: &[Option<Innovation>]) -> Vec<(u32, f64)> {
    let each = readings
        .iter()
        .zip(innovations)
        .filter_map(|(reading, innovation)| {
            let meaning = innovation.as_ref()?.meaning;
            let real = 1.0 - meaning.outlying;
            let probability = meaning.step / real.max(meaning.step);
            (probability > LEAST_STEP).then_some((reading.check, probability))
        });
    each.collect()
}

/// Sums over the innovations of one history.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Run {
    innovations: u32,
    squares: f64,
    chi_squared: f64,
}

impl Run {
    /// Those of all readings that were read.
    fn of(innovations: &[Option<Innovation>]) -> Self {
        let mut run = Self::default();
        innovations
            .iter()
            .flatten()
            .for_each(|found| run.count(found));
        run
    }

    pub(crate) fn count(&mut self, innovation: &Innovation) {
        if innovation.meaning.surprise() <= 0.5 {
            self.innovations += 1;
            self.squares += innovation.value * innovation.value;
            self.chi_squared += innovation.value * innovation.value / innovation.variance;
        }
    }
}

/// A fit that says nothing yet.
pub(crate) fn empty_fit(model: ModelName, readings: u32, u_common: f64) -> Fit {
    Fit {
        model,
        readings,
        u_common,
        ..Fit::default()
    }
}

/// Status and note of a history without a value.
pub(crate) fn nothing_to_fit(history: &History<'_>) -> (Status, Vec<String>) {
    if history
        .outcome
        .iter()
        .any(|outcome| *outcome != Outcome::Unknown)
    {
        let note = "only in/out outcomes were kept; a drift needs values".to_string();
        (Status::OutcomesOnly, vec![note])
    } else {
        (
            Status::NoReading,
            vec!["no check has a usable value".to_string()],
        )
    }
}

/// True where neither the readings nor the class say anything of a drift.
pub(crate) fn tells_no_drift(run: &Run, class: &ClassParameters, readings: &[Reading]) -> bool {
    let u_known = || readings.iter().all(|reading| !reading.u.is_nan());
    if class.scale == ClassScale::Unknown {
        return true;
    }
    !informs_drift(class) && (run.innovations == 0 || run.innovations == 1 && !u_known())
}

fn informs_drift(class: &ClassParameters) -> bool {
    class.informed >= INFORMING_CLASS
}

fn status(
    run: &Run,
    shrinkage_weight: f64,
    class: &ClassParameters,
    readings: &[Reading],
) -> Status {
    if tells_no_drift(run, class, readings) {
        return Status::LevelOnly;
    }
    match (run.innovations, informs_drift(class)) {
        (0, true) => Status::FromClass,
        (_, true) if shrinkage_weight < 0.5 => Status::FromClass,
        _ => Status::Estimated,
    }
}

/// What was known of the drift at the last reading before the readings said anything, mean and
/// variance in the history's unit, by the class.
fn class_drift(readings: &[Reading], class: &ClassParameters, scale: f64) -> (f64, f64) {
    let opens = |last: &Reading| {
        readings
            .iter()
            .find(|reading| reading.drift_segment == last.drift_segment)
            .map(|first| (last.x - first.x).max(0.0))
    };
    let time = readings.last().and_then(opens).unwrap_or(0.0);
    let (mean, variance) = class.drift_after(time);
    (mean * scale, variance * scale * scale)
}

/// Share of the knowledge of the drift that its own readings brought: one less the part
/// of the variance that was there before them.
fn shrinkage_weight(forecast: &StateForecast, lent_variance: f64) -> f64 {
    (1.0 - forecast.estimate.drift_variance / lent_variance).clamp(0.0, 1.0)
}

fn fill_figures(fit: &mut Fit, forecast: &StateForecast, run: &Run, shrinkage_weight: f64) {
    let estimate = &forecast.estimate;
    if run.innovations > 0 {
        fit.degrees_of_freedom = f64::from(run.innovations);
        fit.residual_deviation = (run.squares / f64::from(run.innovations)).sqrt();
        fit.chi_squared = run.chi_squared;
    }
    fit.excess_u = forecast.rates.excess.sqrt();
    fit.drift_per_year = estimate.drift;
    fit.u_drift_per_year = estimate.drift_variance.sqrt();
    fit.wander_per_sqrt_year = forecast.rates.wander.sqrt();
    fit.shrinkage_weight = shrinkage_weight;
    fit.coefficients = vec![
        Coefficient::shared("level", estimate.error, estimate.error_variance),
        Coefficient::shared("slope", estimate.drift, estimate.drift_variance),
    ];
}

/// Takes back what was computed of a scatter that nothing tells the size of.
fn forget_scatter(fit: &mut Fit) {
    fit.excess_u = f64::NAN;
    fit.residual_deviation = f64::NAN;
    for coefficient in &mut fit.coefficients {
        coefficient.standard_error = f64::NAN;
    }
}

/// Takes back what was computed of a drift that the data cannot give.
fn forget_drift(fit: &mut Fit) {
    fit.coefficients
        .retain(|coefficient| coefficient.term == "level");
    fit.drift_per_year = f64::NAN;
    fit.u_drift_per_year = f64::NAN;
    fit.wander_per_sqrt_year = f64::NAN;
    fit.shrinkage_weight = f64::NAN;
    fit.class_drift_per_year = f64::NAN;
}
