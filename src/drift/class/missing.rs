/*! Adjustments that nobody wrote down: values that fall back after readings near a limit.

In a class whose items are adjusted beyond some share of their tolerance, and whose record
does not say so, readings near a limit are followed by readings near zero. Taken as they stand
they make a class that scatters or wanders widely and never leaves its limits. So every reading
is looked at: did the next one fall back to within half of the distance from where items
are meant to be left, and how probable was that by the class's own forecast? The share of the
limit from which values fall is the one that splits the readings best. Where more fall than
forecast, by more than chance, the class is fitted anew, once with every fall and once with every reading beyond the
share taken for an adjustment whose value left was not kept. The likelihood decides by a margin,
with the adjustments themselves weighed (each reading beyond the share was adjusted or not, at
the rate at which they were: a bound from below on the likelihood of the mixture).
*/

use crate::drift::series::readings::Reading;
use crate::words::{count, percent};
use serde::{Deserialize, Serialize};

/// A value fell back where less than this part of its distance is left at the next reading.
pub(super) const LEFT: f64 = 0.5;
/// Gain in log likelihood from which adjustments are believed to be missing: for the share and
/// the levels left, which are found in the same readings, and odds of a hundred to one.
pub(crate) const MARGIN: f64 = 8.0;

/// What a class says of adjustments that are missing in its record.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Missing {
    /// Share of the limit from which values fall back.
    pub from: f64,
    /// Readings beyond it that another reading follows.
    pub readings: u64,
    /// Those after which the value fell back.
    pub fallen: u64,
    /// How many would have by the class's own forecasts.
    pub expected: f64,
    /// Every reading beyond the share was adjusted, fallen or not.
    pub every: bool,
    /// Where items are meant to be left, in the class's scale.
    pub(super) aim: f64,
}

impl Missing {
    /// Log likelihood of what was adjusted among the readings beyond the share.
    pub(crate) fn log_likelihood(&self) -> f64 {
        log_likelihood(self.adjusted() as f64, self.readings as f64)
    }

    fn adjusted(&self) -> u64 {
        if self.every {
            self.readings
        } else {
            self.fallen
        }
    }

    /// Takes the readings of an item, whose values are in units of `scale`, for adjusted where
    /// they were: the level after them is one that nobody read.
    pub(crate) fn suppose(&self, readings: &mut [Reading], scale: f64) {
        let (mut adjusted, mut last): (u32, Option<Reading>) = (0, None);
        for reading in readings {
            let same = last.filter(|last| last.segment == reading.segment);
            if let Some(before) =
                same.filter(|before| self.adjusted_between(before, reading, scale))
            {
                adjusted += 1;
                reading.unread_since = Some(before.x);
            }
            last = Some(*reading);
            reading.segment += adjusted;
        }
    }

    /// True where the item was adjusted between two readings of one segment.
    fn adjusted_between(&self, before: &Reading, after: &Reading, scale: f64) -> bool {
        let away = |reading: &Reading| reading.value / scale - self.aim;
        let (from, to) = (away(before), away(after));
        let fallen = to.abs() < LEFT * from.abs();
        from.abs() >= self.from && (self.every || fallen)
    }

    /// Probability that an item was adjusted after a reading of this value, in units of its
    /// scale: the share of adjustments after readings as far off, one of each kind believed before
    /// any is seen (P. S. Laplace's rule of succession).
    pub(crate) fn adjusted_after(&self, value: f64) -> f64 {
        match (value - self.aim).abs() >= self.from {
            true => (self.adjusted() as f64 + 1.0) / (self.readings as f64 + 2.0),
            false => 0.0,
        }
    }

    /// The finding as a sentence.
    pub(crate) fn sentence(&self) -> String {
        format!(
            "adjustments seem to be missing in the record of its class: after {} beyond {} of the tolerance the value fell back to within half of that {}, where {:.1} would by chance",
            count(self.readings as usize, "reading"),
            percent(self.from),
            count(self.fallen as usize, "time"),
            self.expected
        )
    }
}

/// Log likelihood of `k` falls in `n` readings at their own rate.
pub(super) fn log_likelihood(k: f64, n: f64) -> f64 {
    let part = |k: f64| if k > 0.0 { k * (k / n).ln() } else { 0.0 };
    part(k) + part(n - k)
}
