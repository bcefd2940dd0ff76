/*! In which order dates in figures state day, month and year, where more than one order reads them all. */

use super::headed::Headed;
use crate::records::date::{DateFormat, iso};
use crate::records::guess::doubt::{Answer, DAY_OR_MONTH, Doubt};

/// Years of two digits first, parted by dots.
pub(super) const YEAR_FIRST_BY_DOTS: &str = "%y.%m.%d";

/// True where the header lets a format be tried: between dots a year of two digits stands first in East Asia alone
/// (`21.03.12`), and elsewhere last. Common practice, no source.
pub(crate) fn may_be(format: &str, header: &str) -> bool {
    !format.starts_with(YEAR_FIRST_BY_DOTS) || header.chars().any(is_east_asian)
}

fn is_east_asian(c: char) -> bool {
    // Kana, Chinese characters, Hangul.
    matches!(c, '\u{3040}'..='\u{30ff}' | '\u{3400}'..='\u{9fff}' | '\u{ac00}'..='\u{d7af}')
}

/// True for formats that are one but for the order of day, month and a year of two digits, or of day and month.
fn alike(a: &str, b: &str) -> bool {
    let parts = |format: &str| {
        let format = format.replace("%d", "%_").replace("%m", "%_");
        format.replace("%y", "%_")
    };
    parts(a) == parts(b)
}

/// True where the year of two digits stands first.
pub(crate) fn is_year_first(format: &str) -> bool {
    format.starts_with("%y")
}

/// A format with the days that it reads.
pub(super) struct Reading<'f> {
    pub format: &'f str,
    pub days: Vec<f64>,
}

impl Reading<'_> {
    /// How many steps from row to row go forward in time.
    fn rising(&self) -> usize {
        self.days.windows(2).filter(|w| w[0] <= w[1]).count()
    }

    fn is_past(&self, latest: f64) -> bool {
        self.days.iter().all(|day| day.floor() <= latest)
    }
}

/// Of the readings those that differ from the first in their order alone, the first among them. Where a year of two
/// digits stands first in some of them, and only so or only otherwise no date lies in the future, those remain.
pub(super) fn orders<'r, 'f>(
    readings: &'r [Reading<'f>],
    column: &Headed<'_>,
) -> Vec<&'r Reading<'f>> {
    let Some(first) = readings.first() else {
        return Vec::new();
    };
    let mut orders: Vec<&Reading<'f>> = readings.iter().collect();
    orders.retain(|other| alike(first.format, other.format));
    let past = |year_first: bool| {
        let mut own = orders
            .iter()
            .filter(|o| is_year_first(o.format) == year_first);
        own.any(|order| order.is_past(column.latest))
    };
    let (first_fits, last_fits) = (past(true), past(false));
    if first_fits != last_fits {
        orders.retain(|order| is_year_first(order.format) == first_fits);
    }
    orders
}

/// The reading that is taken of several orders, the evidence in words, and the doubt.
pub(super) fn either<'r, 'f>(
    orders: &[&'r Reading<'f>],
    column: &Headed<'_>,
) -> Option<(&'r Reading<'f>, String, Option<Doubt>)> {
    let forward = |order: &&&Reading<'_>| order.rising();
    // Of equals the one that stands first.
    let chosen = *orders.iter().rev().max_by_key(forward)?;
    let rejected: Vec<&Reading<'f>> = orders
        .iter()
        .copied()
        .filter(|order| order.format != chosen.format)
        .collect();
    let other = rejected.iter().map(|order| order.rising()).max()?;
    let by_order = match chosen.rising() == other {
        true => "no row decides, so the usual reading of most countries is taken".to_string(),
        false => format!(
            "in that reading {} of {} steps from row to row go forward in time, in the other {other}",
            chosen.rising(),
            chosen.days.len().saturating_sub(1),
        ),
    };
    let why = format!("{}: {by_order}", chosen.format);
    Some((chosen, why, doubt(chosen, &rejected, column)))
}

fn doubt(chosen: &Reading<'_>, rejected: &[&Reading<'_>], column: &Headed<'_>) -> Option<Doubt> {
    let formats: Vec<&str> = std::iter::once(chosen.format)
        .chain(rejected.iter().map(|order| order.format))
        .collect();
    let others: Vec<String> = rejected
        .iter()
        .map(|order| format!("\"{}\"", order.format))
        .collect();
    let why = match formats.iter().any(|format| is_year_first(format)) {
        true => {
            "The years have two digits, and the dates read with the year first and with the year last"
        }
        false => "No date has a day above 12, so day and month could be exchanged",
    };
    let words = format!(
        "{why}: date_format = \"{}\" is taken, not {}.",
        chosen.format,
        others.join(" or ")
    );
    let days = |text: &str| -> Option<Vec<f64>> {
        let read = |format: &&str| DateFormat::from_setting(format).parse(text);
        formats.iter().map(read).collect()
    };
    let differ = |days: &Vec<f64>| days.iter().all(|day| days[0] == *day);
    // The first that shows what it is about; where every day is its month, both readings are one.
    let (text, days) = column
        .values
        .iter()
        .find_map(|text| Some((text, days(text).filter(|days| !differ(days))?)))?;
    let doubt = Doubt::new(DAY_OR_MONTH, words)
        .of_form()
        .settled_by("date_format");
    let each = formats.iter().zip(days);
    Some(each.fold(doubt, |doubt, (format, day)| {
        let words = format!("{text} is {} (date_format = \"{format}\")", iso(day));
        doubt.or(words, Answer::Dates((*format).to_string()))
    }))
}
