/*! Whether a table is wide: one row an item, one column a date; and how its headers say so. */

pub(crate) mod dated;
mod formats;

use crate::records::cells::column::Column;
use crate::records::date::iso;
use crate::records::date::period::Period;
use crate::records::date::serial::System;
use crate::records::date::whole_period::{EndDay, WholePeriod};
use crate::records::guess::dates::order::{is_year_first, may_be};
use crate::records::guess::dates::{Clock, FORMATS};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::headers::{Headers, folded, headed};
use crate::records::reading::wide::WideSettings;
use crate::records::words::{plain, row_words, words};
use crate::words::quoted_list;
use dated::{FEWEST, are_day_numbers, dated, day_number, may_be_wide};
use formats::{dates_by, day_of_periods, mirrored, settings_of, two_readings, unstated_days};
use std::collections::BTreeSet;

/// Formats of dates that state no day, tried after those that do.
const WITHOUT_DAY: [&str; 8] = [
    "%Y", "%Y-%m", "%Y/%m", "%m/%Y", "%m.%Y", "%m-%Y", "%b %Y", "%B %Y",
];

const FEWEST_BESIDE_A_DATE: usize = 3;

/// What stands beside the dates of a column of ours: the more telling columns first.
const ORDER: [Column; 6] = [
    Column::U,
    Column::AsLeft,
    Column::InTolerance,
    Column::Event,
    Column::AsFound,
    Column::Usage,
];

/// How a spreadsheet's numbers of days are counted: as the workbook says, else in each way by which
/// none lies in the future.
fn systems(days: &[&String], clock: Clock) -> Vec<&'static str> {
    let past = |system: &System| {
        let days = days.iter().filter_map(|header| day_number(header));
        let days = days.filter_map(|day| system.parse(day));
        days.map(f64::floor).all(|day| day <= clock.today)
    };
    let stated = |system: &System| clock.system.is_none_or(|stated| stated == *system);
    let fitting = System::ALL.into_iter().filter(stated).filter(past);
    fitting.map(System::name).collect()
}

/// A wide table.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Wide {
    /// How its headers state dates.
    pub settings: WideSettings,
    /// What deserves a look.
    pub to_check: Vec<String>,
    /// What stays ambiguous.
    pub doubts: Vec<Doubt>,
}

/// Of the formats that read the most headers, the one whose dates go forward in time from left to right.
fn most_read<'f>(formats: &[&'f str], dated: &[&String]) -> Option<&'f str> {
    let forward = |parts: &[(f64, String)]| parts.windows(2).filter(|w| w[0].0 <= w[1].0).count();
    let rank = |format: &&str| {
        let parts = dates_by(format, dated);
        (parts.len(), forward(&parts))
    };
    formats.iter().rev().copied().max_by_key(rank)
}

/// All formats of written dates, in the order in which they are tried.
fn formats_of_text<'f>(periods: &'f [String], dated: &[&String], clock: Clock) -> Vec<&'f str> {
    // "Q1 2024" is a quarter before it is a year with a word beside it.
    let periods = periods.iter().map(String::as_str);
    // A number by which a check would lie in the future is no year.
    let past = |format: &&str| {
        let days = dates_by(format, dated);
        days.iter().all(|(day, _)| day.floor() <= clock.today)
    };
    let may_be = |format: &&str| dated.iter().any(|header| may_be(format, header));
    let with_day = FORMATS.iter().copied();
    let with_day =
        with_day.filter(|format| may_be(format) && (!is_year_first(format) || past(format)));
    with_day.chain(periods).chain(WITHOUT_DAY).collect()
}

/// What is asked of dates that `best` reads, and the `mirrored` format as well.
fn doubt_of_dates(best: &str, mirrored: Option<&str>, example: &str) -> Option<Doubt> {
    match mirrored {
        _ if WholePeriod::from_setting(best).is_some() => {
            let both = std::iter::once(best).chain(mirrored);
            Some(day_of_periods(both, example))
        }
        // The order of the columns is a hint, no proof.
        other => other.map(|other| two_readings(best, other, example)),
    }
}

/// How the headers state dates and what stands beside them; `None` where the table is not wide.
pub(crate) fn wide(headers: &[String], clock: Clock) -> Option<Wide> {
    if !may_be_wide(headers) {
        return None;
    }
    let is_dated = dated(headers);
    let dated: Vec<&String> = headers.iter().filter(|header| is_dated(header)).collect();
    let days = are_day_numbers(headers);
    let periods = Period::ALL.map(|period| EndDay::First.of(period.name()));
    let formats = match days {
        true => systems(&dated, clock),
        false => formats_of_text(&periods, &dated, clock),
    };
    let best = most_read(&formats, &dated)?;
    let parts = dates_by(best, &dated);
    let dates: BTreeSet<u64> = parts.iter().map(|(date, _)| date.to_bits()).collect();
    let undated = || headers.iter().filter(|header| !is_dated(header));
    let fewest = match undated().any(|header| words(Column::Date).contains(&folded(header))) {
        true => FEWEST_BESIDE_A_DATE,
        false => FEWEST,
    };
    if dates.len() < fewest {
        return None;
    }
    let mut found = Wide::of(settings_of(best));
    let example = dated.first().map_or("", |header| header.as_str());
    let mirrored = mirrored(&formats, &parts, &dated);
    found.doubts.extend(doubt_of_dates(best, mirrored, example));
    if days && found.doubts.is_empty() {
        found.tell_day_numbers(best, &dated, &parts);
    }
    let unread = state_columns(&mut found, &parts);
    // Beside a column of dates, words that name no value are remarks with a number ("Note 2021").
    let result = |(column, _)| matches!(column, Column::AsFound | Column::InTolerance);
    let names = |column: Column| undated().any(|header| headed(header, column));
    if !found.settings.words().any(result) {
        if names(Column::Date) {
            return None;
        }
        if !names(Column::AsFound) {
            found.take_only(&unread, example);
        }
    }
    let other = dated.len() - parts.len();
    if other > 0 {
        found.to_check.push(format!(
            "{other} of the headers with a year read as no date and are not read."
        ));
    }
    found.doubts.extend(unstated_days(&found.settings));
    Some(found)
}

impl Wide {
    /// One of which nothing is to be asked.
    pub(crate) fn of(settings: WideSettings) -> Self {
        Self {
            settings,
            to_check: Vec::new(),
            doubts: Vec::new(),
        }
    }

    /// Takes the only words beside the dates that name nothing for those of the value as found, and asks.
    fn take_only(&mut self, unread: &[String], example: &str) {
        let [only] = unread else {
            return;
        };
        self.to_check.pop();
        self.settings.state(Column::AsFound, only);
        let words = format!(
            "No header says as_found: \"{only}\" beside the dates (\"{example}\") is taken, since nothing else stands there that is not read."
        );
        let doubt = Doubt::about_column(Column::AsFound, words);
        self.doubts.push(doubt.or("it is", Answer::AsTaken));
    }

    /// Says that the headers are taken for a spreadsheet's numbers of days, or asks.
    fn tell_day_numbers(&mut self, system: &str, dated: &[&String], parts: &[(f64, String)]) {
        let first = dated.first().map_or("", |header| header.as_str());
        let day = parts.first().map_or(String::new(), |(day, _)| iso(*day));
        let words = format!(
            "The headers are taken for a spreadsheet's numbers of days ({system}): \"{first}\" is {day}."
        );
        // Round numbers may be nominal values as well.
        let round = |header: &&String| day_number(header).is_some_and(|day| day.ends_with("00"));
        match dated.iter().all(round) {
            true => self.doubts.push(
                Doubt::new(
                    "header_dates",
                    words + " Round as they are, they may be points.",
                )
                .or("they are dates", Answer::AsTaken),
            ),
            false => self.to_check.push(words),
        }
    }
}

/// Names what stands beside the dates; returns what names nothing.
pub(super) fn state_columns<K>(found: &mut Wide, parts: &[(K, String)]) -> Vec<String> {
    let mut beside: Vec<&str> = Vec::new();
    for (_, text) in parts {
        if !beside.iter().any(|known| plain(known) == plain(text)) {
            beside.push(text);
        }
    }
    let mut unread = Vec::new();
    for text in beside {
        let column = match plain(text).as_str() {
            "" => Some(Column::AsFound),
            _ => meaning(text),
        };
        let taken = |column: &Column| {
            let mut words = found.settings.words();
            words.any(|(own, word)| own == *column && plain(word) != plain(text))
        };
        let known = found
            .settings
            .words()
            .any(|(_, word)| plain(word) == plain(text));
        if known {
            continue;
        }
        match column.filter(|column| !taken(column)) {
            Some(column) => found.settings.state(column, text),
            None => unread.push(text.to_string()),
        }
    }
    if !unread.is_empty() {
        found.to_check.push(format!(
            "What stands beside the dates or points and is not read: {}.",
            quoted_list(&unread)
        ));
    }
    unread
}

/// The column that a text beside a date means.
pub(crate) fn meaning(text: &str) -> Option<Column> {
    let headers = Headers::of(std::iter::once(text));
    let exact = |column: &Column| words(*column).iter().any(|word| word == headers.folded(0));
    let inside = |column: &Column| headers.find(*column, |_| true).is_some();
    // "Before" says of a value what it says of a row.
    let told = [Column::AsLeft, Column::AsFound]
        .into_iter()
        .find(|column| {
            let mut words = row_words(*column);
            words.any(|word| word == headers.folded(0))
        });
    let mut columns = ORDER.into_iter();
    let found = columns.clone().find(exact).or(told);
    found.or_else(|| columns.find(inside))
}

#[cfg(test)]
#[path = "wide_tests.rs"]
mod tests;
