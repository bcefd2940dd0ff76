/*! New checks into a file of the records, where a verdict is asked to keep them. */

use super::arguments::LATEST_DAY;
use crate::commands::output::complain;
use crate::commands::{CommandError, plan_of};
use crate::records::append::check::{AppendError, NewCheck};
use crate::records::append::check_in::{append_with, rows_of};
use crate::records::append::read_back::refuse_misread;
use crate::records::reading::files::resolved;
use crate::records::settings::words::AsFoundIs;
use crate::records::{ChecksSettings, RowsFormat, append_rows};
use crate::settings::plan::Plan;
use crate::settings::planning::is_pipeline_file;
use crate::thermometry::readings::wanted_columns;
use std::path::{Path, PathBuf};

/// Adds `checks` to the CSV file `file`, as it is written, or in our own columns where no run of `records` reads it,
/// which is told.
///
/// # Errors
/// A file that cannot take a row, or out of which a run would read another check.
pub(super) fn record(
    file: &Path,
    checks: &[NewCheck],
    records: Option<&PathBuf>,
) -> Result<(), CommandError> {
    let mut read_by_a_run = true;
    let own = own_columns(checks);
    append_with(file, |old, name| {
        // The file stands now: a pattern of the pipeline file may name it.
        let mut plan =
            plan_of(records.cloned(), None).map_err(|why| AppendError::unusable(name, why))?;
        plan.as_of = LATEST_DAY;
        let settings = plan.checks_settings(file);
        read_by_a_run = settings.is_some();
        let settings = settings.unwrap_or(&own);
        let added = rows_of(old, checks, settings, name)?;
        let content = [old, &added].concat();
        refuse_misread(file, &content, checks, settings, &plan.request())?;
        Ok(added)
    })
    .map_err(|why| refused(&why))?;
    if !read_by_a_run {
        complain(&unread(file, records, own.as_found_is));
    }
    Ok(())
}

/// Appends new raw readings to the laboratory's own: the check is made of them at every run;
/// told where no run reads that file.
///
/// # Errors
/// A reading that is there already, a file of another kind, a disk that refuses.
pub(super) fn record_readings(target: &Path, from: &Path, plan: &Plan) -> Result<(), CommandError> {
    let settings = &plan.settings.thermometry;
    let format = RowsFormat {
        columns: &wanted_columns(&settings.columns),
        key: &["session", "instrument", "date"],
        delimiter: settings.delimiter,
        encoding: settings.encoding,
    };
    append_rows(target, from, &format).map_err(|why| CommandError::Failed(why.to_string()))?;
    let own = resolved(target);
    if !plan.inputs().iter().any(|read| resolved(read) == own) {
        let (shown, entry) = match &plan.pipeline_file {
            Some(pipeline) => (pipeline.display().to_string(), beside(target, pipeline)),
            None => ("the demo".to_string(), target.display().to_string()),
        };
        complain(&format!(
            "note: no run of {shown} reads {} yet; it does once files under [thermometry] has {entry:?} too",
            target.display()
        ));
    }
    Ok(())
}

/// How a file of our own columns is written: where a check has a nominal value, `as_found` is a value, however far
/// from it.
fn own_columns(checks: &[NewCheck]) -> ChecksSettings {
    let values = checks.iter().any(|check| check.nominal.is_finite());
    ChecksSettings {
        as_found_is: match values {
            true => AsFoundIs::Value,
            false => AsFoundIs::Auto,
        },
        ..ChecksSettings::default()
    }
}

/// What to do about a row that was not added.
fn refused(why: &AppendError) -> CommandError {
    let help = match why {
        AppendError::Shape { .. } => {
            "\nhelp: --record NEW.csv keeps the check in a file of its own, in our own columns, and says how the pipeline file \
             names it"
        }
        _ => "",
    };
    CommandError::Failed(format!("{why}{help}"))
}

/// What is told of a file that no run of `records` reads.
fn unread(file: &Path, records: Option<&PathBuf>, found: AsFoundIs) -> String {
    let shown = file.display();
    match records {
        Some(pipeline) if is_pipeline_file(pipeline) => {
            let entry = beside(file, pipeline);
            let values = match found {
                AsFoundIs::Value => "\nas_found_is = \"value\"",
                _ => "",
            };
            format!(
                "note: no run of {} reads {shown} yet; it does once the pipeline file ends in\n\
                 [[checks.other]]\nfiles = [{entry:?}]{values}",
                pipeline.display()
            )
        }
        Some(records) => format!(
            "note: no run of {} reads {shown}; a pipeline file that names both does (driftbook start {} {shown} writes one)",
            records.display(),
            records.display()
        ),
        None => format!("note: no run of the demo reads {shown}"),
    }
}

/// The file as a pipeline file names it: from its folder where it lies in that.
fn beside(file: &Path, pipeline: &Path) -> String {
    let (file, pipeline) = (resolved(file), resolved(pipeline));
    let folder = pipeline.parent();
    let short = folder.and_then(|folder| file.strip_prefix(folder).ok());
    let path = short.unwrap_or(&file).to_string_lossy();
    path.replace('\\', "/")
}
