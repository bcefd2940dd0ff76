/*! `driftbook settings` and `driftbook tables`: the reference pages that are made from the code. */

use super::CommandResult;
use super::output::say;
use crate::report::compose::table_page;
use crate::settings::reference_page::markdown;

/// Prints the reference as Markdown.
pub(crate) fn run() -> CommandResult {
    say(&markdown());
    Ok(0)
}

/// Prints the reference of all tables as Markdown.
pub(crate) fn tables() -> CommandResult {
    say(&table_page::markdown());
    Ok(0)
}
