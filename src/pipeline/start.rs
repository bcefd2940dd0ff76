/*! From a person's own file to a commented pipeline file that runs at once. */

use super::start_readings::start_readings;
use super::started::write_new;
pub use super::started::{StartError, Started};
use crate::records::cells::column::Column;
use crate::records::guess::file::{Guess, Guessed, guess};
use crate::records::reading::header::means_tolerance;
use crate::records::{
    Delimiter, Encoding, FormerNames, LoadError, Loaded, RegisterSettings, Request, date, load,
};
use crate::report::text::count;
use crate::settings::file::PipelineFile;
use chrono::NaiveDate;
use std::fmt::Write;
use std::path::Path;

/// Looks at `records` and writes a pipeline file of the same name beside them.
/// `today` is the as-of date of the trial reading.
///
/// # Errors
/// A file that is no table, a needed column that cannot be found, a pipeline file
/// that is already there.
pub fn start(records: &Path, today: NaiveDate) -> Result<Started, StartError> {
    if records.is_dir() {
        return Err(StartError(format!(
            "error: {} is a folder\nhelp: name one of its files; then put the folder into files = […]",
            records.display()
        )));
    }
    if records
        .file_name()
        .is_some_and(|name| name.to_str().is_none())
    {
        return Err(StartError(format!(
            "error: the name of {} is not UTF-8, so that no pipeline file can state it\nhelp: rename the file",
            records.display()
        )));
    }
    let file = records.with_extension("toml");
    if std::fs::symlink_metadata(&file).is_ok() {
        return Err(StartError(format!(
            "error: {} is already there\nhelp: move it away or rename it; nothing was written",
            file.display()
        )));
    }
    if let Some(started) = start_readings(records, &file)? {
        return Ok(started);
    }
    let mut guess = guess(records).map_err(|e| StartError(format!("error: {e}")))?;
    refuse_missing(&guess, records)?;
    let trial = settled_trial(&mut guess, records, today)?;
    write_new(&file, &pipeline_text(&guess, records))?;
    let explanation = explain(&guess, trial.as_ref());
    Ok(Started { file, explanation })
}

/// Reads the records by the guess; where they refuse it, the guess is mended, or what a
/// person must state is noted and nothing is read.
fn settled_trial(
    guess: &mut Guess,
    records: &Path,
    today: NaiveDate,
) -> Result<Option<Loaded>, StartError> {
    loop {
        let why = match trial(&pipeline_text(guess, records), records, today)? {
            Ok(loaded) => return Ok(Some(loaded)),
            Err(why) => why,
        };
        match why.setting {
            "nominal" if !guess.off.contains(&Column::Nominal) => {
                guess.doubts.push(format!(
                    "nominal = false: {}. The nominal values are not subtracted.",
                    why.what
                ));
                guess.off.push(Column::Nominal);
            }
            "correction" => {
                guess.doubts.push(format!(
                    "as_found_is = \"correction\": {}. The sign is turned.",
                    why.what
                ));
                guess
                    .to_state
                    .push("as_found_is = \"correction\"".to_string());
            }
            "point_from"
                if !guess
                    .to_state
                    .iter()
                    .any(|line| line.starts_with("point_from")) =>
            {
                let nominal = guess.columns.iter().find(|g| g.column == Column::Nominal);
                let header = nominal.map_or("nominal", |g| g.header.as_str());
                let line = format!("point_from = [{}]", quoted(header));
                guess.doubts.push(format!(
                    "{line}: {}. Add the other columns that tell points apart.",
                    why.what
                ));
                guess.to_state.push(line);
            }
            "as_found_is" | "decimal_comma" => {
                guess.doubts.push(format!("{}. {}", why.what, why.mend));
                let values = match why.setting {
                    "as_found_is" => "\"value\" or \"error\"",
                    _ => "false or true",
                };
                let line = format!("# {} = {values}: state it", why.setting);
                guess.to_state.push(line);
                return Ok(None);
            }
            _ => {
                return Err(StartError(format!(
                    "error: {why}\nhelp: nothing was written"
                )));
            }
        }
    }
}

fn refuse_missing(guess: &Guess, records: &Path) -> Result<(), StartError> {
    let missing: Vec<&str> = guess.missing().iter().map(|c| c.name()).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let headers: Vec<&String> = guess
        .columns
        .iter()
        .map(|g| &g.header)
        .chain(&guess.ignored)
        .collect();
    Err(StartError(format!(
        "error: {}: no column was found for {}\nhelp: the first line is read as the headers, {headers:?}; \
         take out lines that stand above them, or write a pipeline file with [checks.columns] by hand",
        records.display(),
        missing.join(", ")
    )))
}

/// Reads the records once by the new file, so that its reader knows that it runs.
fn trial(
    text: &str,
    records: &Path,
    today: NaiveDate,
) -> Result<Result<Loaded, LoadError>, StartError> {
    let file = PipelineFile::parse(text).map_err(|problems| {
        let words: Vec<String> = problems
            .iter()
            .map(|p| p.render("new file", text))
            .collect();
        StartError(words.join("\n"))
    })?;
    Ok(load(&Request {
        checks: &[records.to_path_buf()],
        register: None,
        base: Path::new(""),
        checks_settings: &file.settings.checks,
        register_settings: &RegisterSettings::default(),
        approvals: None,
        former: &FormerNames::default(),
        as_of: date::days_of(today),
    }))
}

fn explain(guess: &Guess, trial: Option<&Loaded>) -> String {
    let mut text = String::new();
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
        let _ = writeln!(text, "Not read: {}", guess.ignored.join(", "));
    }
    let values = trial.and_then(|trial| values_for_errors(guess, trial));
    let own = [no_limits(guess), values, shared_part(guess)];
    let doubts: Vec<&String> = guess.doubts.iter().chain(own.iter().flatten()).collect();
    if !doubts.is_empty() {
        let _ = writeln!(text, "\nPlease check:");
        for doubt in doubts {
            let _ = writeln!(text, "  {doubt}");
        }
    }
    let Some(trial) = trial else {
        let lines = guess.to_state.join("\n  ");
        let _ = writeln!(
            text,
            "\nNot read yet: two readings fit. Before the first run, state under [checks]:\n  {}",
            lines.replace("# ", "")
        );
        return text;
    };
    let rows = trial.rows;
    let _ = writeln!(
        text,
        "\nRead by this mapping: {}, {} used in {}, {} merged, {} rejected.",
        count(rows.read as usize, "row"),
        rows.used,
        count(trial.histories.len(), "history"),
        rows.merged,
        rows.rejected
    );
    if let Some(reject) = trial.rejects.first() {
        let _ = writeln!(
            text,
            "The first rejected: row {}, {} \"{}\": {}.",
            reject.row, reject.column, reject.value, reject.reason
        );
    }
    text
}

/// What is missing for a decision where no column says what is in tolerance.
fn no_limits(guess: &Guess) -> Option<String> {
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
fn shared_part(guess: &Guess) -> Option<String> {
    let has = |column| guess.columns.iter().any(|g| g.column == column);
    (has(Column::U) && !has(Column::UCommon)).then(|| {
        "Is a part of u the reference's own, the same at every check? Averaging does not remove it: state it apart in a column u_common, and in u the rest. Where readings scatter far less than u says, it is taken for shared."
            .into()
    })
}

/// A doubt where readings lie far from zero and hardly move: values, where errors are expected.
fn values_for_errors(guess: &Guess, trial: &Loaded) -> Option<String> {
    /// Errors of a working standard move by more than this share of their size. Common
    /// practice, no source.
    const STILL: f64 = 0.01;
    const FEWEST: usize = 3;
    if guess.columns.iter().any(|g| g.column == Column::Nominal) {
        return None;
    }
    (0..trial.histories.len()).find_map(|index| {
        let history = trial.histories.get(index);
        let finite = history.as_found.iter().copied().filter(|v| v.is_finite());
        let (low, high) = finite.clone().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        });
        let still = high - low < STILL * low.abs().min(high.abs()) && low.signum() == high.signum();
        (still && low < high && finite.count() >= FEWEST).then(|| {
            format!(
                "The readings of {} lie between {low} and {high}: values, it seems, not errors. Map nominal to the column of nominal values (it is subtracted), or state the limits as values too.",
                history.item.name()
            )
        })
    })
}

/// Text as a TOML string.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_string()).to_string()
}

fn pipeline_text(guess: &Guess, records: &Path) -> String {
    let name = records
        .file_name()
        .map_or(String::new(), |n| n.to_string_lossy().into_owned());
    let mut text = String::from(
        "# Made by driftbook start; every line may be changed.\n\
         # All settings: driftbook settings\n\n\
         # as_of = \"2026-06-30\"        # decisions are for this date; absent = today\n\n\
         [checks]\n",
    );
    let escaped = glob::Pattern::escape(&name);
    let _ = writeln!(text, "files = [{}]", quoted(&escaped));
    if !guess.sheets.is_empty() {
        let sheets: Vec<String> = guess.sheets.iter().map(|name| quoted(name)).collect();
        let _ = writeln!(text, "sheets = [{}]", sheets.join(", "));
    }
    reading_lines(&mut text, guess);
    column_lines(&mut text, guess);
    wide_lines(&mut text, guess);
    text.push_str(
        "\n# [register]                   # tolerances, intervals in use, groups\n\
         # file = \"register.csv\"\n\n\
         [intervals]\n\
         reliability_target = 0.95      # lowest probability in tolerance at the due date\n\
         current_interval_days = 365    # where no register states one\n\n\
         [output]\n\
         folder = \"reports\"\n",
    );
    text
}

fn reading_lines(text: &mut String, guess: &Guess) {
    if guess.delimiter != Delimiter::Auto {
        let _ = writeln!(text, "delimiter = \"{}\"", guess.delimiter.word());
    }
    if guess.encoding == Encoding::Latin1 {
        text.push_str("encoding = \"latin-1\"\n");
    }
    if guess.decimal_comma {
        text.push_str("decimal_comma = true           # 0,5 rather than 0.5\n");
    }
    if !guess.date_format.is_empty() {
        let _ = writeln!(text, "date_format = {}", quoted(&guess.date_format));
    }
    if guess.coverage_factor != 1.0 {
        let _ = writeln!(
            text,
            "coverage_factor = {:?}          # the column u holds expanded uncertainties with this k",
            guess.coverage_factor
        );
    }
    for line in &guess.to_state {
        let _ = writeln!(text, "{line}");
    }
    if !guess.unit.is_empty() {
        let _ = writeln!(text, "unit = {}", quoted(&guess.unit));
    }
}

/// How the headers of a wide table state dates.
fn wide_lines(text: &mut String, guess: &Guess) {
    let Some(wide) = &guess.wide else {
        return;
    };
    text.push_str("\n[checks.wide]                  # one row an item, one column a date\n");
    let _ = writeln!(text, "date_format = {}", quoted(&wide.date_format));
    if wide.leaves_open().is_some() {
        let _ = writeln!(
            text,
            "unstated = {}             # month and day of every check",
            quoted(&wide.unstated)
        );
    }
    for (column, beside) in wide.words() {
        let _ = writeln!(text, "{} = {}", column.name(), quoted(beside));
    }
    text.push_str("# what stands beside the date in the headers of each column; \"\": nothing\n");
}

fn column_lines(text: &mut String, guess: &Guess) {
    text.push_str("\n[checks.columns]               # our name = your header\n");
    for column in Column::ALL {
        let found = guess.columns.iter().find(|g| g.column == column);
        let _ = match found {
            _ if guess.is_wide(column) => continue,
            _ if guess.off.contains(&column) => writeln!(text, "{} = false", column.name()),
            Some(g) => writeln!(text, "{} = {}", column.name(), quoted(&g.header)),
            None => writeln!(text, "# {} = \"…\"", column.name()),
        };
    }
    if !guess.ignored.is_empty() {
        // A header may hold a line break, which would end the comment.
        let listed = guess.ignored.join(", ").replace(['\n', '\r'], " ");
        let _ = writeln!(text, "# not read: {listed}");
    }
}

#[cfg(test)]
#[path = "start_tests.rs"]
mod tests;
