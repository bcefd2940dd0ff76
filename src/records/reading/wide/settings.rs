/*! `[checks.wide]`: how the headers of a wide table state dates or points, and what stands beside them. */

use crate::records::cells::column::Column;
use crate::records::date::DateFormat;
use crate::records::date::serial::System;
use crate::records::date::whole_period::WholePeriod;
use crate::settings::allowed::Rule;
use std::collections::HashMap;

crate::settings! {
    /// A table of one row an item and one column a date, of one row a date and one column a point or an instrument, or of several checks in a row; used where points, instruments or one of its columns are stated.
    pub struct WideSettings in "checks.wide" {
        /// Points that the headers state, such as ["0 bar", "5 bar"], in a table of one row a date; empty where they state dates.
        points: Vec<String> = Vec::new(),
        /// Instruments that the headers name, such as ["TC-1", "TC-2"], in a table of one row a date.
        instruments: Vec<String> = Vec::new(),
        /// What stands beside a number in the headers of the dates, where a row has several checks (Date 1, Error 1, Date 2, Error 2): the columns of one number are one check; absent: the headers state dates, points or instruments.
        date: Option<String> = None,
        /// How the headers state the date, in strftime notation, such as "%Y" or "%m/%Y", "serial 1900" for a spreadsheet's numbers of days, or "first day of quarter" or "last day of week" for periods; empty for ISO 8601.
        date_format: String = String::new() => HeaderDate,
        /// Month and day of a header that states the year alone, or the day of one that states no day.
        unstated: String = "07-01".to_string() => MonthDay,
        /// What stands beside the date or point in the header of a value as found; "" where nothing does.
        as_found: Option<String> = None,
        /// The same of a value as left.
        as_left: Option<String> = None,
        /// The same of the uncertainty.
        u: Option<String> = None,
        /// The same of the nominal value; absent: the points state it.
        nominal: Option<String> = None,
        /// The same of the lower limit.
        lower: Option<String> = None,
        /// The same of the upper limit.
        upper: Option<String> = None,
        /// The same of the tolerance.
        tolerance: Option<String> = None,
        /// The same of the outcome.
        in_tolerance: Option<String> = None,
        /// The same of what was done.
        event: Option<String> = None,
        /// The same of the hours or cycles.
        usage: Option<String> = None,
    }
}

/// The numbers of the points of a table, of which there may be thousands.
pub(crate) struct Points(HashMap<String, usize>);

impl Points {
    /// The number of the point that a text states.
    pub(crate) fn number(&self, text: &str) -> Option<usize> {
        self.0.get(&compared(text)).copied()
    }
}

/// A point as texts that state it are compared.
fn compared(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").to_lowercase()
}

impl WideSettings {
    /// True where the tables are wide.
    pub(crate) fn is_used(&self) -> bool {
        self.by_points() || self.words().next().is_some()
    }

    /// True where the headers state points or instruments, and each row a date.
    pub(crate) fn by_points(&self) -> bool {
        !self.points.is_empty() || self.by_instruments()
    }

    /// True where the headers name instruments.
    pub(crate) fn by_instruments(&self) -> bool {
        !self.instruments.is_empty()
    }

    /// True where a number in the headers tells several checks of a row apart.
    pub(crate) fn by_numbers(&self) -> bool {
        self.date.is_some() && !self.by_points()
    }

    /// The points or instruments by the texts that state them.
    pub(crate) fn numbered(&self) -> Points {
        let named = if self.by_instruments() {
            &self.instruments
        } else {
            &self.points
        };
        let mut numbers = HashMap::new();
        for (number, point) in named.iter().enumerate() {
            numbers.entry(compared(point)).or_insert(number);
        }
        Points(numbers)
    }

    /// The columns that stand once a date or point, each with what stands beside it.
    pub(crate) fn words(&self) -> impl Iterator<Item = (Column, &str)> {
        [
            (Column::Date, &self.date),
            (Column::AsFound, &self.as_found),
            (Column::AsLeft, &self.as_left),
            (Column::U, &self.u),
            (Column::Nominal, &self.nominal),
            (Column::Lower, &self.lower),
            (Column::Upper, &self.upper),
            (Column::Tolerance, &self.tolerance),
            (Column::InTolerance, &self.in_tolerance),
            (Column::Event, &self.event),
            (Column::Usage, &self.usage),
        ]
        .into_iter()
        .filter_map(|(column, word)| word.as_deref().map(|word| (column, word)))
    }

    /// States what stands beside the date in the headers of a column.
    pub(crate) fn state(&mut self, column: Column, word: &str) {
        let place = match column {
            Column::Date => &mut self.date,
            Column::AsLeft => &mut self.as_left,
            Column::U => &mut self.u,
            Column::Nominal => &mut self.nominal,
            Column::Lower => &mut self.lower,
            Column::Upper => &mut self.upper,
            Column::Tolerance => &mut self.tolerance,
            Column::InTolerance => &mut self.in_tolerance,
            Column::Event => &mut self.event,
            Column::Usage => &mut self.usage,
            _ => &mut self.as_found,
        };
        *place = Some(word.to_string());
    }

    /// The date that a text states, days since 1970-01-01.
    pub(crate) fn date(&self, text: &str) -> Option<f64> {
        let (text, format) = completed(text.trim(), &self.date_format, &self.unstated)?;
        DateFormat::from_setting(&format).parse(&text)
    }

    /// What the format leaves unstated, in words; `None` where it states the day.
    pub(crate) fn leaves_open(&self) -> Option<&'static str> {
        match (
            states_month(&self.date_format),
            states_day(&self.date_format),
        ) {
            (_, true) => None,
            (true, false) => Some("the day"),
            (false, false) => Some("month and day"),
        }
    }
}

fn states_day(format: &str) -> bool {
    let serial = System::ALL.iter().any(|system| system.name() == format);
    let of_period = WholePeriod::from_setting(format).is_some();
    let stated = ["%d", "%e", "%j", "%u"];
    let has = |part: &&str| format.contains(part);
    format.is_empty() || serial || of_period || stated.iter().any(has)
}

fn states_month(format: &str) -> bool {
    states_day(format)
        || ["%m", "%b", "%B", "%h"]
            .iter()
            .any(|part| format.contains(part))
}

/// Text and format with what the format leaves unstated.
fn completed(text: &str, format: &str, unstated: &str) -> Option<(String, String)> {
    let (month, day) = unstated.split_once('-')?;
    let (also, part) = match (states_month(format), states_day(format)) {
        (_, true) => (String::new(), ""),
        (true, false) => (format!(" {day}"), " %d"),
        (false, false) => (format!(" {month} {day}"), " %m %d"),
    };
    Some((format!("{text}{also}"), format!("{format}{part}")))
}

/// A format that states a year, so that with the unstated parts it is a date.
struct HeaderDate;

impl Rule<String> for HeaderDate {
    fn allowed(&self) -> String {
        "a strftime format with a year".into()
    }

    fn complaint(&self, value: &String) -> Option<String> {
        let (_, format) = completed("", value, "07-01")?;
        let usable = DateFormat::from_setting(&format).is_usable();
        (!usable).then(|| format!("expected {}, such as \"%Y\"", self.allowed()))
    }
}

/// A month and a day that every year has.
struct MonthDay;

impl Rule<String> for MonthDay {
    fn allowed(&self) -> String {
        "a month and a day".into()
    }

    fn complaint(&self, value: &String) -> Option<String> {
        let usable = value.len() == 5 && DateFormat::Iso.parse(&format!("2023-{value}")).is_some();
        (!usable).then(|| format!("expected {}, such as \"07-01\"", self.allowed()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_header_leaves_unstated_is_completed() {
        let date = |format: &str, text: &str| {
            let wide = WideSettings {
                date_format: format.into(),
                ..WideSettings::default()
            };
            wide.date(text).map(crate::records::date::iso)
        };
        assert_eq!(date("%Y", "2021").as_deref(), Some("2021-07-01"));
        assert_eq!(date("%m/%Y", "03/2021").as_deref(), Some("2021-03-01"));
        assert_eq!(date("%d.%m.%Y", "3.12.2021").as_deref(), Some("2021-12-03"));
        assert_eq!(date("", "2021-12-03").as_deref(), Some("2021-12-03"));
        assert_eq!(date("%Y", "found"), None);
        let quarter = date("first day of quarter", "2021 T3");
        assert_eq!(quarter.as_deref(), Some("2021-07-01"));
        let month = date("last day of %m/%Y", "02/2021");
        assert_eq!(month.as_deref(), Some("2021-02-28"));
        for (format, usable) in [
            ("%Y", true),
            ("%b %Y", true),
            ("%m", false),
            ("", true),
            ("last day of week", true),
        ] {
            assert_eq!(
                HeaderDate.complaint(&format.into()).is_none(),
                usable,
                "{format}"
            );
        }
        assert!(MonthDay.complaint(&"02-30".into()).is_some());
    }
}
