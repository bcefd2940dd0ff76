/*! What is kept of a group between runs: all that was found of it. */

use super::bins::Bin;
use super::compare::{LackOfFit, NestedTest};
use super::fit::LifeFit;
use super::group::{CurvePoint, GroupReliability, group_outcomes};
use super::interval::{Basis, GroupInterval};
use super::models::LifeModelName;
use super::monotone::Step;
use super::outcomes::{Outcomes, Unused};
use super::{ReliabilitySettings, TargetKind};
use crate::kept;
use crate::kept::Kept;
use crate::records::Histories;
use rayon::prelude::*;

/// As [`super::group_reliability`], each group by `find`, which is told its name, the number of
/// its histories and their outcomes: all that its reliability rests on beside the settings.
pub fn group_reliability_by(
    histories: &Histories,
    settings: &ReliabilitySettings,
    find: impl Fn(String, u64, Outcomes) -> GroupReliability + Sync,
) -> Vec<GroupReliability> {
    group_outcomes(histories, settings)
        .into_par_iter()
        .map(|(group, (count, outcomes))| find(group, count, outcomes))
        .collect()
}

kept!(Unused {
    unknown,
    no_time,
    already_out
});
kept!(Bin {
    days,
    mean_days,
    inside,
    checks,
    proportion,
    limits
});
kept!(NestedTest {
    simple,
    large,
    ratio,
    p_value
});
kept!(LackOfFit {
    deviance,
    degrees_of_freedom,
    p_value,
    pooled
});
kept!(Step {
    days,
    last_days,
    reliability,
    checks
});
kept!(CurvePoint {
    days,
    reliability,
    lower,
    upper
});
kept!(LifeFit {
    name,
    theta,
    fixed,
    covariance,
    ln_likelihood,
    parameters,
    aicc,
    became,
    notes
});
kept!(GroupInterval {
    target,
    days,
    limits_days,
    lower_days,
    model_spread_days,
    extrapolated,
    basis,
    reason
});
kept!(GroupReliability {
    group,
    histories,
    outcomes,
    fits,
    not_fitted,
    chosen,
    tied,
    tests,
    lack_of_fit,
    curve,
    interval,
    bins,
    steps,
    sentences,
    target_kind,
    level
});

impl Kept for LifeModelName {
    fn put(&self, to: &mut Vec<u8>) {
        let place = Self::ALL.iter().position(|name| name == self);
        place.unwrap_or(usize::MAX).put(to);
    }

    fn take(from: &mut &[u8]) -> Option<Self> {
        Self::ALL.get(usize::take(from)?).copied()
    }
}

impl Kept for TargetKind {
    fn put(&self, to: &mut Vec<u8>) {
        (*self == TargetKind::EndOfPeriod).put(to);
    }

    fn take(from: &mut &[u8]) -> Option<Self> {
        Some(match bool::take(from)? {
            true => TargetKind::EndOfPeriod,
            false => TargetKind::AverageOverPeriod,
        })
    }
}

impl Kept for Basis {
    fn put(&self, to: &mut Vec<u8>) {
        let (fitted, demonstrated) = match self {
            Basis::Fitted(name) => (Some(*name), false),
            Basis::Demonstrated => (None, true),
            Basis::Nothing => (None, false),
        };
        (fitted, demonstrated).put(to);
    }

    fn take(from: &mut &[u8]) -> Option<Self> {
        Some(match Kept::take(from)? {
            (Some(name), _) => Basis::Fitted(name),
            (None, true) => Basis::Demonstrated,
            (None, false) => Basis::Nothing,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_group_is_taken_back_as_it_was_found() {
        let settings = ReliabilitySettings::default();
        for failures in [0, 12] {
            let mut outcomes = Outcomes::default();
            for (days, inside) in [(180.0, 40), (365.0, 40), (730.0, 40)] {
                outcomes.add_checks(days, inside, failures).unwrap();
            }
            let found = GroupReliability::new("DMM".into(), 60, outcomes, &settings, 0.95);
            assert_eq!(found.chosen.is_some(), failures > 0);
            let mut bytes = Vec::new();
            found.put(&mut bytes);
            let mut rest = bytes.as_slice();
            let taken = GroupReliability::take(&mut rest).unwrap();
            assert!(rest.is_empty());
            assert_eq!(format!("{taken:?}"), format!("{found:?}"));
        }
    }
}
