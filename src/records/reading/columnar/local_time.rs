/*! The time of day and the day that a clock in a time zone showed: a check of 1 March at midnight in Tokyo is one
of 1 March, and not of the last of February, which it was in Greenwich. */

use chrono::{DateTime, Offset, TimeZone};
use polars::prelude::*;
use polars_arrow::temporal_conversions::{parse_offset, parse_offset_tz};

/// Moments in seconds since 1970-01-01 UTC as the clock of `zone` (a name of the time zone database or
/// an offset such as +09:00) showed them.
///
/// # Errors
/// A zone that is neither.
pub(super) fn of(seconds: &Float64Chunked, zone: &str) -> PolarsResult<Float64Chunked> {
    match parse_offset_tz(zone) {
        Ok(zone) => Ok(shifted(seconds, &zone)),
        Err(_) => Ok(shifted(seconds, &parse_offset(zone)?)),
    }
}

fn shifted(seconds: &Float64Chunked, zone: &impl TimeZone) -> Float64Chunked {
    let local = |moment: f64| {
        let utc = DateTime::from_timestamp(moment.floor() as i64, 0)?.naive_utc();
        let offset = zone.offset_from_utc_datetime(&utc).fix();
        Some(moment + f64::from(offset.local_minus_utc()))
    };
    let all = seconds.iter().map(|moment| moment.and_then(local));
    Float64Chunked::from_iter_options("".into(), all)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 2026-02-28T15:00Z is midnight of 1 March in Tokyo and 10:00 in New York, and 2026-07-01T04:00Z midnight there
    /// in summer (Python 3.13, zoneinfo).
    #[test]
    fn the_day_is_that_of_the_clock() {
        let (winter, summer) = (1_772_290_800.0, 1_782_878_400.0);
        let moments = Float64Chunked::from_slice("".into(), &[winter, summer]);
        for (zone, hours) in [
            ("Asia/Tokyo", [9.0, 9.0]),
            ("America/New_York", [-5.0, -4.0]),
            ("+09:00", [9.0, 9.0]),
            ("UTC", [0.0, 0.0]),
        ] {
            let local = of(&moments, zone).unwrap();
            let expected = [winter + 3600.0 * hours[0], summer + 3600.0 * hours[1]];
            assert_eq!(
                local.iter().collect::<Vec<_>>(),
                expected.map(Some),
                "{zone}"
            );
        }
        assert!(of(&moments, "Nowhere/Else").is_err());
    }
}
