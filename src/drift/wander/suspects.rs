/*! Readings that lie far off the others, for the wander model: named, never left out.

A reading is judged by what all others, before and after it, lead to expect: the smoothed level
without it, from variances fitted without it, since one wild reading swells the noise it would be
measured by. Its distance over √(u²(level) + u²(reading)) follows Student's t with the n − p − 1
degrees of freedom of a deleted residual, under Bonferroni's bound over the n readings. These are
the auxiliary residuals of A. C. Harvey and S. J. Koopman (J. Business and Economic Statistics 10
(1992) 377–389), with the reading deleted. As for the line the screen goes on after the most extreme
one is taken out, so that two cannot hide each other, and flags up to the last that is significant
(B. Rosner, Technometrics 25 (1983) 165–172).

A step is no outlier: both its neighbours lie half of it off, and the wander takes it.
*/

use super::likelihood::Likelihood;
use super::model::{WanderFit, fit_wander_readings};
use crate::drift::diagnostics::outliers::FAMILY_LEVEL;
use crate::drift::series::readings::Reading;
use crate::drift::suspect::Suspect;
use crate::drift::wander::innovations::standardised;
use crate::drift::wander::smooth::smoothed_wander;
use crate::stats::student_two_sided;

/// Suspects are searched for one by one up to this many, and up to a fifth of the readings.
const MOST: usize = 5;
/// Fewest readings of which one can be called off.
const FEWEST_READINGS: usize = 6;
/// Largest one-step forecast errors that are looked at, each with the reading before it.
const LOOKED_AT: usize = 4;
/// A reading nearer than this to what the others expect, over the standard deviation that it has
/// itself swollen, is not wild in a history of six or more.
const NEAR: f64 = 1.8;

/// Readings that do not fit `fit`, the wander model of all of them, most extreme first.
pub(crate) fn suspects_of_wander(readings: &[Reading], fit: &WanderFit) -> Vec<Suspect> {
    let number = readings.len();
    if number < FEWEST_READINGS {
        return Vec::new();
    }
    let mut kept: Vec<usize> = (0..number).collect();
    let mut rest = readings.to_vec();
    let mut fit = *fit;
    let mut taken: Vec<(usize, f64)> = Vec::new();
    while taken.len() < (number / 5).clamp(1, MOST) {
        let Some(worst) = oddest(&rest, &fit) else {
            break;
        };
        let reading = rest.remove(worst);
        let index = kept.remove(worst);
        let Ok(without) = fit_wander_readings(&rest, Likelihood::Restricted) else {
            break;
        };
        let (_, deleted) = off(&rest, &without, &reading);
        let p = (number as f64 * chance(deleted, &without)).min(1.0);
        taken.push((index, p));
        fit = without;
    }
    let last = taken.iter().rposition(|(_, p)| *p < FAMILY_LEVEL);
    taken.truncate(last.map_or(0, |last| last + 1));
    let family = taken.last().map_or(f64::NAN, |(_, p)| *p);
    suspects_of(readings, &taken, family)
}

/// The flagged readings as the wander of all others sees them; `p` is that of the whole set.
fn suspects_of(readings: &[Reading], taken: &[(usize, f64)], p: f64) -> Vec<Suspect> {
    let flagged = |index: usize| taken.iter().any(|(taken, _)| *taken == index);
    let others = (0..readings.len()).filter(|index| !flagged(*index));
    let others: Vec<Reading> = others.map(|index| readings[index]).collect();
    if taken.is_empty() {
        return Vec::new();
    }
    let Ok(fit) = fit_wander_readings(&others, Likelihood::Restricted) else {
        return Vec::new();
    };
    let suspect = |(index, _): &(usize, f64)| {
        let reading = readings[*index];
        let (residual, deleted) = off(&others, &fit, &reading);
        Suspect {
            row: reading.check,
            as_left: reading.as_left,
            value: reading.value,
            residual,
            deleted,
            p,
            last: index + 1 == readings.len(),
        }
    };
    taken.iter().map(suspect).collect()
}

/// The reading furthest off what all others expect, at the variances of `fit`, among those
/// that the one-step forecast errors point at; `None` where none is far off.
fn oddest(readings: &[Reading], fit: &WanderFit) -> Option<usize> {
    let mut errors: Vec<(usize, f64)> = Vec::with_capacity(readings.len());
    standardised(readings, fit, |index, z| errors.push((index, z.abs())));
    errors.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    // Of the first readings only the ones after them can tell.
    let early = (0..2.min(readings.len())).chain([readings.len() - 1]);
    let pointed = errors.iter().take(LOOKED_AT);
    let candidates = pointed.flat_map(|(index, _)| [index.saturating_sub(1), *index]);
    let far = |index: usize| {
        let mut others = readings.to_vec();
        let reading = others.remove(index);
        // The only reading of its segment has no other to differ from.
        let alone = others.iter().all(|other| other.segment != reading.segment);
        let (_, deleted) = off(&others, fit, &reading);
        (!alone && deleted.abs() > NEAR).then_some((index, deleted.abs()))
    };
    candidates
        .chain(early)
        .filter_map(far)
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
        .map(|(index, _)| index)
}

/// Distance of `reading` from the smoothed level of the others, and over its standard deviation.
fn off(others: &[Reading], fit: &WanderFit, reading: &Reading) -> (f64, f64) {
    let level = smoothed_wander(others, fit, &[reading.x]);
    let Some(level) = level.first() else {
        return (f64::NAN, f64::NAN);
    };
    let stated = if fit.u_stated {
        reading.u * reading.u
    } else {
        0.0
    };
    let residual = reading.value - level.expected;
    let shared = fit.forecast.u_common * fit.forecast.u_common;
    let variance = level.u_error * level.u_error - shared + fit.noise + stated;
    (residual, residual / variance.sqrt())
}

/// Probability of so large a deleted residual by chance, of one reading.
fn chance(deleted: f64, without: &WanderFit) -> f64 {
    let freedom = f64::from(without.readings) - f64::from(without.parameters);
    let p = student_two_sided(deleted, freedom);
    if p.is_nan() { 1.0 } else { p }
}

#[cfg(test)]
#[path = "wander_suspects_tests.rs"]
mod tests;
