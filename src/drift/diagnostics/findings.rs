/*! What the table of fits says of each fit beside its figures: flags, and why a figure is
missing. */

use super::notes::TOLD_BELOW;
use super::tests::{Diagnostics, LEAST_READINGS, LEAST_SEASON_YEARS};
use crate::drift::fit::{Curve, Fit};
use crate::drift::model::Untested;
use crate::drift::registry::model_of;
use crate::drift::series::readings::Reading;
use crate::drift::status::Status;

/// What deserves a look, in words of a fixed list, most weighty first; empty where nothing does:
/// `failed`, `suspect reading`, `step`, `excess scatter`, `neighbours alike`,
/// `neighbours opposed`, `season`, `not normal`, `drift borrowed`, `models averaged`.
pub(crate) fn flags(fit: &Fit, found: &Diagnostics) -> Vec<&'static str> {
    let below = |p: f64| p < TOLD_BELOW;
    let stepped = fit.stepped.is_some() || found.changes.as_ref().is_some_and(|c| below(c.p));
    let curve = !matches!(fit.curve(), Curve::Follows);
    let order = found.neighbours.filter(|test| below(test.p));
    [
        (fit.status == Status::Failed, "failed"),
        (!fit.suspects.is_empty(), "suspect reading"),
        (stepped, "step"),
        (curve && fit.excess_u > 0.0, "excess scatter"),
        (order.is_some_and(|test| test.d < 2.0), "neighbours alike"),
        (
            order.is_some_and(|test| test.d >= 2.0),
            "neighbours opposed",
        ),
        (found.annual.is_some_and(|s| below(s.p)), "season"),
        (found.normality.is_some_and(|n| below(n.p)), "not normal"),
        (fit.status == Status::FromClass, "drift borrowed"),
        (fit.choice.is_some_and(|c| c.averaged), "models averaged"),
    ]
    .into_iter()
    .filter_map(|(flagged, word)| flagged.then_some(word))
    .collect()
}

/// Why figures of the fit or tests of it are missing, one reason each.
pub(crate) fn missing(fit: &Fit, found: &Diagnostics, readings: &[Reading]) -> Vec<String> {
    let mut reasons = Vec::new();
    if fit.motion.is_none() {
        reasons.push(format!("drift and tests: {}", fit.status.words()));
        return reasons;
    }
    if !fit.drift_per_year.is_finite() {
        reasons.push("drift per year: the use per year is unknown".into());
    }
    let stated = readings.iter().all(|r| r.u.is_finite() && r.u > 0.0);
    if found.consistency.is_none() {
        reasons.push(match stated {
            false => "consistency: not every reading states u".into(),
            true => "consistency: no degree of freedom is left".to_string(),
        });
    }
    let n = readings.len();
    let untested = found.neighbours.is_none() || found.runs.is_none() || found.normality.is_none();
    if n < LEAST_READINGS {
        reasons.push(format!(
            "trend, order, shape and season: {n} readings, {LEAST_READINGS} are needed"
        ));
    } else if untested {
        reasons.push("order and shape: too few residuals that differ".into());
    }
    if n >= LEAST_READINGS && found.trend.is_none() {
        reasons.push("trend by ranks: there is more than one segment, or no change at all".into());
    }
    let untested = model_of(fit.model).untested();
    if n >= LEAST_READINGS && found.annual.is_none() {
        reasons.push(match fit.curve() {
            Curve::Line => format!(
                "season: it needs the time axis, {LEAST_SEASON_YEARS} years and checks at different times of year"
            ),
            _ => format!("season: {}", untested.annual),
        });
    }
    if found.changes.is_none() {
        let why = match fit.curve() {
            Curve::Line => "too few readings",
            _ if fit.parts().is_empty() => untested.changes,
            _ => Untested::default().changes,
        };
        reasons.push(format!("change points: {why}"));
    }
    if fit.choice.is_none() {
        reasons.push("weights: the model was named, not chosen".into());
    }
    reasons
}
