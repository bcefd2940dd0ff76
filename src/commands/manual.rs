/*! `driftbook manual`: one man page a command, from the same text as `--help`. */

use super::output::say;
use super::{CommandError, CommandResult, command_line};
use clap::Args;
use std::path::PathBuf;

/// Write man pages: driftbook.1 and one a command.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  \
    driftbook manual --out ~/.local/share/man/man1 && man driftbook-run")]
pub(crate) struct Arguments {
    /// Folder of the pages
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let out = &arguments.out;
    let failed = |why: std::io::Error| {
        CommandError::failed(format!("cannot write {}: {why}", out.display()))
    };
    std::fs::create_dir_all(out).map_err(failed)?;
    clap_mangen::generate_to(command_line(), out).map_err(failed)?;
    say(&format!("Wrote man pages to {}.", out.display()));
    Ok(0)
}
