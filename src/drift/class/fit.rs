/*! Parameters of one class: its rates, what its items are left at, and how its members may swing with
the year. */

use super::annual::ClassAnnualTerm;
use super::count::{count, scatter, surprises};
use super::explain::{Explanation, explain};
use super::left::Left;
use super::likelihood::{pass, transitions};
use super::own_scatter::{OwnScatter, Scatter};
use super::sample::{Sample, leave};
use super::swing::Supposed;
use crate::drift::class::parameters::{ClassParameters, STEPS_CONFIDENCE};
use crate::drift::state::recent_scatter::RecentScatter;
use crate::stats::mean_upper;
use std::borrow::Cow;

/// Rounds in which rates and levels left find each other, where some level was not kept.
const LEFT_ROUNDS: usize = 3;

/// A class as fitted to its readings.
pub(crate) struct Fitted {
    pub parameters: ClassParameters,
    /// How its members may swing with the year, and the class as if they did.
    pub swinging: Option<(Supposed, ClassParameters)>,
}

/// Parameters of the class behind `sample`.
pub(crate) fn fit_class(sample: &Sample) -> Fitted {
    let mut sample = Cow::Borrowed(sample);
    // From narrow on: levels thought too wide would pass for readings whose u is shared.
    let mut left = sample.about.narrow();
    if sample.has_unread() {
        sample.to_mut().leave(&left);
        for _ in 0..LEFT_ROUNDS {
            let found = fit_rates(&sample, left);
            left = left_of(&sample, &found);
            sample.to_mut().leave(&left);
        }
    }
    let (found, swinging) = fit_rates_and_swing(&sample, left);
    let left = left_of(&sample, &found);
    let with_left = |found| ClassParameters { left, ..found };
    Fitted {
        parameters: with_left(found),
        swinging: swinging.map(|(supposed, class)| (supposed, with_left(class))),
    }
}

/// What the items are left at, by the rates as `found`.
fn left_of(sample: &Sample, found: &ClassParameters) -> Left {
    let mut data = sample.data.clone();
    let between = transitions(&data, found.rates.damping);
    let unread = sample.has_unread();
    let mut log_likelihood = |left: &Left| {
        if !unread {
            return 0.0;
        }
        leave(&mut data, left);
        let [passed] = pass(&data, &between, &[found.rates], &found.surprises);
        passed.log_likelihood
    };
    let excess = found.rates.excess;
    sample
        .about
        .given(&sample.read_left, excess, &mut log_likelihood)
}

/// Log likelihood of the sample by the rates as `found`.
pub(crate) fn log_likelihood_of(sample: &Sample, found: &ClassParameters) -> f64 {
    let mut data = sample.data.clone();
    leave(&mut data, &found.left);
    let between = transitions(&data, found.rates.damping);
    let [passed] = pass(&data, &between, &[found.rates], &found.surprises);
    passed.log_likelihood
}

/// Parameters of the class whose unread levels are left as `left` says.
fn fit_rates(sample: &Sample, left: Left) -> ClassParameters {
    rates_of(sample, left, explain(sample))
}

/// As [`fit_rates`], with how its members swing where the readings speak for it.
fn fit_rates_and_swing(
    sample: &Sample,
    left: Left,
) -> (ClassParameters, Option<(Supposed, ClassParameters)>) {
    let explained = explain(sample);
    let supposed = explained.search.swinging(&explained.mode);
    let found = rates_of(sample, left, explained);
    let swinging = supposed.map(|supposed| {
        let class = ClassParameters {
            rates: supposed.rates,
            surprises: supposed.surprises,
            annual: ClassAnnualTerm::each_its_own(supposed.variance, supposed.belief),
            ..found.clone()
        };
        (supposed, class)
    });
    (found, swinging)
}

/// Parameters of the class by an explanation of its readings.
fn rates_of(sample: &Sample, left: Left, explained: Explanation<'_>) -> ClassParameters {
    let Explanation {
        mut search,
        mode,
        mut seen,
    } = explained;
    let rates = search.rates(&mode.at);
    let squares = scatter(sample, &rates, &search.surprises);
    let members: Vec<Scatter> = squares.iter().map(|own| Scatter::of(own)).collect();
    let own_scatter = OwnScatter::of(&members);
    let recent_scatter = RecentScatter::of(&own_scatter.shared(&squares));
    let modes = search.modes(mode);
    let quadrature_points = search.quadrature_points(&modes);
    if recent_scatter.changes() {
        seen = count(sample, &rates, &search.surprises, &recent_scatter);
        search.surprises = surprises(sample, &seen);
    }
    ClassParameters {
        rates,
        quadrature_points,
        unstated_noise: sample.unstated_noise,
        own_scatter,
        recent_scatter,
        annual: sample.annual,
        surprises: search.surprises,
        missing: None,
        left,
        scale: sample.scale,
        pace: sample.pace,
        members: sample.members,
        informed: sample.informed,
        before: None,
        steps: seen.meaning.step,
        years_per_step: sample.years_per_step,
        most_steps: mean_upper(seen.meaning.step, 1.0 - STEPS_CONFIDENCE) / seen.years,
        pooled: None,
    }
}
