/*! What the dates of an item's checks can show of a yearly swing.

Checks at one time of the year see a swing as part of the level, two times half a year apart
see one of its two directions, and only dates that spread over the year see both. Where the
dates differ by days, least squares would still find a swing: any scatter, over the little
that so few days move a sine, makes an enormous one. So the directions are judged by the dates
alone, before any value is looked at.
*/

use crate::drift::figures::month;
use crate::drift::series::readings::Reading;
use nalgebra::{Const, Matrix2, Matrix3, SymmetricEigen, Vector2, Vector3};
use std::f64::consts::TAU;

/// Mean square of a swing of amplitude one on the dates, level and drift taken out, from which
/// on its direction is seen: a fifth of the ½ that dates spread over the year have. Checks
/// that keep to one date within three weeks stay below it; the swing told is at most
/// √(½/0.1) ≈ 2.2 times what was seen of it. Ours, no source.
const LEAST_SEEN: f64 = 0.1;
/// The same, from which on an item has a say in whether its class swings: half of it, dates that
/// stray by about a month. There a swing has a prior that bounds it, which least squares have not.
/// Ours, no source.
const LEAST_TOLD: f64 = 0.05;

/// Directions of a yearly swing (its cosine and sine) that the dates can show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Seen {
    /// None: checks at one time of the year, or too few.
    Nothing,
    /// One, a unit vector: checks at two times of the year.
    One(Vector2<f64>),
    /// Both: checks that spread over the year.
    Both,
}

impl Seen {
    /// What the dates of `readings` show; x in years since 1970-01-01.
    pub(crate) fn by(readings: &[Reading]) -> Self {
        let Some(found) = mean_squares(readings) else {
            return Seen::Nothing;
        };
        let seen = |k: usize| found.eigenvalues[k] >= LEAST_SEEN;
        match (seen(0), seen(1)) {
            (false, false) => Seen::Nothing,
            (true, true) => Seen::Both,
            (first, _) => {
                let own = found.eigenvectors.column(usize::from(!first));
                Seen::One(Vector2::new(own[0], own[1]))
            }
        }
    }
}

/// True where the dates of `readings`, together with those of similar items, tell something of
/// how these swing.
pub(crate) fn tell_of_swings(readings: &[Reading]) -> bool {
    mean_squares(readings).is_some_and(|found| found.eigenvalues.max() >= LEAST_TOLD)
}

/// Mean square of a swing of amplitude one on the dates of `readings` by direction, levels and
/// drifts taken out; none where no date is left over for them.
fn mean_squares(readings: &[Reading]) -> Option<SymmetricEigen<f64, Const<2>>> {
    let drifts = readings.chunk_by(|a, b| a.drift_segment == b.drift_segment);
    let squares: Matrix2<f64> = drifts.map(left_of_annual_term).sum();
    let freedom = readings.len() as f64 - lines(readings);
    let known = freedom >= 1.0 && squares.iter().all(|square| square.is_finite());
    known.then(|| SymmetricEigen::new(squares / freedom))
}

/// Years and readings from which on it is said that a swing could not show.
const LEAST_YEARS: f64 = 2.0;
const LEAST_READINGS: usize = 3;

/// What is said where the checks keep to one time of the year; x in years since 1970-01-01.
pub(crate) fn one_time_note(readings: &[Reading]) -> Option<String> {
    let years = readings.last()?.x - readings.first()?.x;
    if readings.len() < LEAST_READINGS || years < LEAST_YEARS {
        return None;
    }
    // As if nothing had happened to the item: only the dates are judged.
    let dates: Vec<Reading> = readings
        .iter()
        .map(|reading| Reading {
            segment: 0,
            drift_segment: 0,
            ..*reading
        })
        .collect();
    (Seen::by(&dates) == Seen::Nothing).then(|| {
        let sum = |wave: fn(f64) -> f64| readings.iter().map(|r| wave(TAU * r.x)).sum::<f64>();
        let about = month((sum(f64::sin).atan2(sum(f64::cos)) / TAU).rem_euclid(1.0));
        format!(
            "its checks keep to one time of the year (about {about}): a swing with the year would not show in them, and what is said of other months takes it that there is none; half of one that is known from elsewhere belongs to u_common"
        )
    })
}

/// Squares and product of cosine and sine on the dates of one drift, its levels and its line
/// taken out. What is judged by them is a tenth, so that doubles do.
fn left_of_annual_term(drift: &[Reading]) -> Matrix2<f64> {
    let mut products = Matrix3::zeros();
    for level in drift.chunk_by(|a, b| a.segment == b.segment) {
        let row = |r: &Reading| {
            let (sine, cosine) = (TAU * r.x).sin_cos();
            Vector3::new(r.x - level[0].x, cosine, sine)
        };
        let mean = level.iter().map(row).sum::<Vector3<f64>>() / level.len() as f64;
        for reading in level {
            let off = row(reading) - mean;
            products += off * off.transpose();
        }
    }
    let swing = products.fixed_view::<2, 2>(1, 1).into_owned();
    let along = products.fixed_view::<2, 1>(1, 0).into_owned();
    match products[(0, 0)] > 0.0 {
        true => swing - along * along.transpose() / products[(0, 0)],
        false => swing,
    }
}

/// Levels and drifts that the dates of `readings` take.
fn lines(readings: &[Reading]) -> f64 {
    let drifts = readings.chunk_by(|a, b| a.drift_segment == b.drift_segment);
    let taken = drifts.map(|drift| {
        let levels = drift.chunk_by(|a, b| a.segment == b.segment);
        let dated = |level: &[Reading]| level.iter().any(|r| r.x > level[0].x);
        let drifts = u32::from(levels.clone().any(dated));
        levels.count() as u32 + drifts
    });
    f64::from(taken.sum::<u32>())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dated(x: impl IntoIterator<Item = f64>) -> Vec<Reading> {
        let reading = |x| Reading {
            x,
            value: 0.0,
            u: 0.1,
            ..Reading::default()
        };
        x.into_iter().map(reading).collect()
    }

    /// Yearly dates that stray by up to `days` from the same one, in a fixed pattern.
    fn strayed(gap: f64, days: f64) -> Vec<Reading> {
        let stray = |i: i32| f64::from(i * 7 % 11 - 5) / 5.0 * days / 365.25;
        dated((0..16).map(|i| 40.3 + gap * f64::from(i) + stray(i)))
    }

    #[test]
    fn one_time_of_the_year_shows_nothing_two_show_one_direction_four_both() {
        for days in [0.0, 1.0, 3.0, 10.0, 20.0] {
            assert_eq!(Seen::by(&strayed(1.0, days)), Seen::Nothing, "{days}");
            assert_eq!(tell_of_swings(&strayed(1.0, days)), days >= 20.0, "{days}");
            let Seen::One(direction) = Seen::by(&strayed(0.5, days)) else {
                panic!("half-yearly checks within {days} days show one direction");
            };
            let (sine, cosine) = (TAU * 40.3).sin_cos();
            let along = direction.dot(&Vector2::new(cosine, sine)).abs();
            assert!(along > 0.97, "{days}: {along}");
            assert_eq!(Seen::by(&strayed(0.25, days)), Seen::Both, "{days}");
        }
        assert_eq!(Seen::by(&strayed(13.0 / 12.0, 0.0)), Seen::Both);
    }

    #[test]
    fn dates_that_stray_by_a_month_have_a_say_in_the_class_before_they_show_a_swing_of_their_own() {
        let month = strayed(1.0, 27.0);
        assert_eq!(Seen::by(&month), Seen::Nothing);
        assert!(tell_of_swings(&month));
        assert!(tell_of_swings(&strayed(0.5, 0.0)));
    }

    #[test]
    fn checks_at_one_time_of_the_year_are_told_with_the_month() {
        let note = one_time_note(&strayed(1.0, 10.0)).unwrap();
        says!(note, "(about April)");
        assert_eq!(one_time_note(&strayed(0.5, 10.0)), None);
        assert_eq!(one_time_note(&strayed(1.0, 10.0)[..2]), None);
        assert_eq!(one_time_note(&[]), None);
    }

    #[test]
    fn too_few_readings_of_a_level_show_nothing() {
        assert_eq!(Seen::by(&[]), Seen::Nothing);
        assert_eq!(Seen::by(&dated([40.1, 40.5])), Seen::Nothing);
        let adjusted: Vec<Reading> = strayed(0.37, 0.0)
            .iter()
            .zip(0..)
            .map(|(r, i)| Reading {
                segment: i,
                drift_segment: i,
                ..*r
            })
            .collect();
        assert_eq!(Seen::by(&adjusted), Seen::Nothing);
        assert_eq!(Seen::by(&dated([f64::NAN, 1.0, 2.0, 3.0])), Seen::Nothing);
    }
}
