/*! `driftbook replay`: how bands and intervals would have done on past records. */

use super::output::{Stages, complain, say};
use super::threads::use_threads;
use super::{CommandError, CommandResult};
use crate::files::run_error::RunError;
use crate::pipeline::replay as replay_plan;
use crate::report::text::count;
use crate::settings::demo::DEMO_NAME;
use crate::settings::{PlanRequest, plan};
use clap::Args;
use std::fmt::Write as _;
use std::path::PathBuf;

/// Walk forward through past records: what would have been forecast and decided then,
/// scored on what came next; with nothing, the shipped demo.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook replay                                      the shipped demo laboratory\n  \
    driftbook replay pipelines/yearly-batch.toml --out replay-report")]
pub(crate) struct Arguments {
    /// Pipeline file (.toml), records (.csv, .parquet) or a folder of records
    #[arg(value_name = "PIPELINE|RECORDS")]
    path: Option<PathBuf>,
    /// Folder of the result [default: the pipeline file's, with -replay added]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Date up to which records count, YYYY-MM-DD [default: the pipeline file's, else today]
    #[arg(long, value_name = "DATE")]
    as_of: Option<String>,
    /// Worker threads [default: all cores]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    threads: Option<u16>,
    /// Print nothing but errors
    #[arg(long)]
    quiet: bool,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    use_threads(arguments.threads);
    let mut plan = plan(&PlanRequest {
        path: arguments.path.clone(),
        out: arguments.out.clone(),
        as_of: arguments.as_of.clone(),
        charts: None,
        today: chrono::Local::now().date_naive(),
    })?;
    if arguments.out.is_none() {
        plan.out.as_mut_os_string().push("-replay");
    }
    let stages = Stages::new(!arguments.quiet);
    let summary = replay_plan(&plan, &|stage| stages.enter(stage));
    drop(stages);
    let summary = summary.map_err(|error| match error {
        RunError::LostFailures(_) => CommandError::usage(error),
        _ => CommandError::failed(error),
    })?;
    for note in &summary.notes {
        complain(&format!("warning: {note}"));
    }
    if !arguments.quiet {
        let mut text = match &plan.demo {
            Some(_) => format!("{DEMO_NAME}\n\n"),
            None => String::new(),
        };
        let _ = writeln!(
            text,
            "Replayed {} with {}.",
            count(summary.histories, "history"),
            count(summary.checks, "check")
        );
        for sentence in &summary.result.words {
            let _ = writeln!(text, "\n{sentence}");
        }
        let _ = writeln!(
            text,
            "\nReport: {}",
            summary.folder.join("replay.md").display()
        );
        say(&text);
    }
    Ok(0)
}
