/*! The reduction stage: raw readings of thermometers become checks like any others. */

use super::nothing_accepted::nothing_accepted;
use super::session_readings::{Readings, readings_of};
use crate::drift::source::settle::settle;
use crate::drift::source::words::warnings;
use crate::records;
use crate::records::book;
use crate::records::cells::row::said::Carried;
use crate::records::places::part::Part;
use crate::records::reading::files;
use crate::records::reading::source::read_input;
use crate::records::{
    InputFile, LoadError, Loaded, MadeChecks, OtherUnit, Reject, RejectKind, Role, Warning,
};
use crate::report::compose::results::ThermometryResults;
use crate::settings::plan::Plan;
use crate::thermometry::Thermometers;
use crate::thermometry::adoptions::ADOPTION_COLUMNS;
use crate::thermometry::readings::{RawReading, RejectedReading};
use crate::thermometry::session::{checks_csv, other_units};
use crate::thermometry::session_findings::session_findings;
use crate::words::{agreeing, count};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

/// Why there is no history at all: no session was accepted and the plan names no records.
fn nothing(thermometry: &ThermometryResults, plan: &Plan) -> Option<Warning> {
    let checks = &plan.settings.checks;
    let named = !(checks.files.is_empty() && checks.other.is_empty());
    let none = !named && thermometry.findings.checks_made() == 0;
    none.then(|| nothing_accepted(&thermometry.findings, &thermometry.unreadable))
}

/// Reads and reduces the raw readings, and what is known of the thermometers; `None` where the pipeline
/// names neither.
///
/// # Errors
/// A file that cannot be read, is no such table, or lacks a column.
pub(crate) fn read(plan: &Plan) -> Result<Option<ThermometryResults>, LoadError> {
    if !plan.settings.thermometry.is_used() {
        return Ok(None);
    }
    reduced(plan, readings_of(plan)?).map(Some)
}

/// The readings that the plan names, and one more file of them.
pub(crate) struct WithFile {
    /// What all of them say at the end of each session of the file, in order of time: name of the
    /// session, and the findings without any later one.
    pub sessions: Vec<(String, ThermometryResults)>,
    /// Rows of the file that are no readings at all.
    pub unreadable: Vec<RejectedReading>,
    /// Number of the file among all.
    pub number: u32,
    /// Sessions of a thermometer that stand in the other files too: (session, instrument).
    pub known: BTreeSet<(String, String)>,
}

/// As [`read`], with one more file of readings.
///
/// # Errors
/// As [`read`].
pub(crate) fn read_with(plan: &Plan, file: &Path) -> Result<WithFile, LoadError> {
    let mut readings = readings_of(plan)?;
    let number = readings.inputs.len() as u32;
    readings.add(plan, file, &file.display().to_string())?;
    let key = |r: &RawReading| ((r.session.clone(), r.instrument.clone()), r.point.name());
    let keys = |new: bool| {
        let all = readings.table.readings.iter();
        let own = all.filter(move |r| (r.file == number) == new);
        own.map(key).collect::<BTreeSet<_>>()
    };
    let (new, stored) = (keys(true), keys(false));
    let known = new.intersection(&stored).map(|(key, _)| key.clone());
    let known = known.collect();
    // A session that is stored is what it was: more readings of it would change it.
    let changes = |r: &RawReading| r.file == number && stored.contains(&key(r));
    readings.table.readings.retain(|r| !changes(r));
    let sessions = readings
        .sessions_of(number)
        .into_iter()
        .map(|(name, end)| Ok((name, reduced(plan, readings.until(number, end))?)))
        .collect::<Result<_, LoadError>>()?;
    let of_file = |r: &&RejectedReading| r.file == number;
    Ok(WithFile {
        sessions,
        unreadable: readings
            .table
            .rejected
            .iter()
            .filter(of_file)
            .cloned()
            .collect(),
        number,
        known,
    })
}

/// Reduces the readings as the plan says.
fn reduced(plan: &Plan, readings: Readings) -> Result<ThermometryResults, LoadError> {
    let settings = &plan.settings.thermometry;
    let Readings {
        table,
        mut inputs,
        header_rows,
        warnings,
    } = readings;
    let facts = thermometers(plan, &mut inputs)?;
    let findings = session_findings(&table.readings, &facts, settings, plan.as_of);
    let text = checks_csv(findings.checks(), settings.unit);
    let units = other_units(findings.checks(), settings.unit)
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
    Ok(ThermometryResults {
        findings,
        facts,
        jobs: plan.jobs()?.jobs,
        around_work: settings.around_work.clone(),
        inputs,
        header_rows,
        unreadable: table.rejected,
        warnings,
        made: (!settings.files.is_empty()).then_some(MadeChecks { input, text, units }),
    })
}

fn thermometers(plan: &Plan, inputs: &mut Vec<InputFile>) -> Result<Thermometers, LoadError> {
    const SEE: &str = "see docs/methods-thermometry.md";
    let mut text_of = |file: &String| {
        let path = plan.base.join(file);
        let shown = files::shown(&path, &plan.base);
        let (input, text) = read_input(&path, &shown)?;
        inputs.push(input);
        Ok::<_, LoadError>((shown, text))
    };
    let settings = &plan.settings.thermometry;
    let mut stated = match &settings.thermometers {
        None => Thermometers::default(),
        Some(file) => {
            let (shown, text) = text_of(file)?;
            Thermometers::from_text(&text).map_err(|what| LoadError::new(&shown, what, SEE))?
        }
    };
    for one in &mut stated.thermometer {
        plan.former.renew(&mut one.instrument);
    }
    // The file of adoptions begins with the first of them.
    let adoptions = settings.adoptions.as_ref();
    let Some(file) = adoptions.filter(|file| plan.base.join(file).exists()) else {
        return Ok(stated);
    };
    let (shown, text) = text_of(file)?;
    let book = book::read(&text, &shown, &ADOPTION_COLUMNS)?;
    // A value that serves must not rest on a line that nobody can vouch for.
    if let Some(doubt) = book.warnings.first() {
        return Err(LoadError::new(&doubt.source, &doubt.words, SEE));
    }
    let mut rows: Vec<Vec<String>> = book.entries.into_iter().map(|e| e.values).collect();
    let names = rows.iter_mut().filter_map(|row| row.first_mut());
    names.for_each(|name| plan.former.renew(name));
    stated
        .with_adoptions(&rows)
        .map_err(|what| LoadError::new(&shown, what, SEE))
}

/// Loads the records with the reduced checks; rejected readings join the rejects.
///
/// A session that became a check counts as one row used; a reading or session that was
/// rejected counts as one row read and rejected.
///
/// # Errors
/// Unreadable records, or no usable row among them. Raw readings alone of which no session is accepted
/// give no history, and a warning that counts the reasons.
pub(crate) fn load(
    plan: &Plan,
    thermometry: Option<&ThermometryResults>,
) -> Result<Loaded, LoadError> {
    let mut loaded = read_records(plan, thermometry)?;
    settle_sources(plan, &mut loaded);
    Ok(loaded)
}

/// The records as they are read.
fn read_records(
    plan: &Plan,
    thermometry: Option<&ThermometryResults>,
) -> Result<Loaded, LoadError> {
    let Some(thermometry) = thermometry else {
        return records::load(&plan.request());
    };
    if let Some(why) = nothing(thermometry, plan) {
        let mut loaded = Loaded {
            inputs: thermometry.inputs.iter().take(1).cloned().collect(),
            warnings: vec![why],
            ..Loaded::default()
        };
        loaded = joined(loaded, thermometry);
        loaded.order_rejects();
        return Ok(loaded);
    }
    let mut loaded = records::load_with(&plan.request(), thermometry.made.as_slice())?;
    thermometry.tell_check_standards(&mut loaded);
    Ok(joined(loaded, thermometry))
}

/// As [`load`], but of text tables only the group of `instrument`, where a register tells it; of
/// `part`, where that holds it.
///
/// # Errors
/// As [`load`].
pub(crate) fn load_group(
    plan: &Plan,
    thermometry: Option<&ThermometryResults>,
    instrument: &str,
    part: Option<Part>,
) -> Result<Loaded, LoadError> {
    let made = thermometry.map_or(&[][..], |s| s.made.as_slice());
    let mut loaded = records::load_group(&plan.request(), made, instrument, part)?;
    if let Some(thermometry) = thermometry {
        thermometry.tell_check_standards(&mut loaded);
    }
    settle_sources(plan, &mut loaded);
    Ok(loaded)
}

/// Brings readings of several sources to one level, and says so.
pub(crate) fn settle_sources(plan: &Plan, loaded: &mut Loaded) {
    loaded.given = settle(&mut loaded.histories, plan.settings.drift.axis);
    let given = loaded.given.iter();
    loaded.warnings.extend(given.flat_map(warnings));
}

impl ThermometryResults {
    /// Gives the thermometers that their file calls check standards that role, where the register
    /// states none.
    fn tell_check_standards(&self, loaded: &mut Loaded) {
        for item in &mut loaded.histories.items {
            let facts = self.facts.of(&item.instrument);
            if item.role == Role::Unstated && facts.is_some_and(|facts| facts.check_standard) {
                item.role = Role::CheckStandard;
            }
        }
    }
}

/// Adds the rejected readings and warnings to what was loaded.
fn joined(mut loaded: Loaded, thermometry: &ThermometryResults) -> Loaded {
    loaded.warnings.extend(thermometry.warnings.iter().cloned());
    // What the checks were made of is among the inputs already.
    let listed = thermometry.made.iter().len();
    loaded
        .inputs
        .extend(thermometry.inputs.iter().skip(listed).cloned());
    let names: Vec<Arc<str>> = thermometry
        .inputs
        .iter()
        .map(|i| Arc::from(i.path.as_str()))
        .collect();
    let header_rows = names
        .iter()
        .cloned()
        .zip(thermometry.header_rows.iter().copied());
    loaded.header_rows.extend(header_rows);
    for rejected in thermometry
        .unreadable
        .iter()
        .chain(&thermometry.findings.rejected)
    {
        let file = names.get(rejected.file as usize).cloned();
        loaded.rejects.push(Reject {
            file: file.unwrap_or_else(|| Arc::from("")),
            row: rejected.row,
            column: Arc::from(rejected.column),
            value: rejected.value.clone(),
            reason: rejected.reason.clone().into(),
            kind: RejectKind::Plain,
            shared_cause: rejected.session_cause.clone(),
            carried: Carried {
                failure: false,
                event: rejected.event,
            },
            unused: None,
        });
        loaded.rows.read += 1;
        loaded.rows.rejected += 1;
    }
    for result in thermometry
        .findings
        .results
        .iter()
        .filter(|r| !r.reasons().is_empty())
    {
        let source = format!("{}, session {}", result.instrument, result.session);
        let words = format!("{}: {}", result.standing().word(), result.reasons());
        loaded.warnings.push(Warning::new(source, words));
    }
    for (instrument, point, number) in thermometry.findings.without_ratio() {
        let words = format!(
            "{} {} no W, since no triple point of water lies near enough (ratio_days under [thermometry.session]); R there is kept as a history of its own",
            count(number, "session"),
            agreeing(number, "forms", "form")
        );
        let source = format!("{instrument}, {}", point.name());
        loaded.warnings.push(Warning::new(source, words));
    }
    loaded
}

#[cfg(test)]
#[path = "thermometry_tests.rs"]
mod tests;
