/*! Writes the tables of a run batch by batch, so that memory does not grow with the fleet. */

use crate::decisions::policy::Decision;
use crate::decisions::stage::DecisionStage;
use crate::drift::Course;
use crate::drift::diagnostics::tests::{Diagnostics, diagnose};
use crate::drift::series::readings::fill_readings;
use crate::files::run_error::RunError;
use crate::intervals::Proposal;
use crate::records::{Histories, History, Loaded, Warning, counted};
use crate::report::fits_table::{Tests, fits};
use crate::report::merged_tables::{Batches, merge};
use crate::report::row_table::RowTable;
use crate::report::table::Table;
use crate::report::table_stream::TableStream;
use crate::report::table_writer::{BATCH_ROWS, TableFolder, TableWriter};
use crate::report::tables::{self, ForecastPoint, Row};
use polars::prelude::PolarsResult;
use rayon::prelude::*;
use std::io::Write;
use std::path::{Path, PathBuf};

/// The writers of all per-history tables.
struct Writers {
    decisions: TableWriter,
    proposals: TableWriter,
    fits: TableWriter,
    coefficients: TableWriter,
    forecast: TableWriter,
}

fn failed<E: std::fmt::Display>(name: &'static str) -> impl Fn(E) -> RunError {
    move |why| RunError::write(name, why)
}

/// What was found while the tables were written, in the histories' order.
#[derive(Debug, Default)]
pub(crate) struct Decided {
    pub decisions: Vec<Decision>,
    /// Tests of each fit; empty where they were left out.
    pub tests: Vec<Diagnostics>,
}

/// Decides for every history and writes `decisions`, `proposals`, `fits`,
/// `coefficients` and `forecast`.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write_all(
    stage: &DecisionStage<'_>,
    to: TableFolder<'_>,
) -> Result<Decided, RunError> {
    let mut writers = Writers::create(stage, to)?;
    let count = stage.histories.len();
    let mut found = Decided {
        decisions: Vec::with_capacity(count),
        tests: Vec::new(),
    };
    for start in (0..count).step_by(BATCH_ROWS) {
        let made = stage.decide_range(start..(start + BATCH_ROWS).min(count));
        writers.write_batch(stage, start, made, &mut found)?;
    }
    let decisions = &mut found.decisions;
    stage.level_workload(decisions);
    if stage.levels_workload() {
        for start in (0..count).step_by(BATCH_ROWS) {
            let end = (start + BATCH_ROWS).min(count);
            let rows = stage.rows(start, &decisions[start..end]);
            let table = tables::decisions(&rows, stage.as_of);
            writers
                .decisions
                .write(&table)
                .map_err(failed("decisions"))?;
        }
    }
    writers.finish()?;
    Ok(found)
}

/// The tables that a part of a fleet gives, without rows.
pub(crate) fn part_shapes(as_of: f64) -> Vec<(&'static str, Table<'static>)> {
    let nothing = Loaded::default();
    vec![
        ("decisions", tables::decisions(&[], as_of)),
        ("proposals", tables::proposals(&[])),
        ("fits", fits(&[], &[])),
        ("rejects", rejects(&nothing)),
        ("warnings", warnings(&[])),
    ]
}

/// Decides for every history of a part of a fleet and writes those of the tables that the stream asks
/// for.
///
/// # Errors
/// A reader that went away.
pub(crate) fn write_part<W: Write>(
    stage: &DecisionStage<'_>,
    loaded: &Loaded,
    to: &mut TableStream<W>,
) -> PolarsResult<()> {
    let count = stage.histories.len();
    for start in (0..count).step_by(BATCH_ROWS) {
        let made = stage.decide_range(start..(start + BATCH_ROWS).min(count));
        let (proposals, decisions): (Vec<_>, Vec<_>) = made.into_iter().unzip();
        let rows = stage.rows(start, &decisions);
        to.write("decisions", &tables::decisions(&rows, stage.as_of))?;
        to.write("proposals", &tables::proposals(&listed(&rows, &proposals)))?;
        if to.asks("fits") {
            let tests: Vec<Tests> = rows.par_iter().map(|row| stage.tests(row)).collect();
            to.write("fits", &fits(&rows, &tests))?;
        }
    }
    to.write("rejects", &rejects(loaded))?;
    to.write("warnings", &warnings(&loaded.warnings))
}

/// The proposals with the history that each list is of.
fn listed<'r>(
    rows: &[Row<'r>],
    proposals: &'r [Vec<Proposal>],
) -> Vec<(History<'r>, &'r [Proposal])> {
    let pairs = rows.iter().zip(proposals);
    pairs.map(|(r, p)| (r.history, p.as_slice())).collect()
}

/// Writes `rejects` and `warnings`, those of other tables than the checks' too.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn write_accounts(
    loaded: &Loaded,
    others: impl Iterator<Item = Warning>,
    folder: &Path,
) -> Result<(), RunError> {
    let to = TableFolder::csv(folder);
    to.write("rejects", &rejects(loaded))?;
    let all: Vec<Warning> = loaded.warnings.iter().cloned().chain(others).collect();
    to.write("warnings", &warnings(&all))
}

/// Writes the tables of a whole fleet from those of its `parts`, each in a folder of its own.
///
/// # Errors
/// A file that cannot be read or written.
pub(crate) fn merge_all(
    parts: &[PathBuf],
    as_of: f64,
    to: TableFolder<'_>,
) -> Result<(), RunError> {
    let decisions = tables::decisions(&[], as_of);
    let firsts = merge(parts, ("decisions", &decisions), &Batches::Rows, to)?;
    let before = Batches::Before(&firsts);
    let by_history = [
        ("proposals", tables::proposals(&[])),
        ("fits", fits(&[], &[])),
        ("coefficients", tables::coefficients(&[])),
        ("forecast", tables::forecast(&[])),
    ];
    for (name, shape) in &by_history {
        merge(parts, (name, shape), &before, to)?;
    }
    let none = Histories::default();
    let instruments = super::fleet::instruments::table(&none, &[], &[]);
    merge(parts, ("instruments", &instruments), &Batches::Rows, to)?;
    let cases = super::cases::table(&[]);
    merge(parts, ("cases", &cases), &Batches::Before(&[]), to).map(drop)
}

impl DecisionStage<'_> {
    /// Rows of the tables for `decisions`, the first of which is history `start`'s.
    fn rows<'r>(&'r self, start: usize, decisions: &'r [Decision]) -> Vec<Row<'r>> {
        let row = |(offset, decision)| Row {
            history: self.histories.get(start + offset),
            fit: &self.fits.fits[start + offset],
            decision,
        };
        decisions.iter().enumerate().map(row).collect()
    }
}

impl Writers {
    fn create(stage: &DecisionStage<'_>, to: TableFolder<'_>) -> Result<Self, RunError> {
        let create = |name: &'static str, shape: Table<'_>| {
            TableWriter::create(to, name, &shape).map_err(failed(name))
        };
        Ok(Self {
            decisions: create("decisions", tables::decisions(&[], stage.as_of))?,
            proposals: create("proposals", tables::proposals(&[]))?,
            fits: create("fits", fits(&[], &[]))?,
            coefficients: create("coefficients", tables::coefficients(&[]))?,
            forecast: create("forecast", tables::forecast(&[]))?,
        })
    }

    /// Writes one batch and keeps its decisions, without what only the tables need.
    fn write_batch(
        &mut self,
        stage: &DecisionStage<'_>,
        start: usize,
        made: Vec<(Vec<Proposal>, Decision)>,
        found: &mut Decided,
    ) -> Result<(), RunError> {
        let (proposals, mut decisions): (Vec<_>, Vec<_>) = made.into_iter().unzip();
        let tests = self.write(stage, start, &proposals, &decisions)?;
        if stage.forecast {
            found.tests.extend(tests.into_iter().map(|t| t.found));
        }
        // A page that tells the rules decides again, and a row of the fleet's table tells the last
        // one; a fleet's worth of all would fill the memory.
        for decision in &mut decisions {
            decision.rules_fired = decision.rules_fired.pop().into_iter().collect();
            decision.what_would_change = Vec::new();
        }
        found.decisions.extend(decisions);
        Ok(())
    }

    fn write(
        &mut self,
        stage: &DecisionStage<'_>,
        start: usize,
        proposals: &[Vec<Proposal>],
        decisions: &[Decision],
    ) -> Result<Vec<Tests>, RunError> {
        let rows = stage.rows(start, decisions);
        let listed = listed(&rows, proposals);
        let as_of = stage.as_of;
        let (decisions, written) = (&mut self.decisions, &mut self.fits);
        let (proposals, coefficients) = (&mut self.proposals, &mut self.coefficients);
        let forecast = &mut self.forecast;
        // Each table has files of its own, so that they can be written side by side.
        let first = || {
            rayon::join(
                // A levelled date needs every decision: that table is written at the end.
                || match stage.levels_workload() {
                    true => Ok(()),
                    false => decisions.write(&tables::decisions(&rows, as_of)),
                },
                || {
                    let tests: Vec<Tests> = rows.par_iter().map(|row| stage.tests(row)).collect();
                    written.write(&fits(&rows, &tests)).map(|()| tests)
                },
            )
        };
        let second = || {
            rayon::join(
                || proposals.write(&tables::proposals(&listed)),
                || coefficients.write(&tables::coefficients(&rows)),
            )
        };
        let ((decided, fitted), (proposed, estimated)) = rayon::join(first, second);
        decided.map_err(failed("decisions"))?;
        let tests = fitted.map_err(failed("fits"))?;
        proposed.map_err(failed("proposals"))?;
        estimated.map_err(failed("coefficients"))?;
        if !stage.forecast {
            return Ok(tests);
        }
        let points: Vec<ForecastPoint<'_>> = rows
            .par_iter()
            .flat_map_iter(|row| forecast_of(row, stage))
            .collect();
        forecast
            .write(&tables::forecast(&points))
            .map_err(failed("forecast"))?;
        Ok(tests)
    }

    fn finish(self) -> Result<(), RunError> {
        self.decisions.finish().map_err(failed("decisions"))?;
        self.proposals.finish().map_err(failed("proposals"))?;
        self.fits.finish().map_err(failed("fits"))?;
        self.coefficients.finish().map_err(failed("coefficients"))?;
        self.forecast.finish().map_err(failed("forecast"))
    }
}

impl DecisionStage<'_> {
    /// The tests of one fit; left out with the forecasts where the fleet is too large for them.
    fn tests(&self, row: &Row<'_>) -> Tests {
        if !self.forecast {
            const WHY: &str = "tests: left out with the forecasts, see [output] forecast";
            return Tests::left_out(row.fit, WHY);
        }
        let mut readings = Vec::new();
        fill_readings(&row.history, self.drift.axis, &mut readings);
        let found = diagnose(row.fit, &readings, self.drift.axis);
        Tests::of(row.fit, &readings, found)
    }
}

/// The forecast by date; none where the use to come is not known, which the fit's notes say.
fn forecast_of<'a>(
    row: &Row<'a>,
    stage: &DecisionStage<'_>,
) -> impl Iterator<Item = ForecastPoint<'a>> + use<'a> {
    let (item, level) = (row.history.item, stage.drift.level);
    let tolerance = item.tolerance.filter(|_| !row.decision.level_in_doubt);
    let course = Course::of(row.fit, &row.history, stage.drift.axis).ok();
    tables::forecast_days(stage.as_of).filter_map(move |day| {
        let found = course.as_ref()?.on(day)?;
        let (confidence, prediction) = found.bands(level);
        Some(ForecastPoint {
            item,
            day,
            expected: (found.expected, found.u_error),
            confidence,
            prediction,
            probability: tolerance.map_or(f64::NAN, |t| found.probability_in(t)),
        })
    })
}

pub(super) fn rejects(loaded: &Loaded) -> Table<'static> {
    RowTable::of(&loaded.rejects)
        .made("file", |r| r.file.to_string())
        .whole("row", |r| Some(i64::from(r.row_below_header(loaded))))
        .made("column", |r| r.column.to_string())
        .made("value", |r| r.value.clone())
        .made("reason", |r| r.reason.to_string())
        .made("carries", |r| r.carried.words())
        .about("what the row says of a failure or an event; such rows stand first")
        .whole("line", |r| Some(i64::from(r.row)))
        .about("the number of the row as a spreadsheet or an editor shows it, header and titles included, which is what every message says; `row` counts from 1 below the header")
        .done()
}

pub(super) fn warnings(warnings: &[Warning]) -> Table<'static> {
    RowTable::of(&counted(warnings))
        .made("source", |(w, _)| w.source.clone())
        .about("the first place where it holds")
        .made("warning", |(w, _)| w.words.clone())
        .count("count", |(_, count)| *count)
        .about("of how many places the same is said")
        .done()
}
