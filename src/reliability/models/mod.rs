/*! Life models: how the probability of being in tolerance falls with time since renewal.

A model is one file: ln R(t; θ) with its gradient, shapes to start from, bounds, what
it becomes at a bound, and its source. Likelihood, fit and limits live once, beside.

All parameters are positive and fitted on a log scale, and each says how it scales
with time, so that any model can be stretched to reach a target at a given time.
*/

mod exponential;
mod gamma;
mod imperfect_start;
mod linear_hazard;
mod lognormal;
mod mixed_exponential;
mod modified_gamma;
mod normal_drift;
mod random_walk;
mod restricted_random_walk;
mod warranty;
mod weibull;

use crate::stats::root;
use serde::{Deserialize, Serialize};

macro_rules! life_models {
    ($($(#[$about:meta])* $name:ident $file:ident $words:literal;)*) => {
        /// A life model, as settings and tables name it.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum LifeModelName {
            $($(#[$about])* $name,)*
        }

        impl LifeModelName {
            /// Every model, simplest first.
            pub(crate) const ALL: &[LifeModelName] = &[$(LifeModelName::$name),*];

            /// The model itself.
            pub(crate) fn model(self) -> &'static dyn LifeModel {
                match self {
                    $(LifeModelName::$name => &$file::$name,)*
                }
            }

            /// The words used in tables and sentences.
            pub(crate) fn words(self) -> &'static str {
                match self {
                    $(LifeModelName::$name => $words,)*
                }
            }
        }
    };
}

impl LifeModelName {
    /// The words where room is scarce, as clear beside the others.
    pub(crate) fn short_words(self) -> &'static str {
        match self {
            LifeModelName::ImperfectStart => "imperfect start",
            other => other.words(),
        }
    }
}

// One line a model, simplest first: its type and its file, and the words of tables and sentences.
life_models! {
    /// Sudden events at a constant rate.
    Exponential exponential "exponential";
    /// The same, with some items out of tolerance from the start.
    ImperfectStart imperfect_start "exponential with imperfect start";
    /// Hazard a power of time.
    Weibull weibull "Weibull";
    /// Items with different constant rates.
    MixedExponential mixed_exponential "mixed exponential";
    /// Error diffuses without bound.
    RandomWalk random_walk "random walk";
    /// Error diffuses and is pulled back.
    RestrictedRandomWalk restricted_random_walk "restricted random walk";
    /// Several stages of wear.
    Gamma gamma "gamma";
    /// Four stages of wear.
    ModifiedGamma modified_gamma "modified gamma";
    /// Hazard grows in proportion to time from a first value.
    LinearHazard linear_hazard "linear hazard";
    /// High plateau, then a fall.
    Warranty warranty "warranty";
    /// Normal error whose mean drifts to one limit.
    NormalDrift normal_drift "normal drift";
    /// Degradation by many small factors.
    Lognormal lognormal "lognormal";
}

/// One positive parameter of a model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Parameter {
    /// Name in tables.
    pub name: &'static str,
    /// Power of "per time" in its unit: 1 for a rate, −1 for a time, 0 for a pure number.
    pub per_time: i32,
    /// Smallest value tried, in units of the typical time of the outcomes.
    pub lower: f64,
    /// Largest value tried, same unit.
    pub upper: f64,
}

impl Parameter {
    const fn new(name: &'static str, per_time: i32, lower: f64, upper: f64) -> Self {
        Self {
            name,
            per_time,
            lower,
            upper,
        }
    }

    /// Unit in words where time is in years.
    pub(crate) fn unit(&self) -> &'static str {
        match self.per_time {
            2 => "per year²",
            1 => "per year",
            -1 => "years",
            _ => "",
        }
    }
}

/// What a model becomes when one parameter reaches an end of its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reduction {
    /// Index of the parameter.
    pub parameter: usize,
    /// Its value at the end: 0 or infinite.
    pub at: f64,
    /// The simpler model, where it is one of ours.
    pub becomes: Option<LifeModelName>,
    /// The same in words.
    pub words: &'static str,
}

/// A life model; `t` in years, `theta` in the order of [`LifeModel::parameters`].
pub(crate) trait LifeModel: Sync {
    /// Its parameters.
    fn parameters(&self) -> &'static [Parameter];
    /// ln R(t; θ); writes ∂ ln R/∂θ to `gradient`.
    fn ln_reliability(&self, t: f64, theta: &[f64], gradient: &mut [f64]) -> f64;
    /// Parameter sets of different shape to start from, on any time scale.
    fn shapes(&self) -> &'static [&'static [f64]];
    /// What it becomes at the ends of its parameters.
    fn reductions(&self) -> &'static [Reduction] {
        &[]
    }
}

/// Most parameters any model has.
pub(crate) const MOST_PARAMETERS: usize = 3;

/// R(t; θ).
pub(crate) fn reliability(model: &dyn LifeModel, t: f64, theta: &[f64]) -> f64 {
    model
        .ln_reliability(t, theta, &mut [0.0; MOST_PARAMETERS])
        .exp()
}

/// θ stretched so that it reaches at time t what the given one reaches at `factor` · t.
pub(crate) fn rescaled(model: &dyn LifeModel, theta: &[f64], factor: f64) -> Vec<f64> {
    let stretch = |(value, p): (&f64, &Parameter)| value * factor.powi(p.per_time);
    theta.iter().zip(model.parameters()).map(stretch).collect()
}

/// Times beyond these, relative to one year, count as "at once" and "never".
const SHORTEST_TIME: f64 = 1e-9;
const LONGEST_TIME: f64 = 1e9;

/// Time at which R falls to `target`: 0 where it starts below, infinite where it
/// stays above for ever (or a billion years).
pub(crate) fn time_at(model: &dyn LifeModel, theta: &[f64], target: f64) -> f64 {
    let mut gradient = [0.0; MOST_PARAMETERS];
    let ln_target = target.ln();
    crossing(|t| model.ln_reliability(t, theta, &mut gradient) - ln_target)
}

/// Time at which a falling function of time crosses zero, searched on a log scale.
pub(super) fn crossing(mut excess: impl FnMut(f64) -> f64) -> f64 {
    let at = excess(1.0);
    if at.is_nan() {
        return f64::NAN;
    }
    let (mut low, mut high) = (0.0f64, 0.0f64);
    let mut step = 1.0f64;
    if at > 0.0 {
        while excess(high.exp()) > 0.0 {
            low = high;
            high += step;
            step *= 2.0;
            if low > LONGEST_TIME.ln() {
                return f64::INFINITY;
            }
        }
    } else {
        while excess(low.exp()) <= 0.0 {
            high = low;
            low -= step;
            step *= 2.0;
            if high < SHORTEST_TIME.ln() {
                return 0.0;
            }
        }
    }
    root(low, high, |ln_t| excess(ln_t.exp()).clamp(-1e300, 1e300)).map_or(f64::NAN, f64::exp)
}

#[cfg(test)]
mod tests;
