/*! `driftbook worker`: one worker of an engine, checks in and tables out as Arrow IPC streams. */

use super::threads::use_threads;
use super::{CommandError, CommandResult};
use crate::pipeline::worker::{COLUMN, Learned, WorkerError, decide, learn, place};
use crate::report::table_stream::{Asked, write_row};
use crate::settings::plan::Plan;
use crate::settings::planning::plan_of_sent;
use clap::{Args, Subcommand, ValueEnum};
use std::io::{BufWriter, IsTerminal, Read, Write};
use std::path::PathBuf;

/// Tables go out in pieces of this size, bytes.
const BUFFER: usize = 1 << 20;

/// What a worker is asked for.
#[derive(Debug, Subcommand)]
pub(crate) enum Work {
    /// Say of each check its group and its instrument: any checks in, the same with two more columns out
    #[command(
        after_help = "Example:\n  driftbook worker place mine.toml < checks.arrows > placed.arrows\n\n\
        See docs/engine.md."
    )]
    Place(Shared),
    /// Learn what decisions take from others: all checks of one or more groups in, one row out
    #[command(
        after_help = "Example:\n  driftbook worker learn mine.toml < checks.arrows > learned.arrows\n\n\
        See docs/engine.md."
    )]
    Learn(Shared),
    /// Decide on histories by what was learned: whole histories in, decisions out
    #[command(
        after_help = "Example:\n  driftbook worker decide mine.toml --learned learned.arrows < checks.arrows > made.arrows\n\n\
        See docs/engine.md."
    )]
    Decide(DecideArguments),
}

/// What learning and deciding must have alike.
#[derive(Debug, Args)]
pub(crate) struct Shared {
    /// Pipeline file; the checks are read from standard input, whatever files it names
    #[arg(value_name = "PIPELINE")]
    pipeline: PathBuf,
    /// Date for which is decided, YYYY-MM-DD, instead of the pipeline file's
    #[arg(long, value_name = "DATE")]
    as_of: Option<String>,
    /// Threads to work with [default: one, as engines start a worker a core]
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..))]
    threads: Option<u16>,
}

/// Arguments of `decide`.
#[derive(Debug, Args)]
pub(crate) struct DecideArguments {
    #[command(flatten)]
    shared: Shared,
    /// What `driftbook worker learn` wrote, all its rows in one Arrow IPC stream
    #[arg(long, value_name = "FILE")]
    learned: PathBuf,
    /// Write this table alone [default: all, each in a column of structures]
    #[arg(long, value_name = "TABLE")]
    table: Option<OneTable>,
}

/// A table that can be asked for alone.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum OneTable {
    /// One row a history: interval, reason
    Decisions,
    /// One row a method and history
    Proposals,
    /// One row a history: the figures of its drift
    Fits,
    /// Rows that could not be used, with the reason
    Rejects,
    /// What looked odd
    Warnings,
}

impl OneTable {
    fn name(self) -> &'static str {
        match self {
            Self::Decisions => "decisions",
            Self::Proposals => "proposals",
            Self::Fits => "fits",
            Self::Rejects => "rejects",
            Self::Warnings => "warnings",
        }
    }
}

pub(crate) fn run(work: &Work) -> CommandResult {
    match work {
        Work::Place(shared) => {
            let plan = begin(shared)?;
            place(&plan, &sent()?, out()?).map_err(as_command_error)?;
        }
        Work::Learn(shared) => {
            let plan = begin(shared)?;
            let learned = learn(&plan, &sent()?).map_err(as_command_error)?;
            write_learned(&learned)?;
        }
        Work::Decide(arguments) => {
            let plan = begin(&arguments.shared)?;
            let asked = arguments
                .table
                .map_or(Asked::All, |table| Asked::One(table.name()));
            decide(&plan, &sent()?, &arguments.learned, asked, out()?).map_err(as_command_error)?;
        }
    }
    Ok(0)
}

fn begin(shared: &Shared) -> Result<Plan, CommandError> {
    use_threads(Some(shared.threads.unwrap_or(1)));
    plan_of_sent(&shared.pipeline, shared.as_of.as_deref())
        .map_err(|error| CommandError::Usage(error.to_string()))
}

/// What was sent on standard input.
fn sent() -> Result<Vec<u8>, CommandError> {
    let mut input = std::io::stdin().lock();
    if input.is_terminal() {
        let what = "error: standard input is a terminal\nhelp: send the checks as an Arrow IPC stream, see docs/engine.md";
        return Err(CommandError::Usage(what.into()));
    }
    let mut bytes = Vec::new();
    let read = input.read_to_end(&mut bytes);
    read.map_err(|why| CommandError::failed(format!("standard input: {why}")))?;
    Ok(bytes)
}

/// Standard output for an Arrow stream.
fn out() -> Result<impl Write, CommandError> {
    let out = std::io::stdout().lock();
    if out.is_terminal() {
        let what = "error: standard output is a terminal, and an Arrow IPC stream is no text\nhelp: send it to a program or a file";
        return Err(CommandError::Usage(what.into()));
    }
    Ok(BufWriter::with_capacity(BUFFER, out))
}

/// One row: how much was learned from, and what was learned.
fn write_learned(learned: &Learned) -> Result<(), CommandError> {
    let counts = [("histories", learned.histories), ("checks", learned.checks)];
    let bytes = learned.bytes().map_err(as_command_error)?;
    let written = write_row(out()?, &counts, (COLUMN, bytes));
    written.map_err(|why| CommandError::failed(format!("the answer cannot be written: {why}")))
}

fn as_command_error(error: WorkerError) -> CommandError {
    CommandError::failed(error)
}
