/*! What a person can ask for: one file a command.

Each command turns its arguments into one call of the library and its result
into text. Exit status: 0 done, 1 the run failed, 2 the command line or the
pipeline file is wrong, 3 (`run --exit-on-action`, `verdict`) a person is needed.
*/

pub(crate) mod adopt;
mod append_entries;
pub(crate) mod approve;
pub(crate) mod close;
pub(crate) mod compare;
mod completions;
mod conversation;
pub(crate) mod convert;
pub(crate) mod explain;
pub(crate) mod manual;
pub(crate) mod output;
mod refused;
pub(crate) mod replay;
pub(crate) mod run;
pub(crate) mod settings;
pub(crate) mod simulate;
pub(crate) mod start;
mod terminal_table;
mod threads;
pub(crate) mod value;
pub(crate) mod verdict;
pub(crate) mod worker;
mod worksheet;
mod written_days;
mod wrong_use;

use crate::no_memory;
use crate::settings::plan::{Plan, PlanError, PlanRequest};
use crate::settings::planning::plan;
use clap::{CommandFactory, Parser, Subcommand};
use std::fmt;
use std::path::PathBuf;
use std::process::ExitCode;

/// From check histories to one explained recalibration decision per instrument.
#[derive(Debug, Parser)]
#[command(name = "driftbook", version, about, max_term_width = 100)]
#[command(
    after_help = "Example: driftbook run            (runs the shipped demo laboratory)\n\
    A recommended interval is advice for the person authorised to set it."
)]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Run a pipeline (or plain records): decisions, charts, report
    Run(run::Arguments),
    /// Show how the decision for one instrument came about
    Explain(explain::Arguments),
    /// Look at a records file and write a pipeline file for it
    Start(start::Arguments),
    /// List every setting of a pipeline file with its default
    #[command(after_help = "Example:\n  driftbook settings > settings.md")]
    Settings,
    /// List every table of a report with its columns
    #[command(hide = true)]
    Tables,
    /// Convert between resistance, ratio and temperature (ITS-90, IEC 60751)
    Convert(convert::Arguments),
    /// Replay past records: how bands and intervals would have done
    Replay(replay::Arguments),
    /// Simulate fleets whose truth is known; compare methods in a closed loop
    Simulate(simulate::Arguments),
    /// Adjust a group of references that were compared with each other
    Compare(compare::Arguments),
    /// Tell an item's value on a day and how sure it is, for an uncertainty budget
    Value(value::Arguments),
    /// Judge one new reading against an instrument's stored history
    Verdict(verdict::Arguments),
    /// Adopt the value that a session found for a thermometer
    Adopt(adopt::Arguments),
    /// Put intervals in force, or reject proposals, by name
    Approve(approve::Arguments),
    /// Close a finding of the records by name, with what was done
    Close(close::Arguments),
    /// Learn or decide for an engine: Arrow streams in and out
    #[command(subcommand)]
    Worker(worker::Work),
    /// Print completions for a shell
    Completions(completions::Arguments),
    /// Write man pages
    Manual(manual::Arguments),
}

/// The whole command line, for completions and man pages.
fn command_line() -> clap::Command {
    CommandLine::command()
}

/// How a command can end badly.
#[derive(Debug, thiserror::Error)]
pub(crate) enum CommandError {
    /// The command line or the pipeline file is wrong: exit status 2.
    #[error("{0}")]
    Usage(String),
    /// The work failed: exit status 1.
    #[error("{0}")]
    Failed(String),
}

impl CommandError {
    /// A wrong command line or pipeline file, in the words of `why`.
    fn usage(why: impl fmt::Display) -> Self {
        Self::Usage(format!("error: {why}"))
    }

    /// Work that failed, in the words of `why`.
    fn failed(why: impl fmt::Display) -> Self {
        Self::Failed(format!("error: {why}"))
    }
}

impl From<PlanError> for CommandError {
    fn from(why: PlanError) -> Self {
        Self::Usage(why.to_string())
    }
}

/// The plan of the records at `path` (`None` for the demo), of today where no date is stated.
fn plan_of(path: Option<PathBuf>, as_of: Option<String>) -> Result<Plan, CommandError> {
    let today = chrono::Local::now().date_naive();
    Ok(plan(&PlanRequest::new(path, as_of, today))?)
}

/// A finished command's exit status: 0, or 3 where a person is needed.
pub(crate) type CommandResult = Result<u8, CommandError>;

/// Exit status where the command did its work, and what it found needs a person.
pub(crate) const NEEDS_PERSON: u8 = 3;

/// Runs one command.
fn run_command(command: Command) -> CommandResult {
    match command {
        Command::Run(arguments) => run::run(&arguments),
        Command::Explain(arguments) => explain::run(&arguments),
        Command::Start(arguments) => start::run(&arguments),
        Command::Settings => settings::run(),
        Command::Tables => settings::tables(),
        Command::Convert(arguments) => convert::run(&arguments),
        Command::Replay(arguments) => replay::run(&arguments),
        Command::Simulate(arguments) => simulate::run(&arguments),
        Command::Compare(arguments) => compare::run(&arguments),
        Command::Value(arguments) => value::run(&arguments),
        Command::Verdict(arguments) => verdict::run(&arguments),
        Command::Adopt(arguments) => adopt::run(&arguments),
        Command::Approve(arguments) => approve::run(&arguments),
        Command::Close(arguments) => close::run(&arguments),
        Command::Worker(work) => worker::run(&work),
        Command::Completions(arguments) => completions::run(&arguments),
        Command::Manual(arguments) => manual::run(&arguments),
    }
}

/// Reads the command line, runs the command, reports errors in words.
pub fn main() -> ExitCode {
    let line = match CommandLine::try_parse() {
        Ok(line) => line,
        Err(error) if error.use_stderr() => {
            let words = std::env::args_os().skip(1);
            let words: Vec<String> = words.map(|word| word.to_string_lossy().into()).collect();
            output::complain(&wrong_use::told(&error, &command_line(), &words));
            return ExitCode::from(2);
        }
        Err(help) => {
            let _ = help.print();
            return ExitCode::SUCCESS;
        }
    };
    let Some(result) = no_memory::watched(|| run_command(line.command)) else {
        output::complain(&format!(
            "error: {}\n  {}",
            no_memory::WHAT,
            no_memory::MEND
        ));
        return ExitCode::from(1);
    };
    match result {
        Ok(status) => ExitCode::from(status),
        Err(error) => {
            output::complain(&error.to_string());
            ExitCode::from(match error {
                CommandError::Usage(_) => 2,
                CommandError::Failed(_) => 1,
            })
        }
    }
}
