/*! What a run takes from the one before and leaves to the next, whole or in parts: classes that are
known, the record, the report in its place.
*/

use super::run_record::RunRecord;
use super::run_summary::RunSummary;
use super::timings::Timings;
use crate::files::folder::Staging;
use crate::files::run_error::RunError;
use crate::files::spare::{Replaced, remove_spare};
use crate::ledger as between;
use crate::ledger::before::Before;
use crate::ledger::memory::Memory;
use crate::ledger::{KEPT, settings_sha256};
use crate::ledger::{books, places};
use crate::records;
use crate::records::reading::files;
use crate::records::reading::own_report::{RECORD, TIMINGS};
use crate::records::{InputFile, LoadError, Loaded};
use crate::report::compose::doubts::JobCounts;
use crate::report::compose::write::{own_files, write_json, write_text};
use crate::settings::not_named;
use crate::settings::plan::Plan;
use std::path::Path;

/// Whether a report that stands already is made anew.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Redo {
    /// Only where inputs, settings, as-of date or version differ; unchanged pages are reused.
    Changed,
    /// Always, and every page.
    Everything,
}

/// Classes and groups known from the report that stands and from the pipeline's latest run.
pub(super) fn memory(redo: Redo, before: &Before, target: &Path) -> Memory {
    match redo {
        Redo::Changed => Memory::of(&before.known_folders(target)),
        Redo::Everything => Memory::of(&[]),
    }
}

/// Adds the jobs and the books to the inputs, and says where a book was cut off, and which files nothing reads.
///
/// # Errors
/// Failures among the rejected rows that the plan does not allow; a file that cannot be read.
pub(super) fn add_named_inputs(
    plan: &Plan,
    before: &Before,
    loaded: &mut Loaded,
) -> Result<(), RunError> {
    loaded.refuse_lost_failures(plan.settings.checks.allow_rejected_failures)?;
    loaded.inputs.extend(named_inputs(plan)?);
    let said = books::cut_off(plan, before).into_iter();
    let said = said.chain(not_named::warning(&plan.not_named()));
    loaded.warnings.splice(0..0, said);
    Ok(())
}

/// The entries of the jobs and of the books in the run record.
fn named_inputs(plan: &Plan) -> Result<Vec<InputFile>, LoadError> {
    let jobs = plan.place_of(&plan.settings.jobs.file);
    // A book that is not there yet holds nothing.
    jobs.into_iter()
        .chain(plan.books().into_iter().filter(|path| path.exists()))
        .map(|path| records::input_of(&path, &files::shown(&path, &plan.base)))
        .collect()
}

/// A report that is written but for its record.
pub(super) struct Made<'a> {
    pub plan: &'a Plan,
    pub loaded: &'a Loaded,
    pub memory: &'a Memory,
    /// Jobs followed, where the plan names any.
    pub jobs: Option<JobCounts>,
    /// What became of the pages of the report that stands.
    pub replaced: Replaced,
}

impl Made<'_> {
    /// Writes what the next run may take over, the record and the timings, and puts the report in
    /// place.
    pub(crate) fn hand_over(
        self,
        staging: Staging,
        before: &Before,
        mut timings: Timings,
        mut summary: RunSummary,
    ) -> Result<RunSummary, RunError> {
        let folder = staging.path();
        keep(self.plan, self.memory, self.loaded, folder)?;
        write_record(self.plan, self.loaded, self.jobs, &summary, folder)?;
        timings.lap("record");
        write_json(folder, TIMINGS, &timings)?;
        publish(staging, self.replaced, before, &mut summary)?;
        Ok(summary)
    }
}

/// Leaves what the next run may take over, and which build made the report.
fn keep(plan: &Plan, memory: &Memory, loaded: &Loaded, folder: &Path) -> Result<(), RunError> {
    let kept = folder.join(KEPT);
    std::fs::create_dir_all(&kept).map_err(|why| RunError::write(KEPT, why))?;
    memory.keep(&kept)?;
    if let Some(found) = &loaded.places {
        places::keep(plan, found, &loaded.inputs, &kept)?;
    }
    write_text(&kept, between::BUILD, &format!("{}\n", between::build()))
}

/// Writes the record of the run.
fn write_record(
    plan: &Plan,
    loaded: &Loaded,
    jobs: Option<JobCounts>,
    summary: &RunSummary,
    folder: &Path,
) -> Result<(), RunError> {
    let record = RunRecord {
        driftbook: env!("CARGO_PKG_VERSION"),
        as_of: records::date::iso(plan.as_of),
        inputs: &loaded.inputs,
        rows: loaded.rows,
        register: loaded.register,
        jobs,
        histories: summary.histories,
        actions: summary.actions.clone(),
        open_cases: summary.open_cases,
        warnings: loaded.warnings.len() + jobs.map_or(0, |jobs| jobs.warnings),
        settings_sha256: settings_sha256(&plan.settings),
        settings: &plan.settings,
        files: own_files(folder)?,
    };
    write_json(folder, RECORD, &record)
}

/// Puts the report in place.
fn publish(
    staging: Staging,
    replaced: Replaced,
    before: &Before,
    summary: &mut RunSummary,
) -> Result<(), RunError> {
    let published = staging.publish(replaced)?;
    summary.notes.extend(published.notes);
    let target = published.folder;
    // A report of an earlier month is seldom made again: its spare would lie there for good.
    let folders = before.known_folders(&target);
    let others = folders.iter().filter(|folder| **folder != target);
    others.for_each(|folder| remove_spare(folder));
    Ok(())
}
