/*! The interval of a group at a target: fitted where a model can be, else what is shown exactly. */

use super::bounds::{at_most, demonstrated_interval};
use super::likelihood::LifeData;
use super::profile::Profile;
use super::result::{Basis, GroupInterval, GroupReliability};
use super::why_not::percent;
use crate::records::DAYS_PER_YEAR;

/// Time that a sentence states in days: what a model says beyond it is no figure to rely on, as where
/// a Weibull shape near nought lets R all but stand still (ours, no source).
const LONGEST_TOLD: f64 = 100.0 * DAYS_PER_YEAR;
const BEYOND: &str = "more than 100 years";

/// A time in whole days, or that it is longer than any that is told.
fn told(days: f64) -> String {
    match days > LONGEST_TOLD {
        true => BEYOND.into(),
        false => format!("{} d", whole(days)),
    }
}

impl GroupReliability {
    /// Interval of this group at `target`, a probability above 0 and below 1.
    pub(crate) fn interval_at(&self, target: f64) -> GroupInterval {
        if !(target > 0.0 && target < 1.0) {
            let because = format!(
                "a reliability target of {target} cannot be met or missed by any record; give one above 0 and below 1"
            );
            return GroupInterval::none(target, because);
        }
        match self.chosen {
            Some(index) => self.fitted_interval(index, target),
            None => self.demonstrated(target),
        }
    }

    fn fitted_interval(&self, index: usize, target: f64) -> GroupInterval {
        let (fit, kind, level) = (&self.fits[index], self.target_kind, self.level);
        let years = kind.interval(fit.name.model(), &fit.theta, target);
        let name = fit.name.words();
        if years.is_nan() || years <= 0.0 {
            let because = format!(
                "the fitted {name} model is below {target} from the start (R just after renewal too low)"
            );
            return GroupInterval::none(target, because);
        }
        if years.is_infinite() {
            let because = format!(
                "the fitted {name} model never falls to {target}: the records set no upper end"
            );
            return GroupInterval::none(target, because);
        }
        let data = LifeData::new(&self.outcomes);
        let limits = Profile::new(fit, &data, kind).interval_limits(target, level);
        let days = years * DAYS_PER_YEAR;
        let spread = self.model_spread(target);
        let extrapolated = self.longest_days().is_some_and(|longest| days > longest);
        let mut found = GroupInterval {
            target,
            days: Some(days),
            limits_days: limits.map(|l| (l.lower * DAYS_PER_YEAR, l.upper * DAYS_PER_YEAR)),
            lower_days: limits.map(|l| l.one_sided_lower * DAYS_PER_YEAR),
            model_spread_days: spread,
            extrapolated,
            basis: Basis::Fitted(fit.name),
            why: String::new(),
        };
        found.why = self.fitted_words(name, &found);
        found
    }

    /// What a fit by the model of this `name` says of the interval that was found by it.
    fn fitted_words(&self, name: &str, found: &GroupInterval) -> String {
        let (target, days) = (found.target, found.days.unwrap_or(f64::NAN));
        let mut reason = format!(
            "{name} R(t) stays at {target} or above {} {}",
            self.target_kind.words(),
            match days > LONGEST_TOLD {
                true => BEYOND.replace("more", "for more"),
                false => format!("up to {} d", whole(days)),
            }
        );
        if let Some((lower, upper)) = found.limits_days {
            reason += &format!(
                " ({} % limits {} to {})",
                percent(self.level),
                told(lower),
                match upper {
                    upper if upper.is_finite() => told(upper),
                    _ => "no end that the records set".into(),
                }
            );
        }
        if let Some((low, high)) = found
            .model_spread_days
            .filter(|(low, high)| whole(*low) != whole(*high))
        {
            reason += &format!(
                "; the models that fit about as well give {} to {}",
                match high > LONGEST_TOLD {
                    true => told(low),
                    false => whole(low),
                },
                told(high)
            );
        }
        if found.extrapolated {
            reason +=
                "; this lies beyond the longest time seen, so the model decides, not the records";
        }
        reason
    }

    fn demonstrated(&self, target: f64) -> GroupInterval {
        let (inside, outside) = self.outcomes.totals();
        if inside + outside == 0 {
            return GroupInterval::none(target, "no check has an outcome and a time since renewal");
        }
        if inside == 0 {
            let longest = self.longest_days().unwrap_or(0.0);
            let bound = at_most(&self.outcomes, longest, self.level);
            let because = format!(
                "every check found the item out of tolerance ({})",
                bound.words
            );
            return GroupInterval::none(target, because);
        }
        // R never rises, so the bound at the end of the interval holds for the average too.
        match demonstrated_interval(&self.outcomes, target, self.level) {
            Ok(bound) => GroupInterval {
                target,
                days: Some(bound.days),
                limits_days: None,
                lower_days: Some(bound.days),
                model_spread_days: None,
                extrapolated: false,
                basis: Basis::Demonstrated,
                why: format!(
                    "shown without a model up to {} d: {}",
                    whole(bound.days),
                    bound.words
                ),
            },
            Err(because) => GroupInterval::none(target, because),
        }
    }

    /// Range of the finite intervals of the fits that tie with the best.
    fn model_spread(&self, target: f64) -> Option<(f64, f64)> {
        let interval = |i: &usize| {
            let fit = &self.fits[*i];
            let years = self
                .target_kind
                .interval(fit.name.model(), &fit.theta, target);
            years * DAYS_PER_YEAR
        };
        let all = self.tied.iter().map(interval).filter(|d| d.is_finite());
        all.fold(None, |range: Option<(f64, f64)>, d| {
            Some(range.map_or((d, d), |(low, high)| (low.min(d), high.max(d))))
        })
    }
}

/// Days as a sentence shows them: whole days begun do not count, as in every interval.
pub(super) fn whole(days: f64) -> String {
    if days < 10.0 {
        format!("{days:.1}")
    } else {
        format!("{}", days.floor())
    }
}
