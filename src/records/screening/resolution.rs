/*! The grid on which a display or a certificate gives its values, and its part of u.

A value read on steps of δ stands for anything within ±δ/2: a uniform distribution with
standard uncertainty δ/√12 (GUM, JCGM 100:2008, F.2.2.1). Averaging takes that part away only
as far as other scatter carries the readings from step to step. Of a level that normal
noise σ moves, the mean of rounded readings is off by a first harmonic that shrinks as
exp(−2π²σ²/δ²) (B. Widrow and I. Kollár, *Quantization noise*, 2008; formula from memory), so
the part δ/√12·exp(−2π²σ²/δ²) is common to all readings of the item and joins u_common.

The step is given, or seen in a history's values: eight of them or more, of which half repeat
another, all a whole number of steps apart; of a history that shows too few, in those of all
histories of its group, unit and point. A seen step counts only where u is below δ/√12,
since such a u cannot contain it; a larger one is taken to contain it, as a budget does.

A display that cuts off what is behind its step shows values whose mean is off by half a step:
a known effect, corrected by its middle (JCGM 100:2008, 3.2.3). Values do not tell it, so it is stated.
*/

use crate::records::grid::{Display, Grid};
use crate::records::{Histories, History, Item};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Fewest values that show a step: on steps half as wide, so many would all be even multiples
/// once in 2⁷ times.
const FEWEST_VALUES: usize = 8;
/// Rounding of values as written, relative to the largest.
const ROUNDING: f64 = 1e-9;

/// The steps that the values of histories read alike show together, by their group, unit and point.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Steps(BTreeMap<(String, String, String), f64>);

impl Steps {
    /// Takes over those of another part of the fleet, which shares no group with this one.
    pub(crate) fn join(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    fn of(&self, item: &Item) -> Option<f64> {
        // A fleet mostly shows none, and its names need no copy then.
        let key = || (item.group.clone(), item.unit.clone(), item.point.clone());
        (!self.0.is_empty()).then(|| self.0.get(&key()).copied())?
    }
}

/// Adds the grid's part to every reading: that of the step `given` and its display, else of the one
/// seen (0), and takes a reading that was cut off for the middle of what it stands for.
/// Returns the steps that were seen of several histories together, those that are `known` of the
/// fleet in their place.
pub(crate) fn settle(
    histories: &mut Histories,
    (given, display): (f64, Display),
    known: Option<&Steps>,
) -> Steps {
    let shared = match (given > 0.0, known) {
        (true, _) => Steps::default(),
        (false, Some(known)) => known.clone(),
        (false, None) => shared_steps(histories),
    };
    let grid = |index: usize| {
        let history = histories.get(index);
        match given > 0.0 {
            true => Some(Grid::of(given, noise(&history), display)),
            false => seen(&history, shared.of(history.item)),
        }
    };
    let all = 0..histories.len();
    let found: Vec<Option<Grid>> = all.into_par_iter().map(grid).collect();
    for (index, grid) in found.into_iter().enumerate() {
        histories.items[index].grid = grid;
        let Some(grid) = grid else { continue };
        for row in histories.offsets[index]..histories.offsets[index + 1] {
            let columns = &mut histories.columns;
            let nominal = columns.nominal[row];
            (columns.u[row], columns.u_common[row]) = grid.widened(
                (columns.as_found[row], nominal),
                columns.u[row],
                columns.u_common[row],
            );
            for value in [&mut columns.as_found[row], &mut columns.as_left[row]] {
                *value = grid.middle(*value, nominal);
            }
        }
    }
    shared
}

/// Histories that are read alike, as far as the register tells: group, unit and point.
type ReadAlike<'a> = (&'a str, &'a str, &'a str);

fn read_alike(item: &Item) -> ReadAlike<'_> {
    (&item.group, &item.unit, &item.point)
}

fn owned((group, unit, point): &ReadAlike<'_>) -> (String, String, String) {
    (group.to_string(), unit.to_string(), point.to_string())
}

/// The step of all values of each group, unit and point that show one.
fn shared_steps(histories: &Histories) -> Steps {
    let mut members: BTreeMap<ReadAlike<'_>, Vec<usize>> = BTreeMap::new();
    for (index, item) in histories.items.iter().enumerate() {
        if !item.group.is_empty() {
            members.entry(read_alike(item)).or_default().push(index);
        }
    }
    let step = |members: &[usize]| {
        let all = members.iter().map(|index| histories.get(*index));
        step(all.flat_map(|history| values(&history)).collect())
    };
    let found = members
        .par_iter()
        .map(|(alike, own)| Some((owned(alike), step(own)?)));
    Steps(found.flatten().collect())
}

/// The grid that the values of a history show, else that of those `shared` with its like, where
/// its u cannot contain it.
fn seen(history: &History<'_>, shared: Option<f64>) -> Option<Grid> {
    let step = step(values(history).collect()).or(shared)?;
    let grid = Grid::of(step, noise(history), Display::Rounds);
    let stated = stated(history).unwrap_or_else(|| scatter(history));
    (stated < grid.u).then_some(grid)
}

/// Values as found and as left, oldest first.
fn values<'a>(history: &History<'a>) -> impl Iterator<Item = f64> + use<'a> {
    let (found, left) = (history.as_found, history.as_left);
    let both = found
        .iter()
        .zip(left)
        .flat_map(|(found, left)| [*found, *left]);
    both.filter(|value| value.is_finite())
}

/// The step of which all `values` are a whole number apart; `None` where too few, or too few
/// alike, show one.
fn step(values: Vec<f64>) -> Option<f64> {
    let number = values.len();
    let gaps = Gaps::of(values)?;
    let shown = number >= FEWEST_VALUES && 2 * (gaps.between.len() + 1) <= number;
    shown.then(|| gaps.common_step()).flatten()
}

/// What lies between values that differ.
pub(super) struct Gaps {
    between: Vec<f64>,
    /// Rounding of the values: what is below it is no gap.
    least: f64,
}

impl Gaps {
    /// The gaps between `values`, in any order; `None` where there is no value.
    pub(super) fn of(mut values: Vec<f64>) -> Option<Self> {
        values.sort_by(f64::total_cmp);
        let largest = values.first()?.abs().max(values.last()?.abs());
        let least = ROUNDING * largest;
        let between = values
            .windows(2)
            .map(|pair| pair[1] - pair[0])
            .filter(|gap| *gap > least)
            .collect();
        Some(Self { between, least })
    }

    /// The largest step of which every gap is a whole number; `None` where rounding hides it.
    /// Of few values it may be a multiple of the true one.
    pub(super) fn common_step(self) -> Option<f64> {
        let least = self.least;
        // Euclid's algorithm; what is left below the rounding is none.
        let common = |mut a: f64, mut b: f64| {
            while b > 100.0 * least {
                (a, b) = (b, (a - b * (a / b).round()).abs());
            }
            a
        };
        let step = self.between.into_iter().reduce(common)?;
        (step.is_finite() && step > 1e3 * least).then_some(step)
    }
}

/// Median stated u; `None` where none is.
fn stated(history: &History<'_>) -> Option<f64> {
    let mut stated: Vec<f64> = history.u.iter().copied().filter(|u| !u.is_nan()).collect();
    let middle = stated.len().checked_sub(1)? / 2;
    Some(*stated.select_nth_unstable_by(middle, f64::total_cmp).1)
}

/// What moves a reading from step to step beside the grid: no more than u says, nor than the
/// readings scatter.
fn noise(history: &History<'_>) -> f64 {
    let scatter = scatter(history);
    stated(history).map_or(scatter, |u| u.min(scatter))
}

/// Scatter of the readings from one to the next: root mean square of their changes over √2.
fn scatter(history: &History<'_>) -> f64 {
    let found: Vec<f64> = history
        .as_found
        .iter()
        .copied()
        .filter(|v| v.is_finite())
        .collect();
    let changes = found.windows(2).map(|pair| (pair[1] - pair[0]).powi(2));
    let number = found.len().saturating_sub(1).max(1) as f64;
    (changes.sum::<f64>() / number / 2.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::Record;

    fn history(values: &[f64], u: f64) -> Histories {
        let add =
            |record: Record, (i, value): (usize, &f64)| record.check(365.25 * i as f64, *value);
        let mut all = values
            .iter()
            .enumerate()
            .fold(Record::new(), add)
            .histories();
        all.columns.u.fill(u);
        all
    }

    /// No step is given.
    const SEEN: (f64, Display) = (0.0, Display::Rounds);
    const COARSE: [f64; 9] = [0.0, 0.4, 0.0, 0.4, 0.4, 0.8, 0.4, 0.8, 0.8];

    #[test]
    fn a_coarse_display_is_seen_and_its_part_added() {
        for unit in [1.0, 1e-12, 1e9] {
            let values = COARSE.map(|v| v * unit);
            let mut all = history(&values, 0.05 * unit);
            settle(&mut all, SEEN, None);
            let grid = all.items[0].grid.unwrap();
            near!(grid.step / unit, 0.4, 1e-9);
            near!(grid.u / unit, 0.115470, 1e-6);
            let expected = 0.115470 * (-2.0f64 * (std::f64::consts::PI * 0.125).powi(2)).exp();
            near!(grid.u_common / unit, expected, 1e-6);
            let u = all.columns.u[3] / unit;
            near!(u, 0.05f64.hypot(0.115470), 1e-6);
        }
    }

    #[test]
    fn a_fine_one_or_one_that_u_can_contain_changes_nothing() {
        let fine = [0.11, 0.23, 0.18, 0.31, 0.29, 0.42, 0.37, 0.55, 0.51];
        for (values, u) in [
            (fine, 0.001),
            (COARSE, 0.2),
            (COARSE.map(|v| v + 1e-3 * v * v), 0.05),
        ] {
            let before = history(&values, u);
            let mut all = before.clone();
            settle(&mut all, SEEN, None);
            assert_eq!(all.items[0].grid, None, "{values:?}");
            assert_eq!(all.columns.u, before.columns.u);
        }
        let mut few = history(&COARSE[..7], 0.05);
        settle(&mut few, SEEN, None);
        assert_eq!(few.items[0].grid, None);
    }

    /// A history that shows one value alone learns the step from those of its group.
    #[test]
    fn one_value_alone_takes_the_step_of_its_group() {
        let still = [0.4; 8];
        let record = |values: &[f64], group: &str| {
            let add =
                |record: Record, (i, value): (usize, &f64)| record.check(365.25 * i as f64, *value);
            let mut record = values.iter().enumerate().fold(Record::new(), add);
            record.columns.u.fill(0.05);
            record.item.group = group.into();
            record
        };
        for (group, seen) in [("gauges", true), ("", false)] {
            let records = [record(&COARSE, group), record(&still, group)];
            let mut all = crate::records::testing::fleet(records);
            settle(&mut all, SEEN, None);
            assert_eq!(all.items[1].grid.is_some(), seen);
        }
    }

    #[test]
    fn a_step_that_is_given_counts_always() {
        let mut all = history(&COARSE[..3], 0.2);
        settle(&mut all, (0.4, Display::Rounds), None);
        near!(all.columns.u[0], 0.2f64.hypot(0.4 / 12f64.sqrt()), 1e-12);
        assert!(all.columns.u_common[0] > 0.0);
    }

    #[test]
    fn a_display_that_cuts_is_corrected_by_half_a_step() {
        let mut all = history(&COARSE[..3], 0.2);
        settle(&mut all, (0.4, Display::Cuts), None);
        assert_eq!(all.columns.as_found, [0.0, 0.6, 0.0]);
        near!(all.columns.u[1], 0.2f64.hypot(0.4 / 12f64.sqrt()), 1e-12);
        near!(all.columns.u[0], 0.2f64.hypot(0.8 / 12f64.sqrt()), 1e-12);
        let mut down = history(&COARSE[..3], 0.2);
        settle(&mut down, (0.4, Display::CutsDown), None);
        assert_eq!(down.columns.as_found, [0.2, 0.6, 0.2]);
    }
}
