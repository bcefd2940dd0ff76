/*! The digest of a run: what changed since the one before, what is due, what is urgent. */

use super::changes::{Side, compare, edits};
use super::fleet::doubt_section;
use super::levelled::{levelled_words, pending};
use super::report::Report;
use super::write::{write_json, write_text};
use crate::files::run_error::RunError;
use crate::ledger::before::{Before, Previous};
use crate::ledger::known_failures::read_in;
use crate::ledger::state;
use crate::ledger::state::KeptHistory;
use crate::ledger::{KEPT, settings_sha256};
use crate::records::{Histories, InputFile};
use crate::report::gathered::gathered;
use crate::report::page::digest_page;
use crate::report::{
    DigestView, DueCounts, FleetRow, FleetView, digest_json, digest_markdown, digest_text, said,
};
use crate::words::count;
use std::path::Path;

/// Lines of what is most urgent, and histories that they may name.
const MOST_URGENT: usize = 10;
const MOST_NAMED: usize = 100;
/// What is due within so many days may be urgent.
const SOON_DAYS: f64 = 90.0;

/// An earlier run, and what has changed since.
fn then<'a>(run: &'a Previous, differs: &'a str) -> Side<'a> {
    Side {
        day: run.day,
        histories: &run.histories,
        differs,
    }
}

/// Builds the digest from the fleet as shown, the states of both runs, and the records.
fn digest(
    fleet: &FleetView,
    states: &[KeptHistory],
    records: &Histories,
    (previous, first): (Option<&Previous>, Option<&Previous>),
    (settings_sha256, inputs): (&str, &[InputFile]),
) -> DigestView {
    let mut view = DigestView {
        as_of: fleet.as_of,
        histories: fleet.rows.len(),
        action_counts: fleet.action_counts(),
        open_cases: fleet.open_cases.len(),
        open_signals: fleet.open_signals(),
        due: due(fleet),
        workload: fleet.workload.clone(),
        urgent: urgent(fleet),
        ..DigestView::default()
    };
    let slug = |row| -> &str {
        let row: &FleetRow = row;
        if row.has_page { &row.slug } else { "" }
    };
    let slugs: Vec<&str> = fleet.rows.iter().map(slug).collect();
    let differs = |run: &Previous| run.differs(inputs, settings_sha256);
    let (of_first, of_previous) = (first.map(differs), previous.map(differs));
    let now = Side {
        day: fleet.as_of,
        histories: states,
        differs: "",
    };
    if let (Some(first), Some(differs)) = (first, &of_first) {
        view.changes = edits(then(first, differs), now, records, &slugs);
    }
    let (Some(previous), Some(differs)) = (previous, &of_previous) else {
        return view;
    };
    let reasons: Vec<&str> = fleet.rows.iter().map(|row| row.reason.as_str()).collect();
    let comparison = compare(then(previous, differs), now, records, &reasons, &slugs);
    view.previous = Some(previous.day);
    view.changes.extend(comparison.changes);
    view.notes = comparison.notes;
    if previous.settings_sha256 != settings_sha256 {
        view.notes.push(
            "The settings are not those of the run compared with: changes may come from them, and not \
             from the instruments."
                .into(),
        );
    }
    view
}

fn due(fleet: &FleetView) -> DueCounts {
    let within = |days: f64| {
        let soon = |row: &&FleetRow| {
            row.due_day
                .is_some_and(|due| due >= fleet.as_of && due <= fleet.as_of + days)
        };
        fleet.rows.iter().filter(soon).count()
    };
    DueCounts {
        overdue: fleet.overdue(),
        within_30: within(30.0),
        within_60: within(60.0),
        within_90: within(SOON_DAYS),
    }
}

/// Rows that need a person, or are due soon or overdue; the most urgent first, those of which the
/// same is said together.
fn urgent(fleet: &FleetView) -> Vec<FleetRow> {
    let pressing = |row: &&FleetRow| {
        let soon = row
            .due_day
            .is_some_and(|due| due <= fleet.as_of + SOON_DAYS);
        row.action.needs_person() || soon || row.to_calibrate_now(fleet.as_of)
    };
    let order = fleet
        .by_urgency()
        .into_iter()
        .map(|index| &fleet.rows[index]);
    let lines = gathered(
        order.filter(pressing).take(MOST_NAMED),
        |row| said(row),
        MOST_URGENT,
    );
    lines.into_iter().flatten().cloned().collect()
}

/// Keeps what the next run looks at, always the failures, and writes the digest, where the plan asks for either. Returns
/// what the terminal says of changes that an assessor would ask about.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn hand_over(
    report: &Report<'_>,
    fleet: &FleetView,
    before: &Before,
    folder: &Path,
) -> Result<Option<String>, RunError> {
    let plan = report.plan;
    let kept = folder.join(KEPT);
    std::fs::create_dir_all(&kept).map_err(|why| RunError::write(KEPT, why))?;
    let rule = report.stage.tables.conformity.decision_rule();
    let read = read_in(report.stage.histories, &rule, plan.as_of);
    before.keep_failures(read, report.stage.closings.is_some(), &kept)?;
    if !plan.keeps_state() {
        return Ok(None);
    }
    let states = state::states(report.stage, report.decisions);
    let keep = || {
        state::keep(&states, &kept)?;
        before.keep_previous(&states, &kept)
    };
    let tell = || {
        if !plan.writes_digest() {
            return Ok(None);
        }
        let records = &report.results.loaded.histories;
        let settings = settings_sha256(&plan.settings);
        let compared = (before.previous.as_ref(), before.edited_since(&states));
        let inputs = &report.results.loaded.inputs;
        let mut view = digest(fleet, &states, records, compared, (&settings, inputs));
        let window = plan.settings.policy.smoothing_days;
        view.notes.extend(levelled_words(report.decisions, window));
        let waiting = pending(report.decisions, plan.as_of);
        view.notes.extend(waiting.map(|words| format!("{words}.")));
        let doubts = doubt_section(report).map(|section| section.paragraphs);
        view.notes.extend(doubts.into_iter().flatten());
        write_digest(&view, folder)?;
        Ok(flagged_words(&view))
    };
    let (stored, written) = rayon::join(keep, tell);
    stored.and(written)
}

/// Changes that an assessor would ask about, in words with the first of them; `None` where there are none.
fn flagged_words(view: &DigestView) -> Option<String> {
    let mut flagged = view.changes.iter().filter(|change| change.red_flag);
    let first = flagged.next()?;
    let others = match flagged.count() {
        0 => String::new(),
        others => format!("; and {} beside it", count(others, "such change")),
    };
    Some(format!(
        "{} ({}): {}{others}; an assessor would ask why, see digest.html",
        first.kind, first.name, first.sentence
    ))
}

/// Writes `digest.md`, `.html`, `.txt` and `.json`.
///
/// # Errors
/// A file that cannot be written.
fn write_digest(view: &DigestView, folder: &Path) -> Result<(), RunError> {
    write_text(folder, "digest.md", &digest_markdown(view))?;
    write_text(folder, "digest.html", &digest_page(view))?;
    write_text(folder, "digest.txt", &digest_text(view))?;
    write_json(folder, "digest.json", &digest_json(view))
}
