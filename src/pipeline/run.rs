/*! One run: the picture of the crate's first page in code, one line a stage. */

use super::fits::fit_all;
use super::groups::group_results;
use super::handing_over::{Redo, keep, memory, named_inputs, publish, write_record};
use super::parts;
use super::replay::Replayed;
use super::run_summary::{Decided, RunSummary, summarise};
use super::thermometry;
use super::timings::Timings;
use crate::decisions::cases;
use crate::decisions::cases::closings::Closings;
use crate::decisions::controls::{ChartedBy, Controls};
use crate::decisions::instrument::instruments;
use crate::decisions::session_advice::apply_cases;
use crate::decisions::stage::DecisionStage;
use crate::drift::Classes;
use crate::files::folder::Staging;
use crate::files::run_error::RunError;
use crate::ledger::before::Before;
use crate::ledger::standing::StandingReport;
use crate::ledger::{books, past_decisions, stamps};
use crate::records;
use crate::records::Histories;
use crate::records::LoadError;
use crate::records::parts::Records;
use crate::records::reading::own_report::TIMINGS;
use crate::report::compose;
use crate::report::compose::cases::Cases;
use crate::report::compose::doubts;
use crate::report::compose::pages::keys::Pages;
use crate::report::compose::report::Report;
use crate::report::compose::results::Results;
use crate::report::compose::results::ThermometryResults;
use crate::report::compose::sessions::tables as session_tables;
use crate::report::compose::write::write_json;
use crate::report::compose::{digest, pages, tables};
use crate::report::table_writer::TableFolder;
use crate::settings::output::Charts;
use crate::settings::plan::Plan;
use crate::simulate::replay::Today;
use std::borrow::Cow;
use std::sync::OnceLock;

/// Runs the plan and puts its report in place; `enter` is told the name of each stage.
///
/// # Errors
/// Unreadable records, a folder that cannot be used, a disk that refuses. The
/// previous report then still stands.
pub fn run(plan: &Plan, redo: Redo, enter: &dyn Fn(&str)) -> Result<RunSummary, RunError> {
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
    let (mut loaded, held) = match records_of(plan, thermometry.as_ref())? {
        Records::Parts(parts) => {
            return parts::make(plan, redo, staging, parts, (before, timings, enter));
        }
        Records::Whole(loaded, held) => (loaded, held),
    };
    loaded.refuse_lost_failures(plan.settings.checks.allow_rejected_failures)?;
    loaded.inputs.extend(named_inputs(plan)?);
    loaded.warnings.splice(0..0, books::cut_off(plan, before));
    let closings = plan.closings()?;
    let rule = plan.settings.conformity.decision_rule();
    let unkept = match closings {
        Some(_) => None,
        None => cases::unkept(&loaded.histories, &rule),
    };
    if let Some(thermometry) = &mut thermometry {
        apply_cases(
            &mut thermometry.findings,
            &loaded.histories,
            &rule,
            closings.as_ref(),
            plan.as_of,
        );
    }
    timings.lap("records");
    enter("fitting every history and what the groups lend");
    let histories = &loaded.histories;
    let memory = memory(redo, before, staging.target());
    let (fits, groups) = rayon::join(
        || fit_all(histories, &plan.settings.drift, &memory),
        || group_results(plan, histories, &memory),
    );
    let controls = charted(plan, histories, &fits.classes, closings.as_ref());
    match &closings {
        Some(book) => {
            let signals = |index| controls.signal_days(index);
            let said = book.said(histories, &rule, &signals);
            loaded.warnings.extend(said);
        }
        None => loaded.warnings.extend(unkept.clone()),
    }
    timings.lap("drift and groups");
    let results = Results {
        loaded,
        fits,
        groups,
        thermometry,
    };
    enter("deciding");
    let histories = &results.loaded.histories;
    let past = past_decisions(plan, before, staging.target(), histories);
    let interval_tables = plan.interval_tables();
    let methods = interval_tables.methods();
    let stage = DecisionStage {
        histories,
        fits: &results.fits,
        groups: &results.groups.groups,
        methods: &methods,
        tables: &interval_tables,
        drift: &plan.settings.drift,
        past: &past,
        thermometry: results
            .thermometry
            .as_ref()
            .map(|results| &results.findings),
        closings: closings.as_ref(),
        controls: &controls,
        known: &memory,
        forecast: plan
            .settings
            .output
            .forecast
            .filled(plan.settings.output.charts, histories.len()),
        as_of: plan.as_of,
    };
    let formats = plan.settings.output.tables;
    let to = TableFolder::new(staging.path(), formats, histories.len());
    let tables::Decided { decisions, tests } = tables::write_all(&stage, to)?;
    tables::write_accounts(&results.loaded, staging.path())?;
    let instruments = instruments(&stage, &decisions);
    compose::fleet::instruments::write(histories, &decisions, &instruments, to)?;
    let cases = Cases::of(&stage);
    compose::cases::write(&cases, to)?;
    timings.lap("decisions");
    let doubts = doubts::doubts(plan, &results)?;
    doubts::write(&doubts, &results, &cases, to)?;
    session_tables::write(results.thermometry.as_ref(), to)?;
    timings.lap("impact");
    let today = Today {
        as_of: plan.as_of,
        thermometry: stage.thermometry,
        past: &past,
    };
    let replayed = Replayed::in_report(plan, histories, closings.as_ref(), today);
    if let Some(replayed) = &replayed {
        replayed.write(&results.loaded.histories, staging.path())?;
    }
    timings.lap("replay");
    enter("drawing charts and pages");
    let report = Report {
        plan,
        results: &results,
        stage: &stage,
        decisions: &decisions,
        instruments: &instruments,
        tests: &tests,
        doubts: &doubts,
        cases: &cases,
        replay: replayed.as_ref().map(Replayed::section),
        warnings: pages::by_source(&results.loaded.warnings),
        conformity: OnceLock::new(),
    };
    let known = known_pages(plan, redo, before, &staging);
    let (fleet, replaced) = report.write(staging.path(), &known)?;
    timings.lap("report");
    digest::hand_over(&report, &fleet, before, staging.path())?;
    timings.lap("digest");
    let decided = Decided::of(&histories.items, &decisions);
    let mut summary = summarise(plan, &results.loaded, decided, staging.target());
    summary.notes.extend(held.map(parts::held_words));
    summary.unkept = unkept.map(|warning| warning.words);
    keep(plan, &memory, &results.loaded, staging.path())?;
    write_record(
        plan,
        &results.loaded,
        doubts.counts(),
        &summary,
        staging.path(),
    )?;
    timings.lap("record");
    write_json(staging.path(), TIMINGS, &timings)?;
    publish(staging, replaced, before, &mut summary)?;
    Ok(summary)
}

/// The records of the plan; in parts where they need more memory than it allows.
fn records_of(plan: &Plan, thermometry: Option<&ThermometryResults>) -> Result<Records, LoadError> {
    match parts::whole_because(plan) {
        None => {
            let records = records::load_within(&plan.request(), plan.settings.run.memory())?;
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

/// The control charts: of all charted histories where they are drawn or told, else of the check
/// standards alone.
fn charted(
    plan: &Plan,
    histories: &Histories,
    classes: &Classes,
    closings: Option<&Closings>,
) -> Controls {
    let class = |index| Cow::Borrowed(classes.of_history(index));
    let by = ChartedBy {
        control: &plan.settings.control,
        drift: &plan.settings.drift,
        closings,
        class: &class,
        only: None,
    };
    let drawn = plan.settings.output.charts != Charts::None;
    Controls::of(histories, &by, &|_| drawn || plan.keeps_state())
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
