/*! The findings of a replay in plain sentences, and no more than the record supports. */

use super::coverage::Coverage;
use super::summary::{Difference, ForecasterResult, MethodResult};
use super::{CRPS, Misses, Replay};
use crate::words::{agreeing, and_others, count, significant};

/// Limits of a coverage wider than this say nothing worth a sentence.
const TOO_WIDE: f64 = 0.2;
/// Histories named at the most.
const MOST_NAMED: usize = 6;
/// A share inside this near to the level is called so, whatever the limits.
const NEAR: f64 = 0.01;

/// The findings, most important first.
pub(super) fn findings(
    forecasters: &[ForecasterResult],
    methods: &[MethodResult],
    differences: &[Difference],
    replay: &Replay,
) -> Vec<String> {
    let mut words = Vec::new();
    if let Some(first) = forecasters.first() {
        let elsewhere = off_level(first, replay);
        let verdict = match elsewhere.is_empty() {
            true => RIGHT.to_string(),
            false => format!(
                "right on the whole, but not everywhere: {}",
                listed(&elsewhere)
            ),
        };
        words.push(band_sentence(&first.next, &verdict, replay));
        words.extend(first.misses.as_ref().map(miss_sentence));
        words.extend(first.by_horizon.last().map(|far| {
            let alone = if elsewhere.is_empty() {
                RIGHT
            } else {
                "right so far ahead"
            };
            band_sentence(far, alone, replay)
        }));
        words.extend(tolerance_sentence(first, replay));
    }
    words.extend(differences.iter().filter_map(difference_sentence));
    words.extend(methods.last().map(|policy| policy_sentence(policy, replay)));
    words
}

/// The bands hold in every row of the table.
const RIGHT: &str = "as wide as they claim";

/// Rows of the coverage table whose limits exclude the level.
fn off_level<'a>(result: &'a ForecasterResult, replay: &Replay) -> Vec<&'a Coverage> {
    let level = replay.drift.level;
    let parts = [&result.by_horizon, &result.by_known, &result.by_group];
    let rows = std::iter::once(&result.next).chain(parts.into_iter().flatten());
    rows.filter(|row| row.count > 0 && (row.limits.0 > level || row.limits.1 < level))
        .collect()
}

/// "1 check known 88.4 %, 2 checks known 92.8 % and 3 more".
fn listed(rows: &[&Coverage]) -> String {
    let share = |row: &Coverage| percent(row.inside as f64 / row.count as f64);
    let named: Vec<String> = rows
        .iter()
        .take(MOST_NAMED)
        .map(|row| format!("{} {}", row.label, share(row)))
        .collect();
    let more = and_others(rows.len() - named.len());
    format!("{}{more}", named.join(", "))
}

/// Is the stated level among what the record allows? `right` says so where it is.
fn band_sentence(coverage: &Coverage, right: &str, replay: &Replay) -> String {
    let level = replay.drift.level;
    let (low, high) = coverage.limits;
    let ahead = &coverage.label;
    if coverage.count == 0 {
        return format!(
            "No forecast could be scored against a later reading ({ahead}): the record has no values, or none twice."
        );
    }
    if coverage.count < replay.settings.fewest_forecasts || high - low > TOO_WIDE {
        return format!(
            "The record is too short to tell whether the {} bands hold ({ahead}): {} only {} the share inside between {} and {}.",
            percent(level),
            count(coverage.count as usize, "forecast"),
            agreeing(coverage.count as usize, "places", "place"),
            percent(low),
            percent(high)
        );
    }
    let share = coverage.inside as f64 / coverage.count as f64;
    let near = (share - level).abs() <= NEAR;
    let verdict = match () {
        _ if low > level && near => "wider than they claim, by less than a percentage point",
        _ if low > level => "wider than they need to be",
        _ if high < level && near => "narrower than they claim, by less than a percentage point",
        _ if high < level => "too narrow",
        _ => right,
    };
    format!(
        "Of {} readings ({ahead}), {} fell inside the {} band made before ({} to {} at {} confidence): the bands are {verdict}.",
        coverage.count,
        percent(share),
        percent(level),
        percent(low),
        percent(high),
        percent(replay.settings.confidence)
    )
}

/// Where the misses are: a model that does not fit some items is no model that fits none.
fn miss_sentence(misses: &Misses) -> String {
    let named: Vec<String> = misses
        .histories
        .iter()
        .take(MOST_NAMED)
        .map(|m| format!("{} ({} of {} outside)", m.name, m.outside, m.count))
        .collect();
    let more = match misses.histories.len() - named.len() {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let others = &misses.others;
    let rest = match others.count {
        0 => String::new(),
        count => format!(
            " Of the {count} readings of the other histories {} fell inside ({} to {}).",
            percent(others.inside as f64 / count as f64),
            percent(others.limits.0),
            percent(others.limits.1)
        ),
    };
    format!(
        "Chance does not explain the misses of {}{more}: the model does not hold what their readings do, so look at their charts before their bands are relied on.{rest}",
        named.join(", ")
    )
}

fn tolerance_sentence(result: &ForecasterResult, replay: &Replay) -> Option<String> {
    let brier = &result.in_tolerance;
    if brier.count < replay.settings.fewest_forecasts {
        return None;
    }
    let n = brier.count as f64;
    let expected = brier.bins.iter().map(|bin| bin.sum).sum::<f64>() / n;
    let found = brier.bins.iter().map(|bin| bin.events).sum::<u64>() as f64 / n;
    Some(format!(
        "The next reading was forecast in tolerance with a mean probability of {}; {} of {} were.",
        percent(expected),
        percent(found),
        brier.count
    ))
}

fn difference_sentence(difference: &Difference) -> Option<String> {
    if difference.what != CRPS || difference.count == 0 {
        return None;
    }
    let (low, high) = difference.limits;
    let Difference { first, second, .. } = difference;
    if !(high - low).is_finite() {
        return Some(format!(
            "By the continuous ranked probability score of the next reading, too few histories tell the {first} and {second} models apart."
        ));
    }
    let verdict = if high < 0.0 {
        format!("the {first} model forecasts better than the {second} model")
    } else if low > 0.0 {
        format!("the {second} model forecasts better than the {first} model")
    } else {
        format!("the record cannot tell the {first} and {second} models apart")
    };
    Some(format!(
        "By the continuous ranked probability score of the next reading, {verdict} (difference {}, {} to {}).",
        significant(difference.mean, 3),
        significant(low, 3),
        significant(high, 3)
    ))
}

fn policy_sentence(policy: &MethodResult, replay: &Replay) -> String {
    if policy.proposed == 0 {
        return "No interval could have been set: the record gives no tolerance to judge by."
            .into();
    }
    let judged = policy.inside + policy.outside;
    if !(policy.proposed_per_year + policy.made_per_year).is_finite() {
        return "The record holds no two calibrations a day or more apart: it cannot tell what the intervals would have led to.".into();
    }
    let rates = format!(
        "{:.2} calibrations a year against the {:.2} made",
        policy.proposed_per_year, policy.made_per_year
    );
    if judged < replay.settings.fewest_forecasts {
        return format!(
            "The policy would have led to {rates}; the record tells the outcome of only {judged} of its {} intervals, too few to judge its reliability.",
            policy.proposed
        );
    }
    let all = policy.proposed as f64;
    format!(
        "The policy would have led to {rates}; where the record tells ({judged} of {} intervals), {} were in tolerance when due ({} to {}). Counting the untold ones all out or all in gives {} to {}.",
        policy.proposed,
        percent(policy.inside as f64 / judged as f64),
        percent(policy.limits.0),
        percent(policy.limits.1),
        percent(policy.inside as f64 / all),
        percent((policy.inside + policy.unknown) as f64 / all)
    )
}

/// A share as percent: one decimal.
fn percent(share: f64) -> String {
    if share.is_nan() {
        return "an unknown share".into();
    }
    format!("{:.1} %", 100.0 * share)
}
