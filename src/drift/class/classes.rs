/*! Classes of histories: who lends strength to whom, and the parameters they share.

Who is in a class with whom: see [`super::members`]. A history alone in its class
stands on its own readings and the weak priors.

Values of a class are compared in units of each item's tolerance half-width where every
member states one, else of one robust size of the class's own changes between readings,
so that nothing depends on the unit chosen. Times are in years, or in typical years of
use on the usage axis.
*/

use super::basis::Basis;
use super::fit::{fit_class, log_likelihood_of};
use super::left::Left;
use super::members::group;
use super::missing::{MARGIN, Missing};
use super::own_scatter::OwnScatter;
use super::sample::{Sample, tolerance_scale};
use super::swing::ClassSwing;
use crate::drift::DriftSettings;
use crate::drift::pooled::borrowed::{Borrow, pooled_of_class};
use crate::drift::pooled::drifts::PooledDrift;
use crate::drift::series::readings::{Axis, Reading, Unread, fill_readings};
use crate::drift::state::filter::NODES;
use crate::drift::state::passed::Passed;
use crate::drift::state::recent_scatter::RecentScatter;
use crate::drift::state::surprise::Surprises;
use crate::records::{Histories, History, Item, date};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// Most fits of a class without the yearly swings that the fit before found.
const ROUNDS: usize = 3;

/// Rates that the members of a class share, in the class's scale and pace.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Rates {
    /// Mean drift per year.
    pub drift: f64,
    /// Variance of the drift between members (and of its mean), per year².
    pub drift_variance: f64,
    /// Variance of the wander, per year.
    pub wander: f64,
    /// Variance by which the drift turns, per year³.
    pub turning: f64,
    /// Variance of a reading beyond its stated u.
    pub excess: f64,
    /// Share of the variance of a stated u that all checks of an item have in common.
    pub common: f64,
    /// Share of the drift that fades a year (ageing that slows down); 0: it stays.
    pub damping: f64,
}

/// One set of rates and how much it is believed.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Node {
    /// The rates.
    pub rates: Rates,
    /// Weight; the weights of a class add up to one.
    pub weight: f64,
}

/// What the values of a class are measured in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Scale {
    /// Each item's tolerance half-width.
    Tolerance,
    /// One size for the class, in its unit.
    Fixed(f64),
    /// Nothing tells a size: no tolerance, no stated u, and no value but zero.
    Unknown,
}

/// What a class lends its members.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClassParameters {
    /// Likeliest rates.
    pub rates: Rates,
    /// Rates that are plausible, with weights.
    pub nodes: [Node; NODES],
    /// Variance of a reading without stated u, before the excess, in the class's scale.
    pub unstated_noise: f64,
    /// How the scatter of its members differs.
    pub own_scatter: OwnScatter,
    /// How their scatter changes with time.
    pub recent_scatter: RecentScatter,
    /// How its members swing with the year.
    pub swing: ClassSwing,
    /// How often and by how much its members surprise.
    pub surprises: Surprises,
    /// What it says of adjustments that nobody wrote down.
    pub missing: Option<Missing>,
    /// What its items are left at where the value left was not kept.
    pub left: Left,
    /// Unit of the values.
    pub scale: Scale,
    /// Unit of the times: years (1), or use in a typical year on the usage axis.
    pub pace: f64,
    /// Members with a reading.
    pub members: u32,
    /// Members with at least two readings: those that say something of drift.
    pub informed: u32,
    /// The day from which on checks did not enter, days since 1970-01-01; `None`: all entered.
    pub before: Option<f64>,
    /// Steps found in the sample, each by its probability.
    pub steps: f64,
    /// What the straight lines of the members share, where lines are to borrow.
    pub pooled: Option<PooledDrift>,
}

impl ClassParameters {
    /// Scale of one item of the class, in its unit.
    pub fn scale_of(&self, item: &Item) -> f64 {
        match self.scale {
            Scale::Fixed(size) => size,
            Scale::Tolerance => tolerance_scale(item).unwrap_or(1.0),
            Scale::Unknown => 1.0,
        }
    }

    /// Mean and variance of the members' drifts a `time` after they began, in the class's scale
    /// a year (or use): what a member's drift is before its readings say anything.
    pub fn drift_after(&self, time: f64) -> (f64, f64) {
        let (mut mean, mut variance) = (0.0, 0.0);
        for Node { rates, weight } in &self.nodes {
            let passed = Passed::of(time / self.pace, rates.damping);
            let kept = passed.left * passed.left * rates.drift_variance;
            mean += weight * passed.left * rates.drift;
            variance += weight * (kept + rates.turning * passed.drift);
        }
        (mean / self.pace, variance / (self.pace * self.pace))
    }

    /// As [`fill_readings`], the adjustments in it that seem to be missing in the record.
    pub(crate) fn fill_readings(
        &self,
        history: &History<'_>,
        axis: Axis,
        out: &mut Vec<Reading>,
    ) -> Option<Unread> {
        let unread = fill_readings(history, axis, out);
        if let Some(missing) = &self.missing {
            missing.suppose(out, self.scale_of(history.item));
        }
        unread
    }

    /// What the class learned from, in words; `None` where an item has no class beside itself.
    pub fn learned_words(&self) -> Option<String> {
        let until = self.before.map_or_else(String::new, |day| {
            let day = date::iso(day);
            format!(", their checks before {day}: later ones move their own instrument alone until the year is over")
        });
        (self.members > 1).then(|| {
            format!(
                "What its class lends was learned from {} histories{until}.",
                self.members
            )
        })
    }

    /// Variance of a reading with standard uncertainty `u` (NaN: not stated), without
    /// the excess, in the class's scale.
    pub fn noise_of(&self, u: f64, scale: f64) -> f64 {
        if u.is_nan() {
            self.unstated_noise
        } else {
            (u / scale) * (u / scale)
        }
    }
}

/// The classes of all histories.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Classes {
    /// Class of each history.
    pub of: Vec<u32>,
    /// Parameters of each class.
    pub parameters: Vec<ClassParameters>,
}

impl Classes {
    /// Parameters of the class of history `index`.
    pub fn of_history(&self, index: usize) -> &ClassParameters {
        &self.parameters[self.of[index] as usize]
    }
}

/// Finds the classes and their parameters by maximum marginal likelihood.
///
/// Deterministic for any number of threads: each class is fitted alone, its members in
/// their own order.
pub fn class_parameters(histories: &Histories, settings: &DriftSettings) -> Classes {
    class_parameters_by(histories, |basis| parameters_of(basis, settings))
}

/// As [`class_parameters`], the parameters of each class by `find`, from what it learns from.
pub fn class_parameters_by(
    histories: &Histories,
    find: impl Fn(&Basis<'_>) -> ClassParameters + Sync,
) -> Classes {
    let (of, members) = group(histories);
    let find = |class: &Vec<u32>| find(&Basis::of(histories, class));
    let parameters = members.par_iter().map(find).collect();
    Classes { of, parameters }
}

/// What the class of history `index` learns from.
pub fn basis_of(histories: &Histories, index: usize) -> Basis<'_> {
    let (of, members) = group(histories);
    Basis::of(histories, &members[of[index] as usize])
}

/// The histories of the class of history `index`, that one among them, in their order.
pub fn classmates(histories: &Histories, index: usize) -> Vec<usize> {
    let (of, members) = group(histories);
    let own = of.get(index).and_then(|class| members.get(*class as usize));
    own.map_or_else(Vec::new, |own| own.iter().map(|&i| i as usize).collect())
}

/// Parameters of one class from what it learns from.
pub fn parameters_of(basis: &Basis<'_>, settings: &DriftSettings) -> ClassParameters {
    let mut sample = Sample::of(basis, settings.axis, None);
    let mut found = fit_class(&sample);
    // Members that swing with the year would pass for wandering ones.
    for round in 0..ROUNDS {
        let again = Sample::of(basis, settings.axis, Some((&found, round)));
        if again.swinging == 0 {
            break;
        }
        sample = again;
        found = fit_class(&sample);
        if !found.swing.swings() {
            break;
        }
    }
    found = with_missing(basis, settings.axis, &sample, found);
    found.before = basis.before;
    if settings.borrow == Borrow::Class {
        found.pooled = pooled_of_class(basis, &found, settings.axis);
    }
    found
}

/// The class with the adjustments that seem to be missing in its record; `found` where none do.
fn with_missing(
    basis: &Basis<'_>,
    axis: Axis,
    sample: &Sample,
    found: ClassParameters,
) -> ClassParameters {
    let stands = log_likelihood_of(sample, &found);
    let suspected = Missing::suspected(sample, &found);
    let again = suspected.into_iter().map(|missing| {
        let supposed = ClassParameters {
            missing: Some(missing),
            ..found.clone()
        };
        let sample = Sample::of(basis, axis, Some((&supposed, ROUNDS)));
        let fitted = fit_class(&sample);
        let gain = log_likelihood_of(&sample, &fitted) + missing.log_likelihood() - stands;
        let missing = supposed.missing;
        (gain, ClassParameters { missing, ..fitted })
    });
    let best = again.max_by(|a, b| a.0.total_cmp(&b.0));
    best.filter(|(gain, _)| *gain > MARGIN)
        .map_or(found, |(_, fitted)| fitted)
}
