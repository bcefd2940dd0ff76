/*! New sessions of raw readings, each as a check that a verdict judges. */

use crate::pipeline::thermometry::{WithFile, read_with};
use crate::records::append::check::NewCheck;
use crate::records::cells::field::event;
use crate::records::{CheckKind, LoadError, date};
use crate::report::compose::results::ThermometryResults;
use crate::settings::plan::Plan;
use crate::thermometry::session::SessionResult;
use crate::words::Short;
use std::path::Path;

/// One thermometer at one point in a new session.
#[derive(Debug, Clone)]
pub(crate) struct NewSession {
    /// Thermometer.
    pub instrument: String,
    pub session: String,
    pub point: String,
    /// Its day, days since 1970-01-01.
    pub day: f64,
    /// R with its uncertainty, the change, the standing with its reasons, in one line.
    pub words: String,
    /// The check that it becomes; `None` where it is rejected, or its W is known and R there
    /// tells no drift of its own.
    pub check: Option<NewCheck>,
    /// True where it was rejected.
    pub rejected: bool,
}

/// One session of a file of new readings: what all readings up to its end say, and its checks.
#[derive(Debug, Clone)]
pub(crate) struct SessionStep {
    /// All sessions up to this one, the stored ones among them.
    pub thermometry: ThermometryResults,
    /// The thermometers read in it.
    pub sessions: Vec<NewSession>,
}

/// What a file of new readings came to.
#[derive(Debug, Clone)]
pub(crate) struct NewSessions {
    /// Its sessions, in order of time.
    pub steps: Vec<SessionStep>,
    /// Readings of the file that could not be used: row, column, value, reason; and sessions that are
    /// no new ones.
    pub refused: Vec<String>,
}

/// The sessions of `file`, each reduced together with all readings that the plan names and those of
/// the file before its end: a later session says nothing about an earlier one.
///
/// # Errors
/// A file that cannot be read, or without a session that is new.
pub(crate) fn new_sessions(plan: &Plan, file: &Path) -> Result<NewSessions, LoadError> {
    let found = read_with(plan, file)?;
    let mut refused = refused(&found);
    let steps: Vec<SessionStep> = found
        .sessions
        .into_iter()
        .map(|(name, thermometry)| SessionStep {
            sessions: judged(plan, &thermometry, &name, found.number),
            thermometry,
        })
        .collect();
    if steps.iter().all(|s| s.sessions.is_empty()) {
        return Err(LoadError::new(
            file.display().to_string(),
            match refused.first() {
                None => "its sessions are among the stored readings already".into(),
                Some(first) => format!("no reading can be used; the first, {first}"),
            },
            "Give readings that can be used, under a session name of their own.",
        ));
    }
    refused.extend(found.known.iter().map(|(session, instrument)| {
        format!(
            "session {session} of {instrument} is stored already: more readings of it are not judged, \
             give a new session a name of its own"
        )
    }));
    Ok(NewSessions { steps, refused })
}

/// Each thermometer of the new session `name`.
fn judged(
    plan: &Plan,
    thermometry: &ThermometryResults,
    name: &str,
    number: u32,
) -> Vec<NewSession> {
    let checks = thermometry.findings.checks();
    let results = thermometry.findings.results.iter();
    results
        .enumerate()
        .filter(|(_, result)| result.first_row.0 == number && result.session == name)
        .map(|(place, result)| {
            let alone = checks.iter().any(|check| std::ptr::eq(*check, result));
            let made = result.check(plan.settings.thermometry.unit);
            NewSession {
                instrument: result.instrument.clone(),
                session: result.session.clone(),
                point: result.point.name(),
                day: result.date.floor(),
                words: words(thermometry, place, result),
                rejected: made.is_err(),
                check: made.ok().filter(|_| alone).map(|made| NewCheck {
                    instrument: made.instrument,
                    point: made.point,
                    date: date::parse_iso(made.date.as_bytes()).unwrap_or(result.date),
                    as_found: made.as_found,
                    as_left: made.as_left.unwrap_or(f64::NAN),
                    nominal: f64::NAN,
                    u: made.u,
                    u_common: made.u_common,
                    usage: f64::NAN,
                    event: event(&made.event).unwrap_or_default(),
                    kind: CheckKind::Unstated,
                    unit: made.unit.into(),
                }),
            }
        })
        .collect()
}

/// The readings of the file that could not be used; a session rejected as a whole is told with it.
fn refused(found: &WithFile) -> Vec<String> {
    let last = found
        .sessions
        .last()
        .map(|(_, thermometry)| &thermometry.findings);
    let as_a_whole: Vec<(u32, u32)> = last
        .map(|s| s.results.iter().map(|r| r.first_row).collect())
        .unwrap_or_default();
    let unused = last.map_or(&[][..], |s| &s.rejected).iter();
    let unused = unused.filter(|r| !as_a_whole.contains(&(r.file, r.row)));
    let unused_rows = found
        .unreadable
        .iter()
        .chain(unused)
        .filter(|r| r.file == found.number);
    unused_rows
        .map(|r| match r.column {
            "" => format!("row {}: {}", r.row, r.reason),
            column => format!(
                "row {}, column {column}, value \"{}\": {}",
                r.row, r.value, r.reason
            ),
        })
        .collect()
}

fn words(thermometry: &ThermometryResults, place: usize, result: &SessionResult) -> String {
    let reduced = &result.reduced;
    let (u, expanded) = (reduced.budget.u_ohm(), reduced.expanded_ohm());
    let ratio = thermometry
        .findings
        .thermometers
        .iter()
        .flat_map(|t| &t.ratios)
        .find(|ratio| ratio.place == place);
    let finding = match ratio {
        Some(ratio) => format!("W = {:.8} (u = {:.8})", ratio.value, ratio.u),
        None if result.reference_in_use => {
            format!("{:+.3} mK from the value in use", Short(result.change_mk()))
        }
        None => format!(
            "{:+.3} mK from the first session",
            Short(result.change_mk())
        ),
    };
    let reasons = match result.reasons() {
        none if none.is_empty() => String::new(),
        reasons => format!(": {reasons}"),
    };
    let stop = if reasons.ends_with('?') { "" } else { "." };
    format!(
        "{}, session {}, {}: R = {:.7} Ω, u = {:.7} Ω ({:.3} mK), U = {:.7} Ω ({:.3} mK, k = {:.2}); {finding}; {}{reasons}{stop}",
        result.instrument,
        result.session,
        result.point.name(),
        Short(reduced.resistance_ohm),
        Short(u),
        Short(reduced.in_mk(u)),
        Short(expanded),
        Short(reduced.in_mk(expanded)),
        reduced.coverage_factor(),
        result.standing().word(),
    )
}
