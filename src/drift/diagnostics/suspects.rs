/*! Readings that lie far off the others: named, kept, and left out on request to show a
decision both ways.

The models with a curve are screened by deleted residuals ([`super::outliers`]). For the
state model the residual of a reading is its distance from the level that the readings
before and after it lead to expect, the reading itself left out; its standard deviation is
that of the smoothed level and of a reading, and the most extreme of n is judged by
Bonferroni's bound n·p. A reading with which the following ones agree is a step and is told
as one; so may be one that an event followed. Of the last reading nobody can tell yet, so it is named: the decision is shown with
and without it.
*/

use super::outliers::FAMILY_LEVEL;
use crate::drift::DriftSettings;
use crate::drift::class::parameters::ClassParameters;
use crate::drift::series::readings::Reading;
use crate::drift::state::annual::remove_annual_term;
use crate::drift::state::filter::StateFilter;
use crate::drift::state::innovation::is_far;
use crate::drift::state::smooth::smoothed;
use crate::drift::suspect::Suspect;
use crate::records::{Histories, History};
use crate::stats::normal_upper_two_sided;

/// Suspects are searched for one by one up to this many, and up to a fifth of the readings.
const MOST: usize = 5;
/// Fewest readings of which one can be called off.
const FEWEST_READINGS: usize = 4;
/// Of the readings looked at closely, this many that lie farthest off are judged in each search.
const MOST_JUDGED: usize = 32;
/// A reading is judged by this many checks before it and after it: what they tell of the level
/// is known to a thirtieth of the scatter, and those farther away add nothing that would show.
const NEAR: usize = 500;

/// Readings of `history` that do not fit the state model, most extreme first.
pub(crate) fn suspects_of_state(
    history: &History<'_>,
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Vec<Suspect> {
    let mut readings = Vec::with_capacity(history.len() + 1);
    class.fill_readings(history, settings.axis, &mut readings);
    let number = readings.len();
    let mut found: Vec<Suspect> = Vec::new();
    if number < FEWEST_READINGS {
        return found;
    }
    let scale = class.scale_of(history.item);
    let annual = remove_annual_term(&mut readings, class, scale, settings.axis);
    let as_read = |reading: &Reading| reading.value + annual.map_or(0.0, |s| s.at(reading.x));
    while found.len() < (number / 5).clamp(1, MOST) {
        let worst = odd(&readings, class, scale)
            .into_iter()
            .filter_map(|i| {
                let value = as_read(&readings[i]);
                judged(history, &found, (&readings, i, value), class, settings)
            })
            .map(|suspect| Suspect {
                p: (suspect.p * number as f64).min(1.0),
                ..suspect
            })
            .filter(|suspect| suspect.p < FAMILY_LEVEL)
            .max_by(|a, b| a.deleted.abs().total_cmp(&b.deleted.abs()));
        let Some(worst) = worst else { break };
        readings.retain(|r| (r.check, r.as_left) != (worst.row, worst.as_left));
        found.push(worst);
    }
    found
}

/// Indices of readings far off their forecast, and of the first reading where the second is,
/// those left out that may be a step; of many, those that lie farthest off.
fn odd(readings: &[Reading], class: &ClassParameters, scale: f64) -> Vec<usize> {
    let mut filter = StateFilter::of(readings, class, scale);
    // What was known before the reading before last, and before the last.
    let mut before = [filter.clone(), filter.clone()];
    let mut found: Vec<(f64, usize)> = Vec::new();
    for (i, reading) in readings.iter().enumerate() {
        before.swap(0, 1);
        before[1].clone_from(&filter);
        let Some(innovation) = filter.push(reading).filter(is_far) else {
            continue;
        };
        let distance = innovation.value * innovation.value / innovation.variance;
        let mut look_at = |j: usize, known: &StateFilter<'_>| {
            if !joins(readings, j, known) {
                found.push((distance, j));
            }
        };
        let opens = i < 2 || readings[i - 2].segment != reading.segment;
        // The first reading of a segment after an event has nothing before it to differ from; of two before an
        // event nothing says that it is the first that is off.
        let next = readings.get(i + 1);
        let alone = next.is_some_and(|next| next.segment != reading.segment);
        if opens && !alone && reading.segment == readings[0].segment {
            look_at(i - 1, &before[0]);
        }
        look_at(i, &before[1]);
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    found.truncate(MOST_JUDGED);
    found.sort_by_key(|(_, i)| *i);
    found.into_iter().map(|(_, i)| i).collect()
}

/// True where `i` may be a step: the reading after it is as far off what was `known` before `i`,
/// so that the two agree, or an event closed the segment before any could tell.
fn joins(readings: &[Reading], i: usize, known: &StateFilter<'_>) -> bool {
    let Some(next) = readings.get(i + 1) else {
        return false;
    };
    if next.segment != readings[i].segment {
        return true;
    }
    i > 0 && known.clone().push(next).as_ref().is_some_and(is_far)
}

/// Reading `i`, of this value as read, against the smoothed level without it; `p` is that of this reading alone.
fn judged(
    history: &History<'_>,
    before: &[Suspect],
    (readings, i, value): (&[Reading], usize, f64),
    class: &ClassParameters,
    settings: &DriftSettings,
) -> Option<Suspect> {
    let reading = readings.get(i)?;
    let mut suspect = Suspect {
        row: reading.check,
        as_left: reading.as_left,
        value,
        residual: f64::NAN,
        deleted: f64::NAN,
        p: f64::NAN,
        last: i + 1 == readings.len(),
    };
    let row = reading.check as usize;
    let near = row.saturating_sub(NEAR)..history.len().min(row + NEAR + 1);
    let left_out: Vec<Suspect> = before
        .iter()
        .chain([&suspect])
        .filter(|other| near.contains(&(other.row as usize)))
        .map(|other| Suspect {
            row: other.row - near.start as u32,
            ..*other
        })
        .collect();
    let others = without(&history.rows(near), &left_out);
    let level = smoothed(&others.get(0), class, settings, &[reading.x]);
    let expected = level.first()?;
    suspect.residual = value - expected.expected;
    suspect.deleted = suspect.residual / expected.u_reading;
    suspect.p = normal_upper_two_sided(suspect.deleted);
    suspect.p.is_finite().then_some(suspect)
}

/// The history without the readings named: their values are taken out, while dates,
/// outcomes and events stay as they are recorded.
pub(crate) fn without(history: &History<'_>, suspects: &[Suspect]) -> Histories {
    let mut columns = history.columns();
    for suspect in suspects {
        let row = suspect.row as usize;
        // An as-left value equal to the as-found one is the same reading.
        if suspect.as_left || columns.as_left[row] == columns.as_found[row] {
            columns.as_left[row] = f64::NAN;
        }
        columns.as_found[row] = f64::NAN;
    }
    columns.outcome = (0..history.len()).map(|i| history.outcome_at(i)).collect();
    Histories::of_one(history.item.clone(), columns)
}

#[cfg(test)]
#[path = "suspects_tests.rs"]
pub(crate) mod tests;
