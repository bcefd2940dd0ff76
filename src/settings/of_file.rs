/*! The settings of a pipeline file for a command that runs nothing. */

use super::file::{PipelineFile, Settings};
use super::file_error::Problem;
use super::pipeline_text::read;
use super::plan::PlanError;
use std::path::Path;

/// The settings of a pipeline file; what it names need not be there.
///
/// # Errors
/// A file that cannot be read, or wrong keys and values in it.
pub(crate) fn settings_of(path: &Path) -> Result<Settings, PlanError> {
    let text = read(path)?;
    let shown = path.to_string_lossy();
    let render = |problem: &Problem| problem.render(&shown, &text);
    PipelineFile::parse(&text)
        .map(|file| file.settings)
        .map_err(|problems| {
            let texts: Vec<String> = problems.iter().map(render).collect();
            PlanError(texts.join("\n\n"))
        })
}
