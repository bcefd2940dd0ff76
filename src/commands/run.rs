/*! `driftbook run`: the main job. */

use super::output::{Stages, complain, say};
use super::threads::use_threads;
use super::{CommandError, CommandResult, NEEDS_PERSON};
use crate::files::run_error::RunError;
use crate::no_memory;
use crate::pipeline::{Redo, RunSummary, run as run_plan};
use crate::records::reading::files::resolved;
use crate::records::reading::header::COLUMNS;
use crate::report::text;
use crate::settings::demo::DEMO_NAME;
use crate::settings::not_named;
use crate::settings::output::Charts;
use crate::settings::plan::{Plan, PlanRequest};
use crate::settings::planning::plan;
use crate::words::{count, number};
use clap::Args;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Run a pipeline file, or plain records on default settings; with nothing, the shipped demo.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook run                                          the shipped demo laboratory\n  \
    driftbook run pipelines/monthly-charts.toml --as-of 2026-06-30\n  \
    driftbook run records.csv --out report\n\n\
    Exit status: 0 done; 1 the run failed, the last report still stands; 2 the command line or the\n\
    pipeline file is wrong; 3 (with --exit-on-action) done, and some instrument needs a person.")]
pub(crate) struct Arguments {
    /// Pipeline file (.toml), records (.csv, .parquet) or a folder of records
    #[arg(value_name = "PIPELINE|RECORDS")]
    path: Option<PathBuf>,
    /// Folder of the report, instead of the pipeline file's
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Date for which the decisions are made, YYYY-MM-DD [default: the pipeline file's, else today]
    #[arg(long, value_name = "DATE")]
    as_of: Option<String>,
    /// Charts and instrument pages: all, flagged (any action but keep) or none
    #[arg(long, value_enum)]
    charts: Option<Charts>,
    /// Worker threads [default: all cores]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    threads: Option<u16>,
    /// Make the report anew even where the same inputs, settings and date made it already
    #[arg(long)]
    force: bool,
    /// Print nothing but errors, and warnings about the ledger or the clock
    #[arg(long)]
    quiet: bool,
    /// Exit with status 3 where some instrument needs a person
    #[arg(long)]
    exit_on_action: bool,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    use_threads(arguments.threads);
    let plan = plan(&PlanRequest {
        path: arguments.path.clone(),
        out: arguments.out.clone(),
        as_of: arguments.as_of.clone(),
        charts: arguments.charts,
        today: chrono::Local::now().date_naive(),
    })?;
    let stages = Stages::new(!arguments.quiet);
    let redo = if arguments.force {
        Redo::Everything
    } else {
        Redo::Changed
    };
    let summary = run_plan(&plan, redo, &|stage| stages.enter(stage));
    drop(stages);
    let summary = summary.map_err(|error| match error {
        RunError::LostFailures(_) => CommandError::Usage(failure(&error, &plan)),
        _ => CommandError::Failed(failure(&error, &plan)),
    })?;
    // A ledger or a clock that is not as it should be concerns a person even where nobody reads on.
    for note in &summary.notes {
        complain(&format!("warning: {note}"));
    }
    if let (Some(missed), true) = (
        not_named::warning(&plan.not_named()),
        summary.stood || arguments.quiet,
    ) {
        complain(&format!("warning: {}: {}", missed.source, missed.words));
    }
    if !arguments.quiet {
        for warning in summary.warnings.iter().take(WARNINGS_SHOWN) {
            complain(&format!("warning: {warning}"));
        }
        say(&words(&summary, &plan));
    }
    Ok(if arguments.exit_on_action && summary.needs_person() {
        NEEDS_PERSON
    } else {
        0
    })
}

/// Why a run failed, and what stands in spite of it.
fn failure(error: &RunError, plan: &Plan) -> String {
    let folder = &plan.out;
    let mut words = format!("error: {error}");
    if no_memory::is_said(&words) {
        // Libraries tell it as a fault of the file that they were at.
        words = format!("error: {}\n  {}", no_memory::WHAT, no_memory::MEND);
    } else if let RunError::Write { .. } = error {
        words += "\n  Free some space, or permit writing there, and run again.";
    }
    // Records without a pipeline file cannot have their headers mapped, nor their format told.
    if let (RunError::Records(load), None, [file]) = (error, &plan.pipeline_file, &plan.checks[..])
        && load.setting == COLUMNS
    {
        let _ = write!(
            words,
            "\nhelp: driftbook start {} looks at the file and writes a pipeline file that maps it",
            file.display()
        );
    }
    // Nothing of a failed run is ever put in place, see `files::folder`.
    if folder.join("run.json").is_file() {
        let _ = write!(
            words,
            "\n  The report in {} is the one that stood before, whole.",
            folder.display()
        );
    }
    words
}

/// Warnings on the terminal; all of them are in the report.
const WARNINGS_SHOWN: usize = 5;
/// Reject reasons on the terminal.
const REJECTS_SHOWN: usize = 5;

/// How many decisions of each kind.
fn decisions_words(summary: &RunSummary) -> String {
    let order = ["withdraw", "review", "shorten", "keep", "extend"];
    let counted = |action| number(*summary.actions.get(action).unwrap_or(&0));
    let counts = order.map(|action| format!("{action} {}", counted(action)));
    let gone = match summary.actions.get("none") {
        Some(number) => format!("; not decided, since retired or lost: {number}"),
        None => String::new(),
    };
    counts.join(", ") + &gone
}

/// The few lines a person reads after a run.
fn words(summary: &RunSummary, plan: &Plan) -> String {
    let rows = summary.rows;
    let mut text = String::new();
    if plan.demo.is_some() {
        let _ = writeln!(
            text,
            "{DEMO_NAME}\nFor your own records: driftbook start RECORDS.csv\n"
        );
    }
    for left_out in &plan.left_out {
        let _ = writeln!(text, "Not read as records: {left_out}.");
    }
    let _ = writeln!(
        text,
        "As of {}: {} from {} ({} read, {} merged, {} rejected).",
        text::iso_date(summary.as_of),
        count(summary.histories, "history"),
        count(rows.used as usize, "check"),
        number(rows.read as usize),
        number(rows.merged as usize),
        number(rows.rejected as usize)
    );
    let _ = writeln!(text, "Decisions: {}.", decisions_words(summary));
    if let Some(pending) = &summary.pending {
        let _ = writeln!(text, "Approvals: {pending}.");
    }
    if let Some(work) = &summary.work {
        let _ = writeln!(text, "Work: {work}.");
    }
    // Those of retired and lost items too, of which no decision tells: a person is asked for each.
    if summary.open_cases > 0 {
        let open = count(summary.open_cases, "check");
        let _ = writeln!(
            text,
            "Cases: {open} out of tolerance or too near a limit to tell, which nobody has closed (table cases)."
        );
    }
    if let Some(unkept) = &summary.unkept {
        let _ = writeln!(text, "Failures: {unkept}.");
    }
    if summary.stood {
        let _ = writeln!(
            text,
            "Nothing was made anew: this report stands already, from the same inputs, settings, as-of date\n\
             and version. --force makes it anew."
        );
    }
    if !summary.urgent.is_empty() {
        let _ = writeln!(text, "\nMost urgent:");
    }
    for (name, action, reason) in &summary.urgent {
        let _ = writeln!(text, "  {name} ({action}): {reason}");
    }
    text += &rejects_words(summary);
    if summary.warnings.len() > WARNINGS_SHOWN {
        let _ = writeln!(
            text,
            "\n{} in all; see warnings.csv.",
            count(summary.warnings.len(), "warning")
        );
    }
    let page = shown(&summary.folder.join("index.html"));
    let _ = writeln!(text, "\nReport: {}", page.display());
    text
}

fn rejects_words(summary: &RunSummary) -> String {
    let mut text = String::new();
    if !summary.rejects.is_empty() {
        text += "\nRejected rows (all in rejects.csv):\n";
    }
    for (reason, count) in summary.rejects.iter().take(REJECTS_SHOWN) {
        let _ = writeln!(text, "  {count} × {reason}");
    }
    if summary.rejects.len() > REJECTS_SHOWN {
        let more = summary.rejects.len() - REJECTS_SHOWN;
        let _ = writeln!(text, "  and {more} other reasons");
    }
    text
}

/// The path as a person would type it: without detours, and from here where it lies below.
fn shown(path: &Path) -> PathBuf {
    let straight = resolved(path);
    let here = std::env::current_dir()
        .ok()
        .and_then(|here| here.canonicalize().ok());
    let below = here.and_then(|here| straight.strip_prefix(here).ok().map(Path::to_path_buf));
    below.unwrap_or(straight)
}
