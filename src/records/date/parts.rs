/*! Days of which year, month and day stand in columns of their own. */

use super::months::in_english;
use crate::words::days_of;
use chrono::NaiveDate;

/// The years in which checks may be: one of two digits is none.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2100;

/// Days since 1970-01-01 of a year of four digits, a month by its number or its name, and a day; `None` where they are no day.
pub(crate) fn day_of_parts([year, month, day]: [&str; 3]) -> Option<f64> {
    let year = year_of(year)?;
    let day = day_of_month(day)?;
    let date = NaiveDate::from_ymd_opt(year, month_of(month)?, day)?;
    Some(days_of(date))
}

/// A year of four digits.
pub(crate) fn year_of(text: &str) -> Option<i32> {
    let year = i32::try_from(whole(text.trim().trim_end_matches('年'))?).ok()?;
    Some(year).filter(|year| YEARS.contains(year))
}

/// A month by its number or its name.
pub(crate) fn month_of(text: &str) -> Option<u32> {
    let text = text.trim().trim_end_matches('月');
    let number = || whole(text).filter(|month| (1..=12).contains(month));
    let named = || {
        let english = in_english(text)?;
        let date = NaiveDate::parse_from_str(&format!("2000 {english} 1"), "%Y %b %d");
        date.ok().map(|date| chrono::Datelike::month(&date))
    };
    number().or_else(named)
}

/// A day of a month by its number.
pub(crate) fn day_of_month(text: &str) -> Option<u32> {
    whole(text.trim().trim_end_matches('日')).filter(|day| (1..=31).contains(day))
}

/// A whole number, also as a spreadsheet leaves it behind: `2021.0`.
fn whole(text: &str) -> Option<u32> {
    let text = text.trim();
    let digits = text.strip_suffix(".0").unwrap_or(text);
    let plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    plain.then(|| digits.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::date::iso;

    #[test]
    fn a_day_is_read_from_its_parts() {
        for (parts, day) in [
            (["2021", "3", "2"], "2021-03-02"),
            (["2022", "März", "14"], "2022-03-14"),
            ([" 2023", "04", "1.0"], "2023-04-01"),
            (["2023年", "4月", "1日"], "2023-04-01"),
        ] {
            let read = day_of_parts(parts);
            assert_eq!(read.map(iso).as_deref(), Some(day), "{parts:?}");
        }
        for parts in [
            ["21", "3", "2"],
            ["2021", "2", "30"],
            ["2021", "13", "1"],
            ["2021", "", "1"],
            ["2021", "3", "1.5"],
        ] {
            assert_eq!(day_of_parts(parts), None, "{parts:?}");
        }
    }
}
