/*! Suspicious but usable data: told, never dropped.

A reading is compared with its neighbours in time, not with the whole history,
so that an honest drift or step raises no alarm. The limits below are common
practice, no source.
*/

use super::beyond_limits::all_beyond;
use super::carried::{carried_readings, may_carry};
use super::scrutiny::Scrutiny;
use super::values::odd_values;
use crate::records::{DAYS_PER_YEAR, Event, Histories, History, Warning, date};
use crate::words::and_more;
use rayon::prelude::*;

/// A gap to the rest of the history that no calibration schedule has, years.
const ODD_GAP_YEARS: f64 = 40.0;

/// 1900-01-01 in days since 1970-01-01: no check history is older.
const YEAR_1900: f64 = -25_567.0;

/// Looks through every history; warnings in order of the histories, each with its history.
pub(crate) fn suspect(histories: &Histories, files: &[String]) -> Vec<(usize, Warning)> {
    let asked = histories.iter().filter(may_carry).count();
    let found: Vec<Vec<Warning>> = (0..histories.len())
        .into_par_iter()
        .with_min_len(256)
        .map(|index| suspect_one(&histories.get(index), files, asked))
        .collect();
    let own = |(index, found): (usize, Vec<Warning>)| found.into_iter().map(move |w| (index, w));
    found.into_iter().enumerate().flat_map(own).collect()
}

/// What is odd in one of the histories, of which `asked` may repeat a value.
fn suspect_one(history: &History<'_>, files: &[String], asked: usize) -> Vec<Warning> {
    let mut found = Scrutiny {
        history,
        files,
        warnings: Vec::new(),
    };
    odd_dates(&mut found);
    odd_values(&mut found);
    all_beyond(&mut found);
    changed_tolerance(&mut found);
    other_tolerance(&mut found);
    perfect_readings(&mut found);
    missing_as_left(&mut found);
    falling_usage(&mut found);
    same_readings(&mut found);
    carried_readings(&mut found, asked);
    untold_calibration(&mut found);
    found.warnings
}

/// A calibration that the register dates, and of which no row tells.
fn untold_calibration(found: &mut Scrutiny<'_>) {
    let history = found.history;
    let Some(day) = history.item.last_calibration else {
        return;
    };
    if history.date.iter().all(|row| row.floor() != day.floor()) {
        let words = "no row of the records is of the day of the register's last calibration: the interval counts \
                     from it, the drift from the checks alone, and what it found and left is not known";
        found.warn(words.into());
    }
}

fn odd_dates(found: &mut Scrutiny<'_>) {
    let dates = found.history.date;
    let (median, century) = (dates[dates.len() / 2], 100.0 * DAYS_PER_YEAR);
    let gap = ODD_GAP_YEARS * DAYS_PER_YEAR;
    let odd = |day: f64| day < YEAR_1900 || (dates.len() > 1 && (day - median).abs() > gap);
    // Dates ascend: odd ones stand at the ends.
    let first = dates.iter().take_while(|d| odd(**d)).count();
    let last = dates[first..].iter().rev().take_while(|d| odd(**d)).count();
    let odd_ones: Vec<usize> = (0..first).chain(dates.len() - last..dates.len()).collect();
    let Some(&i) = odd_ones.first() else {
        return;
    };
    let centuries = ((median - dates[i]) / century).round();
    let meant = dates[i] + centuries * century;
    let near = centuries != 0.0 && (meant - median).abs() <= gap;
    let guess = match near.then(|| date::calendar(meant)).flatten() {
        Some(day) if dates.len() > 1 => {
            format!("; was the year {} meant?", chrono::Datelike::year(&day))
        }
        _ => String::new(),
    };
    let words = format!(
        "the check {} lies far from any plausible date{guess}{}",
        found.place(i),
        and_more(odd_ones.len() - 1)
    );
    found.warn(words);
}

fn changed_tolerance(found: &mut Scrutiny<'_>) {
    let history = found.history;
    let stated = |i: &usize| !(history.lower[*i].is_nan() && history.upper[*i].is_nan());
    let limits = |i: usize| (history.lower[i].to_bits(), history.upper[i].to_bits());
    let rows: Vec<usize> = (0..history.len()).filter(stated).collect();
    let changes: Vec<usize> = rows
        .windows(2)
        .filter(|pair| limits(pair[0]) != limits(pair[1]))
        .map(|pair| pair[1])
        .collect();
    if let Some(&i) = changes.first() {
        let side = |limit: f64| {
            if limit.is_nan() {
                "open".to_string()
            } else {
                limit.to_string()
            }
        };
        let words = format!(
            "the tolerance changes with the check {} to {} … {}{}; each check is judged by its own",
            found.place(i),
            side(history.lower[i]),
            side(history.upper[i]),
            and_more(changes.len() - 1)
        );
        found.warn(words);
    }
}

/// The register's limits beside others in the records.
fn other_tolerance(found: &mut Scrutiny<'_>) {
    let history = found.history;
    let stated = |i: &usize| !(history.lower[*i].is_nan() && history.upper[*i].is_nan());
    let Some(last) = (0..history.len()).rev().find(stated) else {
        return;
    };
    let (own, general) = (history.tolerance_at(last), history.item.tolerance);
    if let (Some(own), Some(general)) = (own, general)
        && own != general
    {
        let words = format!(
            "the register says {} … {}, the check {} {} … {}: each check is judged by its own limits, what is to come by the register's",
            general.lower(),
            general.upper(),
            found.place(last),
            own.lower(),
            own.upper()
        );
        found.warn(words);
    }
}

fn perfect_readings(found: &mut Scrutiny<'_>) {
    let zero: Vec<usize> = (0..found.history.len())
        .filter(|i| found.history.u[*i] == 0.0)
        .collect();
    if let Some(&i) = zero.first() {
        let words = format!(
            "u = 0 {} claims a reading without uncertainty{}",
            found.place(i),
            and_more(zero.len() - 1)
        );
        found.warn(words);
    }
}

fn missing_as_left(found: &mut Scrutiny<'_>) {
    let history = found.history;
    // A shock happens before the check that reports it: nothing is missing there.
    let missing = |adjusted: bool| -> Vec<usize> {
        let event = |i: &usize| history.event[*i];
        (0..history.len())
            .filter(|i| !matches!(event(i), Event::None | Event::Shocked))
            .filter(|i| (event(i) == Event::Adjusted) == adjusted && history.as_left[*i].is_nan())
            // Where only the outcome was kept, there is no value to miss.
            .filter(|i| !history.as_found[*i].is_nan())
            .collect()
    };
    for (rows, taken) in [
        (
            missing(true),
            "the level after it is not known until the next check; keep the value left",
        ),
        (
            missing(false),
            "its one value is taken as found before that; the level after it is not known until the next check (where the value was read after it, state it as as_left too)",
        ),
    ] {
        if let Some(&i) = rows.first() {
            let words = format!(
                "{} at the check {} but no as_left: {taken}{}",
                history.event[i].word(),
                found.place(i),
                and_more(rows.len() - 1)
            );
            found.warn(words);
        }
    }
}

fn falling_usage(found: &mut Scrutiny<'_>) {
    let usage = found.history.usage;
    let falls = (1..usage.len()).find(|&i| usage[i] < usage[i - 1]);
    if let Some(i) = falls {
        let words = format!(
            "usage falls from {} to {} with the check {}",
            usage[i - 1],
            usage[i],
            found.place(i)
        );
        found.warn(words);
    }
}

/// Rows that say the same of the same moment: a repeat by chance, or a file read twice.
fn same_readings(found: &mut Scrutiny<'_>) {
    let history = found.history;
    let same = |i: &usize| {
        let before = i - 1;
        [
            history.date,
            history.as_found,
            history.as_left,
            history.u,
            history.usage,
        ]
        .iter()
        .all(|column| column[before].total_cmp(&column[*i]).is_eq())
            && history.outcome[before] == history.outcome[*i]
            && history.event[before] == history.event[*i]
    };
    let rows: Vec<usize> = (1..history.len()).filter(same).collect();
    if let Some(&i) = rows.first() {
        let words = format!(
            "the check {} says what the row before it says, and both count; if it was entered twice, take one out{}",
            found.place(i),
            and_more(rows.len() - 1)
        );
        found.warn(words);
    }
}

#[cfg(test)]
#[path = "suspect_tests.rs"]
mod tests;
