/*! `driftbook verdict --watch`: readings one by one while at the bench, the verdict at the end. */

use super::arguments::Arguments;
use super::sessions::judge_file;
use super::watch_lines::{Bare, Line, Lines, stated};
use crate::commands::output::{complain, say};
use crate::commands::refused::{Refused, refused};
use crate::commands::{CommandError, CommandResult};
use crate::pipeline::thermometry;
use crate::records::Encoding;
use crate::records::reading::plain_file;
use crate::report::compose::results::ThermometryResults;
use crate::settings::plan::Plan;
use crate::thermometry::watch::Watch;
use std::io::{BufRead, BufReader, Error, IsTerminal, Read, Result, Write};
use std::path::Path;

/// Longest line, bytes: a row of all columns has a few hundred.
const LONGEST_LINE: u64 = 65_536;
/// Most readings of one watch: a reading a second for five hours and a half.
const MOST_READINGS: usize = 20_000;

/// Tells what the readings say as they come, then judges the session.
pub(super) fn watch(arguments: &Arguments, plan: &mut Plan, file: &Path) -> CommandResult {
    let failed =
        |why: &dyn std::fmt::Display| CommandError::failed(format!("{}: {why}", file.display()));
    let thermometry = thermometry::read(plan)
        .map_err(CommandError::failed)?
        .unwrap_or_default();
    let settings = plan.settings.thermometry.clone();
    let bare = bare(arguments, (&thermometry, settings.encoding), file)?;
    let mut watch = Watch::new(&thermometry.findings.results, &thermometry.facts, &settings);
    let mut lines = Lines::new(&settings, bare);
    let mut source = source(file).map_err(|why| failed(&why))?;
    let mut refused = 0;
    while let Some(bytes) = next_line(&mut source).map_err(|why| failed(&why))? {
        let said = match text(bytes, settings.encoding) {
            Ok(line) => lines.read(&line).map_err(CommandError::usage)?,
            Err(why) => Line::Refused(why.to_string()),
        };
        match said {
            Line::Nothing => {}
            Line::Undo => {
                watch.undo();
                tell(arguments, "the newest reading is taken back");
            }
            Line::Refused(why) => {
                refused += 1;
                complain(&format!("not used: {why}"));
            }
            Line::Reading(reading) => tell(arguments, &watch.take(*reading).words()),
        }
        if watch.readings().len() >= MOST_READINGS {
            complain(&format!("{MOST_READINGS} readings: no more are read"));
            break;
        }
    }
    if watch.readings().is_empty() {
        return Err(failed(
            &"no reading came, so that there is nothing to judge",
        ));
    }
    judged(arguments, plan, (lines.table(), refused))
}

/// Judges the table of all readings; what was typed is kept where that fails.
fn judged(
    arguments: &Arguments,
    plan: &mut Plan,
    (table, refused): (String, usize),
) -> CommandResult {
    let failed = |why: Error| CommandError::failed(format!("the readings: {why}"));
    let mut held = tempfile::NamedTempFile::with_suffix(".csv").map_err(failed)?;
    held.write_all(&bytes(&table, plan.settings.thermometry.encoding))
        .and_then(|()| held.flush())
        .map_err(failed)?;
    let path = held.path().to_path_buf();
    match judge_file(arguments, plan, &path, Path::new("the readings")) {
        Ok(status) if refused == 0 => Ok(status),
        // A reading that was meant and is missing wants a look.
        Ok(_) => Ok(crate::commands::NEEDS_PERSON),
        Err(why) => {
            if let Ok((_, kept)) = held.keep() {
                complain(&format!(
                    "the readings are kept in {}: driftbook verdict --readings judges them again",
                    kept.display()
                ));
            }
            Err(why)
        }
    }
}

/// What a person is told while readings come; with JSON it stands aside of it.
fn tell(arguments: &Arguments, words: &str) {
    match arguments.json {
        true => complain(words),
        false => say(words),
    }
}

/// The readings of a named thermometer without a header; `None` where a table comes.
fn bare<'a>(
    arguments: &'a Arguments,
    (thermometry, encoding): (&ThermometryResults, Encoding),
    file: &Path,
) -> std::result::Result<Option<Bare<'a>>, CommandError> {
    let live = file == Path::new("-");
    let terminal = live && std::io::stdin().is_terminal();
    let Some(instrument) = &arguments.instrument else {
        if !arguments.with.is_empty() {
            return Err(CommandError::usage(
                "--with belongs to readings without a header: name their thermometer, or state it in the table",
            ));
        }
        return Ok(None);
    };
    let every = arguments.with.iter().map(|w| stated(w, encoding));
    let every: std::result::Result<Vec<_>, Refused> = every.collect();
    let mut every = every.map_err(CommandError::usage)?;
    let has =
        |every: &[(&str, String)], name: &str| every.iter().any(|(column, _)| *column == name);
    if !has(&every, "current_ma")
        && let Some(ma) = usual_current(thermometry, instrument)
    {
        complain(&format!(
            "current {ma} mA, as it is usually read; --with current_ma=… where it is another"
        ));
        every.push(("current_ma", ma.to_string()));
    }
    let missing: Vec<&str> = ["cell", "cell_kind", "depth_m"]
        .into_iter()
        .filter(|name| !has(&every, name))
        .collect();
    if !missing.is_empty() {
        complain(&format!(
            "not stated: {}; the verdict names what is assumed instead (--with COLUMN=VALUE states it)",
            missing.join(", ")
        ));
    }
    if terminal {
        complain(&format!(
            "{instrument}: one reading a line, {}; undo takes the newest back, the end of input (Ctrl-D) asks for the verdict",
            if has(&every, "resistor_ohm") {
                "the ratio"
            } else {
                "in Ω"
            }
        ));
    }
    Ok(Some(Bare {
        instrument,
        every,
        clock: live.then_some(|| chrono::Local::now().naive_local()),
    }))
}

/// Current of the file of the thermometers, else the smallest of the last session.
fn usual_current(thermometry: &ThermometryResults, instrument: &str) -> Option<f64> {
    let stated = thermometry.facts.of(instrument).and_then(|f| f.current_ma);
    let last = thermometry
        .findings
        .results
        .iter()
        .rfind(|r| r.instrument == instrument);
    let read = last
        .and_then(|r| r.reduced.series.first())
        .map(|s| s.current_ma);
    stated
        .filter(|ma| *ma > 0.0)
        .or(read.filter(|ma| ma.is_finite()))
}

fn source(file: &Path) -> Result<Box<dyn BufRead>> {
    Ok(match file == Path::new("-") {
        true => Box::new(BufReader::new(std::io::stdin())),
        false => Box::new(BufReader::new(plain_file::open(file)?)),
    })
}

fn next_line(source: &mut dyn BufRead) -> Result<Option<Vec<u8>>> {
    let mut line = Vec::new();
    source.take(LONGEST_LINE + 1).read_until(b'\n', &mut line)?;
    match line.len() as u64 > LONGEST_LINE {
        true => Err(Error::other(format!(
            "a line of more than {LONGEST_LINE} bytes is no reading"
        ))),
        false => Ok(Some(line).filter(|line| !line.is_empty())),
    }
}

fn text(bytes: Vec<u8>, encoding: Encoding) -> std::result::Result<String, Refused> {
    match encoding.of(&bytes) {
        Encoding::Latin1 => Ok(bytes.into_iter().map(char::from).collect()),
        Encoding::Named(named) => match Encoding::decoded(named, &bytes) {
            Some(text) => Ok(text.into_owned()),
            None => Err(refused!("the line is not {}", encoding.word())),
        },
        Encoding::Utf8 | Encoding::Auto => {
            String::from_utf8(bytes).map_err(|_| refused!("the line is not UTF-8"))
        }
    }
}

/// As the laboratory's files are written: every letter came from its encoding, or was looked at.
fn bytes(table: &str, encoding: Encoding) -> Vec<u8> {
    let own = |c: char| {
        let bytes = encoding.encoded(c.encode_utf8(&mut [0; 4]));
        bytes.unwrap_or_else(|_| b"?".to_vec())
    };
    let whole = encoding.encoded(table);
    whole.unwrap_or_else(|_| table.chars().flat_map(own).collect())
}
