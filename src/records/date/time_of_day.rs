/*! Times of day that stand in a column of their own beside the day. */

use chrono::NaiveTime;
use chrono::Timelike;

/// How times are written; common practice, no source.
const FORMATS: [&str; 8] = [
    "%H:%M",
    "%H:%M:%S",
    "%I:%M %p",
    "%I:%M:%S %p",
    "%Hh%M",
    "%H h %M",
    "%H:%M Uhr",
    "%H.%M Uhr",
];

/// The fraction of a day that a time of day is; `None` for any other text.
pub(crate) fn time_of_day(text: &str) -> Option<f64> {
    const SECONDS_PER_DAY: f64 = 86_400.0;
    let text = text.trim();
    let mut formats = FORMATS.iter();
    let time = formats.find_map(|format| NaiveTime::parse_from_str(text, format).ok())?;
    Some(f64::from(time.num_seconds_from_midnight()) / SECONDS_PER_DAY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_they_are_written() {
        for (text, hours) in [
            ("06:00", 6.0),
            ("6:00", 6.0),
            ("18:30:00", 18.5),
            ("6:30 PM", 18.5),
            ("06h15", 6.25),
            ("18:00 Uhr", 18.0),
        ] {
            assert_eq!(time_of_day(text), Some(hours / 24.0), "{text}");
        }
        for text in ["", "6", "24:30", "2024-03-05", "0.25", "1:2:3:4"] {
            assert_eq!(time_of_day(text), None, "{text}");
        }
    }
}
