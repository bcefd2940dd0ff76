/*! Readings off by a power of ten, or of the other sign, against their neighbours in time. */

use super::scrutiny::Scrutiny;
use crate::records::History;
use crate::stats::median_of_sorted;
use crate::words::and_more;

/// Neighbours that a reading is compared with, on either side.
const NEIGHBOURS: usize = 3;

/// Fewest neighbours that can judge a reading.
const FEWEST_NEIGHBOURS: usize = 3;

/// Neighbours must agree this well (deviation ÷ level) before they can judge a reading.
const AGREEMENT: f64 = 0.15;

/// A slip or flip must meet the neighbours' level this well (relative).
const CLOSENESS: f64 = 0.3;

/// Powers of ten that a slip of the decimal sign or the unit makes.
const SLIPS: [i32; 10] = [-9, -6, -3, -2, -1, 1, 2, 3, 6, 9];

/// Up to this power of ten an honest error may lie from its neighbours: closer limits hold there.
const SMALL_POWER: i32 = 2;

/// Agreement and closeness for such powers.
const CLOSE_AGREEMENT: f64 = 0.05;
const VERY_CLOSE: f64 = 0.1;

/// A change of sign must be this many times the usual step from check to check: about zero both signs are usual, and on
/// a coarse display the neighbours agree by chance. Common practice, no source.
const BEYOND_SCATTER: f64 = 6.0;

/// How many times the smallest value of a history the largest is before any can have slipped: a
/// power of ten, as close as it must be met.
const WORTH_A_LOOK: f64 = 10.0 * (1.0 - VERY_CLOSE);

pub(crate) fn odd_values(found: &mut Scrutiny<'_>) {
    let history = found.history;
    if !worth_a_look(history.as_found) {
        return;
    }
    let (mut slips, mut flips) = (Vec::new(), Vec::new());
    let errors_alone = history.nominal.iter().all(|nominal| *nominal == 0.0);
    for i in 0..history.len() {
        // A value with a nominal is the reading itself; a slip shows there.
        let whole = |j: usize| history.as_found[j] + history.nominal[j];
        let error_level = neighbours(history.len(), i, |j| history.as_found[j]);
        let level = match errors_alone {
            true => error_level,
            false => neighbours(history.len(), i, whole),
        };
        let slip = level
            .and_then(|level| slip(whole(i), &level))
            .or_else(|| error_level.and_then(|level| slip(history.as_found[i], &level)));
        if let Some(power) = slip {
            slips.push((i, power));
        } else if error_level.is_some_and(|level| {
            flipped(history.as_found[i], level.middle)
                && 2.0 * level.middle.abs() > BEYOND_SCATTER * scatter(history.as_found)
        }) {
            flips.push(i);
        }
    }
    let mut warn = |i: usize, what: &str, more: usize| {
        let (value, place, more) = (shown(history, i), found.place(i), and_more(more));
        found.warn(format!("the value {value} {place} {what}?{more}"));
    };
    if let Some(&(i, power)) = slips.first() {
        let what = format!(
            "is about 10^{power} times its neighbours: a slip of the decimal sign or the unit"
        );
        warn(i, &what, slips.len() - 1);
    }
    if let Some(&i) = flips.first() {
        let what = "has the size of its neighbours but the other sign: a sign flip";
        warn(i, what, flips.len() - 1);
    }
}

fn shown(history: &History<'_>, i: usize) -> String {
    let value = history.as_found[i] + history.nominal[i];
    format!("{value} {}", history.item.unit)
        .trim_end()
        .to_string()
}

/// False for the usual history: one sign and no value ten times another.
fn worth_a_look(values: &[f64]) -> bool {
    let (mut smallest, mut largest, mut negative, mut positive) = (f64::INFINITY, 0f64, 0, 0);
    for value in values.iter().filter(|v| v.is_finite()) {
        smallest = smallest.min(value.abs());
        largest = largest.max(value.abs());
        negative += usize::from(*value < 0.0);
        positive += usize::from(*value > 0.0);
    }
    let few_of_one_sign =
        negative.min(positive) > 0 && negative.min(positive) * 4 <= negative.max(positive);
    few_of_one_sign || largest > WORTH_A_LOOK * smallest
}

/// Median step from one value to the next, which a drift hardly moves; 0 where there is none.
fn scatter(values: &[f64]) -> f64 {
    let steps = values.windows(2).map(|pair| (pair[1] - pair[0]).abs());
    let mut steps: Vec<f64> = steps.filter(|step| step.is_finite()).collect();
    match steps.is_empty() {
        true => 0.0,
        false => median(&mut steps),
    }
}

/// Where the neighbours of a reading lie.
#[derive(Clone, Copy)]
struct Level {
    middle: f64,
    /// How well they agree, as a part of it.
    agreement: f64,
}

/// Median of the neighbours of `i`; `None` where they are few or disagree.
fn neighbours(count: usize, i: usize, value: impl Fn(usize) -> f64) -> Option<Level> {
    let mut around = [0.0; 2 * NEIGHBOURS];
    let mut found = 0;
    for j in i.saturating_sub(NEIGHBOURS)..count.min(i + NEIGHBOURS + 1) {
        if j != i && value(j).is_finite() {
            around[found] = value(j);
            found += 1;
        }
    }
    if found < FEWEST_NEIGHBOURS {
        return None;
    }
    let around = &mut around[..found];
    let middle = median(around);
    around.iter_mut().for_each(|v| *v = (*v - middle).abs());
    let agreement = median(around) / middle.abs();
    (agreement <= AGREEMENT).then_some(Level { middle, agreement })
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_unstable_by(f64::total_cmp);
    median_of_sorted(values)
}

/// The power of ten by which `value` is off `level`.
fn slip(value: f64, level: &Level) -> Option<i32> {
    let ratio = value / level.middle;
    let close = |power: &i32| {
        let (agreement, closeness) = match power.abs() <= SMALL_POWER {
            true => (CLOSE_AGREEMENT, VERY_CLOSE),
            false => (AGREEMENT, CLOSENESS),
        };
        level.agreement <= agreement && (ratio / 10f64.powi(*power) - 1.0).abs() <= closeness
    };
    SLIPS.into_iter().find(close)
}

fn flipped(value: f64, level: f64) -> bool {
    level != 0.0 && (value / level + 1.0).abs() <= CLOSENESS
}
