/*! `start` on raw readings of thermometers: they are no errors, and make checks of their own. */

use super::words::report_folder;
use crate::pipeline::thermometry;
use crate::records::reading::table::TableFormat;
use crate::records::{LoadError, Loaded, Table};
use crate::report::compose::results::ThermometryResults;
use crate::settings::planning::plan_of_trial;
use crate::settings::toml_text::quoted;
use crate::thermometry::readings::{RawTable, ReadingFormat, read_table, wanted_columns};
use crate::words::count;
use chrono::NaiveDate;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::Path;

/// The pipeline file of a table of raw readings, and what is told of it; `None` where the file is
/// no such table by the names of its columns.
pub(super) fn draft(records: &Path) -> Option<Draft> {
    let readings = readings(records)?;
    Some(Draft {
        text: pipeline_text(records, &readings),
        words: explanation(&readings),
        open: None,
    })
}

/// A pipeline file that is complete but for one doubt at most.
pub(super) struct Draft {
    pub text: String,
    /// What is told of it.
    pub words: String,
    /// The doubt that it leaves open.
    pub open: Option<&'static str>,
}

/// What the readings of a pipeline file come to, whatever of it is not answered yet.
///
/// # Errors
/// Why they cannot be read, in words.
pub(super) fn read(file: &Path, today: NaiveDate) -> Result<(ThermometryResults, Loaded), String> {
    let plan = plan_of_trial(file, today).map_err(|why| why.to_string())?;
    let read = || {
        let thermometry = thermometry::read(&plan)?;
        let loaded = thermometry::load(&plan, thermometry.as_ref())?;
        Ok((thermometry.unwrap_or_default(), loaded))
    };
    read().map_err(|why: LoadError| why.to_string())
}

/// Rows of a workbook among which the header of raw readings stands.
const FIRST_ROWS: u32 = 200;

fn readings(records: &Path) -> Option<RawTable> {
    let headers = BTreeMap::new();
    let columns = wanted_columns(&headers);
    let shown = records.display().to_string();
    let read = |rows| {
        let format = TableFormat {
            rows,
            ..TableFormat::default()
        };
        Table::read(records, &shown, &columns, format).ok()
    };
    // A file of anything else is told by its first rows; a ratio alone may be a check of anything.
    let first = read(Some(FIRST_ROWS))?;
    let has = |name: &str| {
        columns
            .iter()
            .position(|c| c.name == name)
            .is_some_and(|i| first.has(i))
    };
    if !has("session") && !has("cell") {
        return None;
    }
    let table = read(None)?;
    read_table(&table, &ReadingFormat::default()).ok()
}

fn names(
    readings: &RawTable,
    of: fn(&crate::thermometry::readings::RawReading) -> &str,
) -> BTreeSet<&str> {
    readings.readings.iter().map(of).collect()
}

fn pipeline_text(records: &Path, readings: &RawTable) -> String {
    let name = records.file_name().unwrap_or_default().to_string_lossy();
    let name = quoted(&glob::Pattern::escape(&name));
    let mut text = format!(
        "# Raw readings of thermometers: reduced to R at the triple point, then judged as any check.\n\
         [thermometry]\nfiles = [{name}]\nadoptions = \"adoptions.csv\"          # written by driftbook adopt\n\
         # thermometers = \"thermometers.toml\"   # values in use, ratings, coefficients: one entry each, as\n"
    );
    for instrument in names(readings, |r| &r.instrument) {
        let instrument = quoted(instrument);
        let _ = write!(
            text,
            "#   [[thermometer]]\n#   instrument = {instrument}\n#   triple_point_ohm = …   # of its certificate, Ω\n\
             #   u_triple_point_ohm = …\n#   current_ma = …         # at which that value is stated; 0 is zero power\n\
             #   maximum_c = …          # highest temperature it is rated for\n"
        );
    }
    text += "# [register]\n# file = \"register.csv\"        # instrument, lower, upper, unit (mK): without limits no interval is decided\n# tolerance = \"±… mK\"          # one for all, where no register states limits\n";
    let _ = write!(
        text,
        "[output]\nfolder = {}\n",
        quoted(&report_folder(records))
    );
    text
}

fn explanation(readings: &RawTable) -> String {
    let (instruments, sessions) = (
        names(readings, |r| &r.instrument),
        names(readings, |r| &r.session),
    );
    let mut text = format!(
        "These are raw readings of thermometers, not errors: {} of {} in {}.",
        count(readings.readings.len(), "reading"),
        count(instruments.len(), "thermometer"),
        count(sessions.len(), "session")
    );
    if let Some(first) = readings.rejected.first() {
        let _ = write!(
            text,
            "\n{} cannot be used; the first, row {}, column {}: {}",
            count(readings.rejected.len(), "row"),
            first.row,
            first.column,
            first.reason
        );
    }
    text += "\nChanges count from the first session of each, until a file of the thermometers states the values in use; \
             the pipeline file says how.";
    text
}
