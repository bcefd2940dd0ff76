/*! The replay of a plan's records: read, walk forward, score, write. */

use super::plan::Plan;
use super::run::{RunError, write_text};
use crate::records::{self, Histories};
use crate::report::charts::{calibration_chart, coverage_chart};
use crate::report::folder::Staging;
use crate::report::proof::{
    coverage_table, decision_table, difference_table, forecast_table, method_table, replay_markdown,
};
use crate::report::table::{BATCH_ROWS, Table, TableWriter};
use crate::simulate::replay::{Replay, ReplayResult, Walk};
use std::path::{Path, PathBuf};

/// What a replay found and where it is written.
#[derive(Debug, Clone)]
pub struct ReplaySummary {
    /// Folder of the replay.
    pub folder: PathBuf,
    /// Histories walked through.
    pub histories: usize,
    /// Checks walked through.
    pub checks: usize,
    /// The findings.
    pub result: ReplayResult,
}

/// The replay a plan asks for.
pub fn replay_of(plan: &Plan) -> Replay {
    let settings = &plan.settings;
    let mut replay = Replay::new(
        settings.drift.clone(),
        plan.interval_tables(),
        settings.replay.clone(),
    );
    replay.reliability = settings.reliability.clone();
    replay
}

/// Replays the plan's records and puts the result in place; `enter` is told each stage.
///
/// # Errors
/// Unreadable records, a folder that cannot be used, a disk that refuses.
pub fn replay(plan: &Plan, enter: &dyn Fn(&str)) -> Result<ReplaySummary, RunError> {
    let staging = Staging::open(&plan.out)?;
    enter("reading and screening the records");
    let loaded = records::load(&plan.request())?;
    let replay = replay_of(plan);
    enter("walking forward through the past");
    let walk = replay.walk(&loaded.histories);
    let result = replay.score(&loaded.histories, &walk);
    enter("writing");
    let level = plan.settings.drift.level;
    let text = format!("# Replay\n\n{}", replay_markdown(&result, level));
    write_text(staging.path(), "replay.md", &text)?;
    let folder = staging.path().join("replay");
    std::fs::create_dir_all(&folder).map_err(|error| RunError::write("replay", error))?;
    write_tables(&folder, &replay, &loaded.histories, &walk, &result)?;
    write_text(&folder, "coverage.svg", &coverage_chart(&result, level))?;
    if let Some(first) = result.forecasters.first() {
        let chart = calibration_chart(&first.name, &first.in_tolerance);
        write_text(&folder, "calibration.svg", &chart)?;
    }
    Ok(ReplaySummary {
        folder: staging.publish()?,
        histories: loaded.histories.len(),
        checks: loaded.histories.columns.date.len(),
        result,
    })
}

fn write_tables(
    folder: &Path,
    replay: &Replay,
    histories: &Histories,
    walk: &Walk,
    result: &ReplayResult,
) -> Result<(), RunError> {
    let one = |name: &str, table: Table<'static>| write_all(folder, name, std::iter::once(table));
    one("coverage", coverage_table(&result.forecasters))?;
    one("methods", method_table(&result.methods))?;
    one("differences", difference_table(&result.differences))?;
    let names: Vec<&str> = result
        .methods
        .iter()
        .map(|method| method.name.as_str())
        .collect();
    let rows = (BATCH_ROWS / names.len().max(1)).max(1);
    let decisions = batches(&walk.decisions, rows);
    let tables = decisions.map(|batch| decision_table(histories, &names, batch));
    write_all(folder, "past_decisions", tables)?;
    let forecasts = replay
        .forecasters
        .iter()
        .zip(&walk.forecasts)
        .flat_map(|(model, list)| {
            batches(list, BATCH_ROWS).map(|batch| {
                let made: Vec<_> = batch.iter().flatten().collect();
                forecast_table(model.name(), histories, &made)
            })
        });
    write_all(folder, "forecasts", forecasts)
}

/// Batches of a list; one empty batch of an empty list, so that the header is written.
fn batches<T>(list: &[T], rows: usize) -> impl Iterator<Item = &[T]> {
    let empty = list.is_empty().then_some(&list[..0]);
    list.chunks(rows).chain(empty)
}

fn write_all(
    folder: &Path,
    name: &str,
    tables: impl Iterator<Item = Table<'static>>,
) -> Result<(), RunError> {
    let failed = |error| RunError::write(format!("{name}.csv"), error);
    let mut writer: Option<TableWriter> = None;
    for table in tables {
        let open = match writer.take() {
            Some(open) => Ok(open),
            None => TableWriter::create(folder, name, &table, true),
        };
        let mut open = open.map_err(failed)?;
        open.write(&table).map_err(failed)?;
        writer = Some(open);
    }
    writer.map_or(Ok(()), |writer| writer.finish().map_err(failed))
}
