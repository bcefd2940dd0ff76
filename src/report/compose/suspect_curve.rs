/*! The curve of a history's chart where a check failed: between the last good check and the one that shows it good
again, what is believed of the error is what jobs are judged by, and not the line that passes a failed reading by as an
outlying one.
*/

use crate::impact::{Belief, Window};
use crate::report::CurvePoint;

/// Stretches that are drawn so, the newest ones: a chart of many failures shows no more.
const MOST_STRETCHES: usize = 100;

/// The curve through the past with the beliefs of `windows` in place of its points there; bands at `level`.
pub(crate) fn with_windows(
    mut past: Vec<CurvePoint>,
    windows: &[Window],
    level: f64,
) -> Vec<CurvePoint> {
    let mut drawn = 0;
    for window in windows.iter().rev() {
        if drawn >= MOST_STRETCHES {
            break;
        }
        let stretches = window.beliefs(level, |day| noise(&past, day, level));
        drawn += stretches.len();
        past = stretches
            .iter()
            .fold(past, |past, stretch| replaced(past, stretch));
    }
    past
}

/// Standard deviation of a reading about the true error, by the bands of the fit nearest to a day.
fn noise(past: &[CurvePoint], day: f64, level: f64) -> f64 {
    let nearest = past
        .iter()
        .min_by(|a, b| (a.day - day).abs().total_cmp(&(b.day - day).abs()));
    let half = |band: (f64, f64)| 0.5 * (band.1 - band.0);
    let normal = crate::stats::normal_quantile(0.5 + 0.5 * level);
    nearest.map_or(0.0, |point| {
        let (error, reading) = (half(point.confidence), half(point.prediction));
        (reading * reading - error * error).max(0.0).sqrt() / normal
    })
}

/// The points with those of one stretch in place of what the fit says of it.
fn replaced(past: Vec<CurvePoint>, stretch: &[Belief]) -> Vec<CurvePoint> {
    let (Some(first), Some(last)) = (stretch.first(), stretch.last()) else {
        return past;
    };
    let inside = |point: &CurvePoint| first.day <= point.day && point.day < last.day;
    // Where an event set the level at the failed check, no point of the fit stands between it and the good one.
    let within = past.iter().find(|point| inside(point));
    let before = || past.iter().rev().find(|point| point.day <= first.day);
    let Some(segment) = within.or_else(before).map(|point| point.segment) else {
        return past;
    };
    let (before, after): (Vec<CurvePoint>, Vec<CurvePoint>) = past
        .into_iter()
        .filter(|point| !inside(point))
        .partition(|point| point.day < first.day);
    let points = stretch.iter().map(|belief| CurvePoint {
        day: belief.day,
        expected: belief.expected,
        confidence: belief.error,
        prediction: belief.reading,
        segment,
        in_tolerance: belief.in_tolerance,
    });
    before.into_iter().chain(points).chain(after).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conformity::ConformitySettings;
    use crate::decisions::testing::*;
    use crate::drift::Status;
    use crate::impact::suspect_windows;
    use crate::records::Tolerance;

    fn point(day: f64, segment: u32) -> CurvePoint {
        CurvePoint {
            day,
            expected: 0.1,
            confidence: (0.0, 0.2),
            prediction: (-0.1, 0.3),
            segment,
            in_tolerance: Some(1.0),
        }
    }

    /// A check failed and was adjusted on the spot: the fit passes its reading by, and drew the item as surely good up to
    /// that day.
    #[test]
    fn up_to_a_failed_check_the_curve_follows_what_it_found() {
        let record = Record::new().check(0.0, 0.1).check(400.0, 1.5).left(0.0);
        let histories = record.check(800.0, 0.1).histories();
        let history = histories.get(0);
        assert_eq!(history.item.tolerance, Tolerance::new(-1.0, 1.0));
        let fit = unfitted(Status::LevelOnly);
        let windows = suspect_windows(
            &history,
            &fit,
            &ConformitySettings::default().decision_rule(),
        );
        let past: Vec<CurvePoint> = (0..=8)
            .map(|k| point(100.0 * f64::from(k), u32::from(k >= 4)))
            .collect();
        let curve = with_windows(past.clone(), &windows, 0.95);
        let days: Vec<f64> = curve.iter().map(|point| point.day).collect();
        assert!(days.is_sorted(), "{days:?}");
        let failed = curve.iter().rfind(|point| point.segment == 0).unwrap();
        assert_eq!(failed.day, 400.0);
        near!(failed.in_tolerance.unwrap(), 0.0, 1e-6);
        near!(failed.expected, 1.5, 1e-12);
        // What the adjustment left is as the fit has it, and so is a record without a failure.
        let after: Vec<&CurvePoint> = curve.iter().filter(|point| point.segment == 1).collect();
        assert!(after.iter().all(|point| point.expected == 0.1) && after.len() == 5);
        assert_eq!(with_windows(past.clone(), &[], 0.95), past);
    }
}
