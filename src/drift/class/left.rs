/*! What the items of a class are left at: the level after an adjustment (repair, annealing,
replacement) whose value left was not kept.

Such a level is not the value found. It is drawn, over the class, from N(m, V) in its scale.
Values that were read as left tell m and V directly; the first reading after an event whose
value was not kept tells V through the likelihood of the class, as one more variance of its
filters. m lies at zero, or in the middle of a tolerance that leaves zero out, as far as no
value as left says otherwise: an adjustment is made to bring the error there. V is integrated
over a log-normal prior on a grid, so that a class which has seen nothing stays wide.
*/

use serde::{Deserialize, Serialize};

/// Standard uncertainty of the mean that items are left at, before any value as left is known:
/// small, since an adjustment aims there; what is off beyond it widens the spread. Our own
/// choice, no source.
const MEAN_BEFORE: f64 = 0.03;
/// Prior median of the standard deviation about it, and the width of its logarithm: with no
/// value known an item is left within 0.27 (k = 1) of the half-width of its tolerance. Our own
/// choice, no source.
const DEVIATION_BEFORE: f64 = 0.1;
const LOG_WIDTH: f64 = 1.0;
/// Standard deviations tried: `2^(i/2)` times the smallest.
const SMALLEST: f64 = 0.005;
const TRIED: usize = 17;

/// Distribution of the level after an event whose value left was not kept, in the class's scale.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Left {
    /// Expected level.
    pub mean: f64,
    pub variance: f64,
}

impl Default for Left {
    fn default() -> Self {
        About::default().given(&[], 0.0, |_| 0.0)
    }
}

/// What is believed before any level as left is known, in the class's scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct About {
    /// Where items are meant to be left.
    pub aim: f64,
    /// Half-width of what can be called near: 1 in units of the tolerance.
    pub size: f64,
}

impl Default for About {
    fn default() -> Self {
        Self {
            aim: 0.0,
            size: 1.0,
        }
    }
}

impl About {
    /// Where a class without tolerances leaves its items: the middle of the levels read after
    /// events, and ten times their median distance from it.
    pub(crate) fn levels(levels: &mut [f64]) -> Self {
        let middle = |values: &mut [f64]| -> Option<f64> {
            let at = values.len().checked_sub(1)? / 2;
            Some(*values.select_nth_unstable_by(at, f64::total_cmp).1)
        };
        let aim = middle(levels).unwrap_or(0.0);
        let mut distances: Vec<f64> = levels.iter().map(|level| (level - aim).abs()).collect();
        let size = middle(&mut distances).filter(|size| *size > 0.0);
        Self {
            aim,
            size: size.map_or(1.0, |size| size / DEVIATION_BEFORE),
        }
    }

    /// Items left where they are meant to be, within a fifth of what is usual.
    pub(crate) fn narrow(&self) -> Left {
        let deviation = 0.2 * DEVIATION_BEFORE * self.size;
        Left {
            mean: self.aim,
            variance: deviation * deviation,
        }
    }

    /// What items are left at, given values `read` as left, in pairs of value and variance of
    /// the reading without the `excess`, and the log likelihood of a distribution by the
    /// readings after events whose value was not kept.
    pub(crate) fn given(
        &self,
        read: &[(f64, f64)],
        excess: f64,
        mut log_likelihood: impl FnMut(&Left) -> f64,
    ) -> Left {
        let tried: [(f64, Left); TRIED] = std::array::from_fn(|i| {
            let deviation = SMALLEST * 2f64.powf(0.5 * i as f64);
            let (log_read, left) = self.of_read(read, excess, deviation * self.size);
            let off = (deviation / DEVIATION_BEFORE).ln() / LOG_WIDTH;
            (log_read + log_likelihood(&left) - 0.5 * off * off, left)
        });
        let most = tried
            .iter()
            .fold(f64::NEG_INFINITY, |most, (log, _)| most.max(*log));
        if !most.is_finite() {
            return tried[TRIED - 1].1;
        }
        let weights = tried.map(|(log, _)| (log - most).exp());
        let sum: f64 = weights.iter().sum();
        let over = |part: &dyn Fn(&Left) -> f64| -> f64 {
            let parts = weights
                .iter()
                .zip(&tried)
                .map(|(w, (_, left))| w * part(left));
            parts.sum::<f64>() / sum
        };
        let mean = over(&|left| left.mean);
        Left {
            mean,
            variance: over(&|left| left.variance + (left.mean - mean).powi(2)),
        }
    }

    /// Log likelihood of the values read, the mean integrated out, for one standard deviation,
    /// and the distribution then.
    fn of_read(&self, read: &[(f64, f64)], excess: f64, deviation: f64) -> (f64, Left) {
        let before = (MEAN_BEFORE * self.size).powi(-2);
        let variance = deviation * deviation;
        let (mut information, mut pull, mut squares, mut logs) = (before, 0.0, 0.0, 0.0);
        for (value, noise) in read {
            let (off, spread) = (value - self.aim, variance + noise + excess);
            information += 1.0 / spread;
            pull += off / spread;
            squares += off * off / spread;
            logs += spread.ln();
        }
        let log = 0.5 * (pull * pull / information - squares - logs - (information / before).ln());
        let left = Left {
            mean: self.aim + pull / information,
            variance: variance + 1.0 / information,
        };
        (log, left)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Levels about 0.05 that scatter by 0.04, each read with 0.03.
    fn read(count: usize) -> Vec<(f64, f64)> {
        let level = |i: usize| 0.05 + 0.05 * (((i * 7) % 11) as f64 / 5.0 - 1.0) * 1.25;
        (0..count).map(|i| (level(i), 9e-4)).collect()
    }

    #[test]
    fn nothing_known_is_wide_and_about_zero() {
        let left = Left::default();
        assert_eq!(left.mean, 0.0);
        assert!((0.15..0.45).contains(&left.variance.sqrt()), "{left:?}");
    }

    #[test]
    fn values_read_as_left_tell_where_items_are_left() {
        let left = About::default().given(&read(200), 0.0, |_| 0.0);
        near!(left.mean, 0.05, 0.02);
        assert!((0.02..0.06).contains(&left.variance.sqrt()), "{left:?}");
        let few = About::default().given(&read(3), 0.0, |_| 0.0);
        assert!(few.variance > left.variance);
    }

    #[test]
    fn without_tolerance_the_levels_themselves_give_the_size() {
        let levels =
            |unit: f64| -> Vec<f64> { read(40).iter().map(|(v, _)| (100.0 + v) * unit).collect() };
        let found = |unit: f64| {
            let about = About::levels(&mut levels(unit));
            let pairs: Vec<(f64, f64)> = levels(unit)
                .iter()
                .map(|v| (*v, 9e-4 * unit * unit))
                .collect();
            about.given(&pairs, 0.0, |_| 0.0)
        };
        let (plain, small) = (found(1.0), found(1e-20));
        assert!(
            (plain.mean - 100.05).abs() < 0.02 && plain.variance < 0.01,
            "{plain:?}"
        );
        near!(small.variance / plain.variance * 1e40, 1.0, 1e-9);
    }
}
