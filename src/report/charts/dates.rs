/*! Date axes: ticks by year, month or day, never overlapping. */

use super::scale::Tick;
use crate::report::text::date;
use crate::words::days_of;
use chrono::{Datelike, NaiveDate};

/// Spacing of date ticks, from narrow to wide: (unit, count, label width in characters).
#[derive(Debug, Clone, Copy, PartialEq)]
enum Spacing {
    Days(i64),
    Months(i32),
    Years(i32),
}

const SPACINGS: [Spacing; 17] = [
    Spacing::Days(1),
    Spacing::Days(2),
    Spacing::Days(7),
    Spacing::Days(14),
    Spacing::Months(1),
    Spacing::Months(2),
    Spacing::Months(3),
    Spacing::Months(6),
    Spacing::Years(1),
    Spacing::Years(2),
    Spacing::Years(5),
    Spacing::Years(10),
    Spacing::Years(20),
    Spacing::Years(50),
    Spacing::Years(100),
    Spacing::Years(500),
    Spacing::Years(1000),
];

impl Spacing {
    fn days(self) -> f64 {
        match self {
            Spacing::Days(n) => n as f64,
            Spacing::Months(n) => 30.4 * f64::from(n),
            Spacing::Years(n) => 365.25 * f64::from(n),
        }
    }

    /// Room a label needs in pixels at the axis' font size.
    fn room(self) -> f64 {
        match self {
            Spacing::Days(_) => 92.0,
            Spacing::Months(_) => 78.0,
            Spacing::Years(_) => 38.0,
        }
    }
}

/// Ticks of a date axis from day `low` to day `high` over `width` pixels, labels apart.
pub(crate) fn date_ticks(low: f64, high: f64, width: f64) -> Vec<Tick> {
    let span = (high - low).max(1e-9);
    let fits = |s: &&Spacing| s.days() / span * width >= s.room();
    let spacing = SPACINGS
        .iter()
        .find(fits)
        .unwrap_or(&SPACINGS[SPACINGS.len() - 1]);
    let Some(start) = date(low) else {
        return Vec::new();
    };
    let mut ticks = Vec::new();
    let mut push = |day: Option<NaiveDate>, form: &str| {
        let Some(day) = day else { return };
        let at = days_of(day);
        if at >= low && at <= high {
            ticks.push(Tick {
                at,
                label: day.format(form).to_string(),
            });
        }
    };
    let most = 40;
    match *spacing {
        Spacing::Days(n) => {
            let first = (low / n as f64).ceil() as i64;
            for i in 0..most {
                push(date(((first + i) * n) as f64), "%Y-%m-%d");
            }
        }
        Spacing::Months(n) => {
            let first = start.year() * 12 + start.month0() as i32;
            for i in 0..most as i32 {
                let month = (first.div_euclid(n) + i) * n;
                let day = NaiveDate::from_ymd_opt(
                    month.div_euclid(12),
                    month.rem_euclid(12) as u32 + 1,
                    1,
                );
                push(day, "%b %Y");
            }
        }
        Spacing::Years(n) => {
            let first = start.year().div_euclid(n);
            for i in 0..most as i32 {
                push(NaiveDate::from_ymd_opt((first + i) * n, 1, 1), "%Y");
            }
        }
    }
    ticks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn date_labels_never_overlap() {
        for span in [
            0.5,
            3.0,
            20.0,
            90.0,
            400.0,
            2000.0,
            9000.0,
            60_000.0,
            2_000_000.0,
        ] {
            let ticks = date_ticks(15_000.3, 15_000.3 + span, 640.0);
            let pixels = |day: f64| (day - 15_000.3) / span * 640.0;
            for pair in ticks.windows(2) {
                let room = super::super::lettering::text_width(&pair[0].label, 12.0) + 4.0;
                assert!(
                    pixels(pair[1].at) - pixels(pair[0].at) > room,
                    "{span}: {pair:?}"
                );
            }
        }
    }
}
