/*! Which date format a column has: the one that reads the most, day or month first by evidence. */

pub(crate) mod day_above;
mod headed;
pub(crate) mod length_of_time;
pub(crate) mod order;
pub(crate) mod other_date;
pub(crate) mod parts;

use super::doubt::{Answer, Doubt};
use crate::records::date::serial::System;
use crate::records::date::whole_period::{Dayless, EndDay, dayless};
use crate::records::date::{DateFormat, iso};
pub(crate) use headed::{Clock, Headed};
use order::{Reading, YEAR_FIRST_BY_DOTS, either, may_be, orders};
use std::sync::LazyLock;

/// Formats of days that are tried, ISO (empty) first.
pub(crate) const FORMATS: [&str; 30] = [
    "",
    "%d.%m.%Y",
    "%d/%m/%Y",
    "%m/%d/%Y",
    "%d-%m-%Y",
    "%m-%d-%Y",
    "%Y/%m/%d",
    "%Y.%m.%d",
    "%Y.%m.%d.",
    "%Y%m%d",
    "%G-W%V-%u",
    "%Y年%m月%d日",
    "%Y년 %m월 %d일",
    "%d %b %Y",
    "%d. %b %Y",
    "%d-%b-%Y",
    "%b %d, %Y",
    "%b %d %Y",
    "%Y-%b-%d",
    "%d.%m.%y",
    "%d/%m/%y",
    "%m/%d/%y",
    "%d-%m-%y",
    "%m-%d-%y",
    "%y/%m/%d",
    "%y-%m-%d",
    "%y.%m.%d.",
    YEAR_FIRST_BY_DOTS,
    "%d-%b-%y",
    "%d %b %y",
];

/// Times of day that may stand behind a day.
const TIMES: [&str; 12] = [
    "",
    " %H:%M",
    " %H:%M:%S",
    " %I:%M %p",
    " %I:%M:%S %p",
    "T%H:%M:%S",
    " %Hh%M",
    " à %Hh%M",
    " %H:%M Uhr",
    " %H.%M",
    ", %H:%M",
    " um %H:%M",
];

/// All formats; the days alone first.
static ALL: LazyLock<Vec<String>> = LazyLock::new(|| {
    let with = |time: &'static str| {
        let days = FORMATS
            .iter()
            .filter(move |day| time.is_empty() || !day.is_empty());
        days.map(move |day| format!("{day}{time}"))
    };
    TIMES.into_iter().flat_map(with).collect()
});

/// Values by which the formats are chosen that all are then tried with.
const FIRST: usize = 50;

/// Share of the values that must read as dates.
const ENOUGH: f64 = 0.8;

/// Days since 1970-01-01 between which a check is plausible: 1900 and 2100.
pub(super) const PLAUSIBLE: std::ops::Range<f64> = -25_567.0..47_482.0;

/// A date format with its evidence.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct FoundFormat {
    /// strftime; empty for ISO.
    pub format: String,
    /// Evidence in words.
    pub why: String,
    /// What stays ambiguous.
    pub doubt: Option<Doubt>,
}

/// Two marks between three parts, which no number has, or eight digits: most cells are no date by that.
fn may_be_date(text: &str) -> bool {
    let digits = text.bytes().filter(u8::is_ascii_digit).count();
    let marks = || text.matches(['-', '/', '.', ' ', '年', '月']).count();
    let parts = || digits >= 3 && marks() >= 2 && text.parse::<f64>().is_err();
    digits == 8 && text.len() == 8 || parts()
}

/// True for a text that some usual format reads as a date.
pub(crate) fn looks_like_date(text: &str) -> bool {
    let reads = |format: &String| plausible(DateFormat::from_setting(format).parse_own(text));
    may_be_date(text) && ALL.iter().any(reads)
}

/// The format of the dates of a column; `None` where they are no dates.
pub(crate) fn date_format(column: &Headed<'_>) -> Option<FoundFormat> {
    let values = &column.values;
    let [iso, ..] = FORMATS;
    if !values.is_empty() && read(values, iso).len() == values.len() {
        return Some(FoundFormat {
            format: iso.to_string(),
            why: evidence(iso, values.len()),
            doubt: None,
        });
    }
    if !values.iter().take(FIRST).any(|text| may_be_date(text)) {
        return None;
    }
    let readings = best_readings(column);
    let best = readings.first().map_or(0, |reading| reading.days.len());
    if best == 0 || (best as f64) < ENOUGH * values.len() as f64 {
        return None;
    }
    let orders = orders(&readings, column);
    let (chosen, why, doubt) = match orders[..] {
        [] => return None,
        [only] => (only, evidence(only.format, values.len()), None),
        _ => either(&orders, column)?,
    };
    Some(FoundFormat {
        format: chosen.format.to_string(),
        why,
        doubt,
    })
}

/// The formats that read the most dates, in the order in which they are tried.
fn best_readings(column: &Headed<'_>) -> Vec<Reading<'static>> {
    // A format that reads none of the first values reads no column of dates.
    let reads_some = |format: &&String| {
        let format = DateFormat::from_setting(format);
        let mut first = column.values.iter().take(FIRST);
        first.any(|text| plausible(format.parse_own(text)))
    };
    let formats = ALL.iter().filter(|format| may_be(format, column.header));
    let reading = |format: &'static String| Reading {
        format,
        days: read(&column.values, format),
    };
    let mut readings: Vec<Reading<'static>> = formats.filter(reads_some).map(reading).collect();
    let best = readings.iter().map(|reading| reading.days.len()).max();
    readings.retain(|reading| Some(reading.days.len()) == best);
    readings
}

/// The dates of a column that is headed as one: as [`date_format`], or a spreadsheet's numbers of
/// days, alone or beside dates.
pub(crate) fn headed_as_date(column: &Headed<'_>, clock: Clock) -> Option<FoundFormat> {
    let values = &column.values;
    let usual = date_format(column).or_else(|| periods(values));
    let by = |format: &str| read(values, format);
    let known = usual.as_ref().map_or(0, |found| by(&found.format).len());
    let both = System::ALL.map(|system| (system, by(system.name())));
    let count = both[0].1.len();
    if count <= known || (count as f64) < ENOUGH * values.len() as f64 {
        return usual;
    }
    let [usual, _] = System::ALL;
    let format = |system: System| system.name().to_string();
    let past = |days: &[f64]| days.iter().all(|day| day.floor() <= clock.today);
    let fits = both.iter().all(|(_, days)| past(days));
    let system = clock.system.unwrap_or(usual);
    let number = values.iter().find(|text| usual.parse(text).is_some())?;
    let example = |system: System| {
        let day = system.parse(number).map_or(String::new(), iso);
        format!("{number} is {day} (date_format = \"{}\")", system.name())
    };
    let doubt = (clock.system.is_none() && fits).then(|| {
        let words = "The dates are a spreadsheet's numbers of days, and whether they are counted from 1900 or from 1904 the file does not say: date_format = \"serial 1900\", the usual one, is taken.";
        System::ALL.into_iter().fold(
            Doubt::new("date_system", words).of_form().settled_by("date_format"),
            |doubt, system| doubt.or(example(system), Answer::Dates(format(system))),
        )
    });
    let why = match clock.system {
        Some(_) => "by the workbook's own system",
        None if fits => "the usual system",
        None => "counted from 1904 some would lie in the future",
    };
    Some(FoundFormat {
        format: format(system),
        why: format!(
            "a spreadsheet's numbers of days, {}: {why}",
            example(system)
        ),
        doubt,
    })
}

/// Months or other periods without a day, as dates whose day is asked.
fn periods(values: &[&str]) -> Option<FoundFormat> {
    let (example, found) = values.iter().find_map(|text| {
        let found = dayless(text);
        (!found.is_empty()).then_some((*text, found))
    })?;
    let count = |found: &Dayless| read(values, &EndDay::First.of(found.format)).len();
    let best = found.iter().map(count).max()?;
    if (best as f64) < ENOUGH * values.len() as f64 {
        return None;
    }
    // "S1 2024" is a half-year and a week: the numbers tell, or a person.
    let fitting: Vec<Dayless> = found.into_iter().filter(|one| count(one) == best).collect();
    let what: Vec<&str> = fitting.iter().map(|one| one.several()).collect();
    let what = what.join(" or ");
    let first = fitting.first()?;
    let taken = EndDay::First.of(first.format);
    let words = format!(
        "The dates are {what} without a day: date_format = \"{taken}\" is taken, by which nothing comes due later than it may."
    );
    let name = match first.period {
        None => "day_of_month",
        Some(_) => "day_of_period",
    };
    let each = fitting
        .iter()
        .flat_map(|one| EndDay::ALL.map(|day| day.of(one.format)));
    let doubt = each.fold(
        Doubt::new(name, words).of_form().settled_by("date_format"),
        |doubt, setting| {
            let day = DateFormat::from_setting(&setting).parse(example);
            let day = day.map_or(String::new(), iso);
            let meant = format!("{example} is {day} (date_format = \"{setting}\")");
            doubt.or(meant, Answer::Dates(setting))
        },
    );
    Some(FoundFormat {
        why: format!("{what} without a day ({best} dates)"),
        format: taken,
        doubt: Some(doubt),
    })
}

fn read(values: &[&str], format: &str) -> Vec<f64> {
    let format = DateFormat::from_setting(format);
    let dates = values.iter().filter_map(|v| format.parse(v));
    dates.filter(|d| PLAUSIBLE.contains(d)).collect()
}

fn plausible(date: Option<f64>) -> bool {
    date.is_some_and(|day| PLAUSIBLE.contains(&day))
}

fn evidence(format: &str, count: usize) -> String {
    if format.is_empty() {
        return "ISO 8601 (year-month-day)".to_string();
    }
    let day_first = format.starts_with("%d");
    let year_first = format.starts_with("%Y") || format.starts_with("%y");
    let numeric = format.contains("%m") && !year_first;
    match (numeric, day_first) {
        (true, true) => {
            format!("{format}: day first, since some first numbers exceed 12 ({count} dates)")
        }
        (true, false) => {
            format!("{format}: month first, since some second numbers exceed 12 ({count} dates)")
        }
        _ => format!("{format} ({count} dates)"),
    }
}
