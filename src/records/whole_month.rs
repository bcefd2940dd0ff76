/*! Months without a day as dates: `2024-03`, `03/2024`, `März 2024`. Which day is meant is stated, never
guessed: `date_format = "first day of %m/%Y"`. */

use super::months::in_english;
use crate::words::days_of;
use chrono::format::{Item, StrftimeItems};
use chrono::{Datelike, Months, NaiveDate};

/// Formats of months that people use.
const FORMATS: [&str; 10] = [
    "%Y-%m",
    "%m/%Y",
    "%m.%Y",
    "%m-%Y",
    "%Y/%m",
    "%Y.%m",
    "%b %Y",
    "%b-%Y",
    "%b-%y",
    "%Y年%m月",
];

/// Which day of a month is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum MonthDay {
    First,
    Last,
}

impl MonthDay {
    /// Both, as they are asked for.
    pub(crate) const ALL: [MonthDay; 2] = [MonthDay::First, MonthDay::Last];

    /// How a format that states it begins.
    fn begin(self) -> &'static str {
        match self {
            MonthDay::First => "first day of ",
            MonthDay::Last => "last day of ",
        }
    }

    /// The setting by which months of this format are that day.
    pub(crate) fn of(self, format: &str) -> String {
        format!("{}{format}", self.begin())
    }
}

/// How the months of a file are written, and which day each is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct WholeMonth {
    format: String,
    day: MonthDay,
}

impl WholeMonth {
    /// From a setting such as `last day of %m/%Y`; `None` for any other.
    pub(crate) fn from_setting(text: &str) -> Option<Self> {
        MonthDay::ALL.into_iter().find_map(|day| {
            let format = text.strip_prefix(day.begin())?.to_string();
            Some(Self { format, day })
        })
    }

    /// Its setting.
    pub(crate) fn setting(&self) -> String {
        self.day.of(&self.format)
    }

    /// Days since 1970-01-01 of that day of the month; `None` where unreadable.
    pub(crate) fn parse(&self, text: &str) -> Option<f64> {
        let first = first_of(text, &self.format)?;
        let day = match self.day {
            MonthDay::First => first,
            MonthDay::Last => first.checked_add_months(Months::new(1))?.pred_opt()?,
        };
        Some(days_of(day))
    }

    /// True where the format states year and month.
    pub(crate) fn is_usable(&self) -> bool {
        let items: Vec<Item<'_>> = StrftimeItems::new(&self.format).collect();
        let sample = NaiveDate::from_ymd_opt(2023, 11, 1);
        !items.contains(&Item::Error)
            && sample.is_some_and(|day| {
                let text = day.format_with_items(items.iter()).to_string();
                first_of(&text, &self.format) == Some(day)
            })
    }
}

/// The format of a month alone; `None` for any other text.
pub(crate) fn format_of(text: &str) -> Option<&'static str> {
    let reads = |format: &&str| first_of(text, format).is_some();
    FORMATS.into_iter().find(reads)
}

/// The first day of a month.
fn first_of(text: &str, format: &str) -> Option<NaiveDate> {
    const YEARS: std::ops::RangeInclusive<i32> = 1900..=2200;
    let with_day = format!("{format} %d");
    let read =
        |text: &str| NaiveDate::parse_from_str(&format!("{} 1", text.trim()), &with_day).ok();
    let named = || in_english(text).and_then(|english| read(&english));
    let day = read(text).or_else(named)?;
    YEARS.contains(&day.year()).then_some(day)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::date::iso;

    #[test]
    fn months_are_the_day_that_is_stated() {
        for (text, format) in [
            ("2024-02", "%Y-%m"),
            ("02/2024", "%m/%Y"),
            ("2/2024", "%m/%Y"),
            ("02.2024", "%m.%Y"),
            ("Februar 2024", "%b %Y"),
            ("févr. 2024", "%b %Y"),
            ("Feb-24", "%b-%y"),
            ("2024年2月", "%Y年%m月"),
        ] {
            assert_eq!(format_of(text), Some(format), "{text}");
            let day = |day: MonthDay| {
                let stated = WholeMonth::from_setting(&day.of(format)).unwrap();
                assert!(stated.is_usable(), "{format}");
                stated.parse(text).map(iso)
            };
            assert_eq!(day(MonthDay::First).as_deref(), Some("2024-02-01"));
            assert_eq!(day(MonthDay::Last).as_deref(), Some("2024-02-29"));
        }
        for text in [
            "2024-02-03",
            "13/2024",
            "02/24",
            "0.4",
            "20240203",
            "2024",
            "",
        ] {
            assert_eq!(format_of(text), None, "{text}");
        }
        assert!(WholeMonth::from_setting("%m/%Y").is_none());
        assert!(
            !WholeMonth::from_setting("last day of %Y")
                .unwrap()
                .is_usable()
        );
    }
}
