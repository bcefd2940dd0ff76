/*! Dates as days since 1970-01-01, the time of day as fraction.

ISO 8601 by default, by hand because it is read a million times; any other
format by chrono. The day and the time are those that the record writes: a zone
offset is read and moves neither, since a check at 23:30-05:00 was made on that day.
*/

mod date_words;
mod era;
mod figures;
mod months;
pub(crate) mod parts;
pub(crate) mod period;
pub(crate) mod serial;
pub(crate) mod time_of_day;
mod weekday;
pub(crate) mod whole_period;

use super::DAYS_PER_YEAR;
use crate::settings::allowed::Rule;
pub(crate) use crate::words::days_of;
use chrono::{DateTime, Datelike, NaiveDate, NaiveDateTime, NaiveTime, Timelike};
use era::in_common_years;
pub use figures::parse_iso;
use figures::{SECONDS_PER_DAY, in_figures};
use months::in_english;
use serial::System;
use weekday::without_weekday;
use whole_period::WholePeriod;

/// How the dates of a file are written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) enum DateFormat {
    /// ISO 8601: `2026-06-30`, `2026-06-30T14:05`, `2026-06-30 14:05:09.5+02:00`.
    #[default]
    Iso,
    /// A strftime format, such as `%d.%m.%Y`; ISO 8601 is read beside it.
    Other(String),
    /// A spreadsheet's numbers of days; ISO 8601 is read beside them.
    Serial(System),
    /// Months or other periods without a day, each taken for its first or last; ISO 8601 is read
    /// beside them.
    Period(WholePeriod),
}

impl DateFormat {
    /// From the setting: empty means ISO.
    pub(crate) fn from_setting(text: &str) -> Self {
        let system = System::ALL.into_iter().find(|system| system.name() == text);
        if let Some(period) = WholePeriod::from_setting(text) {
            return DateFormat::Period(period);
        }
        match (text, system) {
            ("", _) => DateFormat::Iso,
            (_, Some(system)) => DateFormat::Serial(system),
            (other, None) => DateFormat::Other(other.to_string()),
        }
    }

    /// Days since 1970-01-01, years 0001 to 9999; `None` where unreadable.
    pub(crate) fn parse(&self, text: &str) -> Option<f64> {
        let beside = || match self {
            DateFormat::Iso => None,
            // A format that begins alike might mean another day.
            DateFormat::Other(format) if format.starts_with("%Y-") || format.starts_with("%F") => {
                None
            }
            _ => parse_iso(text.as_bytes()),
        };
        self.parse_own(text).or_else(beside)
    }

    /// The same without the ISO 8601 that is read beside the format: the true dates of a workbook
    /// are written so, beside dates that are text.
    pub(crate) fn parse_own(&self, text: &str) -> Option<f64> {
        let bare = |text: &str| self.parse_bare(text).or_else(|| self.parse_of_era(text));
        bare(text).or_else(|| {
            let mut without = without_weekday(text);
            let (day, named) = without.find_map(|(text, named)| Some((bare(&text)?, named)))?;
            let agrees = calendar(day).is_some_and(|date| named.contains(&date.weekday()));
            agrees.then_some(day)
        })
    }

    /// A date in the years of a Japanese era, which has that day.
    fn parse_of_era(&self, text: &str) -> Option<f64> {
        let (text, days) = in_common_years(text)?;
        let day = self.parse_bare(&text)?;
        days.contains(&day.floor()).then_some(day)
    }

    /// A date that stands alone.
    fn parse_bare(&self, text: &str) -> Option<f64> {
        match self {
            DateFormat::Iso => parse_iso(text.as_bytes()),
            DateFormat::Other(format) => parse_by(text, format)
                .or_else(|| {
                    let named = ["%b", "%B", "%h"].iter().any(|part| format.contains(part));
                    named
                        .then(|| parse_by(&in_english(text)?, format))
                        .flatten()
                })
                .or_else(|| {
                    // A year of four digits is no other beside years of two.
                    let short = format.contains("%y");
                    short
                        .then(|| parse_by(text, &format.replace("%y", "%Y")))
                        .flatten()
                }),
            DateFormat::Serial(system) => system.parse(text),
            DateFormat::Period(period) => period.parse(text),
        }
    }

    /// What is expected, in words.
    pub(crate) fn words(&self) -> String {
        match self {
            DateFormat::Iso => {
                "expected YYYY-MM-DD, with or without a time; other formats: date_format".into()
            }
            DateFormat::Other(format) => format!("expected date_format = \"{format}\""),
            DateFormat::Serial(system) => format!(
                "expected a spreadsheet's number of a day between 1950 and 2099 (date_format = \"{}\"), or YYYY-MM-DD",
                system.name()
            ),
            DateFormat::Period(period) => format!(
                "expected date_format = \"{}\", or YYYY-MM-DD",
                period.setting()
            ),
        }
    }

    /// True where the format can carry a whole date there and back.
    pub(crate) fn is_usable(&self) -> bool {
        let format = match self {
            DateFormat::Other(format) => format,
            DateFormat::Period(period) => return period.is_usable(),
            DateFormat::Iso | DateFormat::Serial(_) => return true,
        };
        let items: Vec<_> = chrono::format::StrftimeItems::new(format).collect();
        if items.contains(&chrono::format::Item::Error) {
            return false;
        }
        let Some(sample) =
            NaiveDate::from_ymd_opt(2023, 11, 25).and_then(|d| d.and_hms_opt(13, 14, 15))
        else {
            return false;
        };
        let text = sample.and_utc().format_with_items(items.iter()).to_string();
        parse_by(&text, format).is_some_and(|days| days.floor() == days_of(sample.date()))
    }
}

/// What a setting for the format of dates allows.
pub(crate) struct UsableDateFormat;

impl Rule<String> for UsableDateFormat {
    fn allowed(&self) -> String {
        "a strftime format with year, month and day, \"serial 1900\" or \"serial 1904\", or \"first day of\" or \"last day of\" before one with year and month or before quarter, week or half-year".into()
    }

    fn complaint(&self, value: &String) -> Option<String> {
        let usable = DateFormat::from_setting(value).is_usable();
        let example = "such as \"%d.%m.%Y\"";
        (!usable).then(|| format!("expected {}, {example}", self.allowed()))
    }
}

/// The calendar date of `days`; `None` beyond what a record may date, or for NaN.
pub(crate) fn calendar(days: f64) -> Option<NaiveDate> {
    const MOST_DAYS: f64 = 4e6;
    let date = crate::words::calendar(days);
    date.filter(|_| days.floor().abs() < MOST_DAYS)
}

/// `2026-06-30`, or `2026-06-30 14:05` where there is a time of day; empty for NaN.
pub fn iso(days: f64) -> String {
    let Some(date) = calendar(days) else {
        return String::new();
    };
    let seconds = ((days - days.floor()) * SECONDS_PER_DAY).round() as u32;
    match NaiveTime::from_num_seconds_from_midnight_opt(seconds, 0) {
        Some(time) if seconds > 0 && time.second() == 0 => {
            format!("{date} {}", time.format("%H:%M"))
        }
        Some(time) if seconds > 0 => format!("{date} {time}"),
        _ => date.to_string(),
    }
}

/// A number of days that is no date.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{0} days since 1970 is no date")]
pub(crate) struct NoDate(f64);

/// The moment `days` as a file with `format` (empty for ISO 8601) has it, to the second.
///
/// # Errors
/// A number that is no date; names it.
pub(crate) fn written(days: f64, format: &str) -> Result<String, NoDate> {
    // A month or a quarter would lose the day: ISO 8601 is read beside it.
    let in_periods = WholePeriod::from_setting(format).is_some();
    if format.is_empty() || in_periods {
        return Ok(iso(days).replace(' ', "T"));
    }
    if let DateFormat::Serial(system) = DateFormat::from_setting(format) {
        return Ok(system.written(days));
    }
    DateTime::from_timestamp((days * SECONDS_PER_DAY).round() as i64, 0)
        .map(|moment| moment.naive_utc().format(format).to_string())
        .ok_or(NoDate(days))
}

/// The day on which `years` of 365.25 days since 1970-01-01 fall, as `2026-06-30`; empty for NaN.
///
/// A day turned into years and back may end a hair below itself: a hair is added before the
/// time of day is cut off.
pub(crate) fn iso_day_of_years(years: f64) -> String {
    const HAIR_DAYS: f64 = 1e-6;
    iso((years * DAYS_PER_YEAR + HAIR_DAYS).floor())
}

fn parse_by(text: &str, format: &str) -> Option<f64> {
    in_figures(text.as_bytes(), format.as_bytes()).or_else(|| by_chrono(text, format))
}

fn by_chrono(text: &str, format: &str) -> Option<f64> {
    let (date, seconds) = match NaiveDateTime::parse_from_str(text, format) {
        Ok(moment) => (moment.date(), f64::from(moment.num_seconds_from_midnight())),
        Err(_) => (NaiveDate::parse_from_str(text, format).ok()?, 0.0),
    };
    // A year of four digits: "21" is no year of the first century.
    let first = if format.contains("%Y") { 1000 } else { 1 };
    (first..=9999)
        .contains(&date.year())
        .then(|| days_of(date) + seconds / SECONDS_PER_DAY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_iso_dates() {
        let read = |text: &str| parse_iso(text.as_bytes());
        assert_eq!(read("1970-01-01"), Some(0.0));
        assert_eq!(read("2026-06-30"), Some(20634.0));
        assert_eq!(read("1970-01-02T12:00"), Some(1.5));
        assert_eq!(read("1970-01-02 12:00:00.0Z"), Some(1.5));
        // The day is the one that was written: 23:30-05:00 is 04:30 UTC of the next one.
        assert_eq!(read("1970-01-02T12:00+12:00"), Some(1.5));
        assert_eq!(read("1970-01-02T18:00-0500"), Some(1.75));
        assert_eq!(
            read("2026-06-30T23:30-05:00").map(f64::floor),
            Some(20634.0)
        );
        assert_eq!(read("0001-01-01"), Some(-719_162.0));
        assert!(read("9999-12-31").is_some());
    }

    #[test]
    fn usual_formats_read_as_chrono_reads_them() {
        for format in ["%d.%m.%Y", "%m/%d/%Y", "%d-%m-%Y", "%d %m %Y", "%dx%m.%Y"] {
            for text in [
                "03.04.2021",
                "03/04/2021",
                "31-12-1999",
                "12 31 1999",
                "03x04.2021",
                "29.02.2021",
                "00.01.2021",
                "03.04.0000",
                "3.04.2021",
                "03.04.202a",
                "03.04/2021",
                "03.04.20211",
                "",
            ] {
                let (fast, slow) = (parse_by(text, format), by_chrono(text, format));
                assert_eq!(fast, slow, "{text} by {format}");
            }
        }
        assert_eq!(
            in_figures(b"03.04.2021", b"%d.%m.%Y"),
            parse_iso(b"2021-04-03")
        );
    }

    #[test]
    fn refuses_what_is_no_date() {
        for text in [
            "",
            "2026",
            "2026-6-30",
            "2026-02-30",
            "0000-01-01",
            "30.06.2026",
            "2026-06-30T",
            "2026-06-30T25:00",
            "2026-06-30T10:61",
            "2026-06-30x",
            "2026-06-30T10",
            "2026-06-30 é:00",
            "2026-06-30T10:00:00.",
            "2026-06-30T10:00+99:00",
        ] {
            assert_eq!(parse_iso(text.as_bytes()), None, "{text}");
        }
    }

    #[test]
    fn reads_other_formats() {
        let german = DateFormat::from_setting("%d.%m.%Y");
        assert_eq!(german.parse("30.06.2026"), Some(20634.0));
        assert_eq!(german.parse("2026-06-30"), Some(20634.0));
        // 13 is no month here, and no day of an ISO date either.
        assert_eq!(
            DateFormat::from_setting("%Y-%d-%m").parse("2026-06-13"),
            None
        );
        let named = DateFormat::from_setting("%d. %b %Y");
        assert_eq!(named.parse("30. Juni 2026"), Some(20634.0));
        let serial = DateFormat::from_setting("serial 1900");
        assert_eq!(serial.parse("46203"), Some(20634.0));
        assert_eq!(serial.parse("2026-06-30"), Some(20634.0));
        assert_eq!(written(20634.0, "serial 1900").as_deref(), Ok("46203"));
        let timed = DateFormat::from_setting("%m/%d/%Y %H:%M");
        assert_eq!(timed.parse("01/02/1970 12:00"), Some(1.5));
        assert!(german.is_usable() && timed.is_usable());
        assert!(!DateFormat::from_setting("%d.%m").is_usable());
        assert!(!DateFormat::from_setting("%Q").is_usable());
        assert!(!DateFormat::from_setting("day").is_usable());
    }

    #[test]
    fn a_day_of_the_week_or_an_era_must_agree_with_its_date() {
        let read = |text: &str, format: &str| {
            let day = DateFormat::from_setting(format).parse(text);
            day.map(iso)
        };
        for (text, format) in [
            ("Fri 15 Mar 2024", "%d %b %Y"),
            ("ven. 15 mars 2024", "%d %b %Y"),
            ("Friday, March 15, 2024", "%b %d, %Y"),
            ("Fri 2024-03-15", ""),
            ("Fr. 15.03.2024", "%d.%m.%Y"),
            ("2024年3月15日(金)", "%Y年%m月%d日"),
            ("令和6年3月15日", "%Y年%m月%d日"),
            ("令和6年3月15日（金）", "%Y年%m月%d日"),
        ] {
            assert_eq!(read(text, format).as_deref(), Some("2024-03-15"), "{text}");
        }
        for (text, format) in [
            ("Thu 15 Mar 2024", "%d %b %Y"),
            ("Fri 03/15/2024", "%d/%m/%Y"),
            ("Mon 03/05/2021", "%m/%d/%Y"),
            ("平成31年5月1日", "%Y年%m月%d日"),
            ("Sat 31 Feb 2024", "%d %b %Y"),
            ("void 15 Mar 2024", "%d %b %Y"),
        ] {
            assert_eq!(read(text, format), None, "{text}");
        }
    }

    #[test]
    fn writes_dates_back() {
        assert_eq!(iso(20634.0), "2026-06-30");
        assert_eq!(iso(1.5), "1970-01-02 12:00");
        assert_eq!(iso(f64::NAN), "");
    }

    #[test]
    fn a_day_survives_its_years() {
        for day in -30_000..60_000 {
            let day = f64::from(day);
            assert_eq!(iso_day_of_years(day / DAYS_PER_YEAR), iso(day));
        }
        assert_eq!(iso_day_of_years(f64::NAN), "");
    }
}
