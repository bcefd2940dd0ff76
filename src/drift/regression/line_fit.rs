/*! The straight line of one history as a [`Fit`]: coefficients and segments around the kernel. */

use super::line;
use super::line::LineFit;
use super::segments::{SegmentLine, lines};
use crate::drift::Prediction;
use crate::drift::fit::failed;
use crate::drift::fit::{Coefficient, Curve, Fit, Motion};
use crate::drift::model_name::ModelName;
use crate::drift::series::harmonic_u::harmonic_u;
use crate::drift::series::readings::Reading;
use crate::drift::status::Status;
use std::sync::Arc;

/// Straight line; readings without scatter and without u get the u of their last digit.
pub(crate) fn fit_line(readings: &[Reading], u_common: f64, origin: f64) -> Fit {
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
    /// Digits that a double holds.
    const DIGITS: i32 = 16;
    let largest = readings.iter().map(|r| r.value.abs()).fold(0.0, f64::max);
    if largest == 0.0 {
        return None;
    }
    let leading = largest.log10().floor() as i32;
    let finest = 10f64.powi(leading - DIGITS);
    let whole = |digit: &f64| {
        readings.iter().all(|r| {
            let multiple = r.value / digit;
            (multiple - multiple.round()).abs() <= ROUNDING * multiple.abs().min(1.0)
        })
    };
    let mut digits = (leading - DIGITS..=leading).rev().map(|k| 10f64.powi(k));
    Some(digits.find(whole).unwrap_or(finest))
}

/// Wraps the fleet's line; no allocation beyond the coefficients.
pub(crate) fn from_line(readings: &[Reading], origin: f64, line: LineFit) -> Fit {
    let all = lines(readings, &line);
    let mut fit = Fit {
        model: ModelName::Line,
        status: line.status,
        readings: line.readings,
        degrees_of_freedom: line.degrees_of_freedom,
        residual_deviation: match line.u_known {
            true => line.residual_deviation * harmonic_u(readings),
            false => line.residual_deviation,
        },
        excess_u: line.excess_u,
        chi_squared: line.chi_squared,
        drift_per_year: line.slope,
        u_drift_per_year: line.u_slope,
        wander_per_sqrt_year: 0.0,
        shrinkage_weight: 1.0,
        u_common: line.u_common,
        last_x: line.last_x,
        origin,
        coefficients: Vec::with_capacity(2 * all.len()),
        ..Fit::default()
    };
    let mut drift_of_slope = None;
    for (segment, level) in all
        .iter()
        .zip(readings.chunk_by(|a, b| a.segment == b.segment))
    {
        push_segment(&mut fit.coefficients, segment, origin);
        // The slope stands once for all levels that share it.
        let drift = level[0].drift_segment;
        if segment.has_slope() && drift_of_slope != Some(drift) {
            drift_of_slope = Some(drift);
            let several = readings.first().map(|r| r.drift_segment)
                != readings.last().map(|r| r.drift_segment);
            fit.coefficients.push(Coefficient {
                segment: several.then_some(segment.segment),
                term: "slope",
                estimate: segment.slope.nearest(),
                standard_error: segment.u_slope,
            });
        }
    }
    if line.status == Status::Estimated {
        let past = if all.len() > 1 { all } else { Vec::new() };
        let line = SegmentedLine {
            current: line,
            past,
        };
        fit.motion = Some(Arc::new(line));
    }
    fit
}

fn push_segment(coefficients: &mut Vec<Coefficient>, line: &SegmentLine, origin: f64) {
    let (estimate, standard_error) = line.value(origin);
    coefficients.push(Coefficient {
        segment: Some(line.segment),
        term: match line.has_slope() {
            true => "intercept",
            false => "level",
        },
        estimate,
        standard_error,
    });
}

/// The straight line of the current segment, with those of all segments where there are several.
#[derive(Debug, Clone)]
struct SegmentedLine {
    current: LineFit,
    /// Oldest first; empty where there is only one.
    past: Vec<SegmentLine>,
}

impl Motion for SegmentedLine {
    fn at(&self, x: f64) -> Option<Prediction> {
        self.current.at(x)
    }

    fn fitted(&self, x: f64) -> Option<Prediction> {
        let held = self.past.iter().rev().find(|line| line.from_x <= x);
        let held = held.or(self.past.first());
        held.map_or_else(|| self.at(x), |line| line.at(x, &self.current))
    }

    fn drift_freedom(&self) -> f64 {
        self.current.degrees_of_freedom
    }

    fn curve(&self) -> Curve<'_> {
        Curve::Line
    }
}
