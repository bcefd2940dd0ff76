/*! Months, quarters, weeks and half-years without a day as dates: `2024-03`, `März 2024`, `Q1 2024`,
`2022-W10`. Which day is meant is stated, never guessed: `date_format = "first day of %m/%Y"`,
`"last day of quarter"`. */

use super::months::in_english;
use super::period::Period;
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

/// Which day of a month or another period is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum EndDay {
    First,
    Last,
}

impl EndDay {
    /// Both, as they are asked for.
    pub(crate) const ALL: [EndDay; 2] = [EndDay::First, EndDay::Last];

    /// How a format that states it begins.
    fn begin(self) -> &'static str {
        match self {
            EndDay::First => "first day of ",
            EndDay::Last => "last day of ",
        }
    }

    /// The setting by which months of this format, or periods of this name, are that day.
    pub(crate) fn of(self, format: &str) -> String {
        format!("{}{format}", self.begin())
    }
}

/// How the periods of a file are written.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Span {
    /// Months, in strftime notation.
    Month(String),
    /// Others, in all their usual spellings.
    Named(Period),
}

/// How the months or other periods of a file are written, and which day each is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct WholePeriod {
    span: Span,
    day: EndDay,
}

impl WholePeriod {
    /// From a setting such as `last day of %m/%Y` or `first day of week`; `None` for any other.
    pub(crate) fn from_setting(text: &str) -> Option<Self> {
        EndDay::ALL.into_iter().find_map(|day| {
            let format = text.strip_prefix(day.begin())?;
            let named = Period::ALL
                .into_iter()
                .find(|period| period.name() == format);
            let month = || Span::Month(format.to_string());
            let span = named.map_or_else(month, Span::Named);
            Some(Self { span, day })
        })
    }

    pub(crate) fn setting(&self) -> String {
        self.day.of(match &self.span {
            Span::Month(format) => format,
            Span::Named(period) => period.name(),
        })
    }

    /// Days since 1970-01-01 of that day of the period; `None` where unreadable.
    pub(crate) fn parse(&self, text: &str) -> Option<f64> {
        let [first, last] = match &self.span {
            Span::Month(format) => {
                let first = first_of(text, format)?;
                [first, first.checked_add_months(Months::new(1))?.pred_opt()?]
            }
            Span::Named(period) => period.days(text)?,
        };
        Some(days_of(match self.day {
            EndDay::First => first,
            EndDay::Last => last,
        }))
    }

    /// True where the format states what it must: year and month.
    pub(crate) fn is_usable(&self) -> bool {
        let Span::Month(format) = &self.span else {
            return true;
        };
        let items: Vec<Item<'_>> = StrftimeItems::new(format).collect();
        let sample = NaiveDate::from_ymd_opt(2023, 11, 1);
        !items.contains(&Item::Error)
            && sample.is_some_and(|day| {
                let text = day.format_with_items(items.iter()).to_string();
                first_of(&text, format) == Some(day)
            })
    }
}

/// What a text states that states no day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Dayless {
    /// `None` for a month.
    pub period: Option<Period>,
    /// What follows "first day of" in the setting that reads it.
    pub format: &'static str,
}

impl Dayless {
    /// What it is, in words.
    pub(crate) fn one(self) -> &'static str {
        self.period.map_or("month", Period::name)
    }

    /// Several of it, with what they are taken for.
    pub(crate) fn several(self) -> &'static str {
        self.period.map_or("months", Period::several)
    }
}

/// What `text` states where it states no day: a month, or one or two kinds of periods.
pub(crate) fn dayless(text: &str) -> Vec<Dayless> {
    let month = format_of(text).map(|format| Dayless {
        period: None,
        format,
    });
    let named = Period::ALL
        .into_iter()
        .filter(|period| period.days(text).is_some());
    let named = named.map(|period| Dayless {
        period: Some(period),
        format: period.name(),
    });
    month.into_iter().chain(named).collect()
}

/// The format of a month alone; `None` for any other text.
fn format_of(text: &str) -> Option<&'static str> {
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
            let day = |day: EndDay| {
                let stated = WholePeriod::from_setting(&day.of(format)).unwrap();
                assert!(stated.is_usable(), "{format}");
                stated.parse(text).map(iso)
            };
            assert_eq!(day(EndDay::First).as_deref(), Some("2024-02-01"));
            assert_eq!(day(EndDay::Last).as_deref(), Some("2024-02-29"));
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
        assert!(WholePeriod::from_setting("%m/%Y").is_none());
        for (setting, day) in [
            ("first day of quarter", "2024-04-01"),
            ("last day of quarter", "2024-06-30"),
        ] {
            let stated = WholePeriod::from_setting(setting).unwrap();
            assert_eq!(stated.setting(), setting);
            assert_eq!(stated.parse("Q2/2024").map(iso).as_deref(), Some(day));
        }
        assert!(
            !WholePeriod::from_setting("last day of %Y")
                .unwrap()
                .is_usable()
        );
    }
}
