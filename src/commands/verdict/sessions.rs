/*! `driftbook verdict --readings`: new sessions of raw readings, reduced and judged. */

use super::arguments::{Arguments, no_ground, note_rejected, on_disk, print};
use super::record::record_readings;
use crate::commands::output::{self, complain, hand_over};
use crate::commands::{CommandError, CommandResult, NEEDS_PERSON};
use crate::decisions::with_reading::join_checks;
use crate::ledger::earlier::earlier_decisions;
use crate::pipeline::verdict::session::{NewSession, NewSessions, new_sessions};
use crate::pipeline::verdict::{
    OnDay, Stored, Verdict, find, points_withdrawn, tell_points, verdict,
};
use crate::records;
use crate::records::append::check::NewCheck;
use crate::settings::plan::Plan;
use crate::thermometry::cautions;
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::Path;

/// Tells which new readings were not used, the first ones each.
fn note_refused(file: &Path, refused: &[String]) {
    const TOLD: usize = 10;
    for words in refused.iter().take(TOLD) {
        complain(&format!("not used: {}, {words}", file.display()));
    }
    if refused.len() > TOLD {
        complain(&format!("and {} more", refused.len() - TOLD));
    }
}

/// What is said of one thermometer in a new session.
enum Said {
    /// Its check is judged beside its history.
    Judged(Box<Verdict>),
    /// It is rejected, the first of its history, or W at another point: told by its own line.
    SessionVerdict(SessionVerdict),
}

/// A session without a verdict beside a history.
#[derive(Serialize)]
struct SessionVerdict {
    session: String,
    instrument: String,
    point: String,
    /// `repeat` for a rejected session, `none` where nothing is asked of a person.
    action: &'static str,
    needs_person: bool,
    /// What it came to and why, in words.
    reason: String,
    cautions: Vec<&'static str>,
}

impl SessionVerdict {
    fn of(session: NewSession, why: Option<String>) -> Self {
        let first = why.is_some();
        let reason = match why {
            Some(why) => format!("{} {why}", session.words),
            None => session.words,
        };
        let cautions = [
            cautions::CELL,
            cautions::ALCOHOL,
            cautions::FRAGILE,
            cautions::LOCAL,
        ];
        Self {
            session: session.session,
            instrument: session.instrument,
            point: session.point,
            action: if session.rejected { "repeat" } else { "none" },
            needs_person: session.rejected || first,
            reason,
            cautions: match session.rejected {
                true => cautions.to_vec(),
                false => Vec::new(),
            },
        }
    }
}

/// Reduces new sessions of raw readings beside the stored ones and judges each check they make.
pub(super) fn judge_sessions(arguments: &Arguments, plan: &mut Plan, file: &Path) -> CommandResult {
    let mut held = tempfile::NamedTempFile::with_suffix(".csv")
        .map_err(|e| CommandError::Failed(format!("{}: {e}", file.display())))?;
    let path = on_disk(file, &mut held)?;
    judge_file(arguments, plan, path, file)
}

/// The same for readings that are on disk; `file` is what they are called.
pub(super) fn judge_file(
    arguments: &Arguments,
    plan: &mut Plan,
    path: &Path,
    file: &Path,
) -> CommandResult {
    let failed = |e: records::LoadError| CommandError::failed(e);
    let new = new_sessions(plan, path).map_err(failed)?;
    let all = new.steps.iter().flat_map(|s| &s.sessions);
    let instruments: BTreeSet<&str> = all.map(|s| s.instrument.as_str()).collect();
    let instruments: Vec<&str> = instruments.into_iter().collect();
    let sessions = new.steps.iter().flat_map(|step| &step.sessions);
    let days = sessions.filter_map(|session| Some(session.check.as_ref()?.date.floor()));
    plan.books_as_of = days.reduce(f64::max).unwrap_or(plan.books_as_of);
    let mut stored = stored_beside(plan, &instruments, &new)?;
    stored.read_in = true;
    note_rejected(&stored);
    note_refused(file, &new.refused);
    let mut said = Vec::new();
    for step in new.steps {
        stored.thermometry = Some(step.thermometry);
        said.extend(judge_step(plan, &mut stored, step.sessions)?);
    }
    if let Some(target) = &arguments.record {
        match new.refused.is_empty() {
            true => record_readings(target, path, plan)?,
            false => {
                complain("nothing was recorded: correct the readings that cannot be used first")
            }
        }
    }
    tell(&said, arguments.json)?;
    let person = |said: &Said| match said {
        Said::Judged(verdict) => verdict.needs_person,
        Said::SessionVerdict(verdict) => verdict.needs_person,
    };
    let needed = !new.refused.is_empty() || said.iter().any(person);
    Ok(if needed { NEEDS_PERSON } else { 0 })
}

/// What is stored; where no session of the file makes a check, nothing is judged beside it, and records that cannot be
/// read are told.
fn stored_beside(
    plan: &Plan,
    instruments: &[&str],
    new: &NewSessions,
) -> Result<Stored, CommandError> {
    let checks = new.steps.iter().flat_map(|s| &s.sessions);
    match checks.filter(|s| s.check.is_some()).count() {
        0 => Ok(Stored::load(plan, instruments).unwrap_or_else(|why| {
            // What is read at another point is told all the same.
            complain(&format!("no withdrawn point can be told: {why}"));
            Stored::default()
        })),
        _ => Stored::load(plan, instruments).map_err(no_ground),
    }
}

/// What is said of the thermometers of one session, which points of theirs are withdrawn among it; a later session of
/// the file is judged beside their checks.
fn judge_step(
    plan: &mut Plan,
    stored: &mut Stored,
    sessions: Vec<NewSession>,
) -> Result<Vec<Said>, CommandError> {
    let (mut said, mut joined) = (Vec::new(), Vec::new());
    let days: Vec<f64> = sessions.iter().map(|session| session.day).collect();
    for session in sessions {
        said.push(judge(plan, stored, session, &mut joined)?);
    }
    let verdicts = said.iter_mut().filter_map(|one| match one {
        Said::Judged(verdict) => Some(&mut **verdict),
        Said::SessionVerdict(_) => None,
    });
    let judged = verdicts.zip(&joined);
    let judged = judged.map(|(verdict, (index, check))| OnDay {
        index: *index,
        check,
        verdict,
    });
    tell_points(plan, stored, &mut judged.collect::<Vec<_>>());
    let joined = joined.iter().map(|(index, check)| (*index, check));
    join_checks(&mut stored.histories, joined);
    for (one, day) in said.iter_mut().zip(days) {
        if let Said::SessionVerdict(verdict) = one
            && let Some(words) = points_withdrawn(plan, stored, &verdict.instrument, day)
        {
            verdict.reason += &format!(" Instrument: {words}.");
            verdict.needs_person = true;
        }
    }
    Ok(said)
}

fn judge(
    plan: &mut Plan,
    stored: &Stored,
    mut session: NewSession,
    joined: &mut Vec<(usize, NewCheck)>,
) -> Result<Said, CommandError> {
    let Some(check) = session.check.take() else {
        return Ok(Said::SessionVerdict(SessionVerdict::of(session, None)));
    };
    let index = match find(&stored.histories, &check.instrument, Some(&check.point)) {
        Ok(index) => index,
        // A first session has nothing to be judged against yet.
        Err(why) => {
            return Ok(Said::SessionVerdict(SessionVerdict::of(
                session,
                Some(why.to_string()),
            )));
        }
    };
    plan.as_of = check.date.floor();
    let past = earlier_decisions(plan, &stored.histories);
    let past = past.get(index).map_or(&[][..], Vec::as_slice);
    let mut judged = verdict(plan, stored, index, &check, past).map_err(CommandError::usage)?;
    judged.session = Some(session.words);
    joined.push((index, check));
    Ok(Said::Judged(Box::new(judged)))
}

/// Rejected sessions are told on standard error in either form: a script that reads the JSON alone
/// still leaves a trace of them.
fn tell(said: &[Said], json: bool) -> Result<(), CommandError> {
    for one in said {
        match one {
            Said::Judged(verdict) if !json => print(std::slice::from_ref(&**verdict), false)?,
            Said::Judged(_) => {}
            Said::SessionVerdict(verdict) => {
                complain(&verdict.reason);
                for caution in verdict.cautions.iter().filter(|_| !json) {
                    complain(&format!("caution: {caution}"));
                }
            }
        }
    }
    if !json {
        return Ok(());
    }
    let value = |one: &Said| match one {
        Said::Judged(verdict) => serde_json::to_value(verdict),
        Said::SessionVerdict(verdict) => serde_json::to_value(verdict),
    };
    let values: Result<Vec<_>, _> = said.iter().map(value).collect();
    let text = values.and_then(|values| match &values[..] {
        [one] => serde_json::to_string_pretty(one),
        many => serde_json::to_string_pretty(many),
    });
    let text = text.map_err(|e| CommandError::Failed(e.to_string()))?;
    hand_over(&output::json(&text));
    Ok(())
}
