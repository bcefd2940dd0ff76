/*! The reduction stage: raw readings of thermometers become checks like any others. */

use super::jobs;
use super::plan::Plan;
use crate::impact::Job;
use crate::records::date::DateFormat;
use crate::records::{
    self, InputFile, LoadError, Loaded, MadeChecks, OtherUnit, Reject, Table, Warning, files,
    read_input,
};
use crate::thermometry::Thermometers;
use crate::thermometry::closure::AroundWorkSettings;
use crate::thermometry::readings::{
    RawTable, ReadingFormat, RejectedReading, read_table, wanted_columns,
};
use crate::thermometry::season::{Season, season};
use crate::thermometry::session::{checks_csv, other_units};
use std::path::Path;
use std::sync::Arc;

/// The sessions of the raw readings, and where they came from.
#[derive(Debug, Clone, Default)]
pub struct SeasonResults {
    /// Sessions, advice, rejected readings.
    pub season: Season,
    /// What is known of the thermometers.
    pub facts: Thermometers,
    /// Work done with instruments, for the closure of sessions around it.
    pub jobs: Vec<Job>,
    /// Limits around work.
    pub around_work: AroundWorkSettings,
    /// Files of readings, then that of the thermometers.
    pub inputs: Vec<InputFile>,
    /// Rows that are no readings at all.
    pub unreadable: Vec<RejectedReading>,
    /// Headers read loosely, and rows of another width.
    pub warnings: Vec<Warning>,
    /// Checks as the records take them.
    made: MadeChecks,
}

/// Reads and reduces the raw readings; `None` where the pipeline names none.
///
/// # Errors
/// A file that cannot be read, is no such table, or lacks a column.
pub fn read(plan: &Plan) -> Result<Option<SeasonResults>, LoadError> {
    if plan.settings.thermometry.files.is_empty() {
        return Ok(None);
    }
    reduced(plan, readings_of(plan)?).map(Some)
}

/// As [`read`], with one more file of readings; returns the number of that file among them.
///
/// # Errors
/// As [`read`].
pub fn read_with(plan: &Plan, file: &Path) -> Result<(SeasonResults, u32), LoadError> {
    let mut readings = readings_of(plan)?;
    let number = readings.inputs.len() as u32;
    readings.add(plan, file, &file.display().to_string())?;
    Ok((reduced(plan, readings)?, number))
}

/// Raw readings of several files.
#[derive(Default)]
struct Readings {
    table: RawTable,
    inputs: Vec<InputFile>,
    warnings: Vec<Warning>,
}

impl Readings {
    fn add(&mut self, plan: &Plan, path: &Path, shown: &str) -> Result<(), LoadError> {
        let settings = &plan.settings.thermometry;
        let columns = wanted_columns(&settings.columns);
        let format = ReadingFormat {
            decimal_comma: settings.decimal_comma,
            dates: DateFormat::from_setting(&settings.date_format),
        };
        let (delimiter, encoding) = (settings.delimiter, settings.encoding);
        let read = Table::read(path, shown, &columns, delimiter, encoding)?;
        let number = self.inputs.len() as u32;
        self.table.add(number, read_table(&read, &format)?);
        self.warnings.extend(read.warnings);
        self.inputs.push(read.input);
        Ok(())
    }
}

/// The readings of all files that the plan names.
fn readings_of(plan: &Plan) -> Result<Readings, LoadError> {
    let settings = &plan.settings.thermometry;
    let mut readings = Readings::default();
    for entry in &settings.files {
        let found = files::expand(entry, &plan.base).map_err(|what| {
            LoadError::new(
                format!("[thermometry] files, \"{entry}\""),
                what,
                "paths are relative to the pipeline file",
            )
        })?;
        for path in found {
            let shown = files::shown(&path, &plan.base);
            readings.add(plan, &path, &shown)?;
        }
    }
    Ok(readings)
}

/// Reduces the readings as the plan says.
fn reduced(plan: &Plan, readings: Readings) -> Result<SeasonResults, LoadError> {
    let settings = &plan.settings.thermometry;
    let Readings {
        table,
        mut inputs,
        warnings,
    } = readings;
    let facts = thermometers(plan, &mut inputs)?;
    let season = season(&table.readings, &facts, settings, plan.as_of);
    let text = checks_csv(season.checks(), settings.unit);
    let units = other_units(season.checks(), settings.unit)
        .into_iter()
        .map(|(instrument, point, stated, factor)| OtherUnit {
            instrument,
            point,
            stated: stated.symbol().into(),
            unit: settings.unit.symbol().into(),
            factor,
        })
        .collect();
    let input = inputs.first().cloned().unwrap_or_default();
    Ok(SeasonResults {
        season,
        facts,
        jobs: jobs::of(plan)?,
        around_work: settings.around_work.clone(),
        inputs,
        unreadable: table.rejected,
        warnings,
        made: MadeChecks { input, text, units },
    })
}

fn thermometers(plan: &Plan, inputs: &mut Vec<InputFile>) -> Result<Thermometers, LoadError> {
    let Some(file) = &plan.settings.thermometry.thermometers else {
        return Ok(Thermometers::default());
    };
    let path = plan.base.join(file);
    let shown = files::shown(&path, &plan.base);
    let (input, text) = read_input(&path, &shown)?;
    inputs.push(input);
    Thermometers::from_text(&text)
        .map_err(|what| LoadError::new(&shown, what, "see docs/methods-thermometry.md"))
}

/// Loads everything that the plan names: records and reduced readings.
///
/// # Errors
/// As [`read`] and [`load`].
pub fn load_all(plan: &Plan) -> Result<Loaded, LoadError> {
    load(plan, read(plan)?.as_ref())
}

/// Loads the records with the reduced checks; rejected readings join the rejects.
///
/// A session that became a check counts as one row used; a reading or session that was
/// rejected counts as one row read and rejected.
///
/// # Errors
/// Unreadable records, or no usable row at all.
pub fn load(plan: &Plan, season: Option<&SeasonResults>) -> Result<Loaded, LoadError> {
    let Some(season) = season else {
        return records::load(&plan.request());
    };
    let loaded = records::load_with(&plan.request(), std::slice::from_ref(&season.made))?;
    Ok(joined(loaded, season))
}

/// As [`load`], but of text tables only the group of `instrument`, where a register tells it.
///
/// # Errors
/// As [`load`].
pub fn load_group(
    plan: &Plan,
    season: Option<&SeasonResults>,
    instrument: &str,
) -> Result<Loaded, LoadError> {
    let made = season.map_or(&[][..], |s| std::slice::from_ref(&s.made));
    records::load_group(&plan.request(), made, instrument)
}

/// Adds the season's rejected readings and warnings to what was loaded.
fn joined(mut loaded: Loaded, season: &SeasonResults) -> Loaded {
    loaded.warnings.extend(season.warnings.iter().cloned());
    loaded.inputs.extend(season.inputs.iter().skip(1).cloned());
    let names: Vec<Arc<str>> = season
        .inputs
        .iter()
        .map(|i| Arc::from(i.path.as_str()))
        .collect();
    for rejected in season.unreadable.iter().chain(&season.season.rejected) {
        let file = names.get(rejected.file as usize).cloned();
        loaded.rejects.push(Reject {
            file: file.unwrap_or_else(|| Arc::from("")),
            row: rejected.row,
            column: Arc::from(rejected.column),
            value: rejected.value.clone(),
            reason: rejected.reason.clone().into(),
        });
        loaded.rows.read += 1;
        loaded.rows.rejected += 1;
    }
    for result in season
        .season
        .results
        .iter()
        .filter(|r| !r.reasons().is_empty())
    {
        let source = format!("{}, session {}", result.instrument, result.session);
        let words = format!("{}: {}", result.standing().word(), result.reasons());
        loaded.warnings.push(Warning::new(source, words));
    }
    loaded
}

#[cfg(test)]
mod tests {
    use super::super::season_sections::sections;
    use super::super::season_tables;
    use super::*;
    use crate::pipeline::{PlanRequest, plan};

    fn demo() -> Plan {
        let path = concat!(
            env!("CARGO_MANIFEST_DIR"),
            "/pipelines/interval-review.toml"
        );
        plan(&PlanRequest {
            path: Some(path.into()),
            out: None,
            as_of: None,
            charts: None,
            today: chrono::NaiveDate::default(),
        })
        .unwrap()
    }

    #[test]
    fn raw_sessions_become_histories_and_every_row_is_accounted_for() {
        let plan = demo();
        let season = read(&plan).unwrap().unwrap();
        let loaded = load(&plan, Some(&season)).unwrap();
        let rows = loaded.rows;
        assert_eq!(rows.read, rows.used + rows.merged + rows.rejected);
        assert_eq!(rows.rejected as usize, loaded.rejects.len());
        let reduced = loaded
            .histories
            .iter()
            .filter(|h| h.item.instrument.starts_with("TH-1"));
        assert!(
            reduced
                .filter(|h| h.item.unit == "mK" && h.len() > 5)
                .count()
                >= 5
        );
        let reasons: Vec<&str> = loaded.rejects.iter().map(|r| &*r.reason).collect();
        assert!(
            reasons
                .iter()
                .any(|r| r.contains("check standard TH-101 moved"))
        );
        let parts = sections(&season, "TH-105", "triple point of water");
        let titles: Vec<&str> = parts.iter().map(|p| p.title.as_str()).collect();
        assert_eq!(parts.len(), 9, "{titles:?}");
        assert!(
            parts[5].figures[0]
                .svg
                .contains("TH-105: with the old value")
        );
        assert!(
            parts[6].paragraphs[0].contains("unchanged"),
            "{:?}",
            parts[6]
        );
        assert!(parts[1].rows.len() > 5 && parts[4].rows.len() > 8 && parts[5].rows.len() > 5);
        assert!(parts[3].rows.len() >= 2, "{:?}", parts[3]);
        assert_eq!(
            (parts[2].title.as_str(), parts[2].rows.len()),
            ("Values in use", 3)
        );
        assert!(sections(&season, "TH-001", "triple point of water").is_empty());
        let folder = tempfile::tempdir().unwrap();
        season_tables::write(Some(&season), folder.path()).unwrap();
        let text = std::fs::read_to_string(folder.path().join("sessions.csv")).unwrap();
        assert!(text.starts_with("session,instrument,point,date"));
    }

    /// The register states limits in mK; ±5 mK of a 25.5 Ω thermometer are ±0.508 mΩ, by
    /// dR/dT = 3.9885e-3 /K times R (slope of the scale at the triple point of water).
    #[test]
    fn in_milliohms_the_limits_of_the_register_follow() {
        let mut plan = demo();
        let in_mk = load_all(&plan).unwrap();
        plan.settings.thermometry.unit = crate::thermometry::session::CheckUnit::Milliohm;
        let loaded = load_all(&plan).unwrap();
        assert_eq!(loaded.histories.len(), in_mk.histories.len());
        assert_eq!(loaded.rows, in_mk.rows);
        let own = |h: &records::History<'_>| h.item.instrument == "TH-105";
        let history = loaded.histories.iter().find(own).unwrap();
        let tolerance = history.item.tolerance.unwrap();
        assert_eq!(history.item.unit, "mΩ");
        assert!((tolerance.upper() - 0.507_94).abs() < 2e-5, "{tolerance:?}");
        let before = in_mk.histories.iter().find(own).unwrap();
        let ratio = history.as_found[3] / before.as_found[3];
        assert!((ratio - 0.101_588).abs() < 1e-6, "{ratio}");
    }
}
