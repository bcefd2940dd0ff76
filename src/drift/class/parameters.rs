/*! What a class lends its members. */

use super::annual::ClassAnnualTerm;
use super::left::Left;
use super::missing::Missing;
use super::own_scatter::OwnScatter;
use super::rates::{ClassScale, QUADRATURE_POINTS, QuadraturePoint, Rates, tolerance_scale};
use crate::drift::pooled::drifts::PooledDrift;
use crate::drift::series::readings::{Axis, Reading, Unread, fill_readings};
use crate::drift::state::recent_scatter::RecentScatter;
use crate::drift::state::surprise::Surprises;
use crate::drift::state::transition::Transition;
use crate::records::{History, Item, date};
use crate::words::count;
use serde::{Deserialize, Serialize};

/// Confidence of the largest rate of steps that agrees with a record.
pub(crate) const STEPS_CONFIDENCE: f64 = 0.95;

/// What a class lends its members.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClassParameters {
    /// Likeliest rates.
    pub rates: Rates,
    /// Rates that are plausible, with weights.
    pub quadrature_points: [QuadraturePoint; QUADRATURE_POINTS],
    /// Variance of a reading without stated u, before the excess, in the class's scale.
    pub unstated_noise: f64,
    /// How the scatter of its members differs.
    pub own_scatter: OwnScatter,
    /// How their scatter changes with time.
    pub recent_scatter: RecentScatter,
    /// How its members swing with the year.
    pub annual: ClassAnnualTerm,
    /// How often and by how much its members surprise.
    pub surprises: Surprises,
    /// What it says of adjustments that nobody wrote down.
    pub missing: Option<Missing>,
    /// What its items are left at where the value left was not kept.
    pub left: Left,
    /// Unit of the values.
    pub scale: ClassScale,
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
    /// Years in which one step was believed in before any was seen.
    pub years_per_step: f64,
    /// The most steps a year (or use, in the class's pace) that agree with those found, at
    /// [`STEPS_CONFIDENCE`]: the exact upper limit of a Poisson mean (F. Garwood, Biometrika 28,
    /// 1936) over the years watched; infinite where none were watched.
    pub most_steps: f64,
    /// What the straight lines of the members share, where lines are to borrow.
    pub pooled: Option<PooledDrift>,
}

impl ClassParameters {
    /// Scale of one item of the class, in its unit.
    pub(crate) fn scale_of(&self, item: &Item) -> f64 {
        match self.scale {
            ClassScale::Fixed(size) => size,
            ClassScale::Tolerance => tolerance_scale(item).unwrap_or(1.0),
            ClassScale::Unknown => 1.0,
        }
    }

    /// Mean and variance of the members' drifts a `time` after they began, in the class's scale
    /// a year (or use): what a member's drift is before its readings say anything.
    pub(crate) fn drift_after(&self, time: f64) -> (f64, f64) {
        let (mut mean, mut variance) = (0.0, 0.0);
        for QuadraturePoint { rates, weight } in &self.quadrature_points {
            let transition = Transition::of(time / self.pace, rates.damping);
            let kept = transition.left * transition.left * rates.drift_variance;
            mean += weight * transition.left * rates.drift;
            variance += weight * (kept + rates.turning * transition.drift);
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

    /// Item-years in which steps were looked for, without those that the belief before is
    /// worth; on the usage axis in its pace.
    pub(crate) fn years_watched(&self) -> f64 {
        self.surprises.step_years - self.years_per_step
    }

    /// What the class learned from, in words; `None` where an item has no class beside itself.
    pub(crate) fn learned_words(&self) -> Option<String> {
        let until = self.before.map_or_else(String::new, |day| {
            let day = date::iso(day);
            format!(", their checks before {day}: later ones move their own instrument alone until the year is over")
        });
        (self.members > 1).then(|| {
            format!(
                "What its class lends was learned from {}{until}.",
                count(self.members as usize, "history")
            )
        })
    }

    /// Variance of a reading with standard uncertainty `u` (NaN: not stated), without
    /// the excess, in the class's scale.
    pub(crate) fn noise_of(&self, u: f64, scale: f64) -> f64 {
        if u.is_nan() {
            self.unstated_noise
        } else {
            (u / scale) * (u / scale)
        }
    }
}
