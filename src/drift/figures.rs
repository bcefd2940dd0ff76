/*! Figures, units and months as the notes of a fit write them. */

use crate::records::DAYS_PER_YEAR;
use crate::words::no_number;

/// Three significant digits, plain where they read well.
pub(crate) fn figure(value: f64) -> String {
    let size = value.abs();
    if !value.is_finite() {
        return no_number(value).into();
    }
    if value == 0.0 {
        return "0".into();
    }
    if !(1e-4..1e6).contains(&size) {
        return format!("{value:.2e}");
    }
    let decimals = (2 - size.log10().floor() as i32).clamp(0, 8) as usize;
    format!("{value:.decimals$}")
}

/// A unit behind a number: with a space before it, or nothing.
pub(crate) fn spaced(unit: &str) -> String {
    match unit {
        "" => String::new(),
        unit => format!(" {unit}"),
    }
}

/// The month in which a share of the year, 0 to 1, falls: shares of 365.25 days, as a check's
/// years since 1970 leave them, of dates without an hour.
pub(crate) fn month(share: f64) -> &'static str {
    /// Names, and the days of the mean year before the month.
    const MONTHS: [(&str, f64); 12] = [
        ("January", 0.0),
        ("February", 31.0),
        ("March", 59.25),
        ("April", 90.25),
        ("May", 120.25),
        ("June", 151.25),
        ("July", 181.25),
        ("August", 212.25),
        ("September", 243.25),
        ("October", 273.25),
        ("November", 304.25),
        ("December", 334.25),
    ];
    // A date is a whole day, whose middle lies in its month whatever the year's place among leap years.
    let day = (share * DAYS_PER_YEAR + 0.5) % DAYS_PER_YEAR;
    let begun = MONTHS.iter().rev().find(|(_, before)| *before <= day);
    begun.map_or(MONTHS[0].0, |(name, _)| name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{Datelike, NaiveDate};

    /// Of ten years from 2005 on, each first and last of a month, by the mean of their shares.
    #[test]
    fn the_first_and_the_last_of_a_month_fall_in_it() {
        let epoch = NaiveDate::from_ymd_opt(1970, 1, 1).unwrap();
        let shares = |month: u32, last: bool| {
            (2005..2015).map(move |year| {
                let first = NaiveDate::from_ymd_opt(year, month, 1).unwrap();
                let date = match last {
                    true => first + chrono::Months::new(1) - chrono::Days::new(1),
                    false => first,
                };
                assert_eq!(date.month(), month);
                (date - epoch).num_days() as f64 / DAYS_PER_YEAR - f64::from(year - 1970)
            })
        };
        for index in 1..=12 {
            for last in [false, true] {
                let mean = shares(index, last).sum::<f64>() / 10.0;
                let name = NaiveDate::from_ymd_opt(2020, index, 1).unwrap();
                let name = name.format("%B").to_string();
                assert_eq!(month(mean.rem_euclid(1.0)), name, "{last}");
            }
        }
    }
}
