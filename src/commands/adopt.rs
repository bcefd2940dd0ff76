/*! `driftbook adopt`: carry the value that a session found, from that reading on. */

use super::append_entries::append_entries;
use super::output::say;
use super::verdict::arguments::stored;
use super::{CommandError, CommandResult, plan_of};
use crate::pipeline::thermometry;
use crate::records::date;
use crate::records::screening::alike::NearNames;
use crate::report::compose::results::ThermometryResults;
use crate::settings::plan::Plan;
use crate::thermometry::adoptions::{ADOPTION_COLUMNS, adoption_row};
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::range::effects;
use crate::thermometry::readings::ReadingPoint;
use crate::thermometry::session::SessionResult;
use clap::Args;
use std::path::PathBuf;

/// Adopt the value that a session found for a thermometer at the triple point of water
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  \
    driftbook adopt TH-105 --session S-24 --by \"A. Person\" --records lab.toml\n\n\
    The line goes to the file that [thermometry] adoptions names, which is only ever appended to.\n\
    The value serves from the day after the session. Where the advice asks for more than adopting, give a --reason.")]
pub(crate) struct Arguments {
    /// Thermometer
    instrument: String,
    /// Session whose value is adopted
    #[arg(long)]
    session: String,
    /// Who adopts it
    #[arg(long, value_name = "NAME")]
    by: String,
    /// Why; needed where the advice after the session is not to adopt it
    #[arg(long, value_name = "TEXT", default_value = "")]
    reason: String,
    /// The laboratory's pipeline file
    #[arg(long, value_name = "PIPELINE")]
    records: PathBuf,
}

/// Appends the adoption and prints what to type into the instrument.
pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let plan = plan_of(stored(Some(&arguments.records), false, None)?, None)?;
    let Some(file) = &plan.settings.thermometry.adoptions else {
        return Err(CommandError::usage(
            "the pipeline names no file of adoptions; state adoptions = \"adoptions.csv\" under [thermometry]",
        ));
    };
    let thermometry = thermometry::read(&plan)
        .map_err(CommandError::failed)?
        .unwrap_or_default();
    let session = adoptable(&thermometry, arguments)?;
    let reason = reason(&thermometry, session, arguments)?;
    let row = adoption_row(session, &arguments.by, &reason);
    let path = plan.base.join(file);
    append_entries(&path, &ADOPTION_COLUMNS, || Ok(vec![row]))?;
    say(&confirmation(&thermometry, session, &plan));
    Ok(0)
}

/// The session, where its value can be adopted.
fn adoptable<'a>(
    thermometry: &'a ThermometryResults,
    arguments: &Arguments,
) -> Result<&'a SessionResult, CommandError> {
    let water = ReadingPoint::Fixed(FixedPoint::Water);
    let name = &arguments.instrument;
    let own = || {
        thermometry
            .findings
            .results
            .iter()
            .filter(|r| r.instrument == *name && r.point == water)
    };
    if own().next().is_none() {
        return Err(unread(thermometry, name, &water));
    }
    let Some(session) = own().find(|r| r.session == arguments.session) else {
        let known: Vec<&str> = own().map(|r| r.session.as_str()).collect();
        return Err(CommandError::usage(format!(
            "{name} has no session {} at the triple point of water; it has {}",
            arguments.session,
            known.join(", ")
        )));
    };
    if !session.is_accepted() {
        return Err(CommandError::usage(format!(
            "session {} of {name} was rejected ({}): repeat it, its value cannot be adopted",
            session.session,
            session.reasons()
        )));
    }
    let facts = thermometry.facts.of(name);
    let later = facts.and_then(|f| f.adopted.iter().find(|a| a.on >= session.date.floor()));
    match later {
        Some(later) => Err(CommandError::usage(format!(
            "a value of {name} was adopted on {} already, not before session {} of {}; adopt a later session",
            date::iso(later.on),
            session.session,
            date::iso(session.date.floor())
        ))),
        None => Ok(session),
    }
}

/// That the readings name no thermometer `name` at the triple point of water, and the nearest that they name.
fn unread(thermometry: &ThermometryResults, name: &str, water: &ReadingPoint) -> CommandError {
    let read = thermometry.findings.results.iter();
    let mut known: Vec<&str> = read
        .filter(|result| result.point == *water)
        .map(|result| result.instrument.as_str())
        .collect();
    known.sort_unstable();
    known.dedup();
    let near = NearNames::of(known.iter().copied()).words(name);
    let others = match (near.is_empty(), &known[..]) {
        (false, _) => near,
        (true, []) => String::new(),
        (true, several) => format!("; they name {}", several.join(", ")),
    };
    CommandError::usage(format!(
        "the readings name no thermometer \"{name}\" at the triple point of water{others}"
    ))
}

/// Why it is adopted: the person's reason, or the advice where that is to adopt or to keep.
fn reason(
    thermometry: &ThermometryResults,
    session: &SessionResult,
    arguments: &Arguments,
) -> Result<String, CommandError> {
    if !arguments.reason.trim().is_empty() {
        return Ok(arguments.reason.trim().to_string());
    }
    let report = thermometry.findings.of(&session.instrument);
    let last = report
        .and_then(|r| r.sessions.last())
        .map(|&i| &thermometry.findings.results[i]);
    let advice = report.and_then(|r| r.advice.as_ref());
    let of_this = last.is_some_and(|last| last.session == session.session);
    match advice.filter(|_| of_this) {
        Some(advice) if !advice.needs_person() => Ok(advice.reason.clone()),
        Some(advice) => Err(CommandError::usage(format!(
            "the advice after this session is to {}: {}; give --reason to adopt its value all the same",
            advice.kind.word(),
            advice.reason
        ))),
        None => Err(CommandError::usage(
            "there is no advice on this session (it is not the last one, or no value is in use); give a --reason",
        )),
    }
}

fn confirmation(thermometry: &ThermometryResults, session: &SessionResult, plan: &Plan) -> String {
    let reduced = &session.reduced;
    let facts = thermometry.facts.of(&session.instrument);
    let change = session.change_from_mk(session.carried_ohm());
    let u = session.u_mk().hypot(session.u_common_mk());
    let celsius = facts.map_or(FixedPoint::Water.celsius(), |f| f.range_c().1);
    let there = effects(change, u, celsius);
    let file = plan
        .settings
        .thermometry
        .adoptions
        .clone()
        .unwrap_or_default();
    format!(
        "{}: adopted R = {:.7} Ω at the triple point of water (u = {:.7} Ω), from session {} of {}.\n\
         Type into the instrument: {:.7}\n\
         Change: {change:+.3} mK at the triple point; {:+.3} mK at {celsius} °C where the whole resistance is scaled, u = {:.3} mK there.\n\
         Superseded: {:.7} Ω. In use from the day after; noted in {file}.",
        session.instrument,
        reduced.resistance_ohm,
        reduced.budget.u_ohm(),
        session.session,
        date::iso(session.date.floor()),
        reduced.resistance_ohm,
        there.scaled_kept_mk,
        there.u_mk,
        session.carried_ohm(),
    )
}
