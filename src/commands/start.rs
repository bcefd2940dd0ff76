/*! `driftbook start`: from a person's own files to a pipeline file. */

use super::conversation::Conversation;
use super::output::say;
use super::{CommandError, CommandResult};
use crate::pipeline::start::start;
use crate::report::text::shell_word;
use clap::Args;
use std::io::IsTerminal;
use std::path::PathBuf;

/// Look at records, tell what their columns seem to mean, ask what cannot be told, and write a
/// pipeline file beside them.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  \
    cp data/demo/history/masses.csv mine.csv && driftbook start mine.csv && driftbook run mine.toml\n\n\
    A pipeline file that is already there keeps what it says; what it lacks is added.\n\
    Without a terminal, or with --yes, nothing is asked: doubts are marked in the file, and a run\n\
    begins only when they are answered there.")]
pub(crate) struct Arguments {
    /// Records of checks: files (.csv, .parquet, .xlsx, .xls, .ods) and folders of them
    #[arg(value_name = "RECORDS", required = true)]
    records: Vec<PathBuf>,
    /// Ask nothing; mark every doubt in the file
    #[arg(long)]
    yes: bool,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let today = chrono::Local::now().date_naive();
    let asks = !arguments.yes && std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
    let mut person = Conversation::new(std::io::stdin().lock(), asks);
    let started = start(&arguments.records, today, &mut person)
        .map_err(|e| CommandError::Failed(e.to_string()))?;
    let file = started.file.display().to_string();
    let written = match started.unchanged {
        true => format!("{file} stands as it was"),
        false => format!("Written: {file}"),
    };
    let mut next = match started.open.as_slice() {
        [] => String::new(),
        open => format!("answer {} in it, then ", open.join(", ")),
    };
    // A doubt tells by itself why nothing is read.
    if let (Some(why), []) = (&started.not_read, started.open.as_slice()) {
        next = format!("no run can begin yet ({why}): mend that, then ");
    }
    say(&format!(
        "\n{written}\nNext: {next}driftbook run {}",
        shell_word(&file)
    ));
    Ok(0)
}
