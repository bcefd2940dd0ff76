/*! `driftbook verdict`: one new reading beside the stored history, in five lines. */

use super::output::{self, complain, hand_over, say};
use super::verdict_sessions::judge_sessions;
use super::worksheet::{Format, print_worksheet};
use super::{CommandError, CommandResult};
use crate::ledger::earlier::earlier_decisions;
use crate::pipeline::DEMO_NAME;
use crate::pipeline::verdict::{Stored, Verdict, find, verdict};
use crate::records;
use crate::records::append::check::NewCheck;
use crate::records::reading::plain_file;
use crate::records::reading::plain_file::LARGEST_MB;
use crate::records::{CheckKind, Event, Histories, RecordsError, date};
use crate::settings::plan::{Plan, PlanRequest, plan};
use clap::Args;
use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Judge one new reading against an instrument's stored history
#[derive(Debug, Args)]
#[command(
    allow_negative_numbers = true,
    after_help = "Examples:\n  \
    driftbook verdict TH-002 1.9 --u 0.35 --date 2026-07-01 --demo     (of the invented demo)\n  \
    driftbook verdict TH-002 1.9 --u 0.35 --date 2026-07-01 --records mine.toml --record mine.csv\n  \
    driftbook verdict --file reading.csv --records mine.toml --json\n  \
    driftbook verdict --readings session.csv --records mine.toml   raw readings of a session\n  \
    driftbook verdict --readings session.csv --records mine.toml --record readings.csv\n  \
    driftbook verdict --worksheet TH-105 --demo                      what to do at the bench\n\n\
    Exit status: 0 nothing to do; 3 a person is needed; 1 it failed; 2 the command line is wrong.\n\
    A verdict is advice for an authorised person. A thermometer in doubt must not guard a safety function."
)]
pub struct Arguments {
    /// Instrument
    #[arg(required_unless_present_any = ["file", "readings", "worksheet"], conflicts_with_all = ["file", "readings", "worksheet"])]
    instrument: Option<String>,
    /// Reading: the error as found, or the value where the records or --nominal give a nominal
    #[arg(required_unless_present_any = ["file", "readings", "worksheet"])]
    value: Option<f64>,
    /// Point; needed where the instrument has several
    #[arg(long)]
    point: Option<String>,
    /// When it was read, YYYY-MM-DD or YYYY-MM-DDTHH:MM [default: today]
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    /// Standard uncertainty of the reading, random part
    #[arg(long)]
    u: Option<f64>,
    /// Standard uncertainty shared with the earlier checks
    #[arg(long, value_name = "U")]
    u_common: Option<f64>,
    /// Nominal value that is subtracted [default: the last one of the records]
    #[arg(long, value_name = "VALUE")]
    nominal: Option<f64>,
    /// Counter of use at the reading
    #[arg(long, value_name = "COUNT")]
    usage: Option<f64>,
    /// Read the new checks from this file with the records' columns (- for standard input)
    #[arg(long, value_name = "FILE")]
    file: Option<PathBuf>,
    /// Reduce the raw readings of new sessions in this file and judge each thermometer in them
    /// (columns as under [thermometry]; - for standard input)
    #[arg(long, value_name = "FILE", conflicts_with = "file")]
    readings: Option<PathBuf>,
    /// Print the worksheet of a check of this thermometer at the triple point of water: steps with
    /// their cautions, expected value, what each finding would lead to
    #[arg(long, value_name = "THERMOMETER", conflicts_with_all = ["file", "readings", "json", "record"])]
    worksheet: Option<String>,
    /// How the worksheet is written
    #[arg(long, value_enum, default_value_t = Format::Markdown, requires = "worksheet")]
    format: Format,
    /// Stored history: pipeline file, records or folder
    #[arg(long, value_name = "PIPELINE|RECORDS")]
    records: Option<PathBuf>,
    /// Take the stored history from the invented demo laboratory
    #[arg(long, conflicts_with = "records")]
    demo: bool,
    /// Append the check to this CSV file of records; with --readings, the readings to this CSV
    /// file of readings
    #[arg(long, value_name = "FILE")]
    pub(super) record: Option<PathBuf>,
    /// Print JSON
    #[arg(long)]
    pub(super) json: bool,
}

/// Status where a person is needed.
pub(super) const NEEDS_PERSON: u8 = 3;
/// Farthest as-of date: a verdict looks at every stored check (9999-12-31).
const LATEST_DAY: f64 = 2_932_896.0;

/// Where the stored history of a question about one instrument is: `None` for the demo. A person's
/// own instrument may have the name of an invented one, so that the demo is never a default.
///
/// # Errors
/// Neither records nor the demo were asked for.
pub(super) fn stored(records: Option<&Path>, demo: bool) -> Result<Option<PathBuf>, CommandError> {
    match (records, demo) {
        (Some(path), _) => Ok(Some(path.to_path_buf())),
        (None, true) => {
            complain(DEMO_NAME);
            Ok(None)
        }
        (None, false) => Err(usage(
            "which records? Give --records PIPELINE or --records RECORDS; --demo asks the invented demo laboratory"
                .into(),
        )),
    }
}

/// Judges, prints and, where asked, records.
pub fn run(arguments: &Arguments) -> CommandResult {
    let mut plan = plan(&PlanRequest {
        path: stored(arguments.records.as_deref(), arguments.demo)?,
        out: None,
        as_of: None,
        charts: None,
        today: chrono::Local::now().date_naive(),
    })
    .map_err(|e| CommandError::Usage(e.to_string()))?;
    if let Some(instrument) = &arguments.worksheet {
        return print_worksheet(&plan, instrument, arguments.format);
    }
    plan.as_of = LATEST_DAY;
    if let Some(file) = &arguments.readings {
        return judge_sessions(arguments, &mut plan, file);
    }
    let checks = match &arguments.file {
        Some(file) => checks_of_file(file, &plan)?,
        None => vec![check_of_arguments(arguments)?],
    };
    let instruments: BTreeSet<&str> = checks.iter().map(|c| c.instrument.as_str()).collect();
    let instruments: Vec<&str> = instruments.into_iter().collect();
    let stored = Stored::load(&plan, &instruments).map_err(no_ground)?;
    let mut verdicts = Vec::with_capacity(checks.len());
    let mut complete = Vec::with_capacity(checks.len());
    for check in checks {
        let point = Some(check.point.as_str()).filter(|p| !p.is_empty());
        let index = find(&stored.histories, &check.instrument, point).map_err(usage)?;
        let check = completed(check, &stored.histories, index)?;
        plan.as_of = check.date.floor();
        let past = earlier_decisions(&plan, &stored.histories);
        let past = past.get(index).map_or(&[][..], Vec::as_slice);
        verdicts.push(verdict(&plan, &stored, index, &check, past).map_err(usage)?);
        complete.push(check);
    }
    note_rejected(&stored);
    if let Some(file) = &arguments.record {
        records::append(file, &complete, &plan.settings.checks)
            .map_err(|e| CommandError::Failed(e.to_string()))?;
    }
    print(&verdicts, arguments.json)?;
    let person = verdicts.iter().any(|v| v.needs_person);
    Ok(if person { NEEDS_PERSON } else { 0 })
}

/// Records on which nothing can be said: as in a run, failures among rejected rows ask for a mend.
pub(super) fn no_ground(why: RecordsError) -> CommandError {
    let words = format!("error: {why}");
    match why {
        RecordsError::Unreadable(_) => CommandError::Failed(words),
        RecordsError::Lost(_) => CommandError::Usage(words),
    }
}

pub(super) fn note_rejected(stored: &Stored) {
    if stored.rejected > 0 {
        complain(&format!(
            "note: {} of the records looked at could not be used; driftbook run lists them with their reasons",
            crate::report::text::count(stored.rejected, "row")
        ));
    }
}

/// Where `file` can be read: itself, or `held` with what standard input gave.
pub(super) fn on_disk<'a>(
    file: &'a Path,
    held: &'a mut tempfile::NamedTempFile,
) -> Result<&'a Path, CommandError> {
    if file != Path::new("-") {
        return Ok(file);
    }
    let failed = |e: std::io::Error| CommandError::Failed(format!("{}: {e}", file.display()));
    let bytes = plain_file::read_input(std::io::stdin(), LARGEST_MB).map_err(failed)?;
    held.write_all(&bytes).map_err(failed)?;
    held.flush().map_err(failed)?;
    Ok(held.path())
}

pub(super) fn usage(words: String) -> CommandError {
    CommandError::Usage(format!("error: {words}"))
}

fn check_of_arguments(arguments: &Arguments) -> Result<NewCheck, CommandError> {
    let or_nan = |value: Option<f64>| value.unwrap_or(f64::NAN);
    let day = match &arguments.date {
        Some(text) => date::parse_iso(text.trim().as_bytes())
            .ok_or_else(|| usage(format!("{text} is no date; expected YYYY-MM-DD")))?,
        None => date::days_of(chrono::Local::now().date_naive()),
    };
    Ok(NewCheck {
        instrument: arguments.instrument.clone().unwrap_or_default(),
        point: arguments.point.clone().unwrap_or_default(),
        date: day,
        as_found: or_nan(arguments.value),
        as_left: f64::NAN,
        nominal: or_nan(arguments.nominal),
        u: or_nan(arguments.u),
        u_common: or_nan(arguments.u_common),
        usage: or_nan(arguments.usage),
        event: Event::None,
        kind: CheckKind::Check,
        unit: String::new(),
    })
}

/// The checks of a file with the records' columns, read and screened as records are.
fn checks_of_file(file: &Path, plan: &Plan) -> Result<Vec<NewCheck>, CommandError> {
    let failed = |e: std::io::Error| CommandError::Failed(format!("{}: {e}", file.display()));
    // Records are read from files; standard input becomes one for a moment.
    let mut held = tempfile::NamedTempFile::with_suffix(".csv").map_err(failed)?;
    let path = on_disk(file, &mut held)?;
    let files = [path.to_path_buf()];
    let mut request = plan.request();
    request.checks = &files;
    request.register = None;
    let loaded = records::load(&request).map_err(|e| CommandError::Usage(format!("error: {e}")))?;
    if let Some(reject) = loaded.rejects.first() {
        return Err(usage(format!(
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
        return Err(usage(format!(
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
fn completed(
    mut check: NewCheck,
    histories: &Histories,
    index: usize,
) -> Result<NewCheck, CommandError> {
    let history = histories.get(index);
    let unit = &history.item.unit;
    check.point.clone_from(&history.item.point);
    if !check.unit.is_empty() && !unit.is_empty() && check.unit != *unit {
        return Err(usage(format!(
            "the reading is in {}, the history of {} in {unit}; convert the reading",
            check.unit,
            history.item.name()
        )));
    }
    check.unit.clone_from(unit);
    if check.nominal.is_nan()
        && let Some(nominal) = history.nominal.last().filter(|n| **n != 0.0)
    {
        check.nominal = *nominal;
    }
    Ok(check)
}

pub(super) fn print(verdicts: &[Verdict], json: bool) -> Result<(), CommandError> {
    if json {
        let text = match verdicts {
            [one] => serde_json::to_string_pretty(one),
            many => serde_json::to_string_pretty(many),
        };
        let text = text.map_err(|e| CommandError::Failed(e.to_string()))?;
        hand_over(&output::json(&text));
        return Ok(());
    }
    for verdict in verdicts {
        if let Some(session) = &verdict.session {
            say(session);
        }
        say(&verdict.lines.join("\n"));
        for caution in &verdict.cautions {
            complain(&format!("caution: {caution}"));
        }
    }
    Ok(())
}
