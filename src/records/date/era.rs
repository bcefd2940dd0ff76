/*! Years of Japanese eras in a date: `令和6年3月15日` is `2024年3月15日`. */

use crate::words::days_of;
use chrono::NaiveDate;
use std::ops::RangeInclusive;

/// An era: its name, the year before its first, and its days. The days on which they began are those of the calendar
/// law of Japan, from memory.
struct Era {
    name: &'static str,
    zero: i32,
    first: (i32, u32, u32),
    last: (i32, u32, u32),
}

const ERAS: [Era; 3] = [
    Era {
        name: "令和",
        zero: 2018,
        first: (2019, 5, 1),
        last: (9999, 12, 31),
    },
    Era {
        name: "平成",
        zero: 1988,
        first: (1989, 1, 8),
        last: (2019, 4, 30),
    },
    Era {
        name: "昭和",
        zero: 1925,
        first: (1926, 12, 25),
        last: (1989, 1, 7),
    },
];

/// Most years that an era has had.
const LONGEST: i32 = 64;

/// The date with the year of the common era, and the days since 1970-01-01 that the era has; `None` where it states no
/// era, or a year that the era has not.
pub(super) fn in_common_years(text: &str) -> Option<(String, RangeInclusive<f64>)> {
    let of = |era: &'static Era| Some((era, text.strip_prefix(era.name)?.trim_start()));
    let (era, rest) = ERAS.iter().find_map(of)?;
    let (year, behind) = rest.split_once('年')?;
    let year: i32 = match year.trim() {
        "元" => 1,
        year => year.parse().ok()?,
    };
    if !(1..=LONGEST).contains(&year) {
        return None;
    }
    let day = |(year, month, day)| NaiveDate::from_ymd_opt(year, month, day).map(days_of);
    let days = day(era.first)?..=day(era.last)?;
    Some((
        format!("{}年{}", era.zero + year, behind.trim_start()),
        days,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn years_of_eras_are_those_of_the_common_era() {
        for (text, common) in [
            ("令和6年3月15日", "2024年3月15日"),
            ("令和元年5月1日", "2019年5月1日"),
            ("平成 31 年 4月30日", "2019年4月30日"),
            ("昭和64年1月7日", "1989年1月7日"),
        ] {
            let read = in_common_years(text).map(|(text, _)| text);
            assert_eq!(read.as_deref(), Some(common), "{text}");
        }
        for text in [
            "2024年3月15日",
            "令和0年1月1日",
            "令和",
            "R6.3.15",
            "平成99年1月1日",
        ] {
            assert_eq!(in_common_years(text), None, "{text}");
        }
    }
}
