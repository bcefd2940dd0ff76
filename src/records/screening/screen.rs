/*! Screening that needs the whole history: one unit, copies merged.

Copies: a row that is repeated whole (in every column that is read) is merged
where the copies come from different files (overlapping exports) or carry a
time of day. Equal readings of one day in one file are repeats and stay. A
date-time at midnight carries no time of day: exports write it for plain dates.
*/

use super::findings::{Conversion, DROPPED, Findings, ScreenReject};
use super::left_rows::take_left_rows;
use super::two_files::TwoFiles;
use crate::records::Warning;
use crate::records::cells::batch::Batch;
use crate::records::cells::column::Column;
use crate::records::cells::number::Number;
use crate::records::cells::sparse::value;
use crate::records::cells::unit::{Unit, same_unit};
use crate::records::date;
use crate::records::load::group::Entry;
use crate::records::{CheckKind, Event, Outcome};
use crate::words;
use std::collections::HashMap;

/// Screens one history, its rows sorted by date, those of the batches of `files`. `register_unit` is empty where the
/// register states none.
pub(crate) fn screen(
    label: &str,
    entries: &mut [Entry],
    (batches, files): (&[Batch], &[String]),
    register_unit: &str,
) -> Findings {
    let mut findings = Findings::default();
    settle_units(
        label,
        entries,
        (batches, files),
        register_unit,
        &mut findings,
    );
    take_left_rows(entries, batches, &mut findings);
    let mut two_files = TwoFiles::default();
    let mut start = 0;
    while start < entries.len() {
        let date = entries[start].date;
        let run = entries[start..]
            .iter()
            .take_while(|e| e.date == date)
            .count();
        if run > 1 {
            let run = &mut entries[start..start + run];
            merge_copies(label, run, batches, &mut findings);
            two_files.see(run, batches, files);
        }
        start += run;
    }
    findings.warnings.extend(two_files.warning(label));
    findings
}

/// A row in another unit than its history's is converted where both are known for one quantity,
/// and rejected otherwise.
fn settle_units(
    label: &str,
    entries: &mut [Entry],
    (batches, files): (&[Batch], &[String]),
    register_unit: &str,
    findings: &mut Findings,
) {
    let unit = |e: &Entry| batches[e.batch as usize].unit_at(e.row as usize);
    let own = match register_unit {
        "" => most_common(entries.iter().map(unit)),
        stated => stated,
    };
    findings.unit = own.to_string();
    let mut converted: Vec<(&str, usize, String)> = Vec::new();
    for entry in entries {
        let batch = &batches[entry.batch as usize];
        let stated = batch.unit_at(entry.row as usize);
        if stated.is_empty() || same_unit(stated, own) {
            continue;
        }
        let number = |column: &[f64]| value(column, entry.row, 0.0);
        if let Some(power) = power_between(stated, own, number(&batch.columns.nominal) != 0.0) {
            findings.conversions.push(Conversion {
                batch: entry.batch,
                row: entry.row,
                power,
            });
            match converted.iter_mut().find(|(unit, ..)| *unit == stated) {
                Some((_, count, _)) => *count += 1,
                None => {
                    let found = number(&batch.columns.as_found);
                    let words = format!("{found} {stated} is {} {own}", scaled(found, power));
                    let row = batch.first_row + batch.row[entry.row as usize];
                    let place = match files {
                        [_, _, ..] => files.get(batch.file as usize),
                        _ => None,
                    };
                    let place = place.map_or(String::new(), |file| format!("{file}, "));
                    converted.push((stated, 1, format!("{place}row {row}: {words}")));
                }
            }
            continue;
        }
        let whose = match register_unit {
            "" => "most rows of this history",
            _ => "the register",
        };
        findings.rejects.push(ScreenReject {
            batch: entry.batch,
            row: entry.row,
            date: entry.date,
            column: Column::Unit,
            value: stated.to_string(),
            reason: format!("the unit differs from \"{own}\", the unit of {whose}"),
        });
        entry.batch = DROPPED;
    }
    let told = converted.into_iter().map(|one| said_of_converted(one, own));
    let warnings = told.map(|words| Warning::new(label, words));
    findings.warnings.extend(warnings);
}

/// What is told of rows in another unit: unit, number and an example.
fn said_of_converted((unit, count, example): (&str, usize, String), own: &str) -> String {
    let rows = words::count(count, "row");
    let are = words::agreeing(count, "is", "are");
    format!("{rows} {are} in {unit} and read in {own} ({example})")
}

/// The power of ten from one unit to another. A temperature in °C is one in K only as a
/// difference: where a nominal value was subtracted.
fn power_between(from: &str, into: &str, difference: bool) -> Option<i32> {
    let (from, into) = (Unit::parse(from)?, Unit::parse(into)?);
    let one_zero = from.quantity == into.quantity || difference;
    one_zero.then(|| from.power_to(into)).flatten()
}

fn scaled(value: f64, power: i32) -> f64 {
    Number::from_double(value).map_or(value, |number| number.scaled(power).value)
}

/// Turns the rows that are in another unit into their history's.
pub(crate) fn convert(conversions: &[Conversion], batches: &mut [Batch]) {
    for conversion in conversions {
        let scatter = &mut batches[conversion.batch as usize].scatter;
        if let Some(Some(scatter)) = scatter.get_mut(conversion.row as usize) {
            *scatter = scatter.times(scaled(1.0, conversion.power));
        }
        let columns = &mut batches[conversion.batch as usize].columns;
        for column in [
            &mut columns.as_found,
            &mut columns.as_left,
            &mut columns.nominal,
            &mut columns.u,
            &mut columns.u_common,
            &mut columns.lower,
            &mut columns.upper,
            &mut columns.assigned,
            &mut columns.u_assigned,
        ] {
            if let Some(value) = column.get_mut(conversion.row as usize) {
                *value = scaled(*value, conversion.power);
            }
        }
    }
}

/// The unit that most rows state; the earliest of equals.
fn most_common<'a>(units: impl Iterator<Item = &'a str>) -> &'a str {
    let mut counts: Vec<(&str, u32)> = Vec::new();
    for unit in units.filter(|u| !u.is_empty()) {
        match counts.iter_mut().find(|(known, _)| same_unit(known, unit)) {
            Some((_, count)) => *count += 1,
            None => counts.push((unit, 1)),
        }
    }
    // `max_by_key` takes the last of equals, so look from the end.
    counts
        .iter()
        .rev()
        .max_by_key(|(_, n)| *n)
        .map_or("", |(unit, _)| unit)
}

/// Every value of a row, as bits, for equality.
type Content<'a> = ([u64; 11], Outcome, Event, CheckKind, &'a str);

fn content<'a>(entry: &Entry, batches: &'a [Batch]) -> Content<'a> {
    let batch = &batches[entry.batch as usize];
    let columns = &batch.columns;
    let bits = |column: &[f64], otherwise: f64| value(column, entry.row, otherwise).to_bits();
    (
        [
            bits(&columns.as_found, f64::NAN),
            bits(&columns.as_left, f64::NAN),
            bits(&columns.nominal, 0.0),
            bits(&columns.u, f64::NAN),
            bits(&columns.u_common, 0.0),
            bits(&columns.lower, f64::NAN),
            bits(&columns.upper, f64::NAN),
            bits(&columns.usage, f64::NAN),
            bits(&columns.assigned, f64::NAN),
            bits(&columns.u_assigned, f64::NAN),
            value(&batch.scatter, entry.row, None).map_or(0, |scatter| scatter.deviation.to_bits()),
        ],
        value(&columns.outcome, entry.row, Outcome::Unknown),
        value(&columns.event, entry.row, Event::None),
        value(&columns.kind, entry.row, CheckKind::Unstated),
        batch.giver_at(entry.row as usize),
    )
}

/// `run` holds the rows of one date, in file order.
fn merge_copies(label: &str, run: &mut [Entry], batches: &[Batch], findings: &mut Findings) {
    let timed = run[0].date.fract() != 0.0;
    let mut alike: HashMap<Content<'_>, Vec<usize>> = HashMap::new();
    let kept = (0..run.len()).filter(|&i| run[i].batch != DROPPED);
    for i in kept {
        alike.entry(content(&run[i], batches)).or_default().push(i);
    }
    if timed && alike.len() > 1 {
        let words = format!(
            "{} different readings carry the same date and time {}; all are kept",
            alike.len(),
            date::iso(run[0].date)
        );
        findings.warnings.push(Warning::new(label, words));
    }
    for copies in alike.values().filter(|c| c.len() > 1) {
        let file = |&i: &usize| batches[run[i].batch as usize].file;
        let keep = if timed {
            copies[..1].to_vec()
        } else {
            fullest_file(copies, file)
        };
        for &i in copies.iter().filter(|i| !keep.contains(i)) {
            run[i].batch = DROPPED;
            findings.merged += 1;
        }
    }
}

/// The copies of the file that holds most of them; the first of equals.
fn fullest_file(copies: &[usize], file: impl Fn(&usize) -> u32) -> Vec<usize> {
    // Copies are in file order, so those of one file are neighbours.
    let mut best: &[usize] = &[];
    for own in copies.chunk_by(|a, b| file(a) == file(b)) {
        if own.len() > best.len() {
            best = own;
        }
    }
    best.to_vec()
}
