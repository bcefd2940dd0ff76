/*! What a metrologist should hear about a fit: one sentence each, with numbers and units. */

use super::change::changes;
use super::fit::{Fit, Motion, Status};
use super::line::{self, LineFit};
use super::outliers::{FAMILY_LEVEL, screen};
use super::segments::{Remainder, remainder};
use super::trend::durbin_watson;
use super::{Axis, Reading};
use crate::records::{DAYS_PER_YEAR, History};
use crate::stats::{chi_squared_upper, fisher_upper, shapiro_wilk};
use std::f64::consts::TAU;

/// A finding is told where chance would make it once in a hundred histories.
/// Common practice, no source.
const TOLD_BELOW: f64 = 0.01;

/// Excess scatter is called significant below this. Common practice, no source.
const EXCESS_TOLD_BELOW: f64 = 0.05;

/// Fewest readings for tests of the residuals, and years for a season.
const LEAST_READINGS: usize = 8;
const LEAST_SEASON_YEARS: f64 = 1.5;

/// Three significant digits, plain where they read well.
pub fn figure(value: f64) -> String {
    let size = value.abs();
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    if !(1e-4..1e6).contains(&size) {
        return format!("{value:.2e}");
    }
    let decimals = (2 - size.log10().floor() as i32).clamp(0, 8) as usize;
    format!("{value:.decimals$}")
}

/// A p-value as words: `p = 0.004`, `p < 0.0001`.
pub fn chance(p: f64) -> String {
    if p < 1e-4 {
        "p < 0.0001".into()
    } else {
        format!("p = {}", format!("{p:.4}").trim_end_matches('0'))
    }
}

/// Adds the sentences that the data support to `fit.notes`.
pub fn add(fit: &mut Fit, readings: &[Reading], history: &History<'_>, axis: Axis) {
    let unit = history.item.unit.as_str();
    add_u(fit, readings, unit);
    add_missing(fit, readings, unit);
    if fit.status != Status::Estimated || readings.len() < 4 {
        return;
    }
    // Diagnostics are about the straight line, whatever curve was asked for: outliers of
    // the curve itself come from its own residuals.
    let line = line::fit(readings);
    if line.status != Status::Estimated {
        return;
    }
    let values: Vec<f64> = readings.iter().map(|r| r.value).collect();
    let of_line = remainder(readings, &line, &values);
    let told = Told {
        readings,
        history,
        unit,
        line: &line,
        rest: &of_line,
    };
    let stepped = matches!(fit.motion, Motion::Line { .. }) && told.step(&mut fit.notes);
    told.outliers(fit);
    if readings.len() < LEAST_READINGS {
        return;
    }
    let mut seasonal = false;
    if axis == Axis::Time && matches!(fit.motion, Motion::Line { .. }) {
        seasonal = told.season(&mut fit.notes);
    }
    if matches!(fit.motion, Motion::Line { .. }) && !stepped && !seasonal {
        told.neighbours(&mut fit.notes);
        told.normality(&mut fit.notes);
    }
}

fn add_u(fit: &mut Fit, readings: &[Reading], unit: &str) {
    let stated = readings
        .iter()
        .filter(|r| r.u.is_finite() && r.u > 0.0)
        .count();
    let n = readings.len();
    if stated > 0 && stated < n {
        fit.notes.push(format!(
            "u is stated for {stated} of {n} readings; all weigh alike and their scatter comes from the residuals"
        ));
    }
    let freedom = f64::from(fit.readings) - fit.coefficients.len() as f64;
    if stated == n && fit.excess_u > 0.0 && freedom > 0.0 {
        let p = chi_squared_upper(fit.chi_squared, freedom);
        if p < EXCESS_TOLD_BELOW {
            fit.notes.push(format!(
                "the readings scatter more than their u explains (χ² = {} for {freedom} degrees of freedom, {}); \
                 an excess of {} {unit} is added to each",
                figure(fit.chi_squared),
                chance(p),
                figure(fit.excess_u),
            ));
        }
    }
    if stated < n && fit.degrees_of_freedom == 1.0 && fit.status == Status::Estimated {
        fit.notes.push(
            "one degree of freedom: without a stated u the scatter rests on a single difference, \
             and the bands are about six times wider than with u known"
                .into(),
        );
    }
}

fn add_missing(fit: &mut Fit, readings: &[Reading], unit: &str) {
    if fit.status != Status::LevelOnly || !fit.notes.is_empty() {
        return;
    }
    let current = readings.last().map_or(0, |r| r.drift_segment);
    let own = readings
        .iter()
        .filter(|r| r.drift_segment == current)
        .count();
    let value = readings.last().map_or(f64::NAN, |r| r.value);
    let sentence = match own {
        1 if readings.len() > 1 => "one reading since the drift started anew; a second, with u, gives a drift".into(),
        1 => format!("one reading ({} {unit}); a second, with u, gives a drift", figure(value)),
        2 => "two readings without u fit any line exactly; a third, or u, gives a drift with its uncertainty".into(),
        _ => "the readings since the drift started anew share one date; a drift needs two dates".into(),
    };
    fit.notes.push(sentence);
}

struct Told<'a> {
    readings: &'a [Reading],
    history: &'a History<'a>,
    unit: &'a str,
    line: &'a LineFit,
    rest: &'a Remainder,
}

impl Told<'_> {
    fn date(&self, index: usize) -> String {
        let days = self.history.date[self.readings[index].check as usize];
        chrono::DateTime::from_timestamp((days * 86_400.0) as i64, 0)
            .map_or_else(|| figure(days), |date| date.format("%Y-%m-%d").to_string())
    }

    fn outliers(&self, fit: &mut Fit) {
        let (own, freedom, known) = match &fit.motion {
            Motion::Regression(curve) => (
                Remainder {
                    left: curve.residuals.clone(),
                    weight: weights(&curve.residuals, &curve.whitened),
                    leverage: curve.leverage.clone(),
                },
                curve.residual_freedom,
                curve.u_known,
            ),
            _ => (
                self.rest.clone(),
                self.line.residual_freedom,
                self.line.u_known,
            ),
        };
        for outlier in screen(
            &own.left,
            &own.weight,
            &own.leverage,
            freedom,
            known,
            FAMILY_LEVEL,
        ) {
            fit.notes.push(format!(
                "the reading of {} lies {} {} off the fit ({} times its standard deviation, {} for the most \
                 extreme of {}); it is kept",
                self.date(outlier.index),
                figure(outlier.residual),
                self.unit,
                figure(outlier.deleted.abs()),
                chance(outlier.p),
                self.readings.len(),
            ));
        }
    }

    fn step(&self, notes: &mut Vec<String>) -> bool {
        let x: Vec<f64> = self.readings.iter().map(|r| r.x).collect();
        let Some(found) = changes(&x, &self.rest.left, &self.rest.weight) else {
            return false;
        };
        if found.p >= TOLD_BELOW {
            return false;
        }
        for (cut, step) in found.cuts.iter().zip(&found.steps) {
            notes.push(format!(
                "the value stepped by {} {} between {} and {} ({}); no event is recorded there, and strong \
                 wander can look the same",
                figure(*step),
                self.unit,
                self.date(cut - 1),
                self.date(*cut),
                chance(found.p),
            ));
        }
        true
    }

    /// F test of a yearly sine and cosine on top of the line, both cleared of the line first.
    fn season(&self, notes: &mut Vec<String>) -> bool {
        let n = self.readings.len();
        let years = self.readings[n - 1].x - self.readings[0].x;
        let left = self.line.residual_freedom - 2.0;
        if years < LEAST_SEASON_YEARS || left < 2.0 {
            return false;
        }
        let wave = |f: fn(f64) -> f64| -> Vec<f64> {
            let column: Vec<f64> = self.readings.iter().map(|r| f(TAU * r.x)).collect();
            remainder(self.readings, self.line, &column).left
        };
        let (c, s) = (wave(f64::cos), wave(f64::sin));
        let (w, y) = (&self.rest.weight, &self.rest.left);
        let sum = |a: &[f64], b: &[f64]| (0..n).map(|i| w[i] * a[i] * b[i]).sum::<f64>();
        let (cc, cs, ss) = (sum(&c, &c), sum(&c, &s), sum(&s, &s));
        let (cy, sy, yy) = (sum(&c, y), sum(&s, y), sum(y, y));
        let determinant = cc * ss - cs * cs;
        if determinant <= 1e-6 * cc * ss {
            return false;
        }
        let cosine = (cy * ss - sy * cs) / determinant;
        let sine = (sy * cc - cy * cs) / determinant;
        let gained = cosine * cy + sine * sy;
        let p = fisher_upper(0.5 * gained / ((yy - gained) / left), 2.0, left);
        if p.is_nan() || p >= TOLD_BELOW {
            return false;
        }
        let peak = (sine.atan2(cosine) / TAU).rem_euclid(1.0);
        const MONTHS: [&str; 12] = [
            "January",
            "February",
            "March",
            "April",
            "May",
            "June",
            "July",
            "August",
            "September",
            "October",
            "November",
            "December",
        ];
        notes.push(format!(
            "the value swings by ±{} {} with the year, highest in {} ({}); model season allows for it",
            figure(cosine.hypot(sine)),
            self.unit,
            MONTHS[((peak * 12.0) as usize).min(11)],
            chance(p),
        ));
        true
    }

    fn neighbours(&self, notes: &mut Vec<String>) {
        let x: Vec<f64> = self.readings.iter().map(|r| r.x).collect();
        let scaled = self.scaled();
        let Some(test) = durbin_watson(&x, &scaled) else {
            return;
        };
        if test.p >= TOLD_BELOW {
            return;
        }
        let years =
            (self.history.date[self.history.len() - 1] - self.history.date[0]) / DAYS_PER_YEAR;
        let spacing = if test.evenly_spaced { "even" } else { "uneven" };
        notes.push(format!(
            "successive readings lie {} of the line (Durbin–Watson {} on {spacing} dates over {} years, {}): \
             the item {}, and the line's bands hold near the last checks only",
            if test.d < 2.0 { "on the same side" } else { "on alternating sides" },
            figure(test.d),
            figure(years),
            chance(test.p),
            if test.d < 2.0 { "wanders" } else { "is read in two ways" },
        ));
    }

    fn normality(&self, notes: &mut Vec<String>) {
        if let Some(test) = shapiro_wilk(&self.scaled())
            && test.p < TOLD_BELOW
        {
            notes.push(format!(
                "the readings scatter otherwise than normally (Shapiro–Wilk W = {:.3}, {}); the level of the bands is approximate",
                test.w,
                chance(test.p),
            ));
        }
    }

    fn scaled(&self) -> Vec<f64> {
        let pairs = self.rest.left.iter().zip(&self.rest.weight);
        pairs.map(|(r, w)| r * w.sqrt()).collect()
    }
}

fn weights(residuals: &[f64], whitened: &[f64]) -> Vec<f64> {
    let square = |(r, w): (&f64, &f64)| if *r == 0.0 { 1.0 } else { (w / r).powi(2) };
    residuals.iter().zip(whitened).map(square).collect()
}
