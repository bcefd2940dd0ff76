/*! `driftbook settings`: the reference of all settings. */

use super::CommandResult;
use super::output::say;
use crate::pipeline::settings_page::markdown;

/// Prints the reference as Markdown.
pub fn run() -> CommandResult {
    say(&markdown());
    Ok(0)
}
