/*! What `start` tells: what it took for what, examples of rows as they read, and the accounts. */

use super::lines::some_of;
use super::look::Form;
use super::person::{Person, StartError, parsed};
use super::trial::Trial;
use crate::impact::jobs;
use crate::records::cells::column::Column;
use crate::records::cells::number::Number;
use crate::records::cells::open::{OpenCell, PER_CENT_OF};
use crate::records::cells::shape::meaning_of;
use crate::records::date::iso;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, Guessed};
use crate::records::reading::header::means_tolerance;
use crate::records::{AsFoundIs, Event, Histories, History, Loaded, Outcome, once};
use crate::report::text::count;
use crate::settings::file::PipelineFile;
use crate::settings::plan;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::{Path, PathBuf};

/// Names that a line of the accounts lists, at the most.
const LISTED: usize = 6;

/// Warnings that the accounts tell, at the most.
const WARNINGS: usize = 4;

/// Examples of how a row reads.
const EXAMPLES: usize = 3;

/// What the first look took for what.
pub(super) fn looked(form: &Form) -> String {
    let guess = &form.guess;
    let mut text = format!("{}:\n", form.named());
    for note in &guess.notes {
        let _ = writeln!(text, "{note}");
    }
    let _ = writeln!(text, "\nColumns:");
    for Guessed {
        column,
        header,
        why,
    } in &guess.columns
    {
        let _ = writeln!(text, "  {:<13} \"{header}\": {why}", column.name());
    }
    if !guess.ignored.is_empty() {
        let _ = writeln!(text, "Not read: {}", some_of(&guess.ignored));
    }
    text + &told("Please check", &guess.told)
}

/// What deserves a look and stops nothing.
pub(super) fn told(heading: &str, lines: &[String]) -> String {
    match lines {
        [] => String::new(),
        lines => format!("\n{heading}:\n  {}\n", lines.join("\n  ")),
    }
}

/// The folder of the report, named after the pipeline file.
pub(super) fn report_folder(file: &Path) -> String {
    let name = file
        .file_stem()
        .map_or("records".into(), |name| name.to_string_lossy());
    // Braces would be filled in as dates.
    format!("reports/{}", name.replace(['{', '}'], "_"))
}

/// What is missing for a decision where no column says what is in tolerance.
pub(super) fn no_limits(guess: &Guess) -> Option<String> {
    let told = [
        Column::Lower,
        Column::Upper,
        Column::Tolerance,
        Column::InTolerance,
    ];
    if guess.columns.iter().any(|g| told.contains(&g.column)) {
        return None;
    }
    let header = guess.ignored.iter().find(|header| means_tolerance(header));
    let from = header.map_or(String::new(), |header| {
        format!(" (\"{header}\" may be it: ±5 is lower -5 and upper 5)")
    });
    Some(format!(
        "No tolerance: no interval can be decided without. Add the columns lower and upper{from}, or a register with them."
    ))
}

/// What is asked where u is stated whole: the reference's part is the same at every check.
pub(super) fn shared_part(guess: &Guess) -> Option<String> {
    let has = |column| guess.columns.iter().any(|g| g.column == column);
    (has(Column::U) && !has(Column::UCommon)).then(|| {
        "Is a part of u the reference's own, the same at every check? Averaging does not remove it: state it apart in a column u_common, and in u the rest. Where readings scatter far less than u says, it is taken for shared."
            .into()
    })
}

/// A doubt where readings lie far from zero and hardly move: values, where errors are expected.
pub(super) fn values_for_errors(guess: &Guess, loaded: &Loaded) -> Option<Doubt> {
    /// Errors of a working standard move by more than this share of their size. Common
    /// practice, no source.
    const STILL: f64 = 0.01;
    const FEWEST: usize = 3;
    /// The same where the header names a reading.
    const STILL_READING: f64 = 0.1;
    const FEWEST_READINGS: usize = 2;
    let mut found = guess.columns.iter().filter(|g| g.column == Column::AsFound);
    let reading = found.any(|g| meaning_of(&g.header) == AsFoundIs::Value);
    let (share, fewest) = match reading {
        true => (STILL_READING, FEWEST_READINGS),
        false => (STILL, FEWEST),
    };
    if guess.columns.iter().any(|g| g.column == Column::Nominal) {
        return None;
    }
    loaded.histories.iter().find_map(|history| {
        let finite = history.as_found.iter().copied().filter(|v| v.is_finite());
        let (low, high) = finite.clone().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        });
        let still = high - low < share * low.abs().min(high.abs()) && low.signum() == high.signum();
        (still && low < high && finite.count() >= fewest).then(|| {
            let words = format!(
                "The readings of {} lie between {low} and {high}: values, it seems, not errors. Map nominal to the column of nominal values (it is subtracted), or state the limits as values too.",
                history.item.name()
            );
            Doubt::new("values", words).or("taken as they are, limits included", Answer::AsTaken)
        })
    })
}

/// A doubt where points are told apart by nominal values alone, and one has several readings a day.
pub(super) fn several_a_day(guess: &Guess, loaded: &Loaded) -> Option<Doubt> {
    if !guess
        .to_state
        .iter()
        .any(|line| line.starts_with("point_from"))
    {
        return None;
    }
    loaded.histories.iter().find_map(|history| {
        let same = history.date.windows(2).find(|pair| pair[0].floor() == pair[1].floor())?;
        let words = format!(
            "{} has several readings on {}: repeats of one point, or points that another column tells apart (point_from)?",
            history.item.name(),
            iso(same[0].floor())
        );
        let doubt = Doubt::new("points", words).settled_by("point_from");
        Some(doubt.or("repeats of one point", Answer::AsTaken))
    })
}

/// A doubt where a tolerance is a bare per cent: of the reading, or of the range.
pub(super) fn per_cent_of(loaded: &Loaded) -> Option<Doubt> {
    let rejects = loaded.rejects.iter();
    let rejects = rejects.map(|r| (r.open, &r.file, r.row, &r.value));
    let valueless = loaded.valueless.iter();
    let valueless = valueless.map(|v| (v.open, &v.file, v.row, &v.value));
    let (_, file, row, value) = rejects
        .chain(valueless)
        .find(|(open, ..)| *open == Some(OpenCell::PerCentOf))?;
    let words = format!(
        "{file}, row {row}: a tolerance \"{value}\" is in per cent, and whether of the reading or of the range the file does not say."
    );
    let of = |what: &str| Answer::State(PER_CENT_OF, format!("\"{what}\""));
    let doubt = Doubt::new(PER_CENT_OF, words).settled_by(PER_CENT_OF);
    let doubt = doubt.or("of the reading", of("reading"));
    Some(doubt.or("of the range", of("range")))
}

/// Rows that count by their outcome alone though a column of values is read: most of them, so that
/// its cells are not understood.
pub(super) fn values_not_read(loaded: &Loaded) -> Option<Doubt> {
    let values = &loaded.histories.columns.as_found;
    let valueless = values.iter().filter(|value| value.is_nan()).count();
    let first = loaded.valueless.first()?;
    // That is asked by itself.
    if first.open == Some(OpenCell::PerCentOf) {
        return None;
    }
    let first = format!("{}: {}", first.place(), first.words());
    (2 * valueless > values.len()).then(|| {
        let words = format!(
            "{valueless} of {} checks count by their outcome alone, since their values cannot be read. The first: {first}.",
            values.len()
        );
        Doubt::new("values_not_read", words).or("the outcomes alone shall count", Answer::AsTaken)
    })
}

/// How the first, the middle and the last row read.
pub(super) fn examples(loaded: &Loaded, guess: &Guess) -> Vec<String> {
    let turned = guess
        .to_state
        .iter()
        .any(|line| line == "as_found_is = \"correction\"");
    let histories = &loaded.histories;
    let all = histories.columns.date.len();
    let places: BTreeSet<usize> = match all {
        0 => BTreeSet::new(),
        all => (0..EXAMPLES)
            .map(|k| k * (all - 1) / (EXAMPLES - 1))
            .collect(),
    };
    let told = |place: usize| {
        let index = histories.offsets.partition_point(|offset| *offset <= place) - 1;
        example(
            &histories.get(index),
            place - histories.offsets[index],
            turned,
            loaded,
        )
    };
    places.into_iter().map(told).collect()
}

/// "row 7: G-1, 2024-03-05: 100.03 - 100 = +0.03 V".
fn example(history: &History<'_>, i: usize, turned: bool, loaded: &Loaded) -> String {
    let (file, row) = history.source[i];
    let table = match (loaded.tables.len(), loaded.tables.get(file as usize)) {
        (2.., Some(table)) => format!("{table}, "),
        _ => String::new(),
    };
    let (error, nominal) = (history.as_found[i], history.nominal[i]);
    let unit = &history.item.unit;
    let sum = |a: f64, b: f64| match (Number::from_double(a), Number::from_double(b)) {
        (Some(a), Some(b)) => a.minus(b.negated()),
        _ => a + b,
    };
    let reading = match (error.is_nan(), nominal != 0.0, turned) {
        (true, ..) => match history.outcome[i] {
            Outcome::Out => "out of tolerance".to_string(),
            _ => "in tolerance".to_string(),
        },
        (_, true, _) => format!("{} - {nominal} = {error:+} {unit}", sum(error, nominal)),
        (_, _, true) => format!("correction {:+}, so error {error:+} {unit}", 0.0 - error),
        _ => format!("error {error:+} {unit}"),
    };
    let day = iso(history.date[i].floor());
    let words = format!(
        "{table}row {row}: {}, {day}: {}",
        history.item.name(),
        reading.trim_end()
    );
    match history.event[i] {
        Event::None => words,
        event => format!("{words}, {}", event.word()),
    }
}

/// Reads everything by the pipeline file that was written, and tells how it reads. Returns the
/// doubts that are open.
pub(super) fn accounts(
    text: &str,
    trial: &Trial<'_>,
    known: Option<(Loaded, &Guess)>,
    person: &mut dyn Person,
) -> Result<Vec<String>, StartError> {
    let file = parsed(text)?;
    let open = file.settings.checks.open_doubts();
    let open: Vec<String> = open.map(|(name, _)| name.to_string()).collect();
    let (loaded, guess) = match known {
        Some((loaded, guess)) => (Ok(loaded), Some(guess)),
        None => {
            let (files, _) = plan::resolve_checks(&file, trial.folder, &mut Vec::new());
            let (files, forms): (Vec<PathBuf>, Vec<usize>) = files.into_iter().unzip();
            (trial.read(text, &files, &forms)?, None)
        }
    };
    match loaded {
        Ok(loaded) => {
            if let Some(guess) = guess {
                let lines = examples(&loaded, guess).join("\n  ");
                person.tell(&format!("\nRead so, for example:\n  {lines}"));
            }
            let jobs = told_jobs(&file, trial, &loaded.histories);
            person.tell(&told_accounts(&loaded, jobs));
        }
        Err(why) => person.tell(&format!("\nNot read yet: {why}")),
    }
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
    Ok(open)
}

/// How the jobs read; `None` where the pipeline file names none.
fn told_jobs(file: &PipelineFile, trial: &Trial<'_>, histories: &Histories) -> Option<String> {
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

fn told_accounts(loaded: &Loaded, jobs: Option<String>) -> String {
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
    let mut line = |name: &str, words: String| {
        let _ = writeln!(text, "  {name:<12} {words}");
    };
    let items = || histories.items.iter();
    let names: BTreeSet<&str> = items().map(|item| item.instrument.as_str()).collect();
    line("instruments", listed(&names));
    let points: BTreeSet<&str> = items()
        .map(|item| item.point.as_str())
        .filter(|p| !p.is_empty())
        .collect();
    line(
        "points",
        if points.is_empty() {
            "none stated: one each".into()
        } else {
            listed(&points)
        },
    );
    let dates = histories.columns.date.iter().copied();
    let (first, last) = dates.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), day| {
        (a.min(day), b.max(day))
    });
    line(
        "dates",
        format!("{} to {}", iso(first.floor()), iso(last.floor())),
    );
    let units: BTreeSet<&str> = items()
        .map(|item| item.unit.as_str())
        .filter(|u| !u.is_empty())
        .collect();
    line(
        "units",
        if units.is_empty() {
            "none stated".into()
        } else {
            listed(&units)
        },
    );
    let limited = items().filter(|item| item.tolerance.is_some()).count();
    line(
        "limits",
        format!(
            "stated for {limited} of {}",
            count(histories.len(), "history")
        ),
    );
    if let Some(register) = &loaded.register {
        let words = format!(
            "{}, {} of them with checks, {} left out",
            count(register.rows, "row"),
            register.matched,
            register.left_out
        );
        line("register", words);
    }
    if let Some(jobs) = jobs {
        line("jobs", jobs);
    }
    line("failures", failures(histories).to_string());
    line("adjustments", events(histories));
    let valueless = histories
        .columns
        .as_found
        .iter()
        .filter(|v| v.is_nan())
        .count();
    if valueless > 0 {
        line(
            "no value",
            format!("{}, whose outcome alone counts", count(valueless, "check")),
        );
    }
    if let Some(reject) = loaded.rejects.first() {
        line(
            "rejected",
            format!(
                "the first: {}, row {}, {} \"{}\": {}",
                reject.file, reject.row, reject.column, reject.value, reject.reason
            ),
        );
    }
    for warning in once(&loaded.warnings).iter().take(WARNINGS) {
        line("told", warning.clone());
    }
    if let Err(lost) = loaded.refuse_lost_failures(false) {
        line("no run yet", lost.to_string());
    }
    text
}

fn listed(names: &BTreeSet<&str>) -> String {
    let shown: Vec<&str> = names.iter().take(LISTED).copied().collect();
    let more = match names.len() {
        n if n > LISTED => format!(" and {} more", n - LISTED),
        _ => String::new(),
    };
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
    histories.iter().map(of).sum()
}

fn events(histories: &Histories) -> String {
    let mut found: BTreeMap<&str, usize> = BTreeMap::new();
    for event in &histories.columns.event {
        if *event != Event::None {
            *found.entry(event.word()).or_default() += 1;
        }
    }
    let words: Vec<String> = found
        .iter()
        .map(|(word, n)| format!("{n} {word}"))
        .collect();
    match words.as_slice() {
        [] => "none".to_string(),
        words => words.join(", "),
    }
}
