/*! Rates that the members of a class share, how much each set of them is believed, and in what they are measured. */

use crate::records::Item;
use serde::{Deserialize, Serialize};

/// Sets of class parameters a filter carries.
pub(crate) const QUADRATURE_POINTS: usize = 9;

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

impl Rates {
    /// Variance by which a reading scatters about the true error and what all checks share,
    /// where its stated variance is `stated`.
    #[inline]
    pub(crate) fn noise(&self, stated: f64) -> f64 {
        self.own_part(stated) + self.excess
    }

    /// What of a `stated` variance is each reading's own.
    #[inline]
    pub(crate) fn own_part(&self, stated: f64) -> f64 {
        stated * (1.0 - self.common)
    }

    /// As [`Rates::noise`] where readings lately scatter by `factor` times the variance: a
    /// stated u is never taken for less than it says.
    pub(crate) fn noise_lately(&self, stated: f64, factor: f64) -> f64 {
        self.own_part(stated) * factor.max(1.0) + self.excess * factor
    }
}

/// One set of rates and how much it is believed.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct QuadraturePoint {
    pub rates: Rates,
    /// Weight; the weights of a class add up to one.
    pub weight: f64,
}

/// What the values of a class are measured in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum ClassScale {
    /// Each item's tolerance half-width.
    Tolerance,
    /// One size for the class, in its unit.
    Fixed(f64),
    /// Nothing tells a size: no tolerance, no stated u, and no value but zero.
    Unknown,
}

/// Half-width of a finite tolerance that can serve as a unit.
pub(crate) fn tolerance_scale(item: &Item) -> Option<f64> {
    let half = item.tolerance?.half_width();
    (half.is_finite() && half > f64::MIN_POSITIVE.sqrt() && half < f64::MAX.sqrt()).then_some(half)
}
