/*! How often a class surprises: steps, breaks and outlying readings counted by their
probability, and the little that is believed before any is seen.
*/

use super::own_scatter::square_of;
use super::sample::Sample;
use crate::drift::class::rates::{Rates, Scale};
use crate::drift::series::join::Join;
use crate::drift::state::estimate::{LEAST_VARIANCE, StateEstimate};
use crate::drift::state::recent_scatter::{Recent, RecentScatter};
use crate::drift::state::surprise::{Meaning, Surprises, takes_back};

/// Steps and breaks per year before any is seen, weighed against what is seen: gamma priors
/// of 0.3 and 0.1 in 15 years, our own choice on the closed loop's development seeds.
const STEPS_BEFORE: f64 = 0.3;
const BREAKS_BEFORE: f64 = 0.1;
const YEARS_BEFORE: f64 = 15.0;
/// Outlying readings before any is seen: 0.2 in 40.
const OUTLYING_BEFORE: f64 = 0.2;
const READINGS_BEFORE: f64 = 40.0;
/// Standard deviations of a step and of the drift that a break adds a year, in the scale:
/// half-widths of the tolerance, or typical changes between readings.
const SURPRISE_SIZES: (f64, f64) = (0.7, 0.35);
const SURPRISE_CHANGES: (f64, f64) = (7.0, 7.0);
/// Variance of an outlying reading over that of another: three times the scatter.
const OUTLYING_FACTOR: f64 = 8.0;
/// Belief in a surprise from which the next reading is asked whether it takes it back.
const BELIEVED: f64 = 0.5;
/// Surprises counted by their probability, over the years and readings watched.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Count {
    pub meaning: Meaning,
    pub years: f64,
    pub readings: f64,
}

/// Rates of surprise: what was counted, and the little believed before.
pub(crate) fn surprises(scale: Scale, count: &Count) -> Surprises {
    let (step, broken) = match scale {
        Scale::Tolerance => SURPRISE_SIZES,
        Scale::Fixed(_) | Scale::Unknown => SURPRISE_CHANGES,
    };
    let years = count.years + YEARS_BEFORE;
    Surprises {
        step_rate: (count.meaning.step + STEPS_BEFORE) / years,
        step_years: years,
        break_rate: (count.meaning.broken + BREAKS_BEFORE) / years,
        outlying_share: (count.meaning.outlying + OUTLYING_BEFORE)
            / (count.readings + READINGS_BEFORE),
        step_variance: step * step,
        break_variance: broken * broken,
        outlying_factor: OUTLYING_FACTOR,
    }
}

/// Squared innovations with `rates` of each stretch of the sample that shares a drift.
pub(crate) fn scatter(sample: &Sample, rates: &Rates, surprises: &Surprises) -> Vec<Vec<f64>> {
    let mut members: Vec<Vec<f64>> = Vec::new();
    let mut estimate = StateEstimate::default();
    for datum in &sample.data {
        let noise = datum.noise_with(rates);
        if datum.join == Join::NewDrift {
            estimate = StateEstimate::initial(datum.value, noise, rates);
            members.push(Vec::new());
            continue;
        }
        estimate = estimate.predicted(datum.time, rates);
        if datum.join == Join::NewLevel {
            estimate = estimate.with_new_level(datum.value, noise);
            continue;
        }
        let off = datum.value - estimate.error;
        if let Some(own) = members.last_mut() {
            let variance = (estimate.error_variance + noise).max(LEAST_VARIANCE);
            own.push(square_of(off, variance));
        }
        estimate = surprises.update(&estimate, off, noise, datum.time).0;
    }
    members
}

/// Surprises found with `rates`, and the years and readings watched; what a scatter that
/// changes explains surprises nobody.
pub(crate) fn count(
    sample: &Sample,
    rates: &Rates,
    surprises: &Surprises,
    scatter: &RecentScatter,
) -> Count {
    let mut count = Count::default();
    let mut estimate = StateEstimate::default();
    let mut last: Option<Odd> = None;
    let mut recent = Recent::default();
    for datum in &sample.data {
        if datum.join == Join::NewDrift {
            recent = Recent::default();
        }
        let (lately, _) = scatter.lately(&recent);
        let noise = match datum.unread {
            true => datum.noise,
            false => rates.noise_lately(datum.noise, lately),
        };
        let before = last.take();
        if datum.join == Join::NewDrift {
            estimate = StateEstimate::initial(datum.value, noise, rates);
            continue;
        }
        estimate = estimate.predicted(datum.time, rates);
        if datum.join == Join::NewLevel {
            estimate = estimate.with_new_level(datum.value, noise);
            continue;
        }
        let off = datum.value - estimate.error;
        let variance = (estimate.error_variance + noise).max(LEAST_VARIANCE);
        let lately = noise / rates.noise(datum.noise);
        recent.add(lately * square_of(off, variance), scatter);
        let update = surprises.mixture_update(&estimate, off, noise, datum.time);
        let here = match before {
            Some(odd) if odd.is_taken_back_by(datum.value) => {
                count.meaning = count.meaning.plus(&odd.meaning, -1.0);
                Meaning {
                    outlying: 1.0,
                    ..Meaning::default()
                }
            }
            _ => {
                last = Odd::of(datum.value, off, update.meaning);
                update.meaning
            }
        };
        count.meaning = count.meaning.plus(&here, 1.0);
        count.years += datum.time;
        count.readings += 1.0;
        estimate = update.estimate;
    }
    count
}

/// A reading that is believed to surprise, until the next one speaks.
struct Odd {
    expected: f64,
    off: f64,
    meaning: Meaning,
}

impl Odd {
    fn of(value: f64, off: f64, meaning: Meaning) -> Option<Self> {
        (meaning.surprise() > BELIEVED).then_some(Self {
            expected: value - off,
            off,
            meaning,
        })
    }

    /// The next reading is where this one was expected.
    fn is_taken_back_by(&self, next: f64) -> bool {
        takes_back(next, self.expected, self.off)
    }
}
