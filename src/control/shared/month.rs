/*! What the items of a class that were checked in one month say together. */

use crate::records::date;
use crate::stats::median;
use chrono::Datelike;
use std::f64::consts::FRAC_PI_2;

/// Fewest items of a month that can share a shift: of two that agree it may be chance.
pub(super) const FEWEST_ITEMS: usize = 3;
/// Standard deviations at which the value of one item is cut. Our own choice, no source.
const CUT: f64 = 2.0;
/// Months before one that tell what is usual, at most and at least: what the class lends may be off
/// for a time, for all of its items alike.
const MONTHS_BEFORE: usize = 12;
const FEWEST_MONTHS: usize = 3;

/// Mean of the cut values of one month, and over how many items.
#[derive(Clone, Copy)]
pub(super) struct Level {
    pub mean: f64,
    pub items: f64,
}

impl Level {
    /// How far it lies from the months `before`, in standard deviations: from their median, whose
    /// variance is π/2 of a mean's, where there are enough to have one, else from zero.
    pub(crate) fn score(&self, before: &[Level]) -> f64 {
        let latest = &before[before.len().saturating_sub(MONTHS_BEFORE)..];
        let means: Vec<f64> = before.iter().map(|level| level.mean).collect();
        let mut variance = 1.0 / self.items;
        if latest.len() >= FEWEST_MONTHS {
            variance += FRAC_PI_2 / latest.iter().map(|level| level.items).sum::<f64>();
        }
        (self.mean - usual(&means)) / variance.sqrt()
    }
}

/// The median of the latest of the months before; zero where they are too few to have one.
pub(super) fn usual(before: &[f64]) -> f64 {
    let latest = &before[before.len().saturating_sub(MONTHS_BEFORE)..];
    match latest.len() >= FEWEST_MONTHS {
        true => median(latest),
        false => 0.0,
    }
}

/// What the items checked in one month say together.
#[derive(Default)]
pub(super) struct Month {
    pub first: f64,
    pub last: f64,
    /// The instruments in their order; of each the sum of z, the sum of values, the number.
    pub items: Vec<(usize, (f64, f64, f64))>,
}

/// Number of the month of `day`.
pub(super) fn month_of(day: f64) -> i32 {
    date::calendar(day).map_or(0, |day| 12 * day.year() + day.month0() as i32)
}

impl Month {
    /// Adds a residual of an instrument, the instruments in their order: its day, its standardised
    /// and its own value.
    pub(crate) fn add(&mut self, instrument: usize, (day, z, value): (f64, f64, f64)) {
        if self.items.is_empty() {
            (self.first, self.last) = (day, day);
        }
        self.first = self.first.min(day);
        self.last = self.last.max(day);
        match self.items.last_mut().filter(|last| last.0 == instrument) {
            Some((_, own)) => *own = (own.0 + z, own.1 + value, own.2 + 1.0),
            None => self.items.push((instrument, (z, value, 1.0))),
        }
    }

    /// Mean of the items' cut values; `None` where they are too few.
    pub(crate) fn level(&self, (centre, scale): (f64, f64)) -> Option<Level> {
        let cut = |(z, _, number): &(f64, f64, f64)| {
            let off = (z / number - centre) * number.sqrt();
            (off / scale).clamp(-CUT, CUT)
        };
        let items = self.items.len() as f64;
        let mean = self.items.iter().map(|(_, own)| cut(own)).sum::<f64>() / items;
        (self.items.len() >= FEWEST_ITEMS).then_some(Level { mean, items })
    }

    /// Mean over the items of what `get` takes from each.
    pub(crate) fn mean(&self, get: impl Fn(&(f64, f64, f64)) -> f64) -> f64 {
        self.items.iter().map(|(_, own)| get(own)).sum::<f64>() / self.items.len() as f64
    }
}
