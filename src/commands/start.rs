/*! `driftbook start`: from a person's own file to a pipeline file. */

use super::output::say;
use super::{CommandError, CommandResult};
use crate::pipeline::start::start;
use clap::Args;
use std::path::PathBuf;

/// Look at a records file, guess what its columns mean, and write a pipeline file beside it.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  \
    cp data/demo/history/masses.csv mine.csv && driftbook start mine.csv && driftbook run mine.toml\n\n\
    A pipeline file that is already there is never overwritten.")]
pub struct Arguments {
    /// Records of checks (.csv or .parquet)
    #[arg(value_name = "RECORDS")]
    records: PathBuf,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> CommandResult {
    let today = chrono::Local::now().date_naive();
    let started =
        start(&arguments.records, today).map_err(|e| CommandError::Failed(e.to_string()))?;
    let file = started.file.display();
    let quoted = quoted(&file.to_string());
    say(&format!(
        "{}\nWritten: {file}\nNext: driftbook run {quoted}",
        started.explanation
    ));
    Ok(0)
}

/// A path as a shell takes it: in quotation marks where a sign in it has a meaning there.
fn quoted(path: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "/\\._-:+~".contains(c);
    match path.chars().all(plain) {
        true => path.to_string(),
        false => format!("'{}'", path.replace('\'', "'\\''")),
    }
}
