/*! `driftbook settings`: the reference of all settings. */

use super::CommandResult;
use super::output::say;
use crate::settings::page::markdown;

/// Prints the reference as Markdown.
pub fn run() -> CommandResult {
    say(&markdown());
    Ok(0)
}
