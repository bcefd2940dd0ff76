/*! The residuals of one class and unit, month by month, and the shifts among them. */

use super::month::{FEWEST_ITEMS, Level, Month, month_of, usual};
use super::shift::{FALSE_ALARM, READINGS_ANEW, SharedBy, SharedShift};
use crate::drift::class::parameters::ClassParameters;
use crate::drift::series::readings::Axis;
use crate::drift::state::filter::StateFilter;
use crate::records::{Histories, History};
use crate::stats::{median, normal_quantile};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A smaller mean moves no decision. Our own choice, no source.
const LEAST_MEAN: f64 = 0.5;
/// Residuals that tell where they lie and how far they scatter; fewer are taken to lie about zero
/// and to scatter at least as the model says.
const TELLING: usize = 200;
/// Months that tell how far means of months scatter by what the items of one month share anyway.
const TELLING_MONTHS: usize = 8;
/// Months within which the items of a class have all been checked once after a shift.
const LONGEST_ROUND: i32 = 18;

#[derive(Clone, Copy)]
pub(super) struct Residual {
    pub day: f64,
    pub z: f64,
    pub value: f64,
}

/// The residuals of the histories of one class and unit.
pub(super) struct Class {
    pub group: String,
    pub unit: String,
    /// History, its instrument's number, and its residuals in order.
    pub members: Vec<(usize, usize, Vec<Residual>)>,
    /// Where its residuals lie in the middle: a shift sways what the class lends, and so the
    /// residuals of all its months.
    pub centre: f64,
    /// How far they scatter about it.
    pub scale: f64,
}

/// The residuals of every class and unit of which enough instruments are known.
pub(super) fn classes(histories: &Histories, by: &SharedBy<'_>) -> Vec<Class> {
    let mut members: BTreeMap<(&str, &str), Vec<usize>> = BTreeMap::new();
    for (index, item) in histories.items.iter().enumerate() {
        let key = (item.group.as_str(), item.unit.as_str());
        if by
            .only
            .as_ref()
            .is_none_or(|(group, unit)| (&**group, &**unit) == key)
        {
            members.entry(key).or_default().push(index);
        }
    }
    let mut instruments: Vec<usize> = Vec::with_capacity(histories.len());
    for (index, item) in histories.items.iter().enumerate() {
        let other = index == 0 || histories.items[index - 1].instrument != item.instrument;
        let number = instruments.last().copied().unwrap_or(0);
        instruments.push(number + usize::from(other));
    }
    let of = |((group, unit), members): ((&str, &str), Vec<usize>)| {
        let of_member = |index: &usize| {
            let history = histories.get(*index);
            let residuals = residuals(&history, &(by.class)(*index), by.axis);
            (*index, instruments[*index], residuals)
        };
        let members: Vec<_> = members.par_iter().map(of_member).collect();
        let all = members
            .iter()
            .flat_map(|(_, _, own)| own.iter().map(|r| r.z));
        let (centre, scale) = centre_and_scale(&all.collect::<Vec<f64>>());
        Class {
            group: group.to_string(),
            unit: unit.to_string(),
            members,
            centre,
            scale,
        }
    };
    let enough = |members: &Vec<usize>| {
        let mut own: Vec<usize> = members.iter().map(|index| instruments[*index]).collect();
        own.dedup();
        own.len() >= FEWEST_ITEMS
    };
    let kept = members.into_iter().filter(|(_, members)| enough(members));
    kept.map(of).collect()
}

/// Median of residuals, and their robust standard deviation about it.
fn centre_and_scale(residuals: &[f64]) -> (f64, f64) {
    if residuals.is_empty() {
        return (0.0, 1.0);
    }
    let centre = median(residuals);
    let distances: Vec<f64> = residuals.iter().map(|z| (z - centre).abs()).collect();
    let robust = median(&distances) / normal_quantile(0.75);
    match residuals.len() < TELLING {
        true => (0.0, robust.max(1.0)),
        false => (centre, robust.max(f64::MIN_POSITIVE)),
    }
}

/// How much further than by their number of items the means of months scatter, at least 1: by the
/// median step from one month to the next. A shift makes one large step; what it leaves behind in the
/// class's drift, and so in the residuals of years, makes none.
fn between(levels: &[Level]) -> f64 {
    if levels.len() < TELLING_MONTHS {
        return 1.0;
    }
    let step = |pair: &[Level]| {
        let variance = 1.0 / pair[0].items + 1.0 / pair[1].items;
        (pair[1].mean - pair[0].mean).abs() / variance.sqrt()
    };
    let steps: Vec<f64> = levels.windows(2).map(step).collect();
    (median(&steps) / normal_quantile(0.75)).max(1.0)
}

/// The residuals of one history by the state model. The first reading after an event tests nothing.
pub(super) fn residuals(
    history: &History<'_>,
    class: &ClassParameters,
    axis: Axis,
) -> Vec<Residual> {
    let mut readings = Vec::with_capacity(history.len() + 1);
    class.fill_readings(history, axis, &mut readings);
    let scale = class.scale_of(history.item);
    let mut filter = StateFilter::of(&readings, class, scale);
    let mut found = Vec::with_capacity(readings.len());
    for reading in &readings {
        let innovation = filter.push(reading).filter(|found| !found.opens);
        let Some(innovation) = innovation.filter(|_| !reading.as_left) else {
            continue;
        };
        let z = innovation.value / innovation.variance.sqrt();
        if z.is_finite() {
            let (day, value) = (history.date[reading.check as usize], innovation.value);
            found.push(Residual { day, z, value });
        }
    }
    found
}

impl Class {
    /// The shifts in order of time, and the number of months that could be tested. What an item
    /// shows of a shift it shows in its first reading after it; the next ones carry it in their
    /// prediction and are passed over.
    pub(crate) fn shifts(&self) -> (Vec<SharedShift>, usize) {
        let mut months = self.months(&[]);
        let levels = months.values().filter_map(|month| self.level(month));
        let levels: Vec<Level> = levels.collect();
        let tested = levels.len();
        let tail = FALSE_ALARM / 2.0 / tested.max(1) as f64;
        let limit = -normal_quantile(tail) * between(&levels);
        let mut shifts: Vec<SharedShift> = Vec::new();
        let mut telling: Vec<i32> = Vec::new();
        loop {
            let Some(found) = self.next(&months, &telling, limit) else {
                return (shifts, tested);
            };
            let MonthShift {
                number,
                score,
                mean,
                size,
            } = found;
            telling.push(number);
            let month = &months[&number];
            let items = month.items.len();
            let same = |last: &&mut SharedShift| {
                last.score * score > 0.0 && number - month_of(last.until) <= LONGEST_ROUND
            };
            match shifts.last_mut().filter(same) {
                Some(last) => last.join(items, mean, size, month.last, score),
                None => shifts.push(SharedShift {
                    group: self.group.clone(),
                    unit: self.unit.clone(),
                    from: month.first,
                    until: month.last,
                    items,
                    mean,
                    size,
                    score,
                    limit,
                    tested,
                }),
            }
            months = self.months(&shifts);
        }
    }

    fn level(&self, month: &Month) -> Option<Level> {
        month.level((self.centre, self.scale))
    }

    /// The months, without the readings that carry one of `shifts` in their prediction.
    fn months(&self, shifts: &[SharedShift]) -> BTreeMap<i32, Month> {
        let mut months: BTreeMap<i32, Month> = BTreeMap::new();
        for (_, instrument, residuals) in &self.members {
            let carried = |at: usize| {
                let carries = |shift: &SharedShift| {
                    let first = residuals.partition_point(|r| r.day < shift.from);
                    (first + 1..first + READINGS_ANEW).contains(&at)
                };
                shifts.iter().any(carries)
            };
            let own = residuals.iter().enumerate().filter(|(at, _)| !carried(*at));
            for (_, residual) in own {
                let month = months.entry(month_of(residual.day)).or_default();
                month.add(*instrument, (residual.day, residual.z, residual.value));
            }
        }
        months
    }

    /// The first month after those `telling` of a shift that tells of one too, held against the
    /// other months before it.
    fn next(
        &self,
        months: &BTreeMap<i32, Month>,
        telling: &[i32],
        limit: f64,
    ) -> Option<MonthShift> {
        let mut before: Vec<Level> = Vec::new();
        let (mut means, mut sizes) = (Vec::new(), Vec::new());
        for (number, month) in months {
            let Some(level) = self.level(month).filter(|_| !telling.contains(number)) else {
                continue;
            };
            let score = level.score(&before);
            let mean = month.mean(|(z, _, n)| z / n);
            let size = month.mean(|(_, value, n)| value / n);
            let large = level.mean.abs() >= LEAST_MEAN && score.abs() > limit;
            if large && telling.last().is_none_or(|last| last < number) {
                return Some(MonthShift {
                    number: *number,
                    score,
                    mean: mean - usual(&means),
                    size: size - usual(&sizes),
                });
            }
            before.push(level);
            means.push(mean);
            sizes.push(size);
        }
        None
    }
}

/// A month that tells of a shift: its number, score, mean residual and its size beside what is usual.
struct MonthShift {
    number: i32,
    score: f64,
    mean: f64,
    size: f64,
}
