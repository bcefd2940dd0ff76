/*! What `driftbook verdict` is asked, and how it answers. */

use crate::commands::CommandError;
use crate::commands::output::{self, complain, hand_over, say};
use crate::commands::worksheet::Format;
use crate::pipeline::AskError;
use crate::pipeline::verdict::{Stored, Verdict};
use crate::records::RecordsError;
use crate::records::cells::number::amount::Amount;
use crate::records::date;
use crate::records::reading::plain_file::{self, LARGEST_MB};
use crate::settings::demo::DEMO_NAME;
use clap::Args;
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
    driftbook verdict --worksheet TH-105 --demo                      what to do at the bench\n  \
    driftbook verdict P-1 --watch - --records mine.toml --with cell=C-9 --with \"cell_kind=small slush\"\n  \
    \u{20}                                               readings as they come, then the verdict\n\n\
    Exit status: 0 nothing to do; 3 a person is needed; 1 it failed; 2 the command line is wrong.\n\
    A verdict is advice for an authorised person. A thermometer in doubt must not guard a safety function."
)]
pub(crate) struct Arguments {
    /// Instrument
    #[arg(required_unless_present_any = ["file", "readings", "worksheet", "watch"], conflicts_with_all = ["file", "readings", "worksheet"])]
    pub(crate) instrument: Option<String>,
    /// Reading: the error as found, or the value where the records or --nominal give a nominal
    #[arg(required_unless_present_any = ["file", "readings", "worksheet", "watch"], allow_hyphen_values = true)]
    pub(crate) value: Option<Amount>,
    /// Point; needed where the instrument has several
    #[arg(long)]
    pub(crate) point: Option<String>,
    /// When it was read, YYYY-MM-DD or YYYY-MM-DDTHH:MM [default: today]
    #[arg(long, value_name = "DATE")]
    pub(crate) date: Option<String>,
    /// Take a date that is still to come
    #[arg(long)]
    pub(crate) allow_future: bool,
    /// Standard uncertainty of the reading, random part
    #[arg(long)]
    pub(crate) u: Option<Amount>,
    /// Standard uncertainty shared with the earlier checks
    #[arg(long, value_name = "U")]
    pub(crate) u_common: Option<Amount>,
    /// Nominal value that is subtracted [default: the last one of the records]
    #[arg(long, value_name = "VALUE")]
    pub(crate) nominal: Option<Amount>,
    /// Unit of the numbers that state none [default: the history's]
    #[arg(long, value_name = "UNIT")]
    pub(crate) unit: Option<String>,
    /// Counter of use at the reading
    #[arg(long, value_name = "COUNT")]
    pub(crate) usage: Option<f64>,
    /// Read the new checks from this file with the records' columns (- for standard input)
    #[arg(long, value_name = "FILE")]
    pub(crate) file: Option<PathBuf>,
    /// Reduce the raw readings of new sessions in this file and judge each thermometer in them
    /// (columns as the table thermometry of the pipeline names them; - for standard input)
    #[arg(long, value_name = "FILE", conflicts_with = "file")]
    pub(crate) readings: Option<PathBuf>,
    /// Take the readings of a session one by one while at the bench (- for standard input) and tell after
    /// each what they say so far; the end of the input asks for the verdict. A table with a header, or
    /// with INSTRUMENT a number a line, its time before it where it was not read just now
    #[arg(long, value_name = "FILE", conflicts_with_all = ["file", "readings", "worksheet", "value", "u", "u_common", "nominal", "usage", "date", "point"])]
    pub(crate) watch: Option<PathBuf>,
    /// With --watch and INSTRUMENT: what every reading has in a column of the table of readings, such
    /// as cell=C-9 (repeatable); with resistor_ohm=… the numbers are ratios
    #[arg(long, value_name = "COLUMN=VALUE", requires = "watch")]
    pub(crate) with: Vec<String>,
    /// Print the worksheet of a check of this thermometer at the triple point of water: steps with
    /// their cautions, expected value, what each finding would lead to
    #[arg(long, value_name = "THERMOMETER", conflicts_with_all = ["file", "readings", "json", "record"])]
    pub(crate) worksheet: Option<String>,
    /// How the worksheet is written
    #[arg(long, value_enum, default_value_t = Format::Markdown, requires = "worksheet")]
    pub(crate) format: Format,
    /// Stored history: pipeline file, records or folder
    #[arg(long, value_name = "PIPELINE|RECORDS")]
    pub(crate) records: Option<PathBuf>,
    /// Take the stored history from the invented demo laboratory
    #[arg(long, conflicts_with = "records")]
    pub(crate) demo: bool,
    /// Append the check to this CSV file of records; with --readings, the readings to this CSV
    /// file of readings
    #[arg(long, value_name = "FILE")]
    pub(crate) record: Option<PathBuf>,
    /// Print JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// Farthest as-of date: a verdict looks at every stored check (9999-12-31).
pub(super) const LATEST_DAY: f64 = 2_932_896.0;

/// Where the stored history of a question about one instrument is: `None` for the demo. A person's
/// own instrument may have the name of an invented one, so that the demo is never a default.
///
/// # Errors
/// Neither records nor the demo were asked for.
pub(crate) fn stored(
    records: Option<&Path>,
    demo: bool,
    instrument: Option<&str>,
) -> Result<Option<PathBuf>, CommandError> {
    match (records, demo) {
        (Some(path), _) => Ok(Some(path.to_path_buf())),
        (None, true) => {
            complain(DEMO_NAME);
            Ok(None)
        }
        (None, false) if instrument.is_some_and(|name| Path::new(name).exists()) => {
            let file = instrument.unwrap_or_default();
            Err(CommandError::usage(format!(
                "{file} is there as a file or folder: name an instrument first, then --records {file}"
            )))
        }
        (None, false) => Err(CommandError::usage(
            "which records? Give --records PIPELINE or --records RECORDS; --demo asks the invented demo laboratory",
        )),
    }
}

/// A question that has no answer; a point that is a day belongs behind `option`.
pub(crate) fn no_answer(why: AskError, point: Option<&str>, option: &str) -> CommandError {
    match why {
        AskError::Records(why) => no_ground(why),
        AskError::Unknown(_) => no_point(&why, point, option),
    }
}

/// Records on which nothing can be said: as in a run, failures among rejected rows ask for a mend.
pub(crate) fn no_ground(why: RecordsError) -> CommandError {
    let words = format!("error: {why}");
    match why {
        RecordsError::Unreadable(_) => CommandError::Failed(words),
        RecordsError::Lost(_) => CommandError::Usage(words),
    }
}

pub(crate) fn note_rejected(stored: &Stored) {
    if let Some(note) = &stored.note {
        complain(&format!("note: {note}"));
    }
    if stored.rejected > 0 {
        complain(&format!(
            "note: {} of the records looked at could not be used; driftbook run lists them with their reasons",
            crate::report::text::count(stored.rejected, "row")
        ));
    }
}

/// Where `file` can be read: itself, or `held` with what standard input gave.
pub(crate) fn on_disk<'a>(
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

pub(crate) fn print(verdicts: &[Verdict], json: bool) -> Result<(), CommandError> {
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

/// No such history; where the point is a day, the option behind which a day goes.
fn no_point(why: &AskError, point: Option<&str>, option: &str) -> CommandError {
    let day = point.filter(|point| date::parse_iso(point.as_bytes()).is_some());
    CommandError::usage(match day {
        Some(day) => format!("{why}; a day goes behind {option}: {option} {day}"),
        None => why.to_string(),
    })
}
