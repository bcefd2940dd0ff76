/*! The jobs table: work done with the instruments, for the question of what is in doubt. */

use crate::impact::twice::twice;
use crate::impact::{Job, JobDoubt, unassessed};
use crate::records::LoadError;
use crate::records::cells::marks::Marks;
use crate::records::cells::number::Number;
use crate::records::cells::number::written::{Form, written};
use crate::records::cells::unit::target::{NoUnit, Target};
use crate::records::date::DateFormat;
use crate::records::reading::files;
use crate::records::reading::limit_cells::{LeftOut, LimitCells, header_unit};
use crate::records::reading::table::own_headers::own_headers;
use crate::records::reading::table::{Table, TableFormat};
use crate::records::settings::written::table_settings;
use std::borrow::Cow;
use std::path::Path;

table_settings! {
    /// Work done with the instruments; after a failed check the jobs since the last good one are judged.
    pub struct JobsSettings in "jobs" {
        /// Jobs file (CSV, Parquet or workbook), relative to the pipeline file; absent = no jobs.
        file: Option<String> = None,
        /// Sheet of a workbook; empty = the one that has the columns.
        sheet: String = String::new(),
        ..written,
        /// Own headers, as in job = "Order"; see jobs.columns.
        columns: JobColumns = JobColumns::default(),
    }
}

own_headers! {
    /// Headers of the jobs: our name = "their header"; absent = same name; false = not read.
    pub struct JobColumns in "jobs.columns";
    /// Identity of the job (needed).
    job Job text needed;
    /// Instrument used (needed).
    instrument Instrument text needed;
    /// Point used; empty = every point of the instrument.
    point Point text;
    /// When the work was done (needed).
    date Date needed;
    /// Lower limit of what was measured.
    lower Lower;
    /// Upper limit of what was measured.
    upper Upper;
    /// Tolerance on what was measured in one column, such as ±0.05.
    tolerance Tolerance text;
    /// Error that was measured with the instrument.
    measured_error MeasuredError;
    /// Change of the reported error for one unit of the instrument's error; empty = both signs are judged.
    sensitivity Sensitivity;
    /// Standard uncertainty of the reported error without the instrument's part.
    u U;
    /// Unit of the reported error and its limits, where their cells and headers state none; another prefix than the history's is turned into it.
    unit Unit text;
    /// The instrument that the job calibrated, where it did.
    calibrates Calibrates text;
}

/// The jobs table: every row is a job, or is named among those that cannot be assessed.
#[derive(Debug, Clone, Default)]
pub(crate) struct Jobs {
    /// Usable jobs, in file order.
    pub jobs: Vec<Job>,
    /// Rows that cannot be read, each with what is known of its job.
    pub unreadable: Vec<JobDoubt>,
    /// What is to be said of the table itself.
    pub warnings: Vec<String>,
}

/// The jobs of the file that the settings name, relative to `base`; none where they name none.
/// `trim_names` where blanks at the ends of names do not count.
///
/// # Errors
/// A file that cannot be read as a table, or that lacks a needed column.
pub(crate) fn of(
    settings: &JobsSettings,
    base: &Path,
    trim_names: bool,
) -> Result<Jobs, LoadError> {
    let Some(file) = &settings.file else {
        return Ok(Jobs::default());
    };
    let path = base.join(file);
    let shown = files::shown(&path, base);
    let columns = settings.columns.columns();
    let format = TableFormat {
        delimiter: settings.delimiter,
        encoding: settings.encoding,
        sheet: &settings.sheet,
        decimal_comma: settings.decimal_comma,
        ..TableFormat::default()
    };
    let table = Table::read(&path, &shown, &columns, format)?;
    let reader = RowReader {
        table: &table,
        dates: DateFormat::from_setting(&settings.date_format),
        marks: table.marks(&columns, settings.decimal_comma, settings.thousands, "jobs")?,
        trim_names,
    };
    let mut jobs = Jobs {
        warnings: (table.warnings.iter().chain(&table.unread()))
            .map(ToString::to_string)
            .collect(),
        ..Jobs::default()
    };
    for row in 0..table.len() {
        match reader.job(row) {
            (job, Ok(())) => jobs.jobs.push(job),
            (job, Err(why)) => {
                let reason = format!("{}: {why}", table.place(row));
                jobs.unreadable.push(unassessed(job, reason));
            }
        }
    }
    let ragged = table
        .ragged
        .iter()
        .map(|(row, why)| unassessed(Job::unknown(), format!("{shown}, row {row}: {why}")));
    jobs.unreadable.extend(ragged);
    jobs.warnings.extend(twice(&jobs.jobs));
    Ok(jobs)
}

/// Why a row is no job.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
enum NoJob {
    #[error("no instrument")]
    NoInstrument,
    #[error("date \"{text}\" is not a date: {expected}")]
    Date { text: String, expected: String },
    #[error("{column} \"{text}\": {why}")]
    Number {
        column: &'static str,
        text: String,
        why: &'static str,
    },
    #[error(
        "sensitivity 0: the instrument would have no part in the result; give +1 for a reading taken with it, -1 for a device judged against it, or leave the cell empty"
    )]
    NoSensitivity,
    #[error(
        "u {0}: a standard uncertainty below 0 is impossible; give 0 or more, or leave the cell empty"
    )]
    NegativeU(f64),
    #[error("{column} \"{text}\": {why}")]
    Unit {
        column: &'static str,
        text: String,
        why: NoUnit,
    },
    #[error("{0}; exchange or mend them")]
    Limits(#[from] LeftOut),
}

/// Refuses what no job can have.
fn possible(job: &Job) -> Result<(), NoJob> {
    if job.sensitivity == 0.0 {
        return Err(NoJob::NoSensitivity);
    }
    if job.u < 0.0 {
        return Err(NoJob::NegativeU(job.u));
    }
    Ok(())
}

/// A lower and an upper limit.
type Limits = (f64, f64);

/// Reads one row of the jobs.
struct RowReader<'a> {
    table: &'a Table,
    dates: DateFormat,
    marks: Marks,
    trim_names: bool,
}

impl RowReader<'_> {
    /// The job, or what is known of it and why it cannot be read.
    fn job(&self, row: usize) -> (Job, Result<(), NoJob>) {
        let mut job = Job {
            job: self.text(row, Column::Job).trim().to_string(),
            instrument: self.name(row, Column::Instrument),
            point: self.name(row, Column::Point),
            row,
            unit: self.text(row, Column::Unit).trim().to_string(),
            calibrates: self.name(row, Column::Calibrates),
            ..Job::unknown()
        };
        let filled = self.fill(row, &mut job);
        (job, filled)
    }

    fn fill(&self, row: usize, job: &mut Job) -> Result<(), NoJob> {
        if job.instrument.trim().is_empty() {
            return Err(NoJob::NoInstrument);
        }
        let day = self.table.field(row, Column::Date as usize);
        let date = day.date(&self.dates);
        job.date = date.ok_or_else(|| NoJob::Date {
            text: day.text().into_owned(),
            expected: self.dates.words(),
        })?;
        let of_row = !job.unit.is_empty();
        let (limits, of_limits) = self.limits(row, &mut job.unit)?;
        (job.lower, job.upper) = limits;
        let (found, of_error) = self.in_unit(row, Column::MeasuredError, &mut job.unit)?;
        job.measured_error = found;
        job.sensitivity = self.number(row, Column::Sensitivity)?;
        let (u, of_u) = self.in_unit(row, Column::U, &mut job.unit)?;
        job.u = u;
        let stated = [of_limits, of_error, of_u];
        job.partly_bare = !of_row && stated.contains(&Some(false));
        possible(job)
    }

    /// The limits of what was measured, NaN where none, and whether they state a unit; where the row has none, theirs
    /// becomes that.
    fn limits(&self, row: usize, unit: &mut String) -> Result<(Limits, Option<bool>), NoJob> {
        let cells = LimitCells {
            table: self.table,
            row,
            marks: self.marks,
            columns: [Column::Lower, Column::Upper, Column::Tolerance].map(|c| c as usize),
            unit: unit.clone(),
        };
        let (limits, stated) = cells.read();
        *unit = stated;
        let Some(limits) = limits? else {
            return Ok(((f64::NAN, f64::NAN), None));
        };
        let side = |limit: f64| if limit.is_finite() { limit } else { f64::NAN };
        let both = (side(limits.lower()), side(limits.upper()));
        Ok((both, Some(!unit.is_empty())))
    }

    /// A number in the row's unit, from the unit in its cell or its header, and whether these state one; where the row
    /// has none, that becomes its.
    fn in_unit(
        &self,
        row: usize,
        column: Column,
        unit: &mut String,
    ) -> Result<(f64, Option<bool>), NoJob> {
        let field = self.table.field(row, column as usize);
        let text = field.text();
        let cell = written(text.trim(), self.marks).ok();
        let cell = cell.filter(|cell| cell.form == Form::Plain && !cell.unit.is_empty());
        let stated = match &cell {
            Some(cell) => cell.unit,
            None => header_unit(self.table, column as usize),
        };
        let number = match &cell {
            Some(cell) => cell.number.value,
            None => self.number(row, column)?,
        };
        let Some(number) = Number::from_double(number) else {
            return Ok((f64::NAN, None));
        };
        if unit.is_empty() {
            *unit = stated.to_string();
        }
        let target = Target {
            unit: Cow::Borrowed(unit.as_str()),
            nominal: None,
        };
        let turned = target.turned(number, stated, Err("the measured value"));
        match turned {
            Ok(number) => Ok((number.value, Some(!stated.is_empty()))),
            Err(why) => Err(NoJob::Unit {
                column: column.name(),
                text: text.trim().to_string(),
                why,
            }),
        }
    }

    fn text(&self, row: usize, column: Column) -> String {
        let field = self.table.field(row, column as usize);
        field.text().into_owned()
    }

    /// A name as the records have it.
    fn name(&self, row: usize, column: Column) -> String {
        let text = self.text(row, column);
        match self.trim_names {
            true => text.trim().to_string(),
            false => text,
        }
    }

    fn number(&self, row: usize, column: Column) -> Result<f64, NoJob> {
        let field = self.table.field(row, column as usize);
        match field.number(self.marks) {
            Ok(number) => Ok(number.map_or(f64::NAN, |n| n.value)),
            Err(problem) => {
                let name = column.name();
                Err(NoJob::Number {
                    column: name,
                    text: field.text().into_owned(),
                    why: problem.words(),
                })
            }
        }
    }
}
