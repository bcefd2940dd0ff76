/*! The jobs table: work done with the instruments, for the question of what is in doubt. */

use super::plan::Plan;
use crate::impact::Job;
use crate::records::{LoadError, date};
use crate::settings::SettingError;
use std::path::Path;

crate::settings! {
    /// Work done with the instruments; after a failed check the jobs since the last good one are judged.
    pub struct JobsSettings in "jobs" {
        /// Jobs file (CSV), relative to the pipeline file; absent = no jobs.
        file: Option<String> = None,
        /// Own headers, as in job = "Order"; see jobs.columns.
        columns: JobColumns = JobColumns::default(),
    }
}

crate::settings! {
    /// Headers of the jobs: our name = "their header"; absent = same name.
    pub struct JobColumns in "jobs.columns" {
        /// Identity of the job (needed).
        job: Option<String> = None,
        /// Instrument used (needed).
        instrument: Option<String> = None,
        /// Point used; empty = every point of the instrument.
        point: Option<String> = None,
        /// When the work was done (needed).
        date: Option<String> = None,
        /// Lower limit of what was measured.
        lower: Option<String> = None,
        /// Upper limit of what was measured.
        upper: Option<String> = None,
        /// Error that was measured with the instrument.
        measured_error: Option<String> = None,
    }
}

impl JobsSettings {
    /// The values that cannot be used.
    pub fn check(&self) -> Vec<SettingError> {
        Vec::new()
    }
}

/// Jobs read from the table, and sentences on rows that could not be used.
#[derive(Debug, Clone, Default)]
pub struct Jobs {
    /// Usable jobs, in file order.
    pub jobs: Vec<Job>,
    /// One sentence a row that was left out.
    pub warnings: Vec<String>,
}

/// The jobs that the plan names; none where it names no file.
///
/// # Errors
/// As [`read`].
pub fn of(plan: &Plan) -> Result<Vec<Job>, LoadError> {
    match &plan.settings.jobs.file {
        Some(file) => Ok(read(&plan.base.join(file), &plan.settings.jobs)?.jobs),
        None => Ok(Vec::new()),
    }
}

/// Reads the jobs.
///
/// # Errors
/// A file that cannot be read as CSV, or that lacks a needed column.
pub fn read(path: &Path, settings: &JobsSettings) -> Result<Jobs, LoadError> {
    let shown = path.display().to_string();
    let unreadable = |why: csv::Error| {
        LoadError::new(
            &shown,
            why.to_string(),
            "jobs are a CSV table with a header",
        )
    };
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .trim(csv::Trim::All)
        .from_path(path)
        .map_err(unreadable)?;
    let headers = reader.headers().map_err(unreadable)?.clone();
    let columns = Places::find(&headers, &settings.columns, &shown)?;
    let mut jobs = Jobs::default();
    for (index, record) in reader.records().enumerate() {
        let row = index + 1;
        let read = record
            .map_err(|e| e.to_string())
            .and_then(|record| columns.job(&record));
        match read {
            Ok(job) => jobs.jobs.push(job),
            Err(why) => jobs
                .warnings
                .push(format!("{shown}, row {row}: {why}; the job is left out")),
        }
    }
    Ok(jobs)
}

/// Where each column stands; `None` where the table lacks it.
struct Places {
    job: usize,
    instrument: usize,
    date: usize,
    point: Option<usize>,
    lower: Option<usize>,
    upper: Option<usize>,
    measured_error: Option<usize>,
}

impl Places {
    fn find(
        headers: &csv::StringRecord,
        names: &JobColumns,
        shown: &str,
    ) -> Result<Self, LoadError> {
        let place = |own: &Option<String>, ours: &str| {
            let name = own.as_deref().unwrap_or(ours);
            headers
                .iter()
                .position(|header| header.trim_start_matches('\u{feff}') == name)
        };
        let needed = |own: &Option<String>, ours: &str| {
            place(own, ours).ok_or_else(|| {
                let name = own.as_deref().unwrap_or(ours);
                LoadError::new(
                    shown,
                    format!(
                        "no column {name}; the header has {}",
                        headers.iter().collect::<Vec<_>>().join(", ")
                    ),
                    format!("name it under [jobs.columns], as in {ours} = \"their header\""),
                )
            })
        };
        Ok(Self {
            job: needed(&names.job, "job")?,
            instrument: needed(&names.instrument, "instrument")?,
            date: needed(&names.date, "date")?,
            point: place(&names.point, "point"),
            lower: place(&names.lower, "lower"),
            upper: place(&names.upper, "upper"),
            measured_error: place(&names.measured_error, "measured_error"),
        })
    }

    fn job(&self, record: &csv::StringRecord) -> Result<Job, String> {
        let text = |place: usize| record.get(place).unwrap_or("").to_string();
        let number = |place: Option<usize>| match place.and_then(|p| record.get(p)).unwrap_or("") {
            "" => Ok(f64::NAN),
            word => word
                .parse::<f64>()
                .ok()
                .filter(|v| v.is_finite())
                .ok_or_else(|| format!("\"{word}\" is not a number")),
        };
        let day = text(self.date);
        let job = Job {
            job: text(self.job),
            instrument: text(self.instrument),
            point: self.point.map(text).unwrap_or_default(),
            date: date::parse_iso(day.as_bytes())
                .ok_or_else(|| format!("\"{day}\" is not a date: expected YYYY-MM-DD"))?,
            lower: number(self.lower)?,
            upper: number(self.upper)?,
            measured_error: number(self.measured_error)?,
        };
        if job.instrument.is_empty() {
            return Err("no instrument".into());
        }
        Ok(job)
    }
}
