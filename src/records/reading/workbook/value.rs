/*! The value of a cell as text: numbers exactly, dates by their day. */

use crate::records::cells::number::written::is_error;
use crate::records::reading::digits::field_in_own_digits;
use calamine::{DataRef, ExcelDateTime};
use chrono::Timelike;
use std::borrow::Cow;
use std::fmt::Write;

/// What a cell holds.
pub(super) enum Value<'a> {
    Text(Cow<'a, str>),
    /// An error such as #N/A.
    Error(String),
    Nothing,
}

/// How a cell's number is shown, as far as that changes what it says.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Shown<'a> {
    /// True where the decimal sign is a comma.
    pub comma: bool,
    /// The unit that the format of the cell writes behind the number; empty where it writes none.
    pub unit: &'a str,
    /// True where the format of the cell shows the number times a hundred, with a % behind.
    pub percent: bool,
    /// How often the format of the cell shows the number divided by a thousand.
    pub thousands: u8,
}

pub(super) fn value<'a>(data: &'a DataRef<'_>, shown: Shown<'_>) -> Value<'a> {
    let text = |text: String| Value::Text(Cow::Owned(text));
    match data {
        DataRef::Empty => Value::Nothing,
        DataRef::String(own) => of_text(own),
        DataRef::SharedString(own) => of_text(own),
        DataRef::Int(whole) => text(number(&whole.to_string(), shown)),
        DataRef::Float(value) => text(number(&value.to_string(), shown)),
        DataRef::Bool(value) => Value::Text(Cow::Borrowed(if *value { "true" } else { "false" })),
        DataRef::DateTime(moment) => text(date(*moment)),
        DataRef::DateTimeIso(iso) | DataRef::DurationIso(iso) => of_text(iso),
        DataRef::Error(error) => Value::Error(error.to_string()),
    }
}

/// Text; the words of an error are one, since some workbooks store errors as text.
fn of_text(text: &str) -> Value<'_> {
    let trimmed = text.trim();
    match trimmed {
        "" => Value::Nothing,
        error if is_error(error) => Value::Error(error.to_string()),
        _ => Value::Text(field_in_own_digits(text)),
    }
}

/// A number as its shortest text that reads back to the same double.
fn number(plain: &str, shown: Shown<'_>) -> String {
    let places = 2 * i32::from(shown.percent) - 3 * i32::from(shown.thousands);
    let text = match places {
        0 => plain.to_string(),
        places => moved(plain, places),
    };
    let text = match shown.percent {
        true => text + " %",
        false => text,
    };
    let text = match shown.comma {
        true => text.replace('.', ","),
        false => text,
    };
    match shown.unit {
        "" => text,
        unit => text + " " + unit,
    }
}

/// A decimal text with its point so many places to the right, or to the left where they are negative: exact, where a
/// product is not.
fn moved(plain: &str, places: i32) -> String {
    let (sign, digits) = match plain.strip_prefix('-') {
        Some(digits) => ("-", digits),
        None => ("", plain),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let by = places.unsigned_abs() as usize;
    let (whole, part) = match places < 0 {
        false => {
            let part = format!("{part:0<by$}");
            let (moved, rest) = part.split_at(by);
            (format!("{whole}{moved}"), rest.to_string())
        }
        true => {
            let whole = format!("{whole:0>by$}");
            let (rest, moved) = whole.split_at(whole.len() - by);
            (rest.to_string(), format!("{moved}{part}"))
        }
    };
    let whole = match whole.trim_start_matches('0') {
        "" => "0",
        whole => whole,
    };
    match part.trim_end_matches('0') {
        "" => format!("{sign}{whole}"),
        part => format!("{sign}{whole}.{part}"),
    }
}

/// Numbers that a person typed over a date as its year: as days they are of 1905 or 1909, of which no record is.
const YEARS: std::ops::RangeInclusive<f64> = 1_900.0..=2_100.0;

/// A date as ISO 8601, but for a year alone; a time of day or a duration, which is none, as hours, minutes, seconds.
fn date(moment: ExcelDateTime) -> String {
    let days = moment.as_f64();
    if YEARS.contains(&days) && days.fract() == 0.0 {
        return days.to_string();
    }
    let time_alone = moment.is_duration() || (0.0..1.0).contains(&days);
    let mut text = String::new();
    match moment.as_datetime() {
        Some(when) if !time_alone => {
            let _ = write!(text, "{}", when.format("%Y-%m-%d"));
            if when.num_seconds_from_midnight() > 0 {
                let _ = write!(text, "{}", when.format("T%H:%M:%S"));
            }
        }
        _ => {
            const SECONDS_A_DAY: f64 = 86_400.0;
            let seconds = (days * SECONDS_A_DAY).round() as i64;
            let (minutes, seconds) = (seconds / 60, seconds % 60);
            let _ = write!(text, "{}:{:02}:{seconds:02}", minutes / 60, minutes % 60);
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use calamine::ExcelDateTimeType::{DateTime, TimeDelta};

    fn shown(data: DataRef<'_>, shown: Shown<'_>) -> String {
        match value(&data, shown) {
            Value::Text(text) => text.into_owned(),
            Value::Error(error) => format!("error {error}"),
            Value::Nothing => String::new(),
        }
    }

    #[test]
    fn numbers_keep_every_digit() {
        let plain = |v: f64| shown(DataRef::Float(v), Shown::default());
        for value in [
            0.1 + 0.2,
            100.0000123,
            1e-9,
            -2.5,
            5.0,
            1.7976931348623157e308,
        ] {
            assert_eq!(plain(value).parse(), Ok(value));
        }
        assert_eq!(plain(1001.0), "1001");
        let percent = Shown {
            percent: true,
            ..Shown::default()
        };
        assert_eq!(shown(DataRef::Float(0.052), percent), "5.2 %");
        assert_eq!(shown(DataRef::Float(-0.0005), percent), "-0.05 %");
        assert_eq!(shown(DataRef::Float(1.0), percent), "100 %");
        let thousands = |thousands, unit| Shown {
            thousands,
            unit,
            ..Shown::default()
        };
        assert_eq!(
            shown(DataRef::Float(1234.5), thousands(1, "kV")),
            "1.2345 kV"
        );
        assert_eq!(shown(DataRef::Int(-12), thousands(1, "")), "-0.012");
        assert_eq!(shown(DataRef::Float(2.5e6), thousands(2, "")), "2.5");
        let comma = Shown {
            comma: true,
            ..Shown::default()
        };
        assert_eq!(shown(DataRef::Float(25.3), comma), "25,3");
        let unit = Shown {
            unit: "mV",
            ..comma
        };
        assert_eq!(shown(DataRef::Float(25.3), unit), "25,3 mV");
    }

    /// 2024-02-29 is day 45351 of the system of 1900, and 1462 days less of that of 1904.
    #[test]
    fn dates_keep_the_day_in_both_systems() {
        let of = |days: f64, kind, is_1904| {
            let moment = ExcelDateTime::new(days, kind, is_1904);
            shown(DataRef::DateTime(moment), Shown::default())
        };
        assert_eq!(of(45_351.0, DateTime, false), "2024-02-29");
        assert_eq!(of(43_889.0, DateTime, true), "2024-02-29");
        assert_eq!(of(45_351.5, DateTime, false), "2024-02-29T12:00:00");
        assert_eq!(of(0.5, DateTime, false), "12:00:00");
        assert_eq!(of(2_023.0, DateTime, false), "2023");
        assert_eq!(of(1.5, TimeDelta, false), "36:00:00");
    }

    #[test]
    fn errors_are_told_from_text() {
        let text = |text: &str| shown(DataRef::String(text.into()), Shown::default());
        assert_eq!(text("#N/A"), "error #N/A");
        assert_eq!(text("Err:502"), "error Err:502");
        assert_eq!(text("25,3 mK"), "25,3 mK");
        assert_eq!(text("  "), "");
    }
}
