/*! How often a class surprises: steps, breaks and outlying readings counted by their
probability, and the little that is believed before any is seen.
*/

use super::own_scatter::square_of;
use super::sample::{Datum, Sample};
use super::walk::{Expected, Observer, walk};
use crate::drift::class::rates::{ClassScale, Rates};
use crate::drift::series::join::Join;
use crate::drift::state::estimate::StateEstimate;
use crate::drift::state::recent_scatter::{Recent, RecentScatter};
use crate::drift::state::surprise::{Meaning, Surprises, takes_back};

/// Steps before any is seen, in the years that the settings state, weighed against what is seen.
/// The gamma prior of one event is the exponential one, which of all priors with its mean says
/// least (E. T. Jaynes, *Information theory and statistical mechanics*, 1957); fewer events would
/// promise that a class whose few years held no step has none.
const STEPS_BEFORE: f64 = 1.0;
/// Breaks of the drift likewise: 0.1 in 15 years, our own choice on the closed loop's
/// development seeds.
const BREAKS_BEFORE: f64 = 0.1;
const BREAK_YEARS_BEFORE: f64 = 15.0;
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
pub(crate) fn surprises(sample: &Sample, count: &Count) -> Surprises {
    let (step, broken) = match sample.scale {
        ClassScale::Tolerance => SURPRISE_SIZES,
        ClassScale::Fixed(_) | ClassScale::Unknown => SURPRISE_CHANGES,
    };
    let step_years = count.years + sample.years_per_step;
    Surprises {
        step_rate: (count.meaning.step + STEPS_BEFORE) / step_years,
        step_years,
        break_rate: (count.meaning.broken + BREAKS_BEFORE) / (count.years + BREAK_YEARS_BEFORE),
        outlying_share: (count.meaning.outlying + OUTLYING_BEFORE)
            / (count.readings + READINGS_BEFORE),
        step_variance: step * step,
        break_variance: broken * broken,
        outlying_factor: OUTLYING_FACTOR,
    }
}

/// Squared innovations with `rates` of each stretch of the sample that shares a drift.
pub(crate) fn scatter(sample: &Sample, rates: &Rates, surprises: &Surprises) -> Vec<Vec<f64>> {
    let mut scatter = ScatterOfMembers {
        rates,
        surprises,
        members: Vec::new(),
    };
    walk(&sample.data, rates, &mut scatter);
    scatter.members
}

struct ScatterOfMembers<'a> {
    rates: &'a Rates,
    surprises: &'a Surprises,
    members: Vec<Vec<f64>>,
}

impl Observer for ScatterOfMembers<'_> {
    fn noise_of(&mut self, datum: &Datum) -> f64 {
        if datum.join == Join::NewDrift {
            self.members.push(Vec::new());
        }
        datum.noise_with(self.rates)
    }

    fn update(&mut self, expected: &Expected<'_>) -> StateEstimate {
        if let Some(own) = self.members.last_mut() {
            own.push(square_of(expected.innovation(), expected.variance()));
        }
        expected.updated(self.surprises)
    }
}

/// Surprises found with `rates`, and the years and readings watched; what a scatter that
/// changes explains surprises nobody.
pub(crate) fn count(
    sample: &Sample,
    rates: &Rates,
    surprises: &Surprises,
    scatter: &RecentScatter,
) -> Count {
    let mut counting = Counting {
        rates,
        surprises,
        scatter,
        count: Count::default(),
        recent: Recent::default(),
        before: None,
        last: None,
    };
    walk(&sample.data, rates, &mut counting);
    counting.count
}

struct Counting<'a> {
    rates: &'a Rates,
    surprises: &'a Surprises,
    scatter: &'a RecentScatter,
    count: Count,
    recent: Recent,
    /// The surprise of the reading before, and of this one.
    before: Option<Odd>,
    last: Option<Odd>,
}

impl Observer for Counting<'_> {
    fn noise_of(&mut self, datum: &Datum) -> f64 {
        if datum.join == Join::NewDrift {
            self.recent = Recent::default();
        }
        self.before = self.last.take();
        let (lately, _) = self.scatter.lately(&self.recent);
        match datum.unread {
            true => datum.noise,
            false => self.rates.noise_lately(datum.noise, lately),
        }
    }

    fn update(&mut self, expected: &Expected<'_>) -> StateEstimate {
        let Expected { datum, noise, .. } = *expected;
        let off = expected.innovation();
        let lately = noise / self.rates.noise(datum.noise);
        let square = square_of(off, expected.variance());
        self.recent.add(lately * square, self.scatter);
        let estimate = &expected.predicted;
        let update = self
            .surprises
            .mixture_update(estimate, off, noise, datum.time);
        let here = match self.before.take() {
            Some(odd) if odd.is_taken_back_by(datum.value) => {
                self.count.meaning = self.count.meaning.plus(&odd.meaning, -1.0);
                Meaning {
                    outlying: 1.0,
                    ..Meaning::default()
                }
            }
            _ => {
                self.last = Odd::of(datum.value, off, update.meaning);
                update.meaning
            }
        };
        self.count.meaning = self.count.meaning.plus(&here, 1.0);
        self.count.years += datum.time;
        self.count.readings += 1.0;
        update.estimate
    }
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

#[cfg(test)]
mod tests {
    use crate::drift::class_parameters;
    use crate::drift::settings::{DriftSettings, GroupDrift, YEARS_PER_STEP};
    use crate::drift::testing::*;

    /// Two groups of four that hardly move, checked yearly for five years.
    fn calm() -> Histories {
        fleet(["known", "other"].into_iter().flat_map(|group| {
            (0..4).map(move |member| {
                let mut record = Record::new();
                record.item.group = group.into();
                record.item.instrument = format!("{group}-{member}");
                (0..6).fold(record, |record, check| {
                    let noise = f64::from((member * 7 + check * 13) % 17) / 17.0 - 0.5;
                    record.check(365.25 * f64::from(check), 0.02 * noise)
                })
            })
        }))
    }

    /// One step in the years that the settings state for the group, and none in those watched.
    #[test]
    fn steps_are_believed_in_as_the_settings_state_for_the_group() {
        let mut settings = DriftSettings::default();
        let own = GroupDrift {
            years_per_step: Some(300.0),
        };
        settings.group.insert("known".into(), own);
        let all = calm();
        let classes = class_parameters(&all, &settings);
        for (history, years) in [(0, 300.0), (4, YEARS_PER_STEP)] {
            let class = classes.of_history(history);
            let watched = class.years_watched();
            assert_eq!(class.years_per_step, years);
            near!(watched, 20.0, 0.1);
            let rate = class.surprises.step_rate;
            let expected = (1.0 + class.steps) / (years + watched);
            near!(rate / expected, 1.0, 1e-9);
            assert!(class.steps < 0.02, "{}", class.steps);
        }
    }

    #[test]
    fn years_that_no_record_could_bear_are_refused() {
        let wrong = |years| {
            let text = format!("[drift.group.\"PG\"]\nyears_per_step = {years}\n");
            let settings: Result<toml::Value, _> = toml::from_str(&text);
            let drift = settings.unwrap()["drift"].clone();
            let settings: DriftSettings = drift.try_into().unwrap();
            settings.together()
        };
        assert!(wrong(12.0).is_empty());
        assert_eq!(wrong(0.0).len(), 1);
        assert_eq!(wrong(1e9).len(), 1);
    }
}
