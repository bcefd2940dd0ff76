/*! Days as spreadsheets number them, where a cell or an export lost its format of a date. */

use std::fmt::Write;

crate::words::worded! {
    /// Where a spreadsheet's count of days begins.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    pub(crate) enum System with name {
        /// Day 1 is 1 January 1900 (the usual one).
        From1900 = "serial 1900",
        /// Day 0 is 1 January 1904.
        From1904 = "serial 1904",
    }
}

/// Days from 1970-01-01 to what the days are counted from. The system of 1900 counts a
/// 29 February 1900 that never was, so that from March 1900 on its zero is 1899-12-30.
const ZERO_1900: f64 = -25_569.0;
const ZERO_1904: f64 = -24_107.0;

/// Days since 1970-01-01 of what is read: 1950 to 2099. Smaller numbers may be years or values.
const READ: std::ops::Range<f64> = -7_305.0..47_482.0;

/// Digits of the whole days within that range.
const DIGITS: usize = 5;

impl System {
    /// Both.
    pub(crate) const ALL: [System; 2] = [System::From1900, System::From1904];

    /// Days since 1970-01-01 of a day's number, a time of day behind its decimal sign.
    pub(crate) fn parse(self, text: &str) -> Option<f64> {
        let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
        let (whole, part) = match text.split_once(['.', ',']) {
            Some((whole, part)) => (whole, format!("0.{part}")),
            None => (text, String::from("0")),
        };
        let written = whole.len() == DIGITS && digits(whole) && digits(part.get(2..).unwrap_or(""));
        let number = written.then(|| Some(whole.parse::<f64>().ok()? + part.parse::<f64>().ok()?));
        let days = number.flatten()? + self.zero();
        READ.contains(&days).then_some(days)
    }

    /// The number of a day, to the second.
    pub(crate) fn written(self, days: f64) -> String {
        /// Decimals that tell a second, 1.2e-5 of a day.
        const DECIMALS: usize = 6;
        let number = days - self.zero();
        let mut text = String::new();
        let _ = match number.fract() {
            0.0 => write!(text, "{number}"),
            _ => write!(text, "{number:.DECIMALS$}"),
        };
        text
    }

    fn zero(self) -> f64 {
        match self {
            System::From1900 => ZERO_1900,
            System::From1904 => ZERO_1904,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::date::iso;

    /// 2024-02-29 is day 45351 of the system of 1900, and 1462 days less of that of 1904.
    #[test]
    fn a_days_number_is_a_day_in_each_system() {
        let read = |text: &str| System::ALL.map(|system| system.parse(text).map(iso));
        let some = |day: &str| Some(day.to_string());
        assert_eq!(read("45351"), [some("2024-02-29"), some("2028-03-01")]);
        assert_eq!(read("43889"), [some("2020-02-28"), some("2024-02-29")]);
        assert_eq!(read("45351,5")[0], some("2024-02-29 12:00"));
        for text in [
            "2024", "45.351", "1e4", "-45351", "45351.x", "100000", "00045", "",
        ] {
            assert_eq!(read(text), [None, None], "{text}");
        }
        for system in System::ALL {
            for text in ["45351", "45351.250000"] {
                let days = system.parse(text).unwrap();
                assert_eq!(system.written(days), text);
            }
        }
    }
}
