/*! Printing that survives a closed pipe, and progress that only a terminal sees. */

use indicatif::{ProgressBar, ProgressStyle};
use std::io::{IsTerminal, Write};
use std::time::Duration;

/// Writes to standard output; a reader that went away is not an error.
pub fn say(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes());
    if !text.ends_with('\n') {
        let _ = out.write_all(b"\n");
    }
    let _ = out.flush();
}

/// Writes an error to standard error.
pub fn complain(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}

/// Names the stage under way on a terminal; silent elsewhere.
pub struct Stages {
    bar: Option<ProgressBar>,
}

impl Stages {
    /// Shows stages when `wanted` and standard error is a terminal.
    pub fn new(wanted: bool) -> Self {
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
    pub fn enter(&self, name: &str) {
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
