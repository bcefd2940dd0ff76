/*! The replay of a plan's records: read, walk forward, score, write; also as a section of a run's report. */

use super::thermometry;
use crate::decisions::cases::closings::Closings;
use crate::files::folder::Staging;
use crate::files::own_files::OwnFiles;
use crate::files::run_error::RunError;
use crate::files::spare::Replaced;
use crate::ledger::earlier::{earlier_decisions, remember_failures};
use crate::records;
use crate::records::reading::own_report::RECORD;
use crate::records::{Histories, InputFile, RowCounts};
use crate::report::charts::{calibration_chart, coverage_chart};
use crate::report::compose::write::{own_files, write_json, write_text};
use crate::report::proof::{
    coverage_rows, coverage_table, decision_table, difference_table, forecast_table, method_table,
    replay_markdown,
};
use crate::report::table::Table;
use crate::report::table_writer::{BATCH_ROWS, TableFolder, TableWriter};
use crate::report::text::with_minus_signs;
use crate::report::{FigureView, SectionView};
use crate::settings::file::Settings;
use crate::settings::output::TableFormats;
use crate::settings::plan::Plan;
use crate::simulate::replay::{Replay, ReplayResult, Today, Walk};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// What a replay found and where it is written.
#[derive(Debug, Clone)]
pub(crate) struct ReplaySummary {
    /// Folder of the replay.
    pub folder: PathBuf,
    /// Histories walked through.
    pub histories: usize,
    /// Checks walked through.
    pub checks: usize,
    /// The findings.
    pub result: ReplayResult,
    /// What a person should know of the folder.
    pub notes: Vec<String>,
}

/// What went into a replay, and the files it wrote. It is no run: it has no as-of date.
#[derive(Serialize)]
struct ReplayRecord<'a> {
    driftbook: &'static str,
    replayed_to: String,
    inputs: &'a [InputFile],
    rows: RowCounts,
    settings: &'a Settings,
    files: OwnFiles,
}

/// The replay a plan asks for.
fn replay_of(plan: &Plan) -> Replay<'static> {
    let settings = &plan.settings;
    let mut replay = Replay::new(
        settings.drift.clone(),
        plan.interval_tables(),
        settings.replay.clone(),
    );
    replay.reliability = settings.reliability.clone();
    replay.control = settings.control.clone();
    replay
}

/// A replay made, and all it needs to be written down.
pub(crate) struct Replayed<'a> {
    replay: Replay<'a>,
    walk: Walk,
    formats: TableFormats,
    /// The findings.
    pub result: ReplayResult,
}

impl<'a> Replayed<'a> {
    /// Walks forward through the past of all histories, to what is decided `today`.
    pub(crate) fn of(
        plan: &Plan,
        histories: &Histories,
        closings: Option<&'a Closings>,
        today: Today<'a>,
    ) -> Self {
        let replay = Replay {
            closings,
            today: Some(today),
            ..replay_of(plan)
        };
        let walk = replay.walk(histories);
        let result = replay.score(histories, &walk);
        Replayed {
            replay,
            walk,
            formats: plan.settings.output.tables,
            result,
        }
    }

    /// The same, where the plan's report is to have a replay section.
    pub(crate) fn in_report(
        plan: &Plan,
        histories: &Histories,
        closings: Option<&'a Closings>,
        today: Today<'a>,
    ) -> Option<Self> {
        let output = &plan.settings.output;
        let longest = histories.iter().map(|h| h.len()).max().unwrap_or(0);
        let checks = histories.columns.date.len();
        let made = output.replay.made(output.charts, checks, longest);
        (made && checks > 0).then(|| Self::of(plan, histories, closings, today))
    }

    /// Level of the bands.
    fn level(&self) -> f64 {
        self.replay.drift.level
    }

    /// Writes `replay.md`, and tables and charts in `replay/`.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn write(&self, histories: &Histories, folder: &Path) -> Result<(), RunError> {
        let text = format!(
            "# Replay\n\n{}",
            replay_markdown(&self.result, self.level())
        );
        write_text(folder, "replay.md", &text)?;
        let inner = folder.join("replay");
        std::fs::create_dir_all(&inner).map_err(|error| RunError::write("replay", error))?;
        let to = TableFolder::new(&inner, self.formats, histories.len());
        self.write_tables(to, histories)?;
        for figure in self.figures() {
            write_text(folder, &figure.file, &figure.svg)?;
        }
        Ok(())
    }

    fn figures(&self) -> Vec<FigureView> {
        let level = self.level();
        let coverage = FigureView {
            title: "Share of later readings inside the band made before".into(),
            svg: coverage_chart(&self.result, level),
            file: "replay/coverage.svg".into(),
        };
        let first = self.result.forecasters.first();
        let calibration = first.map(|first| FigureView {
            title: "Forecast probability of being in tolerance, against what came".into(),
            svg: calibration_chart(&first.name, &first.in_tolerance),
            file: "replay/calibration.svg".into(),
        });
        std::iter::once(coverage).chain(calibration).collect()
    }

    /// The section of the run's report.
    pub(crate) fn section(&self) -> SectionView {
        let mut paragraphs = vec![
            "Every figure here was made as a run on that past day would have made it, from the checks dated up to then, and scored on what came next; replay.md has all of it.".to_string(),
        ];
        paragraphs.extend(
            self.result
                .words
                .iter()
                .map(|words| with_minus_signs(words)),
        );
        let (headers, rows) = coverage_rows(&self.result.forecasters);
        SectionView {
            title: "How it would have done on these records".into(),
            paragraphs,
            headers,
            rows,
            figures: self.figures(),
        }
    }

    fn write_tables(&self, to: TableFolder<'_>, histories: &Histories) -> Result<(), RunError> {
        let one = |name: &str, table: Table<'static>| write_all(to, name, std::iter::once(table));
        let result = &self.result;
        one("coverage", coverage_table(&result.forecasters))?;
        one("methods", method_table(&result.methods))?;
        one("differences", difference_table(&result.differences))?;
        let methods = result.methods.iter();
        let names: Vec<&str> = methods.map(|method| method.name.as_str()).collect();
        let rows = (BATCH_ROWS / names.len().max(1)).max(1);
        let today = self.walk.today.iter().map(|(past, _)| past.clone());
        let decisions: Vec<_> = self.walk.decisions.iter().cloned().chain(today).collect();
        let decisions = batches(&decisions, rows);
        let tables = decisions.map(|batch| decision_table(histories, &names, batch));
        write_all(to, "past_decisions", tables)?;
        let models = self.replay.forecasters.iter().zip(&self.walk.forecasts);
        let forecasts = models.flat_map(|(model, list)| {
            batches(list, BATCH_ROWS).map(|batch| {
                let made: Vec<_> = batch.iter().flatten().collect();
                forecast_table(model.model.word(), histories, &made)
            })
        });
        write_all(to, "forecasts", forecasts)
    }
}

/// Replays the plan's records and puts the result in place; `enter` is told each stage.
///
/// # Errors
/// Unreadable records, a folder that cannot be used, a disk that refuses.
pub(crate) fn replay(plan: &Plan, enter: &dyn Fn(&str)) -> Result<ReplaySummary, RunError> {
    let staging = Staging::open(&plan.out, &plan.reads())?;
    enter("reading and screening the records");
    let thermometry = thermometry::read(plan)?;
    let mut loaded = thermometry::load(plan, thermometry.as_ref())?;
    loaded.refuse_lost_failures(plan.settings.checks.allow_rejected_failures)?;
    let closings = plan.closings()?;
    remember_failures(plan, &mut loaded.histories, closings.as_ref());
    let past = earlier_decisions(plan, &loaded.histories);
    enter("walking forward through the past");
    let today = Today {
        as_of: plan.as_of,
        thermometry: thermometry.as_ref().map(|results| &results.findings),
        past: &past,
    };
    let replayed = Replayed::of(plan, &loaded.histories, closings.as_ref(), today);
    enter("writing");
    replayed.write(&loaded.histories, staging.path())?;
    let record = ReplayRecord {
        driftbook: env!("CARGO_PKG_VERSION"),
        replayed_to: records::date::iso(plan.as_of),
        inputs: &loaded.inputs,
        rows: loaded.rows,
        settings: &plan.settings,
        files: own_files(staging.path())?,
    };
    write_json(staging.path(), RECORD, &record)?;
    let published = staging.publish(Replaced::Removed)?;
    Ok(ReplaySummary {
        folder: published.folder,
        notes: published.notes,
        histories: loaded.histories.len(),
        checks: loaded.histories.columns.date.len(),
        result: replayed.result,
    })
}

/// Batches of a list; one empty batch of an empty list, so that the header is written.
fn batches<T>(list: &[T], rows: usize) -> impl Iterator<Item = &[T]> {
    let empty = list.is_empty().then_some(&list[..0]);
    list.chunks(rows).chain(empty)
}

fn write_all(
    to: TableFolder<'_>,
    name: &str,
    tables: impl Iterator<Item = Table<'static>>,
) -> Result<(), RunError> {
    let failed = |error| RunError::write(name, error);
    let mut writer: Option<TableWriter> = None;
    for table in tables {
        let open = match writer.take() {
            Some(open) => Ok(open),
            None => TableWriter::create(to, name, &table),
        };
        let mut open = open.map_err(failed)?;
        open.write(&table).map_err(failed)?;
        writer = Some(open);
    }
    writer.map_or(Ok(()), |writer| writer.finish().map_err(failed))
}

#[cfg(test)]
#[path = "same_decision_tests.rs"]
mod tests;
