/*! The accounts of a trial: how all rows read by the pipeline file, with examples. */

use super::examples::examples;
use super::person::{Person, StartError, parsed};
use super::trial::Trial;
use crate::impact::jobs;
use crate::records::date::iso;
use crate::records::guess::draft::Guess;
use crate::records::name_order::by_point;
use crate::records::{Event, Histories, History, Item, Loaded, Outcome, once};
use crate::report::compose::results::ThermometryResults;
use crate::report::text::count;
use crate::settings::file::PipelineFile;
use crate::words::and_others;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

/// Names that a line of the accounts lists, at the most.
const LISTED: usize = 6;

/// Warnings that the accounts tell, at the most.
const WARNINGS: usize = 4;

/// Reads everything by the pipeline file that was written, where that is not `known`, and tells how it reads, with
/// examples where all is of the form `alone`. Returns the doubts that are open, and what keeps the records from being
/// read.
pub(super) fn accounts(
    text: &str,
    trial: &Trial<'_>,
    (known, alone): (Option<Loaded>, Option<&Guess>),
    person: &mut dyn Person,
) -> Result<(Vec<String>, Option<String>), StartError> {
    let file = parsed(text)?;
    let open = file.settings.checks.open_doubts();
    let open: Vec<String> = open.map(|(name, _)| name.to_string()).collect();
    let examples_of = alone.filter(|_| known.is_some());
    let loaded = match known {
        Some(loaded) => Ok(loaded),
        None => trial.read_all(text)?,
    };
    let not_read = match loaded {
        Ok(loaded) => {
            if let Some(guess) = examples_of {
                let lines = examples(&loaded, guess).join("\n  ");
                person.tell(&format!("\nRead so, for example:\n  {lines}"));
            }
            let jobs = jobs_read(&file, trial, &loaded.histories);
            person.tell(&accounts_of(&loaded, jobs));
            None
        }
        Err(why) => {
            person.tell(&format!("\nNot read yet: {why}"));
            Some(format!("{}: {}", why.place, why.what))
        }
    };
    if !open.is_empty() {
        let lines = file.settings.checks.open_doubts();
        let lines: Vec<String> = lines
            .map(|(name, words)| format!("{name}: {words}"))
            .collect();
        person.tell(&format!(
            "\nNot answered, and no run begins before it is (mend the setting where it is wrong, then state the answer under [checks.doubts]):\n  {}",
            lines.join("\n  ")
        ));
    }
    Ok((open, not_read))
}

/// How the jobs read; `None` where the pipeline file names none.
fn jobs_read(file: &PipelineFile, trial: &Trial<'_>, histories: &Histories) -> Option<String> {
    let settings = &file.settings;
    settings.jobs.file.as_ref()?;
    let jobs = match jobs::of(&settings.jobs, trial.folder, settings.checks.trim_names) {
        Ok(jobs) => jobs,
        Err(why) => return Some(format!("not read yet: {why}")),
    };
    let known: BTreeSet<&str> = histories
        .items
        .iter()
        .map(|i| i.instrument.as_str())
        .collect();
    let with = |job: &&crate::impact::Job| known.contains(job.instrument.as_str());
    let words = format!(
        "{} read, {} with an instrument of these records, {} unreadable",
        jobs.jobs.len() + jobs.unreadable.len(),
        jobs.jobs.iter().filter(with).count(),
        jobs.unreadable.len()
    );
    let first = jobs.unreadable.first();
    Some(first.map_or(words.clone(), |first| {
        format!("{words}; the first: {}", first.reason)
    }))
}

/// The accounts of the rows, and what items, register and jobs they come to.
fn accounts_of(loaded: &Loaded, jobs: Option<String>) -> String {
    let (rows, histories) = (loaded.rows, &loaded.histories);
    let mut text = format!(
        "\nAccounts:\n  rows         {} read, {} used in {}, {} merged, {} rejected, {} set aside\n",
        rows.read,
        rows.used,
        count(histories.len(), "history"),
        rows.merged,
        rows.rejected,
        rows.set_aside
    );
    let mut lines = items_read(histories);
    if let Some(register) = &loaded.register {
        let words = format!(
            "{}, {} of them with checks, {} left out",
            count(register.rows, "row"),
            register.matched,
            register.left_out
        );
        lines.push(("register", words));
    }
    lines.extend(jobs.map(|jobs| ("jobs", jobs)));
    lines.push(("failures", failures(histories).to_string()));
    lines.push(("adjustments", events(histories)));
    lines.extend(troubles(loaded));
    written(&mut text, &lines);
    text
}

fn written(text: &mut String, lines: &[Line]) {
    for (name, words) in lines {
        let _ = writeln!(text, "  {name:<12} {words}");
    }
}

/// The accounts of raw readings: the sessions that they form, and the checks that these come to.
pub(super) fn accounts_of_readings(thermometry: &ThermometryResults, loaded: &Loaded) -> String {
    let findings = &thermometry.findings;
    let sessions = &findings.results;
    let rejected = sessions.iter().filter(|s| !s.is_accepted());
    let unread = &thermometry.unreadable;
    let used: usize = sessions.iter().map(|session| session.readings).sum();
    let mut lines = vec![
        (
            "readings",
            format!("{used} read, {} rejected", unread.len()),
        ),
        (
            "sessions",
            format!(
                "{} of {}, {} rejected",
                sessions.len(),
                count(findings.thermometers.len(), "thermometer"),
                rejected.count()
            ),
        ),
    ];
    if !loaded.histories.items.is_empty() {
        lines.extend(items_read(&loaded.histories));
        lines.push(("work done", events(&loaded.histories)));
    }
    lines.extend(rejected_and_lost(loaded).into_iter().flatten());
    let mut text = String::from("\nAccounts:\n");
    written(&mut text, &lines);
    text
}

/// A line of the accounts: its name and its words.
type Line = (&'static str, String);

/// Whose checks were read, of which time, with which units and limits.
fn items_read(histories: &Histories) -> Vec<Line> {
    let named = |get: fn(&Item) -> &str| {
        let names = histories.items.iter().map(get);
        let mut names: Vec<&str> = names.filter(|name| !name.is_empty()).collect();
        // Most neighbours are alike, and their order is dear.
        names.dedup();
        names.sort_unstable();
        names.dedup();
        names.sort_by(|a, b| by_point(a, b));
        names
    };
    let or_none = |names: Vec<&str>, none: &str| match names.is_empty() {
        true => none.to_string(),
        false => listed(&names),
    };
    // They stand by instrument.
    let mut instruments: Vec<&str> = histories
        .items
        .iter()
        .map(|i| i.instrument.as_str())
        .collect();
    instruments.dedup();
    let dates = histories.columns.date.iter().copied();
    let (first, last) = dates.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), day| {
        (a.min(day), b.max(day))
    });
    let limited = histories
        .items
        .iter()
        .filter(|item| item.tolerance.is_some());
    let limits = format!(
        "stated for {} of {}",
        limited.count(),
        count(histories.len(), "history")
    );
    vec![
        ("instruments", listed(&instruments)),
        (
            "points",
            or_none(named(|item| &item.point), "none stated: one each"),
        ),
        (
            "dates",
            format!("{} to {}", iso(first.floor()), iso(last.floor())),
        ),
        ("units", or_none(named(|item| &item.unit), "none stated")),
        ("limits", limits),
    ]
}

/// What deserves a look, or forbids a run.
fn troubles(loaded: &Loaded) -> Vec<Line> {
    let mut lines = Vec::new();
    let values = loaded.histories.columns.as_found.iter();
    let valueless = values.filter(|value| value.is_nan()).count();
    if valueless > 0 {
        let words = format!("{}, whose outcome alone counts", count(valueless, "check"));
        lines.push(("no value", words));
    }
    let warnings = once(&loaded.warnings).into_iter().take(WARNINGS);
    let told = warnings.map(|warning| ("told", warning));
    let [rejected, lost] = rejected_and_lost(loaded);
    lines.extend(rejected.into_iter().chain(told).chain(lost));
    lines
}

/// The first rejected row, and what of failures and events is lost with such rows.
fn rejected_and_lost(loaded: &Loaded) -> [Option<Line>; 2] {
    let rejected = loaded.rejects.first().map(|reject| {
        let words = format!(
            "the first: {}, row {}, {} \"{}\": {}",
            reject.file, reject.row, reject.column, reject.value, reject.reason
        );
        ("rejected", words)
    });
    let lost = loaded.refuse_lost_failures(false).err();
    [rejected, lost.map(|lost| ("no run yet", lost.to_string()))]
}

fn listed(names: &[&str]) -> String {
    let shown: Vec<&str> = names.iter().take(LISTED).copied().collect();
    let more = and_others(names.len().saturating_sub(LISTED));
    format!("{}: {}{more}", names.len(), shown.join(", "))
}

/// Checks that failed, by what is stated or by their own limits.
fn failures(histories: &Histories) -> usize {
    let of = |history: History<'_>| {
        let failed = |i: &usize| {
            let outside = |t: crate::records::Tolerance| !t.contains(history.as_found[*i]);
            history.outcome[*i] == Outcome::Out
                || history.as_found[*i].is_finite() && history.tolerance_at(*i).is_some_and(outside)
        };
        (0..history.len()).filter(failed).count()
    };
    histories.par_iter().map(of).sum()
}

fn events(histories: &Histories) -> String {
    let mut found: BTreeMap<&str, usize> = BTreeMap::new();
    for event in &histories.columns.event {
        if *event != Event::None {
            *found.entry(event.word()).or_default() += 1;
        }
    }
    let columns = &histories.columns;
    let values = columns.as_found.iter().zip(&columns.as_left);
    let moved = |((found, left), event): &((&f64, &f64), &Event)| {
        **event == Event::None && (*left - *found).abs() > 0.0
    };
    let moved = values.zip(&columns.event).filter(moved).count();
    let unnamed = format!("{moved} by the value left alone");
    let named = found.iter().map(|(word, n)| format!("{n} {word}"));
    let words: Vec<String> = named.chain((moved > 0).then_some(unnamed)).collect();
    match words.as_slice() {
        [] => "none".to_string(),
        words => words.join(", "),
    }
}
