/*! A run beyond the memory: the stages of `run` part by part, then the tables and the page of all.

Each part is fitted, decided and written as a fleet of its own, to tables in a temporary folder; the
report is being made around it, so that what a killed run leaves goes with what it left of the report. What
the front page says of it is added up. The tables are then dealt out in the order of all histories.
*/

use super::deciding::{charted, instruments_and_cases, learned};
use super::handing_over::{Made, Redo, add_named_inputs, memory};
use super::remembered::{Remembered, first_of};
use super::run_summary::{Decided, RunSummary, Said, summarise};
use super::timings::Timings;
use crate::decisions::stage::DecisionStage;
use crate::files::folder::Staging;
use crate::files::run_error::RunError;
use crate::files::spare::Replaced;
use crate::ledger::KEPT;
use crate::ledger::before::Before;
use crate::ledger::memory::Memory;
use crate::records::Loaded;
use crate::records::parts::Parts;
use crate::report::compose::doubts::Doubts;
use crate::report::compose::fleet::part::FleetPart;
use crate::report::compose::report::Report;
use crate::report::compose::results::Results;
use crate::report::compose::write::write_text;
use crate::report::compose::{control, tables};
use crate::report::page::index_page;
use crate::report::summary;
use crate::report::table_writer::TableFolder;
use crate::settings::output::{Charts, ReplaySection};
use crate::settings::plan::Plan;
use std::collections::HashMap;
use std::io::Error;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// What the plan asks for that looks at all histories at once; `None` where it asks for no such thing.
pub(super) fn whole_because(plan: &Plan) -> Option<&'static str> {
    let settings = &plan.settings;
    let asks = [
        (
            settings.output.charts != Charts::None,
            "pages are drawn of any history beside its fleet (charts)",
        ),
        (
            plan.keeps_state(),
            "every decision is compared with those of earlier runs (extensions_per_year)",
        ),
        (
            settings.output.replay == ReplaySection::Always,
            "the replay walks through all records by date",
        ),
        (
            settings.thermometry.is_used(),
            "sessions of raw readings are reduced together",
        ),
        (
            settings.jobs.file.is_some(),
            "work in doubt is followed from instrument to instrument",
        ),
        (
            settings.cases.file.is_some(),
            "cases are listed and closed across the fleet",
        ),
        (
            settings.policy.smoothing_days > 0.0,
            "the workload of the whole fleet is levelled (smoothing_days)",
        ),
    ];
    asks.iter().find(|(asked, _)| *asked).map(|(_, why)| *why)
}

/// What a person is told where more memory is taken than was allowed.
pub(super) fn held_words(why: &str) -> String {
    format!("the records need more than [run] memory, and were held at once all the same: {why}")
}

/// Why a part may be larger than the memory.
const CLASS_TOGETHER: &str =
    "the histories of one class, or of one unit without classes, learn from each other";

/// What a person is told where the reading takes more memory than was allowed.
const READ_BEYOND: &str = "reading the records took more than [run] memory: their rows are looked at together before they are run in parts";

type Around<'a, 'b> = (&'a Before, Timings, &'b dyn Fn(&str));

/// Makes the report from records in parts, and puts it in place.
pub(super) fn make(
    plan: &Plan,
    redo: Redo,
    staging: Staging,
    mut parts: Parts,
    (before, mut timings, enter): Around<'_, '_>,
) -> Result<RunSummary, RunError> {
    add_named_inputs(plan, before, &mut parts.loaded)?;
    let memory_allowed = plan.settings.run.memory();
    let beyond = parts.largest() > memory_allowed;
    let read_beyond = parts.reading() > memory_allowed;
    timings.lap("records");
    enter("fitting and deciding part by part");
    let memory = memory(redo, before, staging.target());
    let unwritable = |why: Error| RunError::write("a temporary table", why);
    let temporary = tempfile::tempdir_in(staging.path()).map_err(unwritable)?;
    let mut run = Run {
        plan,
        before,
        memory: &memory,
        remembered: Remembered::default(),
        histories: parts.histories(),
        page: FleetPart::of(parts.histories(), staging.path()).map_err(unwritable)?,
        decided: Decided::default(),
        said: Said::default(),
    };
    let folders = run.parts(&mut parts, temporary.path())?;
    let Run {
        mut page,
        decided,
        said,
        remembered,
        histories,
        ..
    } = run;
    timings.lap("drift, groups and decisions");
    let mut loaded = parts.finish()?;
    let kept = staging.path().join(KEPT);
    std::fs::create_dir_all(&kept).map_err(|why| RunError::write(KEPT, why))?;
    let (gone, vanished) = remembered.hand_over(before, plan.as_of, &kept)?;
    loaded.warnings.splice(0..0, gone);
    page.vanished = first_of(&vanished);
    let unkept = page.unkept();
    loaded.warnings.extend(unkept.clone());
    loaded.warnings.extend(page.unstated(plan));
    loaded.warnings.extend(page.unlimited());
    loaded.warnings.extend(page.without_history(plan));
    write_tables(plan, &loaded, (&folders, histories), staging.path())?;
    temporary.close().map_err(unwritable)?;
    timings.lap("tables");
    enter("drawing charts and pages");
    write_front(page, plan, &loaded, histories, staging.path())?;
    timings.lap("report");
    let mut summary = summarise(plan, &loaded, decided.with_words(said), staging.target());
    summary.open_cases += vanished.len();
    summary.unkept = unkept.map(|warning| warning.words);
    let held = beyond.then(|| held_words(CLASS_TOGETHER));
    let read = read_beyond.then(|| READ_BEYOND.to_string());
    summary.notes.extend(held.into_iter().chain(read));
    let made = Made {
        plan,
        loaded: &loaded,
        memory: &memory,
        jobs: None,
        replaced: Replaced::Removed,
    };
    made.hand_over(staging, before, timings, summary)
}

/// The tables of all, from those of the parts.
fn write_tables(
    plan: &Plan,
    loaded: &Loaded,
    (folders, histories): (&[PathBuf], usize),
    folder: &Path,
) -> Result<(), RunError> {
    let to = TableFolder::new(folder, plan.settings.output.tables, histories);
    tables::merge_all(folders, plan.as_of, to)?;
    tables::write_accounts(loaded, std::iter::empty(), folder)
}

/// A run while its parts go through it.
struct Run<'a> {
    plan: &'a Plan,
    before: &'a Before,
    remembered: Remembered,
    memory: &'a Memory,
    /// Histories of all parts.
    histories: usize,
    page: FleetPart,
    decided: Decided,
    said: Said,
}

/// Writes the front page, the summary and the table of shared shifts.
fn write_front(
    page: FleetPart,
    plan: &Plan,
    loaded: &Loaded,
    histories: usize,
    folder: &Path,
) -> Result<(), RunError> {
    let view = page.view(plan, loaded);
    let (view, controls) = view.map_err(|why| RunError::write("a temporary table", why))?;
    let to = TableFolder::new(folder, plan.settings.output.tables, histories);
    control::write_shared(&controls, to)?;
    write_text(folder, "summary.md", &summary(&view))?;
    write_text(folder, "index.html", &index_page(&view))
}

impl Run<'_> {
    /// Fits and decides all parts, each with its tables in a folder of its own below `place`.
    fn parts(&mut self, parts: &mut Parts, place: &Path) -> Result<Vec<PathBuf>, RunError> {
        let mut folders = Vec::new();
        for number in 0..parts.count() {
            let folder = place.join(number.to_string());
            std::fs::create_dir(&folder)
                .map_err(|why| RunError::write("a temporary table", why))?;
            let (loaded, places) = parts.take(number)?;
            self.part(loaded, &places, &folder)?;
            folders.push(folder);
        }
        Ok(folders)
    }

    /// Fits and decides one part, writes its tables to `folder` and adds it to the page.
    fn part(&mut self, mut loaded: Loaded, places: &[u32], folder: &Path) -> Result<(), RunError> {
        let (plan, settings) = (self.plan, &self.plan.settings);
        let place = |index: usize| places[index] as usize;
        let run = (plan, self.before);
        self.remembered.add(run, &mut loaded.histories, places);
        let histories = &loaded.histories;
        let (fits, groups) = learned(plan, histories, self.memory);
        let controls = charted(plan, histories, &fits.classes, None, &|_| false);
        let results = Results {
            loaded,
            fits,
            groups,
            thermometry: None,
        };
        let interval_tables = plan.interval_tables();
        let (charts, all) = (settings.output.charts, self.histories);
        let stage = DecisionStage {
            histories: &results.loaded.histories,
            beside: None,
            fits: &results.fits,
            groups: &results.groups.groups,
            methods: &interval_tables.methods(),
            tables: &interval_tables,
            drift: &settings.drift,
            past: &[],
            thermometry: None,
            closings: None,
            controls: &controls,
            known: self.memory,
            forecast: settings.output.forecast.filled(charts, all),
            as_of: plan.as_of,
        };
        let to = TableFolder::of_part(folder);
        let tables::Decided { decisions, tests } = tables::write_all(&stage, to)?;
        let (instruments, cases) = instruments_and_cases(&stage, &decisions, to)?;
        let report = Report {
            plan,
            results: &results,
            stage: &stage,
            decisions: &decisions,
            instruments: &instruments,
            tests: &tests,
            doubts: &Doubts::default(),
            cases: &cases,
            unclosed: None,
            vanished: None,
            unstated: None,
            replay: None,
            warnings: HashMap::new(),
            conformity: OnceLock::new(),
        };
        let added = self.page.add(&report, places);
        added.map_err(|why| RunError::write("a temporary table", why))?;
        let own = (&*stage.histories.items, &*decisions);
        self.decided.add(own, &place, &mut self.said);
        Ok(())
    }
}
