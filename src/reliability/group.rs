/*! One group's reliability: all fits, the chosen one, its curve, interval and sentences. */

use super::bins::bins;
use super::compare::{best, lack_of_fit, nested_tests, tied};
use super::fit::{MANY_TIMES, fit};
use super::likelihood::LifeData;
use super::models::reliability;
use super::monotone::monotone;
use super::outcomes::Outcomes;
use super::profile::{LimitCurves, Profile};
use super::result::{CurvePoint, GroupInterval, GroupReliability};
use super::turnbull::never_failed;
use super::why_not::WhyNot;
use super::{ReliabilitySettings, TargetKind, sentences};
use crate::records::{DAYS_PER_YEAR, Histories, Item};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Joined times that the limits of a large group's curve come from: steps of a hundredth of
/// what was seen.
const CURVE_TIMES: usize = 100;

/// The group an item belongs to: its group, else its point and unit.
pub(crate) fn group_key(item: &Item) -> String {
    if !item.group.is_empty() {
        return item.group.clone();
    }
    match (item.point.is_empty(), item.unit.is_empty()) {
        (true, true) => "all".into(),
        (false, true) => item.point.clone(),
        (true, false) => item.unit.clone(),
        (false, false) => format!("{} ({})", item.point, item.unit),
    }
}

fn outcomes_of(
    histories: &Histories,
    settings: &ReliabilitySettings,
    wanted: impl Fn(&str) -> bool,
) -> BTreeMap<String, (u64, Outcomes)> {
    let mut groups: BTreeMap<String, (u64, Outcomes)> = BTreeMap::new();
    for history in histories.iter() {
        let key = group_key(history.item);
        if !wanted(&key) {
            continue;
        }
        let entry = groups.entry(key).or_default();
        entry.0 += 1;
        entry.1.add_history(&history, settings.renewal);
    }
    groups
}

impl GroupReliability {
    /// Fits one group.
    pub(crate) fn new(
        group: String,
        histories: u64,
        outcomes: Outcomes,
        settings: &ReliabilitySettings,
        target: f64,
    ) -> Self {
        let data = LifeData::new(&outcomes);
        let (mut fits, mut not_fitted) = (Vec::new(), Vec::new());
        for name in &settings.models {
            match fit(*name, &data) {
                Ok(fit) => fits.push(fit),
                Err(reason) => not_fitted.push((*name, reason)),
            }
        }
        let chosen = best(&fits);
        let steps = match outcomes.is_current_status() {
            true => monotone(&outcomes).unwrap_or_default(),
            false => never_failed(&outcomes),
        };
        let mut result = Self {
            group,
            histories,
            tied: tied(&fits),
            tests: nested_tests(&fits),
            lack_of_fit: match chosen {
                Some(index) => lack_of_fit(&fits[index], &outcomes),
                None => Err(WhyNot::NoModel),
            },
            curve: Vec::new(),
            interval: GroupInterval::unasked(target),
            bins: bins(&outcomes, &steps, settings.bins as usize, settings.level),
            steps,
            sentences: Vec::new(),
            target_kind: settings.target_kind,
            level: settings.level,
            chosen,
            fits,
            not_fitted,
            outcomes,
        };
        result.curve = result.curve_of_chosen(&data, settings.curve_points as usize);
        result.interval = result.interval_at(target);
        result.sentences = sentences::of(&result);
        result
    }

    /// Equal steps from 0 to a tenth past the longest time seen. Limits of large groups
    /// come from joined times, which move them by less than 0.001 (a test looks).
    fn curve_of_chosen(&self, data: &LifeData, points: usize) -> Vec<CurvePoint> {
        let (Some(fit), Some(longest)) = (self.chosen_fit(), self.longest_days()) else {
            return Vec::new();
        };
        let many = data.distinct_times() > MANY_TIMES;
        let joined = many.then(|| data.coarse(CURVE_TIMES));
        let joined_fit = joined
            .as_ref()
            .and_then(|data| super::fit(fit.name, data).ok());
        let profile = || match (&joined_fit, &joined) {
            (Some(fit), Some(data)) => Profile::new(fit, data, TargetKind::EndOfPeriod),
            _ => Profile::new(fit, data, TargetKind::EndOfPeriod),
        };
        let last = points.saturating_sub(1).max(1) as f64;
        let days = |i: usize| 1.1 * longest * i as f64 / last;
        // Each limit is sought from the estimate, so that their order says nothing.
        let limits: Vec<LimitCurves> = (1..points)
            .into_par_iter()
            .map_init(profile, |profile, i| {
                profile.limit_curves(days(i) / DAYS_PER_YEAR, self.level)
            })
            .collect();
        let point = |i: usize| {
            let at = |theta: &[f64]| reliability(fit.name.model(), days(i) / DAYS_PER_YEAR, theta);
            let r = at(&fit.theta);
            let (lower, upper) = allowed(&limits, i, r, at);
            CurvePoint {
                days: days(i),
                reliability: r,
                lower,
                upper,
            }
        };
        (0..points).map(point).collect()
    }
}

/// The band at point `i` of a curve from the `limits` of points 1, 2, …: as wide as any curve
/// through a limit of any point shows it to be, and as R only falls, nowhere above the lower
/// limit of an earlier point or below the upper one of a later point. A search that ends too
/// early at one age thus leaves no notch.
fn allowed(limits: &[LimitCurves], i: usize, r: f64, at: impl Fn(&[f64]) -> f64) -> (f64, f64) {
    let through = || limits.iter().flat_map(|limit| &limit.through);
    let shown = through().map(|theta| at(theta));
    let (low, high) = shown.fold((r, r), |(low, high), x| (low.min(x), high.max(x)));
    let earlier = limits[..i].iter().map(|limit| limit.lower);
    let later = limits[i.saturating_sub(1)..]
        .iter()
        .map(|limit| limit.upper);
    (earlier.fold(low, f64::min), later.fold(high, f64::max))
}

/// As `group_reliability`, for the groups that are `wanted`, each by `find`, which is told its name, the number of
/// its histories and their outcomes: all that its reliability rests on beside the settings.
pub(crate) fn group_reliability_by(
    histories: &Histories,
    settings: &ReliabilitySettings,
    wanted: impl Fn(&str) -> bool,
    find: impl Fn(String, u64, Outcomes) -> GroupReliability + Sync,
) -> Vec<GroupReliability> {
    outcomes_of(histories, settings, wanted)
        .into_par_iter()
        .map(|(group, (count, outcomes))| find(group, count, outcomes))
        .collect()
}

#[cfg(test)]
mod tests;
