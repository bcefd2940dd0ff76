/*! `driftbook verdict --readings`: new sessions of raw readings, reduced and judged. */

use super::output::complain;
use super::verdict::{Arguments, NEEDS_PERSON, no_ground, note_rejected, on_disk, print, usage};
use super::{CommandError, CommandResult};
use crate::ledger::earlier::earlier_decisions;
use crate::pipeline::verdict::session::new_sessions;
use crate::pipeline::verdict::{Stored, find, verdict};
use crate::records;
use crate::settings::plan::Plan;
use crate::thermometry::readings::wanted_columns;
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

/// Reduces new sessions of raw readings beside the stored ones and judges each check they make.
pub(super) fn judge_sessions(arguments: &Arguments, plan: &mut Plan, file: &Path) -> CommandResult {
    let failed = |e: records::LoadError| CommandError::Failed(format!("error: {e}"));
    let mut held = tempfile::NamedTempFile::with_suffix(".csv")
        .map_err(|e| CommandError::Failed(format!("{}: {e}", file.display())))?;
    let path = on_disk(file, &mut held)?;
    let new = new_sessions(plan, path).map_err(failed)?;
    let checks = new.sessions.iter().filter_map(|s| s.check.as_ref());
    let instruments: BTreeSet<&str> = checks.map(|c| c.instrument.as_str()).collect();
    let instruments: Vec<&str> = instruments.into_iter().collect();
    let mut stored = Stored::load(plan, &instruments).map_err(no_ground)?;
    (stored.season, stored.read_in) = (Some(new.season), true);
    note_rejected(&stored);
    note_refused(file, &new.refused);
    let mut verdicts = Vec::with_capacity(new.sessions.len());
    let mut person = !new.refused.is_empty();
    for session in new.sessions {
        person |= session.rejected;
        let Some(check) = session.check else {
            complain(&session.words);
            continue;
        };
        let index = match find(&stored.histories, &check.instrument, Some(&check.point)) {
            Ok(index) => index,
            Err(why) => {
                // A first session has nothing to be judged against yet.
                complain(&format!("{} {why}", session.words));
                person = true;
                continue;
            }
        };
        plan.as_of = check.date.floor();
        let past = earlier_decisions(plan, &stored.histories);
        let past = past.get(index).map_or(&[][..], Vec::as_slice);
        let mut judged = verdict(plan, &stored, index, &check, past).map_err(usage)?;
        judged.session = Some(session.words);
        person |= judged.needs_person;
        verdicts.push(judged);
    }
    if let Some(target) = &arguments.record {
        match new.refused.is_empty() {
            true => record_readings(target, path, plan)?,
            false => {
                complain("nothing was recorded: correct the readings that cannot be used first")
            }
        }
    }
    print(&verdicts, arguments.json)?;
    Ok(if person { NEEDS_PERSON } else { 0 })
}

/// Appends new raw readings to the laboratory's own: the check is made of them at every run.
fn record_readings(target: &Path, from: &Path, plan: &Plan) -> Result<(), CommandError> {
    let settings = &plan.settings.thermometry;
    let format = records::RowsFormat {
        columns: &wanted_columns(&settings.columns),
        key: &["session", "instrument", "date"],
        delimiter: settings.delimiter,
        encoding: settings.encoding,
    };
    records::append_rows(target, from, &format).map_err(|e| CommandError::Failed(e.to_string()))
}
