/*! One run: the picture of the crate's first page in code, one line a stage. */

use super::book::Book;
use super::deciding::{instruments_and_cases, learned};
use super::handing_over::{Made, Redo, add_named_inputs, memory};
use super::parts;
use super::remembered::first_of;
use super::replay::Replayed;
use super::run_summary::{Decided, RunSummary, summarise};
use super::thermometry;
use super::timings::Timings;
use crate::decisions::DecisionTables;
use crate::decisions::controls::Controls;
use crate::decisions::policy::PastDecision;
use crate::decisions::stage::DecisionStage;
use crate::drift::stated_groups::GroupsSeen;
use crate::files::folder::Staging;
use crate::files::run_error::RunError;
use crate::files::spare::Replaced;
use crate::intervals::Method;
use crate::intervals::in_use::{Unstated, in_another_unit};
use crate::intervals::no_limits;
use crate::ledger::before::Before;
use crate::ledger::memory::Memory;
use crate::ledger::stamps;
use crate::ledger::standing::StandingReport;
use crate::records;
use crate::records::parts::Records;
use crate::records::{LoadError, Loaded, Warning};
use crate::report::compose::doubts::{self, JobCounts};
use crate::report::compose::pages::keys::Pages;
use crate::report::compose::report::Report;
use crate::report::compose::results::{Results, ThermometryResults};
use crate::report::compose::sessions::tables as session_tables;
use crate::report::compose::{digest, pages, tables};
use crate::report::table_writer::TableFolder;
use crate::settings::plan::Plan;
use crate::simulate::replay::Today;
use crate::spare_memory;
use std::path::Path;
use std::sync::OnceLock;

/// Runs the plan and puts its report in place; `enter` is told the name of each stage.
///
/// # Errors
/// Unreadable records, a folder that cannot be used, a disk that refuses. The
/// previous report then still stands.
pub(crate) fn run(plan: &Plan, redo: Redo, enter: &dyn Fn(&str)) -> Result<RunSummary, RunError> {
    let staging = Staging::open(&plan.out, &plan.reads())?;
    let target = staging.target().to_path_buf();
    let mut before = Before::look(plan, &target);
    before.enter_missing();
    if let Some(pipeline) = before.made_by_other(&target)
        && redo == Redo::Changed
        && !plan.out_stated
    {
        let folder = plan.out.display().to_string();
        return Err(RunError::OtherPipeline { folder, pipeline });
    }
    let unchanged = redo == Redo::Changed && staging.edited().is_empty();
    let standing = before.standing.clone().filter(|_| unchanged);
    if let Some(standing) = standing.filter(|report| report.is_done(plan, &target)) {
        return Ok(RunSummary::of_standing(standing, &target, before.notes));
    }
    match make(plan, redo, staging, &mut before, enter) {
        Ok(mut summary) => {
            before.enter_done(&target);
            summary.notes.extend(before.notes);
            Ok(summary)
        }
        Err(why) => {
            before.enter_failed(plan, &why);
            Err(why)
        }
    }
}

/// Makes the report and puts it in place.
fn make(
    plan: &Plan,
    redo: Redo,
    staging: Staging,
    before: &mut Before,
    enter: &dyn Fn(&str),
) -> Result<RunSummary, RunError> {
    let mut timings = Timings::start(stamps::of_plan(plan));
    enter("reading and screening the records");
    let mut thermometry = thermometry::read(plan)?;
    let (mut loaded, held) = match records_of(plan, thermometry.as_ref(), staging.path())? {
        Records::Parts(parts) => {
            before.look_back(plan, staging.target());
            return parts::make(plan, redo, staging, parts, (before, timings, enter));
        }
        Records::Whole(loaded, held) => (loaded, held),
    };
    add_named_inputs(plan, before, &mut loaded)?;
    let read = (&mut loaded, thermometry.as_mut());
    let book = booked(plan, before, staging.target(), read)?;
    timings.lap("records");
    enter("fitting every history and what the groups lend");
    let memory = memory(redo, before, staging.target());
    let (fits, groups) = learned(plan, &loaded.histories, &memory);
    let controls = book.charted(plan, &loaded.histories, &fits.classes);
    let warnings = book.warnings(&loaded.histories, &controls, &before.gone);
    loaded.warnings.extend(warnings);
    let unstated = warn_of_what_is_stated(plan, &mut loaded);
    timings.lap("drift and groups");
    let results = Results {
        loaded,
        fits,
        groups,
        thermometry,
    };
    let current = plan.settings.intervals.current_interval_days;
    let past = before.past(&results.loaded.histories, current);
    let vanished_cases = before
        .gone
        .vanished_words(book.closings.as_ref(), plan.as_of);
    let vanished_cases: Vec<Warning> = vanished_cases.collect();
    let vanished = first_of(&vanished_cases);
    let known = Known {
        past: &past,
        book: &book,
        vanished: vanished.as_ref(),
        unstated: unstated.as_ref(),
        controls: &controls,
        memory: &memory,
        before,
        pages: known_pages(plan, redo, before, &staging),
    };
    let written = write_report(plan, &results, &known, &staging, (&mut timings, enter))?;
    let mut summary = summarise(plan, &results.loaded, written.decided, staging.target());
    summary.open_cases += vanished_cases.len();
    summary.notes.extend(held.map(parts::held_words));
    summary.notes.extend(written.flagged);
    summary.work = written.work;
    summary.unkept = book.unkept.map(|warning| warning.words);
    let made = Made {
        plan,
        loaded: &results.loaded,
        memory: &memory,
        jobs: written.jobs,
        replaced: written.replaced,
    };
    made.hand_over(staging, before, timings, summary)
}

/// The book of closings and what runs before left, with the failures that the records have lost since.
fn booked(
    plan: &Plan,
    before: &mut Before,
    target: &Path,
    (loaded, thermometry): (&mut Loaded, Option<&mut ThermometryResults>),
) -> Result<Book, RunError> {
    let book = Book::of(plan, &loaded.histories)?;
    before.look_back(plan, target);
    let gone = before.remember_failures(
        &mut loaded.histories,
        &book.rule,
        book.closings.as_ref(),
        plan.as_of,
    );
    loaded.warnings.splice(0..0, gone);
    if let Some(read) = thermometry {
        book.apply(&mut read.findings, &loaded.histories, plan.as_of);
    }
    Ok(book)
}

/// What decisions and pages rest on beside the results.
struct Known<'a> {
    /// Earlier decisions of each history.
    past: &'a [Vec<PastDecision>],
    book: &'a Book,
    /// What is said of failures of items that are gone.
    vanished: Option<&'a Warning>,
    /// What is said of intervals in use that nobody states.
    unstated: Option<&'a Warning>,
    controls: &'a Controls,
    memory: &'a Memory,
    before: &'a Before,
    pages: Pages,
}

impl<'a> Known<'a> {
    /// The stage of decisions on the results.
    fn stage(
        &self,
        plan: &'a Plan,
        results: &'a Results,
        (tables, methods): (&'a DecisionTables, &'a [Box<dyn Method>]),
    ) -> DecisionStage<'a> {
        let histories = &results.loaded.histories;
        let output = &plan.settings.output;
        DecisionStage {
            histories,
            beside: None,
            fits: &results.fits,
            groups: &results.groups.groups,
            methods,
            tables,
            drift: &plan.settings.drift,
            past: self.past,
            thermometry: results.thermometry.as_ref().map(|found| &found.findings),
            closings: self.book.closings.as_ref(),
            controls: self.controls,
            known: self.memory,
            forecast: output.forecast.filled(output.charts, histories.len()),
            as_of: plan.as_of,
        }
    }
}

/// What a written report leaves for the record of the run.
struct Written {
    decided: Decided,
    jobs: Option<JobCounts>,
    /// Jobs in doubt, in words.
    work: Option<String>,
    /// Changes that an assessor would ask about, in words.
    flagged: Option<String>,
    replaced: Replaced,
}

/// Writes the replay where the report has one.
fn write_replay<'a>(
    plan: &'a Plan,
    stage: &DecisionStage<'a>,
    folder: &Path,
) -> Result<Option<Replayed<'a>>, RunError> {
    let today = Today {
        as_of: plan.as_of,
        thermometry: stage.thermometry,
        past: stage.past,
    };
    let replayed = Replayed::in_report(plan, stage.histories, stage.closings, today);
    if let Some(replayed) = &replayed {
        replayed.write(stage.histories, folder)?;
    }
    Ok(replayed)
}

/// Warns of records that state no interval in use, or nothing by which they can be judged, and of groups that the
/// settings state and no history has; the first of these again, for the pages.
fn warn_of_what_is_stated(plan: &Plan, loaded: &mut Loaded) -> Option<Warning> {
    let taken = plan.settings.intervals.current_interval_days;
    let unstated = Unstated::of(&loaded.histories, taken).warning(taken);
    let judged = no_limits::can_be_judged(&loaded.histories);
    loaded.warnings.extend(unstated.clone());
    loaded.warnings.extend(in_another_unit(&loaded.histories));
    loaded.warnings.extend(no_limits::warning(judged));
    let mut groups = GroupsSeen::default();
    groups.see(&loaded.histories, &plan.settings.drift);
    loaded.warnings.extend(groups.warning(&plan.settings.drift));
    unstated
}

/// Decides, and writes all tables, charts and pages of the report.
fn write_report(
    plan: &Plan,
    results: &Results,
    known: &Known<'_>,
    staging: &Staging,
    (timings, enter): (&mut Timings, &dyn Fn(&str)),
) -> Result<Written, RunError> {
    enter("deciding");
    let histories = &results.loaded.histories;
    let interval_tables = plan.interval_tables();
    let methods = interval_tables.methods();
    let stage = known.stage(plan, results, (&interval_tables, &methods));
    let to = TableFolder::new(staging.path(), plan.settings.output.tables, histories.len());
    let tables::Decided { decisions, tests } = tables::write_all(&stage, to)?;
    let (instruments, cases) = instruments_and_cases(&stage, &decisions, to)?;
    timings.lap("decisions");
    let doubts = doubts::doubts(plan, results)?;
    doubts::write(&doubts, results, &cases, to)?;
    tables::write_accounts(&results.loaded, doubts.as_warnings(plan), staging.path())?;
    session_tables::write(results.thermometry.as_ref(), to)?;
    timings.lap("impact");
    let replayed = write_replay(plan, &stage, staging.path())?;
    timings.lap("replay");
    enter(&pages::drawing(plan.settings.output.charts, &decisions));
    let report = Report {
        plan,
        results,
        stage: &stage,
        decisions: &decisions,
        instruments: &instruments,
        tests: &tests,
        doubts: &doubts,
        cases: &cases,
        unclosed: known.book.unkept.as_ref(),
        vanished: known.vanished,
        unstated: known.unstated,
        replay: replayed.as_ref().map(Replayed::section),
        warnings: pages::by_source(&results.loaded.warnings),
        conformity: OnceLock::new(),
    };
    let (fleet, replaced) = report.write(staging.path(), &known.pages)?;
    timings.lap("report");
    let flagged = digest::hand_over(&report, &fleet, known.before, staging.path())?;
    timings.lap("digest");
    Ok(Written {
        decided: Decided::of(&histories.items, &decisions),
        jobs: doubts.counts(),
        work: doubts.in_short(),
        flagged,
        replaced,
    })
}

/// The records of the plan; in parts, kept in `place`, where they need more memory than it allows.
fn records_of(
    plan: &Plan,
    thermometry: Option<&ThermometryResults>,
    place: &Path,
) -> Result<Records, LoadError> {
    match parts::whole_because(plan) {
        None => {
            if plan.settings.run.states_memory() {
                spare_memory::give_back();
            }
            let records = records::load_within(&plan.request(), plan.settings.run.memory(), place)?;
            Ok(match records {
                Records::Whole(mut loaded, held) => {
                    thermometry::settle_sources(plan, &mut loaded);
                    Records::Whole(loaded, held)
                }
                // Records of several sources are never cut.
                Records::Parts(parts) => Records::Parts(parts),
            })
        }
        Some(why) => {
            let loaded = thermometry::load(plan, thermometry)?;
            let histories = &loaded.histories;
            let need = records::parts::need(histories.columns.date.len(), histories.len());
            let held = (need > plan.settings.run.memory()).then_some(why);
            Ok(Records::Whole(loaded, held))
        }
    }
}

/// Pages of the standing report that may be reused.
fn known_pages(plan: &Plan, redo: Redo, before: &Before, staging: &Staging) -> Pages {
    // A page changed by hand is not what its key says, and the spare shares it.
    let unchanged = redo == Redo::Changed && staging.edited().is_empty();
    let same = |report: &StandingReport| unchanged && report.same_setting(plan);
    match before.standing.as_ref().is_some_and(same) {
        true => Pages::of(staging.target(), staging.spare()),
        false => Pages::default(),
    }
}
