/*! Several set points in one history, on different days: errors at 35 % and at 75 % are not one error that
wanders. Readings of one day are refused before (`points`); here nobody can tell, and it is said. */

use crate::records::{Histories, History, Warning};
use rayon::prelude::*;

/// Share of their size by which two set points lie apart at the least. Common practice, no source.
const APART: f64 = 0.05;

/// Share of the distance of two set points within which the nominal values of each lie.
const CLOSE: f64 = 0.1;

/// Checks at each of them at the least.
const FEWEST: usize = 2;

/// Set points that a history has at the most; more are readings of a reference that goes where it likes.
const MOST: usize = 12;

/// Nominal values about which those of a history lie, rising; none where they are one point, or spread.
pub(crate) fn set_points(nominal: &[f64]) -> Vec<f64> {
    let largest = nominal.iter().fold(0.0f64, |most, v| most.max(v.abs()));
    let apart = |low: f64, high: f64| high - low > APART * largest;
    let first = nominal.first().copied().unwrap_or_default();
    if nominal.len() < 2 * FEWEST || !nominal.iter().any(|v| apart(first.min(*v), first.max(*v))) {
        return Vec::new();
    }
    let mut sorted = nominal.to_vec();
    sorted.sort_by(f64::total_cmp);
    let points: Vec<&[f64]> = sorted.chunk_by(|a, b| !apart(*a, *b)).collect();
    let spread = |point: &&[f64]| point.last().zip(point.first()).map_or(0.0, |(a, b)| a - b);
    let widest = points.iter().map(spread).fold(0.0, f64::max);
    let gaps = sorted.windows(2).map(|pair| pair[1] - pair[0]);
    let least = gaps
        .filter(|gap| *gap > APART * largest)
        .fold(f64::INFINITY, f64::min);
    let told = (2..=MOST).contains(&points.len())
        && points.iter().all(|point| point.len() >= FEWEST)
        && widest <= CLOSE * least;
    match told {
        true => points.iter().map(|point| point[point.len() / 2]).collect(),
        false => Vec::new(),
    }
}

/// The same of a history, whose checks without a value state no nominal value either.
pub(crate) fn set_points_of(history: &History<'_>) -> Vec<f64> {
    let both = history.as_found.iter().zip(history.nominal);
    let valued = both.filter(|(found, _)| found.is_finite());
    let nominal: Vec<f64> = valued.map(|(_, nominal)| *nominal).collect();
    set_points(&nominal)
}

/// What is said of histories with several set points, each with its place among them.
pub(crate) fn warnings(histories: &Histories) -> Vec<(usize, Warning)> {
    (0..histories.len())
        .into_par_iter()
        .with_min_len(256)
        .filter_map(|index| {
            let history = histories.get(index);
            let points = set_points_of(&history);
            let (first, last) = (points.first()?, points.last()?);
            let words = format!(
                "its checks are at {} set points, from {first} to {last}, as one history: errors of several points look like one item that wanders; tell them apart by point_from under [checks], or by a column point",
                points.len()
            );
            Some((index, Warning::new(history.item.name(), &words)))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{set_points, set_points_of};
    use crate::records::testing::load_files;
    use crate::records::{ChecksSettings, RegisterSettings};

    /// Cells that cannot be read left outcomes alone, and these looked like checks at a set point of 0.
    #[test]
    fn checks_by_their_outcome_alone_are_at_no_set_point() {
        let text = "instrument,date,as_found,nominal,in_tolerance,unit\nA,2021-01-05,10.1,10,pass,V\nA,2022-01-05,10.2,10,pass,V\nA,2023-01-05,,,pass,V\nA,2024-01-05,,,pass,V\n";
        let settings = (&ChecksSettings::default(), &RegisterSettings::default());
        let loaded = load_files(&[("f.csv", text)], settings).unwrap();
        let history = loaded.histories.get(0);
        assert_eq!(history.len(), 4);
        assert_eq!(set_points_of(&history), [0.0; 0]);
    }

    #[test]
    fn nominal_values_that_come_back_are_set_points() {
        assert_eq!(set_points(&[35.0, 75.0, 35.0, 75.0]), [35.0, 75.0]);
        let read = [34.98, 75.02, 35.03, 74.97, 35.01, 75.0];
        assert_eq!(set_points(&read), [35.01, 75.0]);
        assert_eq!(set_points(&[0.0, 0.0, 10.0, 10.0]), [0.0, 10.0]);
        for one in [
            &[100.0; 6][..],
            &[100.0, 100.001, 99.999, 100.0],
            &[20.0, 21.4, 22.1, 23.0, 20.7, 24.2],
            &[35.0, 75.0, 35.0],
            &[35.0, 35.0, 35.0, 75.0],
            &[],
        ] {
            assert_eq!(set_points(one), [0.0; 0], "{one:?}");
        }
    }
}
