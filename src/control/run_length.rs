/*! Average run length: how many checks pass until a chart signals, where nothing changed and
where the mean moved.

The path of a chart is a Markov chain: its range is cut into cells and the share of paths still
inside is followed from check to check, so that the limits of the first values may differ
(D. Brook and D. A. Evans, *An approach to the probability distribution of CUSUM run length*,
Biometrika 59, 1972). Two numbers of cells tell what none would give, since the error falls with the
square of a cell's width (L. F. Richardson). Once the share falls by the same factor at every check the rest is a
geometric series. EWMA and single values together are one chain, since two neighbouring averages
tell the value between them.
*/

use super::{Chart, ControlSettings};
use crate::stats::{normal_above, normal_between};

/// Cells of a path, coarse and fine: run lengths to a part in ten thousand (tests).
const CELLS: (usize, usize) = (40, 80);
/// Checks followed at the most; a chart that is still inside signals practically never.
const MOST_CHECKS: usize = 20_000;
/// The share inside falls evenly once its factor changes by less than this from check to check.
const EVEN: f64 = 1e-11;
/// Checks before which it is not judged to fall evenly: no path reaches a far limit at first.
const FEWEST_CHECKS: usize = 300;
/// A loss a check that rounding hides.
const LEAST_LOSS: f64 = 1e-12;
/// EWMA limits within this share of their last width have settled.
const SETTLED: f64 = 1e-7;
/// Limits of single values, deviations.
const ACTION: f64 = 3.0;

/// What the signalling charts of the settings are worth together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct RunLengths {
    /// Checks to a false alarm, on average.
    pub in_control: f64,
    /// Checks to the signal of a lasting shift of one deviation, on average.
    pub shifted: f64,
    /// True where several charts that are no one chain signal: false alarms are no more often
    /// than that, and the shift is found no later.
    pub bounds: bool,
    /// True where patterns or ranges signal too, which are not in the figures.
    pub more: bool,
}

impl RunLengths {
    /// Of the charts that `settings` lets signal; `None` where none of them has a run length.
    pub(crate) fn of(settings: &ControlSettings) -> Option<Self> {
        let has = |chart| settings.signals.contains(&chart);
        let single = has(Chart::Shewhart).then_some(ACTION);
        let ewma =
            |shift| ewma_run_length(settings.ewma_weight, settings.ewma_width, shift, single);
        let cusum = |shift| {
            cusum_run_length(
                settings.cusum_allowance,
                settings.cusum_limit,
                shift,
                single,
            )
        };
        let (in_control, shifted, bounds) = match (has(Chart::Ewma), has(Chart::Cusum), single) {
            (true, true, _) => {
                let rate = 1.0 / ewma(0.0) + 1.0 / cusum(0.0);
                (1.0 / rate, ewma(1.0).min(cusum(1.0)), true)
            }
            (true, false, _) => (ewma(0.0), ewma(1.0), false),
            (false, true, _) => (cusum(0.0), cusum(1.0), false),
            (false, false, Some(_)) => (shewhart_run_length(0.0), shewhart_run_length(1.0), false),
            (false, false, None) => return None,
        };
        let more = [Chart::Runs, Chart::Range, Chart::Precision];
        Some(Self {
            in_control,
            shifted,
            bounds,
            more: more.into_iter().any(has),
        })
    }
}

/// Of single values against three deviations, at a lasting shift of `shift` deviations.
pub(crate) fn shewhart_run_length(shift: f64) -> f64 {
    1.0 / (normal_above(ACTION - shift) + normal_above(ACTION + shift))
}

/// Of an EWMA with exact limits, at a lasting shift of `shift` deviations; with single values
/// beyond `single` deviations signalling too.
fn ewma_run_length(weight: f64, width: f64, shift: f64, single: Option<f64>) -> f64 {
    let settled = width * (weight / (2.0 - weight)).sqrt();
    let half = |check: usize| settled * (1.0 - (1.0 - weight).powf(2.0 * check as f64)).sqrt();
    let chain = |cells| EwmaChain {
        cells,
        weight,
        shift,
        single: single.unwrap_or(f64::INFINITY),
    };
    refined(
        |cells| 1.0 / cells as f64,
        |cells| chain(cells).length(settled, half),
    )
}

/// The run length of cells without width, from those of two widths.
fn refined(width: impl Fn(usize) -> f64, length: impl Fn(usize) -> f64) -> f64 {
    let (coarse, fine) = (width(CELLS.0).powi(2), width(CELLS.1).powi(2));
    let (of_coarse, of_fine) = (length(CELLS.0), length(CELLS.1));
    match of_coarse.is_finite() && of_fine.is_finite() {
        true => (coarse * of_fine - fine * of_coarse) / (coarse - fine),
        false => f64::INFINITY,
    }
}

/// Of a two-sided tabular CUSUM that starts at zero, at a lasting shift of `shift` deviations;
/// with single values beyond `single` deviations signalling too.
fn cusum_run_length(allowance: f64, limit: f64, shift: f64, single: Option<f64>) -> f64 {
    let single = single.unwrap_or(f64::INFINITY);
    let width = |cells: usize| 2.0 * limit / (2 * cells - 1) as f64;
    let side = |shift: f64| {
        refined(width, |cells| {
            cusum_side((cells, width(cells)), allowance, shift, single)
        })
    };
    // Both sums are never up at once where the allowance is positive: their rates add.
    1.0 / (1.0 / side(shift) + 1.0 / side(-shift))
}

/// Of the upper sum alone. The first cell is the sum at rest, half as wide as the others.
fn cusum_side((cells, wide): (usize, f64), allowance: f64, shift: f64, single: f64) -> f64 {
    let row = |i: usize| -> Vec<f64> {
        let at = i as f64 * wide;
        let to = |j: usize| {
            let high = ((j as f64 + 0.5) * wide - at + allowance).min(single);
            let low = match j {
                0 => f64::NEG_INFINITY,
                _ => (j as f64 - 0.5) * wide - at + allowance,
            };
            between(low - shift, high - shift)
        };
        (0..cells).map(to).collect()
    };
    let rows: Vec<Vec<f64>> = (0..cells).map(row).collect();
    let mut start = vec![0.0; cells];
    start[0] = 1.0;
    1.0 + rest(start, &rows)
}

/// Transitions of an EWMA in deviations of one value.
struct EwmaChain {
    cells: usize,
    weight: f64,
    shift: f64,
    single: f64,
}

impl EwmaChain {
    /// Run length from the centre with limits ±`half(check)` that settle at ±`settled`.
    fn length(&self, settled: f64, half: impl Fn(usize) -> f64) -> f64 {
        let mut before = half(1);
        let mut inside = self.row(0.0, before);
        let mut length = 1.0 + total(&inside);
        for check in 2..MOST_CHECKS {
            let now = half(check);
            if (now / settled - 1.0).abs() < SETTLED {
                break;
            }
            inside = stepped(&inside, &self.rows(before, now));
            before = now;
            length += total(&inside);
        }
        length + rest(inside, &self.rows(settled, settled))
    }

    /// From the average `from` into each cell of ±`half`.
    fn row(&self, from: f64, half: f64) -> Vec<f64> {
        let edge = |j: usize| half * (2.0 * j as f64 / self.cells as f64 - 1.0);
        let value = |edge: f64| (edge - (1.0 - self.weight) * from) / self.weight;
        let into = |j: usize| {
            let low = value(edge(j)).max(-self.single);
            let high = value(edge(j + 1)).min(self.single);
            between(low - self.shift, high - self.shift)
        };
        (0..self.cells).map(into).collect()
    }

    /// From the middle of each cell of ±`before` into each cell of ±`now`.
    fn rows(&self, before: f64, now: f64) -> Vec<Vec<f64>> {
        let middle = |i: usize| before * ((2 * i + 1) as f64 / self.cells as f64 - 1.0);
        (0..self.cells).map(|i| self.row(middle(i), now)).collect()
    }
}

fn between(low: f64, high: f64) -> f64 {
    match low < high {
        true => normal_between(low, high),
        false => 0.0,
    }
}

fn total(shares: &[f64]) -> f64 {
    shares.iter().sum()
}

/// Shares of the paths in each cell one check later.
fn stepped(inside: &[f64], rows: &[Vec<f64>]) -> Vec<f64> {
    let mut after = vec![0.0; inside.len()];
    for (share, row) in inside.iter().zip(rows) {
        for (cell, probability) in after.iter_mut().zip(row) {
            *cell += share * probability;
        }
    }
    after
}

/// Sum of the shares inside after every further check; infinite where practically none leaves.
fn rest(mut inside: Vec<f64>, rows: &[Vec<f64>]) -> f64 {
    let (mut sum, mut factor) = (0.0, f64::NAN);
    for check in 0..MOST_CHECKS {
        let before = total(&inside);
        inside = stepped(&inside, rows);
        let now = total(&inside);
        sum += now;
        if now <= 0.0 {
            return sum;
        }
        let falls = now / before;
        if check >= FEWEST_CHECKS && (falls - factor).abs() < EVEN {
            return match 1.0 - falls > LEAST_LOSS {
                true => sum + now * falls / (1.0 - falls),
                false => f64::INFINITY,
            };
        }
        factor = falls;
    }
    f64::INFINITY
}

#[cfg(test)]
#[path = "run_length_tests.rs"]
mod tests;
