/*! Half-years, quarters and weeks that stand for a date: `2024-Q1`, `1. Quartal 2024`, `2022-W10`,
`KW 10/2022`. Quarters are those of the calendar year, weeks those of ISO 8601, which begin on a
Monday and of which the first of a year holds its first Thursday. */

use super::date_words::{DATE_WORDS, Markers};
use crate::records::cells::digits::has_digit;
use chrono::{Months, NaiveDate, Weekday};

/// Years that such a text may state.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2200;

/// Bytes of the longest text that is looked at.
const LONGEST: usize = 40;

/// Words that say nothing beside the marker: ordinals, prepositions and "year".
const FILLERS: [&str; 19] = [
    "st", "nd", "rd", "th", "er", "e", "o", "a", "º", "ª", "ème", "eme", "of", "de", "del", "di",
    "年", "第", "年第",
];

const ROMAN: [&str; 4] = ["i", "ii", "iii", "iv"];

crate::words::worded! {
    /// A stretch of a year that has a number.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(crate) enum Period with name and several {
        Quarter = "quarter", "quarters (of the calendar year)";
        Week = "week", "weeks (of ISO 8601, from Monday to Sunday)";
        HalfYear = "half-year", "half-years (of the calendar year)";
    }
}

impl Period {
    pub(crate) const ALL: [Period; 3] = [Period::Quarter, Period::Week, Period::HalfYear];

    fn markers(self) -> &'static Markers {
        let periods = &DATE_WORDS.periods;
        match self {
            Period::Quarter => &periods.quarter,
            Period::Week => &periods.week,
            Period::HalfYear => &periods.half_year,
        }
    }

    /// How many a year has at most.
    fn most(self) -> u32 {
        match self {
            Period::Quarter => 4,
            Period::Week => 53,
            Period::HalfYear => 2,
        }
    }

    /// Its first and last day where `text` states one with its year; `None` for any other text.
    pub(crate) fn days(self, text: &str) -> Option<[NaiveDate; 2]> {
        let (year, number) = self.stated(text)?;
        let months = |count: u32| {
            let first = NaiveDate::from_ymd_opt(year, (number - 1) * count + 1, 1)?;
            let last = first.checked_add_months(Months::new(count))?.pred_opt()?;
            Some([first, last])
        };
        match self {
            Period::Quarter => months(3),
            Period::HalfYear => months(6),
            Period::Week => {
                let day = |day| NaiveDate::from_isoywd_opt(year, number, day);
                Some([day(Weekday::Mon)?, day(Weekday::Sun)?])
            }
        }
    }

    /// The year and the number that a text states.
    fn stated(self, text: &str) -> Option<(i32, u32)> {
        let parts = parts(text)?;
        let [a, b, c] = parts.as_slice() else {
            return None;
        };
        // The marker, and the number before or behind it, with what else there is: the year.
        let readings = [
            (a, b, c, true),
            (b, a, c, false),
            (b, c, a, true),
            (c, b, a, false),
        ];
        let read = |(marker, number, year, behind): (&Part, &Part, &Part, bool)| {
            let touches = if behind { number } else { marker }.touches;
            let marked = self.marks(&marker.text, touches, behind);
            let year_of = whole_year(&year.text).or_else(|| {
                // "24 KW 10" and "10 KW 24" are alike.
                let clear = std::ptr::eq(marker, a) || number.text.len() == 1;
                short_year(&year.text).filter(|_| clear)
            })?;
            let number = self.number(&number.text).filter(|_| marked)?;
            Some((year_of, number))
        };
        readings.into_iter().find_map(read)
    }

    /// True where `text` marks the number that stands `behind` it, or before.
    fn marks(self, text: &str, touches: bool, behind: bool) -> bool {
        let markers = self.markers();
        let among = |words: &[String]| words.iter().any(|word| word == text);
        let letter = among(&markers.beside) || behind && among(&markers.before);
        among(&markers.words) || letter && touches
    }

    fn number(self, text: &str) -> Option<u32> {
        let roman = || ROMAN.iter().position(|number| *number == text);
        let roman = || {
            roman()
                .map(|i| i as u32 + 1)
                .filter(|_| self != Period::Week)
        };
        let written = text.parse().ok().filter(|_| text.len() <= 2);
        let number = written.or_else(roman)?;
        (1..=self.most()).contains(&number).then_some(number)
    }
}

fn whole_year(text: &str) -> Option<i32> {
    let year = text.parse().ok().filter(|_| text.len() == 4)?;
    YEARS.contains(&year).then_some(year)
}

/// A year of two digits as strftime's %y reads it (POSIX): 69 to 99 are of the twentieth century.
fn short_year(text: &str) -> Option<i32> {
    let year: i32 = text.parse().ok().filter(|_| text.len() == 2)?;
    Some(if year < 69 { 2000 + year } else { 1900 + year })
}

/// A run of letters or of figures.
#[derive(Debug)]
struct Part {
    text: String,
    /// True where nothing stands between it and the one before.
    touches: bool,
}

/// The runs of letters and of figures of a text, without those that say nothing; `None` where other
/// signs stand between them than those of dates.
fn parts(text: &str) -> Option<Vec<Part>> {
    const BETWEEN: [char; 10] = [' ', '-', '/', '.', ',', '\'', '’', '_', '°', '\u{a0}'];
    if text.len() > LONGEST || !has_digit(text) {
        return None;
    }
    let mut parts: Vec<Part> = Vec::new();
    let mut last = None;
    for c in text.chars() {
        let kind = match c {
            '0'..='9' => Some(true),
            c if c.is_alphabetic() => Some(false),
            c if BETWEEN.contains(&c) => None,
            _ => return None,
        };
        if let Some(kind) = kind {
            let begun = parts.last_mut().filter(|_| last == Some(kind));
            match begun {
                Some(part) => part.text.extend(c.to_lowercase()),
                None => parts.push(Part {
                    text: c.to_lowercase().collect(),
                    touches: last.is_some(),
                }),
            }
        }
        last = kind;
    }
    parts.retain(|part| !FILLERS.contains(&part.text.as_str()));
    Some(parts)
}

#[cfg(test)]
#[path = "period_tests.rs"]
mod tests;
