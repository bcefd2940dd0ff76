/*! Dates and moments in figures, of ISO 8601 and of the usual formats, read by hand because a table may hold a
million of them. */

use crate::words::days_of;
use chrono::NaiveDate;

pub(super) const SECONDS_PER_DAY: f64 = 86_400.0;

/// Days since 1970-01-01 of an ISO 8601 date or date-time; `None` where unreadable.
///
/// ```
/// use driftbook::records::date::{iso, parse_iso};
///
/// assert_eq!(parse_iso(b"1970-01-02T12:00"), Some(1.5));
/// assert_eq!(parse_iso(b"2026-02-30"), None);
/// assert_eq!(iso(1.5), "1970-01-02 12:00");
/// ```
pub fn parse_iso(text: &[u8]) -> Option<f64> {
    let (date, rest) = text.split_at_checked(10)?;
    let [y1, y2, y3, y4, b'-', m1, m2, b'-', d1, d2] = *date else {
        return None;
    };
    let year = two(y1, y2)? * 100 + two(y3, y4)?;
    let date = NaiveDate::from_ymd_opt(year as i32, two(m1, m2)?, two(d1, d2)?)?;
    if year == 0 {
        return None;
    }
    match rest {
        [] => Some(days_of(date)),
        [b'T' | b't' | b' ', time @ ..] => Some(days_of(date) + fraction(time)?),
        _ => None,
    }
}

fn two(tens: u8, ones: u8) -> Option<u32> {
    (tens.is_ascii_digit() && ones.is_ascii_digit())
        .then(|| u32::from(tens - b'0') * 10 + u32::from(ones - b'0'))
}

/// `HH:MM[:SS[.f]][Z|UTC|GMT|±HH[:MM]]`, the zone behind a blank or none as a fraction of a day.
fn fraction(time: &[u8]) -> Option<f64> {
    let zone_at = time
        .iter()
        .position(|b| matches!(b, b'+' | b'-') || b.is_ascii_alphabetic());
    let (clock, zone) = time.split_at(zone_at.unwrap_or(time.len()));
    let clock = clock.trim_ascii_end();
    let (&[h1, h2, b':', m1, m2], seconds) = clock.split_first_chunk::<5>()? else {
        return None;
    };
    let (hours, minutes) = (two(h1, h2)?, two(m1, m2)?);
    let seconds = match seconds {
        [] => 0.0,
        [b':', s1, s2] => f64::from(two(*s1, *s2)?),
        [b':', s1, s2, b'.' | b',', decimals @ ..] => {
            f64::from(two(*s1, *s2)?) + decimal_fraction(decimals)?
        }
        _ => return None,
    };
    if hours > 23 || minutes > 59 || seconds >= 61.0 {
        return None;
    }
    let local = f64::from(hours * 3600 + minutes * 60) + seconds;
    is_zone(zone).then_some(local / SECONDS_PER_DAY)
}

fn decimal_fraction(digits: &[u8]) -> Option<f64> {
    let text = std::str::from_utf8(digits).ok()?;
    let plain = !text.is_empty() && digits.iter().all(u8::is_ascii_digit);
    plain.then(|| format!("0.{text}").parse().ok()).flatten()
}

/// True for an offset from UTC, and for none.
fn is_zone(zone: &[u8]) -> bool {
    let (sign, hours, minutes) = match *zone {
        [] | [b'Z' | b'z'] => return true,
        [_, _, _] if zone.eq_ignore_ascii_case(b"UTC") || zone.eq_ignore_ascii_case(b"GMT") => {
            return true;
        }
        [sign, h1, h2] => (sign, two(h1, h2), Some(0)),
        [sign, h1, h2, b':', m1, m2] | [sign, h1, h2, m1, m2] => (sign, two(h1, h2), two(m1, m2)),
        _ => return false,
    };
    let within = |number: Option<u32>, end: u32| number.is_some_and(|number| number < end);
    matches!(sign, b'+' | b'-') && within(hours, 24) && within(minutes, 60)
}

/// The date of a text of ten figures and signs by a usual format, day or month first; `None` leaves
/// it to chrono, which takes ten times as long.
pub(super) fn in_figures(text: &[u8], format: &[u8]) -> Option<f64> {
    let [b'%', first, sign, b'%', second, other, b'%', b'Y'] = *format else {
        return None;
    };
    let [a1, a2, own, b1, b2, last, y1, y2, y3, y4] = *text else {
        return None;
    };
    let (a, b) = (two(a1, a2)?, two(b1, b2)?);
    let (day, month) = match (first, second) {
        (b'd', b'm') => (a, b),
        (b'm', b'd') => (b, a),
        _ => return None,
    };
    let year = two(y1, y2)? * 100 + two(y3, y4)?;
    let counts = own == sign && last == other && sign != b'%' && other != b'%' && year > 0;
    let date = NaiveDate::from_ymd_opt(year as i32, month, day);
    date.filter(|_| counts).map(days_of)
}
