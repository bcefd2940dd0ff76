/*! The raw readings of all files that a plan names. */

use crate::records::reading::files;
use crate::records::reading::table::{Table, TableFormat};
use crate::records::{InputFile, LoadError, Warning};
use crate::settings::plan::Plan;
use crate::thermometry::readings::{RawTable, read_table, wanted_columns};
use std::collections::BTreeMap;
use std::path::Path;

/// Raw readings of several files.
#[derive(Default, Clone)]
pub(super) struct Readings {
    pub table: RawTable,
    pub inputs: Vec<InputFile>,
    /// The last row of each file's header.
    pub header_rows: Vec<u32>,
    pub warnings: Vec<Warning>,
}

impl Readings {
    pub(crate) fn add(&mut self, plan: &Plan, path: &Path, shown: &str) -> Result<(), LoadError> {
        let settings = &plan.settings.thermometry;
        let columns = wanted_columns(&settings.columns);
        let format = settings.reading_format();
        let written = TableFormat {
            delimiter: settings.delimiter,
            encoding: settings.encoding,
            decimal_comma: Some(settings.decimal_comma),
            most_unpacked_mb: plan.settings.checks.largest_unpacked_mb,
            ..TableFormat::default()
        };
        let read = Table::read(path, shown, &columns, written)?;
        let number = self.inputs.len() as u32;
        let mut table = read_table(&read, &format)?;
        for reading in &mut table.readings {
            plan.former.renew(&mut reading.instrument);
        }
        let told = std::mem::take(&mut table.told);
        self.warnings
            .extend(told.into_iter().map(|words| Warning::new(shown, words)));
        self.table.add(number, table);
        self.header_rows.push(read.header_row());
        self.warnings.extend(read.unread());
        self.warnings.extend(read.warnings);
        self.inputs.push(read.input);
        Ok(())
    }

    /// Sessions of a file with the time of their last reading, in order of that time.
    pub(crate) fn sessions_of(&self, file: u32) -> Vec<(String, f64)> {
        let mut ends: BTreeMap<&str, f64> = BTreeMap::new();
        for reading in self.table.readings.iter().filter(|r| r.file == file) {
            let end = ends.entry(&reading.session).or_insert(f64::NEG_INFINITY);
            *end = end.max(reading.date);
        }
        let mut ends: Vec<_> = ends
            .into_iter()
            .map(|(s, end)| (s.to_string(), end))
            .collect();
        ends.sort_by(|a, b| a.1.total_cmp(&b.1));
        ends
    }

    /// The same without what a file has after `end`.
    pub(crate) fn until(&self, file: u32, end: f64) -> Self {
        let mut earlier = self.clone();
        earlier
            .table
            .readings
            .retain(|r| r.file != file || r.date <= end);
        earlier
    }
}

/// The readings of all files that the plan names.
pub(super) fn readings_of(plan: &Plan) -> Result<Readings, LoadError> {
    let settings = &plan.settings.thermometry;
    let mut readings = Readings::default();
    for entry in &settings.files {
        let found = files::find(entry, &plan.base).map_err(|what| {
            LoadError::new(
                format!("[thermometry] files, \"{entry}\""),
                what,
                "paths are relative to the pipeline file",
            )
        })?;
        for path in found.files {
            let shown = files::shown(&path, &plan.base);
            readings.add(plan, &path, &shown)?;
        }
    }
    Ok(readings)
}
