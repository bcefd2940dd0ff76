/*! `fits`: the figures of each fit, the tests of it, how its model was chosen, and in words
why a figure is missing. */

use super::table::{Cells, Table};
use super::tables::{Row, identity};
use crate::drift::Fit;
use crate::drift::diagnostics::findings::{flags, missing};
use crate::drift::diagnostics::tests::Diagnostics;
use crate::drift::series::readings::Reading;

/// The tests of one fit as the table shows them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Tests {
    /// What was found.
    pub found: Diagnostics,
    /// What deserves a look, in words.
    pub flags: String,
    /// Why figures are missing, in words.
    pub missing: String,
}

impl Tests {
    pub(crate) fn of(fit: &Fit, readings: &[Reading], found: Diagnostics) -> Self {
        Self {
            flags: flags(fit, &found).join("; "),
            missing: missing(fit, &found, readings).join("; "),
            found,
        }
    }

    /// Tests of `fit` that were left out, with the reason.
    pub(crate) fn left_out(fit: &Fit, why: &str) -> Self {
        let found = Diagnostics::default();
        Self {
            flags: flags(fit, &found).join("; "),
            missing: why.into(),
            found,
        }
    }
}

/// `fits`: one row a history, with the tests of each in the same order.
pub(crate) fn fits<'a>(rows: &[Row<'a>], tests: &'a [Tests]) -> Table<'a> {
    let tested = |get: fn(&Diagnostics) -> Option<f64>| {
        let values = tests
            .iter()
            .map(|test| get(&test.found).unwrap_or(f64::NAN));
        Cells::Number(values.collect())
    };
    identity(rows)
        .word("model", |r| r.fit.model.word())
        .whole("n", |r| Some(i64::from(r.fit.readings)))
        .about("readings, as-left ones too")
        .number("degrees_of_freedom", |r| r.fit.degrees_of_freedom)
        .number("residual_deviation", |r| r.fit.residual_deviation)
        .about("of the model wander: the noise of a reading, without what wanders")
        .number("excess_u", |r| r.fit.excess_u)
        .about("scatter beyond the stated u")
        .number("chi_squared", |r| r.fit.chi_squared)
        .number("drift_per_year", |r| r.fit.drift_per_year)
        .number("u_drift_per_year", |r| r.fit.u_drift_per_year)
        .number("wander_per_sqrt_year", |r| r.fit.wander_per_sqrt_year)
        .number("own_share", |r| r.fit.shrinkage_weight)
        .about("of the drift, from its own readings")
        .word("status", |r| r.fit.status.words())
        .made("notes", |r| r.fit.notes.join(" "))
        .number("slope_p", |r| r.fit.drift_p())
        .with("consistency_p", tested(|d| d.consistency))
        .with("trend_p", tested(|d| d.trend.as_ref().map(|t| t.p)))
        .with("durbin_watson", tested(|d| d.neighbours.map(|t| t.d)))
        .about("the statistic; order, shape and season are judged after steps without an event, `change_p` below 0.01, were taken out")
        .with("durbin_watson_p", tested(|d| d.neighbours.map(|t| t.p)))
        .with("runs_p", tested(|d| d.runs.map(|t| t.2)))
        .with("normality_p", tested(|d| d.normality.map(|t| t.p)))
        .with("season_p", tested(|d| d.annual.map(|t| t.p)))
        .with("change_p", tested(|d| d.changes.as_ref().map(|c| c.p)))
        .count("suspect_readings", |r| r.fit.suspects.len())
        .known("model_weight", |r| r.fit.choice.map(|c| c.weight))
        .about("of a chosen model")
        .word("runner_up", |r| runner_up(r.fit).map_or("", |(m, _)| m.word()))
        .known("runner_up_weight", |r| runner_up(r.fit).map(|(_, w)| w))
        .with("flags", Cells::Text(tests.iter().map(|t| t.flags.clone()).collect()))
        .with("missing", Cells::Text(tests.iter().map(|t| t.missing.clone()).collect()))
        .about("why a figure is empty")
        .done()
}

fn runner_up(fit: &Fit) -> Option<(crate::drift::ModelName, f64)> {
    fit.choice.and_then(|choice| choice.runner_up)
}
