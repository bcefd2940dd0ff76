/*! Printing that survives a closed pipe and lets no file steer the terminal, and progress that only
a terminal sees. */

use super::CommandError;
use crate::files::whole_file::write_whole;
use crate::report::text::harmless;
use indicatif::{ProgressBar, ProgressStyle};
use std::fmt::Write as _;
use std::io::{IsTerminal, Write};
use std::path::Path;
use std::time::Duration;

/// Writes words to standard output. What came from a file may hold sequences that steer a
/// terminal: they are shown, not sent.
pub(crate) fn say(text: &str) {
    hand_over(&harmless(text));
}

/// Writes data to standard output as it is; a reader that went away is not an error.
pub(crate) fn hand_over(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes());
    if !text.ends_with('\n') {
        let _ = out.write_all(b"\n");
    }
    let _ = out.flush();
}

/// Writes an error to standard error.
pub(crate) fn complain(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{}", harmless(text));
}

/// JSON with every character that could steer a terminal escaped; serde leaves those beyond ASCII.
pub(crate) fn json(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for character in text.chars() {
        match character.is_control() && !character.is_ascii_whitespace() {
            true => {
                let _ = write!(safe, "\\u{:04x}", u32::from(character));
            }
            false => safe.push(character),
        }
    }
    safe
}

/// Writes a file that a person named; one that is already there only where they say so.
///
/// # Errors
/// A file that is there, a disk that refuses.
pub(crate) fn place(path: &Path, text: &str, replace: bool) -> Result<(), CommandError> {
    refuse_standing(path, replace)?;
    let failed = |why| CommandError::failed(format!("{}: {why}", path.display()));
    write_whole(path, text).map_err(failed)
}

/// Refuses a file that is already there, unless it is to be replaced.
///
/// # Errors
/// A file that is there.
pub(crate) fn refuse_standing(path: &Path, replace: bool) -> Result<(), CommandError> {
    match std::fs::symlink_metadata(path) {
        Ok(_) if !replace => Err(CommandError::Failed(format!(
            "error: {} is already there; nothing was written\nhelp: choose another --out, or add --replace",
            path.display()
        ))),
        _ => Ok(()),
    }
}

/// Names the stage under way on a terminal; silent elsewhere.
pub(crate) struct Stages {
    bar: Option<ProgressBar>,
}

impl Stages {
    /// Shows stages when `wanted` and standard error is a terminal.
    pub(crate) fn new(wanted: bool) -> Self {
        let bar = (wanted && std::io::stderr().is_terminal()).then(|| {
            let bar = ProgressBar::new_spinner();
            if let Ok(style) = ProgressStyle::with_template("{spinner} {msg}") {
                bar.set_style(style);
            }
            bar.enable_steady_tick(Duration::from_millis(100));
            bar
        });
        Self { bar }
    }

    /// Announces the next stage.
    pub(crate) fn enter(&self, name: &str) {
        if let Some(bar) = &self.bar {
            bar.set_message(name.to_string());
        }
    }
}

impl Drop for Stages {
    fn drop(&mut self) {
        if let Some(bar) = &self.bar {
            bar.finish_and_clear();
        }
    }
}
