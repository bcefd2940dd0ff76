/*! What the residuals of a fit say, as numbers; [`super::notes`] turns them into words.

Order, normality and outliers are judged about the fitted curve where there is one, and about
the straight line of each segment where the model is that line, follows the readings or is an
average. Steps are searched only about a straight line; what follows, seasons among it, then looks
between the steps, and [`Diagnostics::steps_taken_out`] says so.
*/

use super::change::{Changes, Kind, changes};
use super::outliers::{FAMILY_LEVEL, Outlier, screen};
use super::trend::{DurbinWatson, MannKendall, durbin_watson, mann_kendall, runs};
use crate::drift::fit::{Curve, Fit};
use crate::drift::regression::fit::Regression;
use crate::drift::regression::line;
use crate::drift::regression::line::LineFit;
use crate::drift::regression::robust::{TheilSen, theil_sen};
use crate::drift::regression::segments::{Remainder, directions, lines, remainder};
use crate::drift::regression::year_dates::Seen;
use crate::drift::series::readings::{Axis, Reading};
use crate::drift::status::Status;
use crate::stats::{Normality, chi_squared_upper, fisher_upper, shapiro_wilk};
use std::borrow::Cow;
use std::f64::consts::TAU;

/// Fewest readings for tests of the residuals, and years for a season.
pub(crate) const LEAST_READINGS: usize = 8;
pub(crate) const LEAST_SEASON_YEARS: f64 = 1.5;

/// A change point splits the readings for the later tests below this.
const STEP_LEVEL: f64 = 0.01;

/// Most readings that the screen of one history flags.
const MOST_OUTLIERS: usize = 5;

/// Level of the Theil–Sen interval.
const ROBUST_LEVEL: f64 = 0.95;

/// Tests of one fit; `None` where the data are too few for a test or it does not apply.
#[derive(Debug, Clone, Default)]
pub(crate) struct Diagnostics {
    /// Probability of a larger χ² where the stated u explains all scatter.
    pub consistency: Option<f64>,
    /// Readings far off the fit, most extreme first.
    pub outliers: Vec<Outlier>,
    /// Steps that no event explains.
    pub changes: Option<Changes>,
    /// Steps that were taken out before the tests below and the outliers were judged.
    pub steps_taken_out: usize,
    /// True where the tests below are about the fitted curve and not about a straight line.
    pub about_curve: bool,
    /// Yearly swing about the line.
    pub annual: Option<AnnualTest>,
    /// Likeness of neighbours.
    pub neighbours: Option<DurbinWatson>,
    /// Runs of signs: count, expected, p.
    pub runs: Option<(usize, f64, f64)>,
    /// Shape of the scatter.
    pub normality: Option<Normality>,
    /// Monotone trend by ranks, within one segment only.
    pub trend: Option<MannKendall>,
    /// Robust slope, within one segment only.
    pub robust: Option<TheilSen>,
}

/// Yearly sine about the straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct AnnualTest {
    /// Half of the swing, history's unit.
    pub amplitude: f64,
    /// When it is highest, as a fraction of the calendar year.
    pub peak: f64,
    /// Probability of so large a swing by chance (F test).
    pub p: f64,
}

/// Readings with their straight lines and what these leave.
struct About<'a> {
    readings: Cow<'a, [Reading]>,
    line: LineFit,
    rest: Remainder,
}

impl<'a> About<'a> {
    fn of(readings: Cow<'a, [Reading]>, line: LineFit) -> Self {
        let rest = residuals(&readings, &line);
        Self {
            readings,
            line,
            rest,
        }
    }
}

/// Tests `fit` of `readings`; nothing for a fit that estimated nothing.
pub(crate) fn diagnose(fit: &Fit, readings: &[Reading], axis: Axis) -> Diagnostics {
    let line = line::fit(readings);
    let mut found = Diagnostics {
        consistency: consistency(fit, &line),
        ..Diagnostics::default()
    };
    if fit.motion.is_none() || readings.len() < 4 {
        return found;
    }
    if line.status != Status::Estimated {
        return found;
    }
    let straight = matches!(fit.curve(), Curve::Line);
    let x: Vec<f64> = readings.iter().map(|r| r.x).collect();
    let mut about = About::of(Cow::Borrowed(readings), line);
    if straight {
        found.changes = changes(&x, &about.rest.left, &about.rest.weight);
    }
    // What follows is judged between the steps: a step is not also wander or outliers.
    if let Some(changes) = found.changes.as_ref().filter(|c| c.p < STEP_LEVEL) {
        let pieces = cut(readings, changes);
        found.steps_taken_out = changes.cuts.len();
        let line = line::fit(&pieces);
        about = About::of(Cow::Owned(pieces), line);
    }
    found.outliers = match fit.curve() {
        Curve::Regression(curve) => outliers_of_curve(curve),
        _ => outliers_of_line(&about),
    };
    if readings.len() < LEAST_READINGS {
        return found;
    }
    if straight && axis == Axis::Time {
        found.annual = annual(&about);
    }
    let (scaled, design) = match fit.curve() {
        Curve::Regression(curve) => (curve.over_u().to_vec(), curve.directions(readings)),
        _ => {
            let scaled = about.rest.left.iter().zip(&about.rest.weight);
            let scaled = scaled.map(|(r, w)| r * w.sqrt()).collect();
            (scaled, directions(&about.readings, &about.line))
        }
    };
    found.about_curve = matches!(fit.curve(), Curve::Regression(_));
    found.neighbours = durbin_watson(&x, &scaled, &design);
    found.runs = runs(&scaled);
    found.normality = shapiro_wilk(&scaled);
    if readings[0].segment == readings[readings.len() - 1].segment {
        let values: Vec<f64> = readings.iter().map(|r| r.value).collect();
        found.trend = mann_kendall(&x, &values);
        found.robust = theil_sen(&x, &values, ROBUST_LEVEL);
    }
    found
}

fn residuals(readings: &[Reading], line: &LineFit) -> Remainder {
    let values: Vec<f64> = readings.iter().map(|r| r.value).collect();
    remainder(readings, line, &values)
}

/// The readings with a new level (and drift) from each found change on.
fn cut(readings: &[Reading], found: &Changes) -> Vec<Reading> {
    let passed = |i: usize| found.cuts.iter().filter(|cut| **cut <= i).count() as u32;
    let new_drift = found.kind == Kind::LevelAndDrift;
    let moved = |(i, r): (usize, &Reading)| Reading {
        segment: r.segment + passed(i),
        drift_segment: r.drift_segment + if new_drift { passed(i) } else { 0 },
        ..*r
    };
    readings.iter().enumerate().map(moved).collect()
}

/// About the fitted curve; about the straight line of each segment where the model follows
/// the readings (state, wander) or is an average.
fn consistency(fit: &Fit, line: &LineFit) -> Option<f64> {
    let p = match fit.curve() {
        Curve::Regression(curve) if curve.u_known => {
            chi_squared_upper(curve.chi_squared, curve.residual_freedom)
        }
        Curve::Regression(_) => f64::NAN,
        _ => line.consistency,
    };
    p.is_finite().then_some(p)
}

fn outliers_of_curve(curve: &Regression) -> Vec<Outlier> {
    let square = |(r, w): (&f64, &f64)| if *r == 0.0 { 1.0 } else { (w / r).powi(2) };
    let pairs = curve.residuals.iter().zip(&curve.whitened);
    let weight: Vec<f64> = pairs.map(square).collect();
    let (left, freedom) = (&curve.residuals, curve.residual_freedom);
    let all = screen(left, &weight, &curve.leverage, freedom, curve.u_known);
    all.into_iter().filter(|o| o.p < FAMILY_LEVEL).collect()
}

/// Sequential screen: takes the most extreme reading out, refits, looks again, so that two
/// wild readings cannot hide each other; flags up to the last that is significant
/// (B. Rosner, Technometrics 25 (1983) 165–172; NIST/SEMATECH e-Handbook 1.3.5.17.3).
fn outliers_of_line(about: &About<'_>) -> Vec<Outlier> {
    let readings = &about.readings;
    let most = (readings.len() / 5).clamp(1, MOST_OUTLIERS);
    let mut kept: Vec<usize> = (0..readings.len()).collect();
    let mut taken: Vec<Outlier> = Vec::new();
    let mut again: Option<About<'_>> = None;
    while taken.len() < most {
        let About {
            line, rest: left, ..
        } = again.as_ref().unwrap_or(about);
        if line.status != Status::Estimated {
            break;
        }
        let (freedom, known) = (line.residual_freedom, line.u_known);
        let all = screen(&left.left, &left.weight, &left.leverage, freedom, known);
        let Some(worst) = all.first().copied() else {
            break;
        };
        taken.push(Outlier {
            index: kept[worst.index],
            ..worst
        });
        kept.remove(worst.index);
        if taken.len() < most {
            let others: Vec<Reading> = kept.iter().map(|i| readings[*i]).collect();
            let line = line::fit(&others);
            again = Some(About::of(Cow::Owned(others), line));
        }
    }
    let last = taken.iter().rposition(|o| o.p < FAMILY_LEVEL);
    let Some(last) = last else {
        return Vec::new();
    };
    taken.truncate(last + 1);
    against_the_others(readings, &taken, taken[last].p)
}

/// The flagged readings as the line of all others sees them; `p` is that of the whole set.
fn against_the_others(readings: &[Reading], flagged: &[Outlier], p: f64) -> Vec<Outlier> {
    let is_flagged = |i: &usize| flagged.iter().any(|o| o.index == *i);
    let others = (0..readings.len()).filter(|i| !is_flagged(i));
    let others: Vec<Reading> = others.map(|i| readings[i]).collect();
    let line = line::fit(&others);
    let lines = lines(&others, &line);
    let judged = |outlier: &Outlier| {
        let r = readings[outlier.index];
        let own = lines.iter().find(|part| part.segment == r.segment)?;
        let expected = own.at(r.x, &line)?;
        let residual = r.value - expected.expected;
        Some(Outlier {
            residual,
            deleted: residual / expected.u_reading,
            p,
            ..*outlier
        })
    };
    flagged.iter().map(|o| judged(o).unwrap_or(*o)).collect()
}

/// F test of a yearly cosine and sine on top of the line, both cleared of the line first.
fn annual(about: &About<'_>) -> Option<AnnualTest> {
    let About {
        readings,
        line,
        rest,
    } = about;
    let n = readings.len();
    let years = readings[n - 1].x - readings[0].x;
    let freedom = line.residual_freedom - 2.0;
    if years < LEAST_SEASON_YEARS || freedom < 2.0 {
        return None;
    }
    let wave = |f: fn(f64) -> f64| -> Vec<f64> {
        let column: Vec<f64> = readings.iter().map(|r| f(TAU * r.x)).collect();
        remainder(readings, line, &column).left
    };
    let (c, s) = (wave(f64::cos), wave(f64::sin));
    let (w, y) = (&rest.weight, &rest.left);
    let sum = |a: &[f64], b: &[f64]| (0..n).map(|i| w[i] * a[i] * b[i]).sum::<f64>();
    let (cc, cs, ss) = (sum(&c, &c), sum(&c, &s), sum(&s, &s));
    let (cy, sy, yy) = (sum(&c, y), sum(&s, y), sum(y, y));
    let determinant = cc * ss - cs * cs;
    if Seen::by(readings) != Seen::Both {
        return None;
    }
    let cosine = (cy * ss - sy * cs) / determinant;
    let sine = (sy * cc - cy * cs) / determinant;
    let gained = cosine * cy + sine * sy;
    let p = fisher_upper(0.5 * gained / ((yy - gained) / freedom), 2.0, freedom);
    p.is_finite().then_some(AnnualTest {
        amplitude: cosine.hypot(sine),
        peak: (sine.atan2(cosine) / TAU).rem_euclid(1.0),
        p,
    })
}
