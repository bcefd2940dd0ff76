/*! Numbers, dates and probabilities as a signed sentence writes them. */

pub(crate) mod nearest;
pub(crate) mod series;
mod worded;

pub(crate) use worded::worded;

use chrono::{Datelike, NaiveDate};
use std::borrow::Cow;
use std::fmt;

/// Days from 0001-01-01 to 1970-01-01 as chrono counts them.
const EPOCH_FROM_COMMON_ERA: i32 = 719_163;

/// The calendar date of `day` (days since 1970-01-01); `None` of NaN and of days that no calendar
/// holds.
pub(crate) fn calendar(day: f64) -> Option<NaiveDate> {
    // The conversion of a float stops at the ends of the integer's range.
    let from_common_era = (day.floor() as i32).saturating_add(EPOCH_FROM_COMMON_ERA);
    let date = NaiveDate::from_num_days_from_ce_opt(from_common_era);
    date.filter(|_| !day.is_nan())
}

/// Days from 1970-01-01 to `date`.
pub(crate) fn days_of(date: NaiveDate) -> f64 {
    f64::from(date.num_days_from_ce() - EPOCH_FROM_COMMON_ERA)
}

/// ISO date of `day` (days since 1970-01-01); "an unknown date" outside the calendar.
pub(crate) fn date(day: f64) -> String {
    calendar(day).map_or_else(|| "an unknown date".into(), |d| d.to_string())
}

/// A whole number of days, rounded down: "812 d".
pub(crate) fn days(days: f64) -> String {
    format!("{} d", days.floor())
}

/// A probability or share as percent; never rounds to 0 % or 100 % what is neither.
pub(crate) fn percent(probability: f64) -> String {
    const MOST_TOLD: f64 = 1e6;
    let percent = 100.0 * probability;
    if percent.is_nan() {
        return "an unknown share".into();
    }
    if percent > MOST_TOLD {
        return "more than a million %".into();
    }
    if percent > 99.9 && percent < 100.0 {
        return "more than 99.9 %".into();
    }
    if percent > 0.0 && percent < 0.1 {
        return "less than 0.1 %".into();
    }
    let rounded = (percent * 10.0).round() / 10.0;
    format!("{rounded} %")
}

/// A lower bound of a probability as percent, for "at least": never above the bound itself.
pub(crate) fn percent_down(probability: f64) -> String {
    if probability.is_nan() {
        return percent(probability);
    }
    // A hair, so that 0.95 stays 95 % although a thousand times it may end below.
    const HAIR: f64 = 1e-9;
    format!("{} %", (1000.0 * probability + HAIR).floor() / 10.0)
}

/// A figure to three significant digits, with its unit where there is one.
pub(crate) fn figure(value: f64, unit: &str) -> String {
    let text = significant(value, 3);
    if unit.is_empty() {
        text
    } else {
        format!("{text} {unit}")
    }
}

/// `value` to `digits` significant digits, without trailing zeros.
pub(crate) fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 {
        return "0".into();
    }
    if !value.is_finite() {
        return no_number(value).into();
    }
    let magnitude = value.abs().log10().floor() as i32;
    if !(-5..=8).contains(&magnitude) {
        return format!("{value:.*e}", (digits - 1).max(0) as usize);
    }
    let places = (digits - 1 - magnitude).max(0) as usize;
    let shortest = value.to_string();
    // A double keeps that many decimal digits: rounded to no more of them, a number of no more
    // is itself. Such round numbers are the slowest to round from their binary digits.
    let sure = digits <= f64::DIGITS as i32 && shortest.len() <= f64::DIGITS as usize;
    if sure && decimals(&shortest) <= places {
        return shortest;
    }
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_string()
    } else {
        text
    }
}

/// Digits behind the decimal point.
fn decimals(text: &str) -> usize {
    text.split_once('.').map_or(0, |(_, behind)| behind.len())
}

/// What stands in place of a value that has no digits.
pub(crate) fn no_number(value: f64) -> &'static str {
    match value.is_nan() {
        true => "unknown",
        false => "too large to tell",
    }
}

/// `value` to the second digit of `u`, its standard uncertainty or half-width (GUM 7.2.6);
/// as [`figure`] writes it where `u` is not known.
pub(crate) fn resolved(value: f64, u: f64) -> String {
    if !(u > 0.0 && u.is_finite() && value.is_finite()) {
        return figure(value, "");
    }
    let place = last_place(u);
    if (-MOST_DECIMALS..=MOST_ZEROS).contains(&place) && value.abs() < LARGEST {
        let text = format!("{value:.*}", (-place).max(0) as usize);
        return if text.trim_matches(['-', '0', '.']).is_empty() {
            text.trim_start_matches('-').to_string()
        } else {
            text
        };
    }
    if value == 0.0 {
        return "0".into();
    }
    significant(value, (exponent(value) - place + 1).clamp(2, MOST_DECIMALS))
}

fn exponent(size: f64) -> i32 {
    size.abs().log10().floor() as i32
}

/// Power of ten of the second digit of `u`, a positive number. One of 0.0996 is written 0.10: its
/// digits count after rounding.
pub(crate) fn last_place(u: f64) -> i32 {
    let place = exponent(u) - 1;
    let rounded = (u / 10_f64.powi(place)).round() * 10_f64.powi(place);
    exponent(rounded) - 1
}

/// Decimals and trailing zeros beyond which a number is written with a power of ten.
const MOST_DECIMALS: i32 = 12;
const MOST_ZEROS: i32 = 7;
/// Values from here on are written with a power of ten.
const LARGEST: f64 = 1e12;

/// "4.42 ± 0.70 mK": both to the second digit of the half-width.
pub(crate) fn plus_minus(value: f64, half: f64, unit: &str) -> String {
    let (value, half) = (resolved(value, half), resolved(half, half));
    let text = format!("{value} ± {half} {unit}");
    text.trim_end().to_string()
}

/// A number that is written with the sign and decimals that the format asks for, from ten million
/// on by a power of ten: `{:+.3}` gives "+0.310" and "+1.000e308".
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Short(pub f64);

impl fmt::Display for Short {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        const MOST: f64 = 1e7;
        match self.0.abs() {
            size if size < MOST => fmt::Display::fmt(&self.0, f),
            size if size.is_finite() => fmt::LowerExp::fmt(&self.0, f),
            _ => f.write_str(no_number(self.0)),
        }
    }
}

/// Narrow space that keeps the groups of one number on one line (ISO 80000-1, 7.3.1).
const DIGIT_SPACE: char = '\u{202f}';

/// Whole parts of no more digits stand ungrouped.
const MOST_UNGROUPED: usize = 4;

/// The digits of a whole number in threes from the right: "1604", "20 000".
pub(crate) fn in_threes(whole: &str) -> String {
    if whole.len() <= MOST_UNGROUPED {
        return whole.into();
    }
    let mut text = String::with_capacity(whole.len() + whole.len());
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i).is_multiple_of(3) {
            text.push(DIGIT_SPACE);
        }
        text.push(digit);
    }
    text
}

/// The decimals of a number in threes from the left.
pub(crate) fn decimals_in_threes(fraction: &str) -> String {
    let mut text = String::with_capacity(fraction.len() + fraction.len());
    for (i, digit) in fraction.chars().enumerate() {
        if fraction.len() > MOST_UNGROUPED && i > 0 && i.is_multiple_of(3) {
            text.push(DIGIT_SPACE);
        }
        text.push(digit);
    }
    text
}

/// A number of things, as sentences, titles and tables for reading write it.
pub(crate) fn number(things: usize) -> String {
    in_threes(&things.to_string())
}

/// "1 check", "3 checks", "3 histories", "20 000 lives".
pub(crate) fn count(things: usize, thing: &str) -> String {
    format!("{} {}", number(things), plural(things, thing))
}

/// "check" of one, "checks" of any other number.
pub(crate) fn plural(number: usize, thing: &str) -> String {
    if number == 1 {
        return thing.to_string();
    }
    let endings = [("day", "days"), ("y", "ies"), ("life", "lives")];
    let irregular = endings.iter().find_map(|(one, several)| {
        let stem = thing.strip_suffix(one)?;
        Some(format!("{stem}{several}"))
    });
    irregular.unwrap_or_else(|| format!("{thing}s"))
}

/// The form of a verb that goes with so many: `one` with 1, `several` with any other number.
pub(crate) fn agreeing<'a>(number: usize, one: &'a str, several: &'a str) -> &'a str {
    match number {
        1 => one,
        _ => several,
    }
}

/// The sentence with a full stop at its end.
pub(crate) fn full_stop(sentence: &str) -> String {
    let stopped = sentence.ends_with(['.', '!', '?']);
    format!("{sentence}{}", if stopped { "" } else { "." })
}

/// Text that no spreadsheet takes for a formula: an apostrophe before a leading
/// `=`, `+`, `-`, `@`, tab or carriage return, unless the whole text is a number.
pub(crate) fn neutralised(text: &str) -> Cow<'_, str> {
    let risky = matches!(
        text.as_bytes().first(),
        Some(b'=' | b'+' | b'-' | b'@' | b'\t' | b'\r')
    );
    if risky && text.parse::<f64>().is_err() {
        format!("'{text}").into()
    } else {
        text.into()
    }
}

/// The text with a capital at its beginning.
pub(crate) fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// A history in sentences: "TH-014", or "TH-014, 100 °C" where it has a point.
pub(crate) fn history_name(instrument: &str, point: &str) -> String {
    match point.is_empty() {
        true => instrument.to_string(),
        false => format!("{instrument}, {point}"),
    }
}

/// `"Item", "Date"`: texts of a person's file, as a sentence lists them.
pub(crate) fn quoted_list(texts: impl IntoIterator<Item = impl std::fmt::Display>) -> String {
    let quoted = texts.into_iter().map(|text| format!("\"{text}\""));
    quoted.collect::<Vec<String>>().join(", ")
}

/// " and 3 more", or nothing.
pub(crate) fn and_others(others: usize) -> String {
    match others {
        0 => String::new(),
        others => format!(" and {} more", number(others)),
    }
}

/// " (and 3 more)", or nothing.
pub(crate) fn and_more(count: usize) -> String {
    match count {
        0 => String::new(),
        n => format!(" (and {} more)", number(n)),
    }
}

/// That a method is not applicable, and why.
pub(crate) fn not_applicable(because: &str) -> String {
    format!("not applicable, because {because}")
}

#[cfg(test)]
mod tests;
