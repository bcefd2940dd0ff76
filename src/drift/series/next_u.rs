/*! The uncertainty that the next reading will have: one rule for every model.

Nobody knows it before the reading is taken. It is taken to be like those of the latest readings, and
the variance of a reading whose variance is drawn from theirs is their mean (the law of total
variance). The median would leave out what a large u now and then adds; the last one alone would make
the band as wide as chance made it. Ten readings follow a laboratory whose u has changed for good.
*/

use super::readings::Reading;

/// Latest readings that say what the next one is like.
const LATEST: usize = 10;

/// Root mean square of the u that the latest of `readings` state; NaN where none does.
pub(crate) fn next_u(readings: &[Reading]) -> f64 {
    let mut latest = Latest::default();
    let stated = readings.iter().rev().map(|reading| reading.u);
    stated
        .filter(|u| u.is_finite())
        .take(LATEST)
        .for_each(|u| latest.add(u));
    let largest = latest.kept().iter().copied().fold(0.0, f64::max);
    if largest == 0.0 {
        return if latest.count == 0 { f64::NAN } else { 0.0 };
    }
    // About the largest, so that no u is too large or too small to be squared.
    latest
        .kept
        .iter_mut()
        .for_each(|u| *u = (*u / largest).powi(2));
    largest * latest.mean().sqrt()
}

/// The latest numbers of a stream, and their mean.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Latest {
    kept: [f64; LATEST],
    count: usize,
}

impl Latest {
    pub(crate) fn of(numbers: impl Iterator<Item = f64>) -> Self {
        let mut latest = Self::default();
        numbers.for_each(|number| latest.add(number));
        latest
    }

    /// Takes the next number; the oldest makes place for it.
    pub(crate) fn add(&mut self, number: f64) {
        self.kept[self.count % LATEST] = number;
        self.count += 1;
    }

    /// Mean of the latest; NaN before the first.
    pub(crate) fn mean(&self) -> f64 {
        let kept = self.kept();
        match kept.first() {
            // Not by way of a sum, which would round.
            Some(first) if kept.iter().all(|number| number == first) => *first,
            _ => kept.iter().sum::<f64>() / kept.len() as f64,
        }
    }

    fn kept(&self) -> &[f64] {
        &self.kept[..self.count.min(LATEST)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::fit_forecast;
    use crate::drift::testing::*;
    use rayon::prelude::*;

    fn readings(u: &[f64]) -> Vec<Reading> {
        let reading = |u: &f64| Reading {
            x: 0.0,
            value: 0.0,
            u: *u,
            ..Reading::default()
        };
        u.iter().map(reading).collect()
    }

    #[test]
    fn the_latest_ten_stated_count_by_their_squares() {
        assert!(next_u(&readings(&[f64::NAN])).is_nan());
        assert_eq!(next_u(&readings(&[0.1; 7])), 0.1);
        assert_eq!(next_u(&readings(&[3.0, f64::NAN, 4.0])), 12.5f64.sqrt());
        let changed: Vec<f64> = [[7.0; 10], [0.2; 10]].concat();
        assert_eq!(next_u(&readings(&changed)), 0.2);
        assert_eq!(
            next_u(&readings(&[3e-200, 4e-200])),
            12.5f64.sqrt() * 1e-200
        );
    }

    /// Items whose drift and u differ, twenty checks each and one to come, u evenly between 0.6 and
    /// 1.4 of its mean.
    fn varied(seed: u64, items: usize) -> (Histories, Vec<(f64, f64)>) {
        let mut random = Pcg64::seed_from_u64(seed);
        let mut next = Vec::new();
        let item = |_| {
            let drift: f64 = StandardNormal.sample(&mut random);
            let mut day = 18_000.0;
            let mut reading = || {
                day += DAYS_PER_YEAR * random.random_range(0.7..1.3);
                let (u, noise): (f64, f64) = (
                    random.random_range(0.6..1.4),
                    StandardNormal.sample(&mut random),
                );
                (day, drift * (day - 18_000.0) / DAYS_PER_YEAR + u * noise, u)
            };
            let mut record = Record::new();
            for _ in 0..20 {
                let (day, value, u) = reading();
                record = record.check(day, value);
                record.columns.u.pop();
                record.columns.u.push(u);
            }
            let (day, value, _) = reading();
            next.push((day, value));
            record
        };
        let all = fleet((0..items).map(item).collect::<Vec<_>>());
        (all, next)
    }

    fn coverage(model: ModelName, fleets: u64, items: usize) -> f64 {
        let settings = DriftSettings {
            model,
            ..DriftSettings::default()
        };
        let inside = |seed: u64| {
            let (all, next) = varied(seed, items);
            let classes = class_parameters(&all, &settings);
            let covered = |index: &usize| {
                let fit = fit_forecast(&all.get(*index), classes.of_history(*index), &settings);
                let (day, value) = next[*index];
                let (low, high) = fit.at(day / DAYS_PER_YEAR).unwrap().reading(0.95);
                low <= value && value <= high
            };
            (0..items).filter(covered).count()
        };
        let all: usize = (0..fleets).into_par_iter().map(inside).sum();
        all as f64 / (fleets * items as u64) as f64
    }

    /// Standard deviations of the shares: 0.15 % of the line (20,000 histories), 0.5 % of the others.
    #[test]
    fn the_next_reading_lies_in_its_band_where_u_varies() {
        let line = coverage(ModelName::Line, 500, 40);
        let others = [ModelName::State, ModelName::Wander].map(|model| coverage(model, 50, 40));
        println!("line {line}, state and wander {others:?}");
        near!(line, 0.95, 0.01);
        for share in others {
            near!(share, 0.95, 0.02, "{others:?}");
        }
    }

    #[test]
    fn the_stream_keeps_the_same_ten() {
        let mut latest = Latest::default();
        assert!(latest.mean().is_nan());
        (1..=25).for_each(|k| latest.add(f64::from(k)));
        assert_eq!(latest.mean(), 20.5);
    }
}
