/*! Classes of histories: who lends strength to whom, and the parameters they share.

Who is in a class with whom: see [`super::members`]. A history alone in its class
stands on its own readings and the weak priors.

Values of a class are compared in units of each item's tolerance half-width where every
member states one, else of one robust size of the class's own changes between readings,
so that nothing depends on the unit chosen. Times are in years, or in typical years of
use crate::drift::class::parameters::ClassParameters;
use on the usage axis.
*/

use super::basis::Basis;
use super::fit::{Fitted, fit_class, log_likelihood_of};
use super::members::group;
use super::missing::{MARGIN, Missing};
use super::parameters::ClassParameters;
use super::sample::Sample;
use super::sample_swing::Known;
use crate::drift::DriftSettings;
use crate::drift::pooled::of_class::pooled_of_class;
use crate::drift::settings::Pooling;
use crate::records::Histories;
use rayon::prelude::*;
use std::sync::OnceLock;

/// Fits of a class without the yearly swings that the fit before found.
const ROUNDS: usize = 3;

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
pub(crate) fn class_parameters_by(
    histories: &Histories,
    find: impl Fn(&Basis<'_>) -> ClassParameters + Sync,
) -> Classes {
    let (of, members) = group(histories);
    let find = |class: &Vec<u32>| find(&Basis::of(histories, class));
    let parameters = members.par_iter().map(find).collect();
    Classes { of, parameters }
}

/// The classes of all histories, each learned when it is first asked for.
pub(crate) struct LazyClasses<'h> {
    histories: &'h Histories,
    of: Vec<u32>,
    members: Vec<Vec<u32>>,
    learned: Vec<OnceLock<ClassParameters>>,
}

impl<'h> LazyClasses<'h> {
    /// The classes, of which none is learned yet.
    pub(crate) fn of(histories: &'h Histories) -> Self {
        let (of, members) = group(histories);
        let learned = members.iter().map(|_| OnceLock::new()).collect();
        Self {
            histories,
            of,
            members,
            learned,
        }
    }

    /// Parameters of the class of history `index`, by `find`.
    pub(crate) fn of_history(
        &self,
        index: usize,
        find: &impl Fn(&Basis<'_>) -> ClassParameters,
    ) -> &ClassParameters {
        let class = self.of[index] as usize;
        let learn = || find(&Basis::of(self.histories, &self.members[class]));
        self.learned[class].get_or_init(learn)
    }
}

/// What the class of history `index` learns from.
pub(crate) fn basis_of(histories: &Histories, index: usize) -> Basis<'_> {
    let (of, members) = group(histories);
    Basis::of(histories, &members[of[index] as usize])
}

/// The histories of the class of history `index`, that one among them, in their order.
pub(crate) fn class_members(histories: &Histories, index: usize) -> Vec<usize> {
    let (of, members) = group(histories);
    let own = of.get(index).and_then(|class| members.get(*class as usize));
    own.map_or_else(Vec::new, |own| own.iter().map(|&i| i as usize).collect())
}

/// Parameters of one class from what it learns from.
pub(crate) fn parameters_of(basis: &Basis<'_>, settings: &DriftSettings) -> ClassParameters {
    let (sample, found) = without_swings(basis, settings);
    let mut found = with_missing(basis, settings, &sample, found);
    found.before = basis.before;
    if settings.borrow == Pooling::Class {
        found.pooled = pooled_of_class(basis, &found, settings.axis);
    }
    found
}

/// The readings of a class without the yearly swings of its members, which would pass for
/// wander, and what they say of the class.
fn without_swings(basis: &Basis<'_>, settings: &DriftSettings) -> (Sample, ClassParameters) {
    let first = Sample::of(basis, settings, None);
    let Fitted {
        parameters,
        swinging,
    } = fit_class(&first);
    let own = Sample::of(basis, settings, Some(Known::new(&parameters)));
    let fitted = |sample: Sample| {
        let found = fit_class(&sample).parameters;
        (sample, found)
    };
    // Few members that swing alone are found by their own readings and must lend no one.
    let swinging = swinging.filter(|(supposed, _)| supposed.is_sure() || own.annual_members == 0);
    let Some((supposed, class)) = swinging else {
        return match own.annual_members {
            0 => (first, parameters),
            _ => fitted(own),
        };
    };
    if !supposed.is_sure() {
        let known = Known::new(&class).whose_swing_stands();
        return fitted(Sample::of(basis, settings, Some(known)));
    }
    let again =
        |class: &ClassParameters| fitted(Sample::of(basis, settings, Some(Known::new(class))));
    (1..ROUNDS).fold(again(&class), |(_, found), _| again(&found))
}

/// The class with the adjustments that seem to be missing in its record; `found` where none do.
fn with_missing(
    basis: &Basis<'_>,
    settings: &DriftSettings,
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
        let sample = Sample::of(basis, settings, Some(Known::new(&supposed)));
        let fitted = fit_class(&sample).parameters;
        let gain = log_likelihood_of(&sample, &fitted) + missing.log_likelihood() - stands;
        let missing = supposed.missing;
        (gain, ClassParameters { missing, ..fitted })
    });
    let best = again.max_by(|a, b| a.0.total_cmp(&b.0));
    best.filter(|(gain, _)| *gain > MARGIN)
        .map_or(found, |(_, fitted)| fitted)
}
