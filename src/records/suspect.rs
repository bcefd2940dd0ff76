/*! Suspicious but usable data: told, never dropped.

A reading is compared with its neighbours in time, not with the whole history,
so that an honest drift or step raises no alarm. The limits below are common
practice, no source.
*/

use super::build::label;
use super::outcome::and_more;
use super::{DAYS_PER_YEAR, Event, Histories, History, Warning, date};
use rayon::prelude::*;

/// Neighbours that a reading is compared with, on either side.
const NEIGHBOURS: usize = 3;

/// Fewest neighbours that can judge a reading.
const FEWEST_NEIGHBOURS: usize = 3;

/// Neighbours must agree this well (deviation ÷ level) before they can judge a reading.
const AGREEMENT: f64 = 0.15;

/// A slip or flip must meet the neighbours' level this well (relative).
const CLOSENESS: f64 = 0.3;

/// Powers of a thousand that a unit slip makes.
const SLIPS: [i32; 6] = [-9, -6, -3, 3, 6, 9];

/// A gap to the rest of the history that no calibration schedule has, years.
const ODD_GAP_YEARS: f64 = 40.0;

/// 1900-01-01 in days since 1970-01-01: no check history is older.
const YEAR_1900: f64 = -25_567.0;

/// Looks through every history; warnings in order of the histories.
pub(crate) fn suspect(histories: &Histories, files: &[String]) -> Vec<Warning> {
    let found: Vec<Vec<Warning>> = (0..histories.len())
        .into_par_iter()
        .with_min_len(256)
        .map(|index| suspect_one(&histories.get(index), files))
        .collect();
    found.into_iter().flatten().collect()
}

fn suspect_one(history: &History<'_>, files: &[String]) -> Vec<Warning> {
    let mut found = Found {
        history,
        files,
        warnings: Vec::new(),
    };
    odd_dates(&mut found);
    odd_values(&mut found);
    changed_tolerance(&mut found);
    perfect_readings(&mut found);
    missing_as_left(&mut found);
    falling_usage(&mut found);
    same_readings(&mut found);
    found.warnings
}

struct Found<'a> {
    history: &'a History<'a>,
    files: &'a [String],
    warnings: Vec<Warning>,
}

impl Found<'_> {
    fn warn(&mut self, words: String) {
        self.warnings
            .push(Warning::new(label(self.history.item), words));
    }

    /// "of 2021-03-04 (masses.csv, row 7)".
    fn place(&self, i: usize) -> String {
        let (file, row) = self.history.source[i];
        let name = self.files.get(file as usize).map_or("", String::as_str);
        format!("of {} ({name}, row {row})", date::iso(self.history.date[i]))
    }
}

fn odd_dates(found: &mut Found<'_>) {
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

fn odd_values(found: &mut Found<'_>) {
    let history = found.history;
    if !worth_a_look(history.as_found) {
        return;
    }
    let (mut slips, mut flips) = (Vec::new(), Vec::new());
    for i in 0..history.len() {
        // A value with a nominal is the reading itself; a slip shows there.
        let whole = |j: usize| history.as_found[j] + history.nominal[j];
        let level = neighbours(history.len(), i, whole);
        let error_level = neighbours(history.len(), i, |j| history.as_found[j]);
        let slip = level
            .and_then(|level| slip(whole(i), level))
            .or_else(|| error_level.and_then(|level| slip(history.as_found[i], level)));
        if let Some(power) = slip {
            slips.push((i, power));
        } else if error_level.is_some_and(|level| flipped(history.as_found[i], level)) {
            flips.push(i);
        }
    }
    if let Some(&(i, power)) = slips.first() {
        let words = format!(
            "the value {} {} is about 10^{power} times its neighbours: a slip of unit?{}",
            shown(history, i),
            found.place(i),
            and_more(slips.len() - 1)
        );
        found.warn(words);
    }
    if let Some(&i) = flips.first() {
        let words = format!(
            "the value {} {} has the size of its neighbours but the other sign: a sign flip?{}",
            shown(history, i),
            found.place(i),
            and_more(flips.len() - 1)
        );
        found.warn(words);
    }
}

fn shown(history: &History<'_>, i: usize) -> String {
    let value = history.as_found[i] + history.nominal[i];
    format!("{value} {}", history.item.unit)
        .trim_end()
        .to_string()
}

/// False for the usual history: one sign and no value a hundred times another.
fn worth_a_look(values: &[f64]) -> bool {
    let (mut smallest, mut largest, mut negative, mut positive) = (f64::INFINITY, 0f64, 0, 0);
    for value in values.iter().filter(|v| v.is_finite()) {
        smallest = smallest.min(value.abs());
        largest = largest.max(value.abs());
        negative += usize::from(*value < 0.0);
        positive += usize::from(*value > 0.0);
    }
    let few_of_one_sign =
        negative.min(positive) > 0 && negative.min(positive) * 4 <= negative.max(positive);
    few_of_one_sign || largest > 100.0 * smallest
}

/// Median of the neighbours of `i`; `None` where they are few or disagree.
fn neighbours(count: usize, i: usize, value: impl Fn(usize) -> f64) -> Option<f64> {
    let mut around = [0.0; 2 * NEIGHBOURS];
    let mut found = 0;
    for j in i.saturating_sub(NEIGHBOURS)..count.min(i + NEIGHBOURS + 1) {
        if j != i && value(j).is_finite() {
            around[found] = value(j);
            found += 1;
        }
    }
    if found < FEWEST_NEIGHBOURS {
        return None;
    }
    let around = &mut around[..found];
    let middle = median(around);
    around.iter_mut().for_each(|v| *v = (*v - middle).abs());
    (median(around) <= AGREEMENT * middle.abs()).then_some(middle)
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    if values.len() % 2 == 1 {
        values[half]
    } else {
        0.5 * (values[half - 1] + values[half])
    }
}

/// The power of ten, in thousands, by which `value` is off `level`.
fn slip(value: f64, level: f64) -> Option<i32> {
    let ratio = value / level;
    SLIPS
        .into_iter()
        .find(|power| (ratio / 10f64.powi(*power) - 1.0).abs() <= CLOSENESS)
}

fn flipped(value: f64, level: f64) -> bool {
    level != 0.0 && (value / level + 1.0).abs() <= CLOSENESS
}

fn changed_tolerance(found: &mut Found<'_>) {
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

fn perfect_readings(found: &mut Found<'_>) {
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

fn missing_as_left(found: &mut Found<'_>) {
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
        (missing(true), "it is taken as found"),
        (missing(false), "its one value is taken as read after that"),
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

fn falling_usage(found: &mut Found<'_>) {
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
fn same_readings(found: &mut Found<'_>) {
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
