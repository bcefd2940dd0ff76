/*! `fits`: the figures of each fit, the tests of it, how its model was chosen, and in words
why a figure is missing. */

use super::table::{Cells, Table};
use super::tables::{Row, identity, numbers};
use crate::drift::Fit;
use crate::drift::diagnostics::findings::{flags, missing};
use crate::drift::diagnostics::tests::Diagnostics;
use crate::drift::series::readings::Reading;

/// The tests of one fit as the table shows them.
#[derive(Debug, Clone, Default)]
pub struct Tests {
    /// What was found.
    pub found: Diagnostics,
    /// What deserves a look, in words.
    pub flags: String,
    /// Why figures are missing, in words.
    pub missing: String,
}

impl Tests {
    /// The tests of `fit` on its readings.
    pub fn of(fit: &Fit, readings: &[Reading], found: Diagnostics) -> Self {
        Self {
            flags: flags(fit, &found).join("; "),
            missing: missing(fit, &found, readings).join("; "),
            found,
        }
    }

    /// Tests of `fit` that were left out, with the reason.
    pub fn left_out(fit: &Fit, why: &str) -> Self {
        let found = Diagnostics::default();
        Self {
            flags: flags(fit, &found).join("; "),
            missing: why.into(),
            found,
        }
    }
}

/// `fits`: one row a history, with the tests of each in the same order.
pub fn fits<'a>(rows: &[Row<'a>], tests: &'a [Tests]) -> Table<'a> {
    identity(rows)
        .with(
            "model",
            Cells::Word(rows.iter().map(|r| r.fit.model.word()).collect()),
        )
        .with(
            "n",
            Cells::Whole(
                rows.iter()
                    .map(|r| Some(i64::from(r.fit.readings)))
                    .collect(),
            ),
        )
.about("readings, as-left ones too")
        .with(
            "degrees_of_freedom",
            numbers(rows, |r| r.fit.degrees_of_freedom),
        )
        .with(
            "residual_deviation",
            numbers(rows, |r| r.fit.residual_deviation),
        )
        .with("excess_u", numbers(rows, |r| r.fit.excess_u))
.about("scatter beyond the stated u")
        .with("chi_squared", numbers(rows, |r| r.fit.chi_squared))
        .with("drift_per_year", numbers(rows, |r| r.fit.drift_per_year))
        .with(
            "u_drift_per_year",
            numbers(rows, |r| r.fit.u_drift_per_year),
        )
        .with(
            "wander_per_sqrt_year",
            numbers(rows, |r| r.fit.wander_per_sqrt_year),
        )
        .with("own_share", numbers(rows, |r| r.fit.shrinkage_weight))
.about("of the drift, from its own readings")
        .with(
            "status",
            Cells::Word(rows.iter().map(|r| r.fit.status.words()).collect()),
        )
        .with(
            "notes",
            Cells::Text(rows.iter().map(|r| r.fit.notes.join(" ")).collect()),
        )
        .with("slope_p", numbers(rows, |r| r.fit.drift_p()))
        .with("consistency_p", tested(tests, |d| d.consistency))
        .with("trend_p", tested(tests, |d| d.trend.as_ref().map(|t| t.p)))
        .with(
            "durbin_watson",
            tested(tests, |d| d.neighbours.map(|t| t.d)),
        )
.about("the statistic; order, shape and season are judged after steps without an event, `change_p` below 0.01, were taken out")
        .with(
            "durbin_watson_p",
            tested(tests, |d| d.neighbours.map(|t| t.p)),
        )
        .with("runs_p", tested(tests, |d| d.runs.map(|t| t.2)))
        .with("normality_p", tested(tests, |d| d.normality.map(|t| t.p)))
        .with("season_p", tested(tests, |d| d.annual.map(|t| t.p)))
        .with(
            "change_p",
            tested(tests, |d| d.changes.as_ref().map(|c| c.p)),
        )
        .with(
            "suspect_readings",
            Cells::Whole(
                rows.iter()
                    .map(|r| Some(r.fit.suspects.len() as i64))
                    .collect(),
            ),
        )
        .with(
            "model_weight",
            numbers(rows, |r| r.fit.choice.map_or(f64::NAN, |c| c.weight)),
        )
.about("of a chosen model")
        .with(
            "runner_up",
            Cells::Word(
                rows.iter()
                    .map(|r| runner_up(r.fit).map_or("", |(m, _)| m.word()))
                    .collect(),
            ),
        )
        .with(
            "runner_up_weight",
            numbers(rows, |r| runner_up(r.fit).map_or(f64::NAN, |(_, w)| w)),
        )
        .with(
            "flags",
            Cells::Text(tests.iter().map(|t| t.flags.clone()).collect()),
        )
        .with(
            "missing",
            Cells::Text(tests.iter().map(|t| t.missing.clone()).collect()),
        )
.about("why a figure is empty")
}

fn runner_up(fit: &Fit) -> Option<(crate::drift::ModelName, f64)> {
    fit.choice.and_then(|choice| choice.runner_up)
}

fn tested(tests: &[Tests], get: impl Fn(&Diagnostics) -> Option<f64>) -> Cells<'_> {
    Cells::Number(
        tests
            .iter()
            .map(|t| get(&t.found).unwrap_or(f64::NAN))
            .collect(),
    )
}
