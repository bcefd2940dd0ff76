/*! From a history to its fit: readings, model, coefficients, drift per year, notes. */

use super::choose::{self, Candidate};
use super::fit::{Coefficient, Fit, ModelName, Motion, Status};
use super::least_squares::LeastSquaresError;
use super::line::{self, LineFit};
use super::regression::{self, Regression, Shape, Term};
use super::segments::{SegmentLine, lines};
use super::{Axis, DriftSettings, Reading, fill_readings, notes};
use crate::records::{DAYS_PER_YEAR, History, Outcome};
use std::f64::consts::TAU;

/// Fits `model` (constant, line, quadratic, polynomial, season, or auto among these) to a
/// history. `State` and `Wander` have their own rooms; here they give the straight line.
pub fn fit_history(history: &History<'_>, settings: &DriftSettings, model: ModelName) -> Fit {
    fit_history_with(history, settings, model, &[])
}

/// More candidates for `auto`, fitted by other rooms from the same readings.
pub type MoreModels<'a> = &'a [&'a dyn Fn(&[Reading]) -> Option<Candidate>];

/// As [`fit_history`], with more candidates for `auto`.
pub fn fit_history_with(
    history: &History<'_>,
    settings: &DriftSettings,
    model: ModelName,
    more: MoreModels<'_>,
) -> Fit {
    let mut readings = Vec::new();
    fill_readings(history, settings.axis, &mut readings);
    if readings.is_empty() {
        return nothing_to_fit(history, settings.axis);
    }
    let u_common = shared_u(history);
    let mut fit = match model {
        ModelName::Auto => choose::best(&readings, u_common, settings, more),
        _ => fit_readings(&readings, u_common, settings, model),
    };
    if settings.axis == Axis::Usage {
        per_year(&mut fit, history);
    }
    notes::add(&mut fit, &readings, history, settings.axis);
    fit
}

/// Use per year over the history, from the checks that state it; `None` where the span or
/// the use is zero.
pub fn usage_per_year(history: &History<'_>) -> Option<f64> {
    let stated = || (0..history.len()).filter(|i| history.usage[*i].is_finite());
    let (first, last) = (stated().next()?, stated().next_back()?);
    let years = (history.date[last] - history.date[first]) / DAYS_PER_YEAR;
    let rate = (history.usage[last] - history.usage[first]) / years;
    (years > 0.0 && rate.is_finite() && rate > 0.0).then_some(rate)
}

/// Largest shared uncertainty that any check of the history states; 0 where none does.
pub fn shared_u(history: &History<'_>) -> f64 {
    let stated = history.u_common.iter().filter(|u| u.is_finite());
    stated.copied().fold(0.0, f64::max)
}

/// Fits one model to readings; notes are not yet added, except where the fit failed.
pub fn fit_readings(
    readings: &[Reading],
    u_common: f64,
    settings: &DriftSettings,
    model: ModelName,
) -> Fit {
    let origin = match settings.axis {
        Axis::Time => readings.first().map_or(f64::NAN, |r| r.x),
        Axis::Usage => 0.0,
    };
    let degree = match model {
        ModelName::Constant => 0,
        ModelName::Quadratic => 2,
        ModelName::Polynomial => settings.degree,
        ModelName::Season => 1,
        _ => return fit_line(readings, u_common, origin),
    };
    let season = model == ModelName::Season;
    if season && settings.axis == Axis::Usage {
        let reason = "a season needs the time axis, not usage".to_string();
        return failed(model, readings, reason);
    }
    match regression::fit(readings, Shape { degree, season }, u_common) {
        Ok(curve) => from_regression(model, readings, origin, curve),
        Err(error) => without_answer(model, readings, error),
    }
}

fn nothing_to_fit(history: &History<'_>, axis: Axis) -> Fit {
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

fn fit_line(readings: &[Reading], u_common: f64, origin: f64) -> Fit {
    let mut line = line::fit(readings);
    let mut note = None;
    if line.status == Status::Estimated && !line.u_known && line.residual_deviation == 0.0 {
        // Readings on one line to the last digit: their rounding is what is left to say.
        let Some(digit) = resolution(readings) else {
            let reason = "all readings are zero and none states u: their scatter is unknown";
            return failed(ModelName::Line, readings, reason.into());
        };
        let u = digit / 12f64.sqrt();
        let rounded: Vec<Reading> = readings.iter().map(|r| Reading { u, ..*r }).collect();
        line = line::fit(&rounded);
        note = Some(format!(
            "the readings show no scatter and state no u; their last digit ({digit:e}) is taken as \
             resolution: u = digit/√12 (JCGM 100, 4.3.7)"
        ));
        line.u_common = u_common;
        let mut fit = from_line(&rounded, origin, line);
        fit.notes.extend(note);
        return fit;
    }
    line.u_common = u_common;
    let mut fit = from_line(readings, origin, line);
    fit.notes.extend(note);
    fit
}

/// Coarsest power of ten of which all readings are whole multiples; `None` where all are 0.
fn resolution(readings: &[Reading]) -> Option<f64> {
    const ROUNDING: f64 = 1e-6;
    if readings.iter().all(|r| r.value == 0.0) {
        return None;
    }
    (-15..=15).rev().map(|k| 10f64.powi(k)).find(|digit| {
        readings.iter().all(|r| {
            let multiple = r.value / digit;
            (multiple - multiple.round()).abs() <= ROUNDING
        })
    })
}

/// Wraps the fleet's line; no allocation beyond the coefficients.
pub fn from_line(readings: &[Reading], origin: f64, line: LineFit) -> Fit {
    let all = lines(readings, &line);
    let mut fit = Fit {
        model: ModelName::Line,
        status: line.status,
        readings: line.readings,
        degrees_of_freedom: line.degrees_of_freedom,
        residual_deviation: line.residual_deviation,
        excess_u: line.excess_u,
        chi_squared: line.chi_squared,
        drift_per_year: line.slope,
        u_drift_per_year: line.u_slope,
        wander_per_sqrt_year: 0.0,
        own_share: 1.0,
        u_common: line.u_common,
        last_x: line.last_x,
        origin,
        coefficients: Vec::with_capacity(2 * all.len()),
        notes: Vec::new(),
        motion: Motion::None,
    };
    let mut drift_of_slope = None;
    for (segment, level) in all
        .iter()
        .zip(readings.chunk_by(|a, b| a.segment == b.segment))
    {
        push_segment(&mut fit.coefficients, segment, origin);
        // The slope stands once for all levels that share it.
        let drift = level[0].drift_segment;
        if segment.slope.is_finite() && drift_of_slope != Some(drift) {
            drift_of_slope = Some(drift);
            let several = readings.first().map(|r| r.drift_segment)
                != readings.last().map(|r| r.drift_segment);
            fit.coefficients.push(Coefficient {
                segment: several.then_some(segment.segment),
                term: "slope",
                estimate: segment.slope,
                standard_error: segment.u_slope,
            });
        }
    }
    if line.status == Status::Estimated {
        let past = if all.len() > 1 { all } else { Vec::new() };
        fit.motion = Motion::Line {
            current: line,
            past,
        };
    }
    fit
}

fn push_segment(coefficients: &mut Vec<Coefficient>, line: &SegmentLine, origin: f64) {
    let has_slope = line.slope.is_finite();
    let back = if has_slope {
        origin - line.x_level
    } else {
        0.0
    };
    coefficients.push(Coefficient {
        segment: Some(line.segment),
        term: if has_slope { "intercept" } else { "level" },
        estimate: line.level + if has_slope { line.slope * back } else { 0.0 },
        standard_error: if has_slope {
            line.u_level.hypot(back * line.u_slope)
        } else {
            line.u_level
        },
    });
}

fn from_regression(model: ModelName, readings: &[Reading], origin: f64, curve: Regression) -> Fit {
    let last_x = readings.last().map_or(f64::NAN, |r| r.x);
    let no_scatter = !curve.u_known && curve.residual_freedom <= 0.0;
    let (drift, u_drift) = curve.drift(last_x);
    Fit {
        model,
        status: if no_scatter {
            Status::LevelOnly
        } else {
            Status::Estimated
        },
        readings: readings.len() as u32,
        degrees_of_freedom: curve.degrees_of_freedom,
        residual_deviation: curve.residual_deviation,
        excess_u: curve.excess_u,
        chi_squared: curve.chi_squared,
        drift_per_year: drift,
        u_drift_per_year: u_drift,
        wander_per_sqrt_year: 0.0,
        own_share: 1.0,
        u_common: curve.u_common,
        last_x,
        origin,
        coefficients: coefficients(&curve, origin),
        notes: Vec::new(),
        motion: if no_scatter {
            Motion::None
        } else {
            Motion::Regression(Box::new(curve))
        },
    }
}

const POWERS: [&str; 10] = [
    "intercept",
    "slope",
    "power_2",
    "power_3",
    "power_4",
    "power_5",
    "power_6",
    "power_7",
    "power_8",
    "power_9",
];

/// Coefficients in powers of x − `origin`: the internal powers expanded by the binomial theorem.
fn coefficients(curve: &Regression, origin: f64) -> Vec<Coefficient> {
    let t = (origin - curve.centre) / curve.scale;
    let phase = TAU * origin;
    let has_power = |drift: u32| {
        curve.terms.iter().any(
            |term| matches!(term, Term::Power { drift_segment, .. } if *drift_segment == drift),
        )
    };
    let drift_of = |segment: u32| {
        let start = curve.starts.iter().find(|(_, s, _)| *s == segment);
        start.map_or(0, |(_, _, drift)| *drift)
    };
    let several = curve.starts.first().map(|s| s.2) != curve.starts.last().map(|s| s.2);
    let row = |wanted: &Term| -> Vec<f64> {
        let entry = |term: &Term| match (wanted, term) {
            (Term::Level(a), Term::Level(b)) => f64::from(a == b),
            (
                Term::Level(segment),
                Term::Power {
                    drift_segment,
                    power,
                },
            ) if drift_of(*segment) == *drift_segment => t.powi(*power as i32),
            (
                Term::Power {
                    drift_segment: a,
                    power: j,
                },
                Term::Power {
                    drift_segment: b,
                    power: k,
                },
            ) if a == b && k >= j => {
                binomial(*k, *j) * t.powi((k - j) as i32) / curve.scale.powi(*j as i32)
            }
            (Term::Cosine, Term::Cosine) | (Term::Sine, Term::Sine) => phase.cos(),
            (Term::Cosine, Term::Sine) => phase.sin(),
            (Term::Sine, Term::Cosine) => -phase.sin(),
            _ => 0.0,
        };
        curve.terms.iter().map(entry).collect()
    };
    let name = |term: &Term| match term {
        Term::Level(segment) if !has_power(drift_of(*segment)) => (Some(*segment), "level"),
        Term::Level(segment) => (Some(*segment), POWERS[0]),
        Term::Power {
            drift_segment,
            power,
        } => {
            let start = curve.starts.iter().find(|s| s.2 == *drift_segment);
            let segment = start.filter(|_| several).map(|s| s.1);
            (segment, POWERS[(*power as usize).min(9)])
        }
        Term::Cosine => (None, "cosine"),
        Term::Sine => (None, "sine"),
    };
    let describe = |term: &Term| {
        let (estimate, variance) = curve.combine(&row(term));
        let (segment, term) = name(term);
        Coefficient {
            segment,
            term,
            estimate,
            standard_error: variance.sqrt(),
        }
    };
    curve.terms.iter().map(describe).collect()
}

fn binomial(n: u32, k: u32) -> f64 {
    (0..k)
        .map(|i| f64::from(n - i) / f64::from(i + 1))
        .product()
}

fn without_answer(model: ModelName, readings: &[Reading], error: LeastSquaresError) -> Fit {
    let mut fit = failed(model, readings, format!("model {}: {error}", model.word()));
    let few = matches!(
        error,
        LeastSquaresError::TooFew { .. } | LeastSquaresError::Dependent(_)
    );
    if few {
        fit.status = Status::LevelOnly;
    }
    fit
}

fn failed(model: ModelName, readings: &[Reading], reason: String) -> Fit {
    Fit {
        model,
        status: Status::Failed,
        readings: readings.len() as u32,
        last_x: readings.last().map_or(f64::NAN, |r| r.x),
        notes: vec![reason],
        ..Fit::default()
    }
}

/// On the usage axis the drift is per unit of use: turned into a drift per year by the
/// history's mean use, and said so.
fn per_year(fit: &mut Fit, history: &History<'_>) {
    match usage_per_year(history) {
        Some(rate) => {
            let per_use = fit.drift_per_year;
            fit.drift_per_year *= rate;
            fit.u_drift_per_year *= rate;
            if per_use.is_finite() {
                fit.notes.push(format!(
                    "drift is {} {} per unit of use; per year at the history's mean use of {} a year",
                    notes::figure(per_use),
                    history.item.unit,
                    notes::figure(rate),
                ));
            }
        }
        None => {
            fit.drift_per_year = f64::NAN;
            fit.u_drift_per_year = f64::NAN;
            fit.notes.push(
                "use per year is unknown: the usage column does not grow with the dates".into(),
            );
        }
    }
}
