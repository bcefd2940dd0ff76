/*! `driftbook completions`: what a shell needs to complete the commands and their options. */

use super::output::hand_over;
use super::{CommandResult, command_line};
use clap::Args;
use clap_complete::{Shell, generate};

/// Print completions for a shell.
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook completions bash > ~/.local/share/bash-completion/completions/driftbook\n  \
    driftbook completions zsh > ~/.zfunc/_driftbook\n  \
    driftbook completions fish > ~/.config/fish/completions/driftbook.fish")]
pub(crate) struct Arguments {
    /// The shell
    #[arg(value_enum)]
    shell: Shell,
}

pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let mut script = Vec::new();
    generate(
        arguments.shell,
        &mut command_line(),
        "driftbook",
        &mut script,
    );
    hand_over(&String::from_utf8_lossy(&script));
    Ok(0)
}
