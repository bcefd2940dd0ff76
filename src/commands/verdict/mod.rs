/*! `driftbook verdict`: one new reading beside the stored history, in five lines. */

pub(super) mod arguments;
mod nominal;
mod record;
mod sessions;
mod watch;
mod watch_lines;

pub(crate) use arguments::Arguments;

use super::worksheet::print_worksheet;
use super::{CommandError, CommandResult, NEEDS_PERSON, plan_of};
use crate::commands::refused::Refused;
use crate::ledger::earlier::earlier_decisions;
use crate::pipeline::verdict::{
    OnDay, Stored, Verdict, Visit, beside_visits, find, tell_points, verdict,
};
use crate::records;
use crate::records::append::check::NewCheck;
use crate::records::{CheckKind, ChecksSettings, Display, Event, History, date};
use crate::settings::plan::Plan;
use arguments::{LATEST_DAY, no_ground, note_rejected, on_disk, print, stored};
use nominal::{less_nominal, refuse_value_for_error};
use record::record;
use sessions::judge_sessions;
use std::collections::BTreeSet;
use std::path::Path;

/// Judges, prints and, where asked, records.
pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let instrument = arguments.instrument.as_deref();
    let stored_at = stored(arguments.records.as_deref(), arguments.demo, instrument)?;
    let mut plan = plan_of(stored_at.clone(), None)?;
    if let Some(instrument) = &arguments.worksheet {
        return print_worksheet(&plan, instrument, arguments.format);
    }
    plan.as_of = LATEST_DAY;
    if let Some(file) = &arguments.watch {
        return watch::watch(arguments, &mut plan, file);
    }
    if let Some(file) = &arguments.readings {
        return judge_sessions(arguments, &mut plan, file);
    }
    let checks = match &arguments.file {
        Some(file) => checks_of_file(file, &plan)?,
        None => vec![check_of_arguments(arguments)?],
    };
    let mut judged: Vec<Option<(NewCheck, Verdict)>> = checks.iter().map(|_| None).collect();
    let mut rejected = None;
    let mut visits = Vec::new();
    for (day, own) in by_day(checks, has_books(&plan)) {
        plan.as_of = LATEST_DAY;
        plan.books_as_of = day;
        let instruments: BTreeSet<&str> = own.iter().map(|(_, c)| c.instrument.as_str()).collect();
        let instruments: Vec<&str> = instruments.into_iter().collect();
        let mut stored = Stored::load(&plan, &instruments).map_err(no_ground)?;
        let mut read = Vec::new();
        for (place, check) in own {
            let (index, check) = as_recorded(arguments, &stored, check)?;
            visits.push(Visit::of(&stored, index, &check));
            read.push((place, index, check));
        }
        let mut said = Vec::new();
        for (place, index, check) in read {
            let own = (index, &check);
            let verdict = beside_visits(&mut stored, own, &visits, |stored| {
                judge(&mut plan, stored, own)
            })?;
            said.push((place, (index, check, verdict)));
        }
        let on_days = said.iter_mut().map(|(_, (index, check, verdict))| OnDay {
            index: *index,
            check,
            verdict,
        });
        tell_points(&plan, &stored, &mut on_days.collect::<Vec<_>>());
        for (place, (_, check, verdict)) in said {
            if let Some(kept) = judged.get_mut(place) {
                *kept = Some((check, verdict));
            }
        }
        rejected.get_or_insert(stored);
    }
    if let Some(stored) = &rejected {
        note_rejected(stored);
    }
    let (complete, verdicts): (Vec<_>, Vec<_>) = judged.into_iter().flatten().unzip();
    if let Some(file) = &arguments.record {
        record(file, &complete, stored_at.as_ref())?;
    }
    print(&verdicts, arguments.json)?;
    let person = verdicts.iter().any(|v| v.needs_person);
    Ok(if person { NEEDS_PERSON } else { 0 })
}

/// True where a register or a book says what holds on some days and not on others.
fn has_books(plan: &Plan) -> bool {
    let approvals = plan.approvals.as_ref().is_some_and(|book| book.exists());
    plan.register.is_some() || approvals || plan.settings.cases.file.is_some()
}

/// The checks by their days, each with its place; all together where no book tells the days apart.
fn by_day(checks: Vec<NewCheck>, books: bool) -> Vec<(f64, Vec<(usize, NewCheck)>)> {
    let mut placed: Vec<(usize, NewCheck)> = checks.into_iter().enumerate().collect();
    placed.sort_by(|a, b| a.1.date.floor().total_cmp(&b.1.date.floor()));
    let mut days: Vec<(f64, Vec<(usize, NewCheck)>)> = Vec::new();
    for (place, check) in placed {
        let day = check.date.floor();
        match days.last_mut().filter(|last| last.0 == day || !books) {
            Some((_, own)) => own.push((place, check)),
            None => days.push((day, vec![(place, check)])),
        }
    }
    days
}

/// Place of its history, and the check as the records would have it.
fn as_recorded(
    arguments: &Arguments,
    stored: &Stored,
    check: NewCheck,
) -> Result<(usize, NewCheck), CommandError> {
    let point = Some(check.point.as_str()).filter(|p| !p.is_empty());
    let index = find(&stored.histories, &check.instrument, point).map_err(CommandError::usage)?;
    let unit = &stored.histories.items[index].unit;
    let history = stored.histories.get(index);
    let check = match &arguments.file {
        Some(_) => {
            let check = completed(check, &history)?;
            refuse_value_for_error(&check, &history)?;
            check
        }
        None => {
            let check = measured(check, arguments, unit).map_err(CommandError::usage)?;
            less_nominal(completed(check, &history)?, &history)?
        }
    };
    refuse_future(&check, arguments.allow_future)?;
    Ok((index, check))
}

/// What is said of a check of history `index`.
fn judge(
    plan: &mut Plan,
    stored: &Stored,
    (index, check): (usize, &NewCheck),
) -> Result<Verdict, CommandError> {
    plan.as_of = check.date.floor();
    let past = earlier_decisions(plan, &stored.histories);
    let past = past.get(index).map_or(&[][..], Vec::as_slice);
    verdict(plan, stored, index, check, past).map_err(CommandError::usage)
}

/// Refuses a reading of a day that is still to come.
fn refuse_future(check: &NewCheck, allowed: bool) -> Result<(), CommandError> {
    let today = date::days_of(chrono::Local::now().date_naive());
    match check.date.floor() > today && !allowed {
        true => Err(CommandError::usage(format!(
            "{} is still to come (today is {}); if it is meant, add --allow-future",
            date::iso(check.date.floor()),
            date::iso(today)
        ))),
        false => Ok(()),
    }
}

fn check_of_arguments(arguments: &Arguments) -> Result<NewCheck, CommandError> {
    let or_nan = |value: Option<f64>| value.unwrap_or(f64::NAN);
    let day = match &arguments.date {
        Some(text) => date::parse_iso(text.trim().as_bytes()).ok_or_else(|| {
            CommandError::usage(format!("{text} is no date; expected YYYY-MM-DD"))
        })?,
        None => date::days_of(chrono::Local::now().date_naive()),
    };
    Ok(NewCheck {
        instrument: arguments.instrument.clone().unwrap_or_default(),
        point: arguments.point.clone().unwrap_or_default(),
        date: day,
        as_found: f64::NAN,
        as_left: f64::NAN,
        nominal: f64::NAN,
        u: f64::NAN,
        u_common: f64::NAN,
        usage: or_nan(arguments.usage),
        event: Event::None,
        kind: CheckKind::Check,
        unit: String::new(),
    })
}

/// The check with the numbers of the command line, in the unit of its history.
fn measured(mut check: NewCheck, arguments: &Arguments, unit: &str) -> Result<NewCheck, Refused> {
    let own = arguments.unit.as_deref();
    for (number, amount) in [
        (&mut check.as_found, &arguments.value),
        (&mut check.nominal, &arguments.nominal),
        (&mut check.u, &arguments.u),
        (&mut check.u_common, &arguments.u_common),
    ] {
        if let Some(amount) = amount {
            *number = amount.in_unit(own, unit)?;
        }
    }
    Ok(check)
}

/// The checks of a file with the records' columns, read and screened as records are.
fn checks_of_file(file: &Path, plan: &Plan) -> Result<Vec<NewCheck>, CommandError> {
    let failed = |e: std::io::Error| CommandError::Failed(format!("{}: {e}", file.display()));
    // Records are read from files; standard input becomes one for a moment.
    let mut held = tempfile::NamedTempFile::with_suffix(".csv").map_err(failed)?;
    let path = on_disk(file, &mut held)?;
    let files = [path.to_path_buf()];
    // A new reading is taken by the grid of its history, where it is judged.
    let settings = ChecksSettings {
        resolution: 0.0,
        display: Display::Rounds,
        ..plan.settings.checks.clone()
    };
    let mut request = plan.request();
    request.checks_settings = &settings;
    request.checks = &files;
    request.register = None;
    let loaded = records::load(&request).map_err(CommandError::usage)?;
    if let Some(reject) = loaded.rejects.first() {
        return Err(CommandError::usage(format!(
            "{}, row {}, column {}, value \"{}\": {}",
            file.display(),
            reject.row,
            reject.column,
            reject.value,
            reject.reason
        )));
    }
    let histories = &loaded.histories;
    if let Some(many) = histories.iter().find(|h| h.len() > 1) {
        return Err(CommandError::usage(format!(
            "{} has {} rows of {}; give one new reading a history",
            file.display(),
            many.len(),
            many.item.instrument
        )));
    }
    Ok(histories
        .iter()
        .map(|h| NewCheck {
            instrument: h.item.instrument.clone(),
            point: h.item.point.clone(),
            date: h.date[0],
            as_found: h.as_found[0] + h.nominal[0],
            as_left: h.as_left[0] + h.nominal[0],
            nominal: if h.nominal[0] == 0.0 {
                f64::NAN
            } else {
                h.nominal[0]
            },
            u: h.u[0],
            u_common: h.u_common[0],
            usage: h.usage[0],
            event: h.event[0],
            kind: h.kind[0],
            unit: h.item.unit.clone(),
        })
        .collect())
}

/// Fills in what the stored history knows: its point, unit and shared uncertainty.
///
/// # Errors
/// A reading in another unit than the history's.
fn completed(mut check: NewCheck, history: &History<'_>) -> Result<NewCheck, CommandError> {
    let unit = &history.item.unit;
    check.point.clone_from(&history.item.point);
    if !check.unit.is_empty() && !unit.is_empty() && check.unit != *unit {
        return Err(CommandError::usage(format!(
            "the reading is in {}, the history of {} in {unit}; convert the reading",
            check.unit,
            history.item.name()
        )));
    }
    check.unit.clone_from(unit);
    Ok(check)
}
