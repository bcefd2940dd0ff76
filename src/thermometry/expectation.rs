/*! What earlier sessions let expect of the next one: a straight line through them. */

use super::ThermometerFacts;
use super::advice::{AdviceSettings, Expected};
use super::closure::DatedChange;
use super::its90::TRIPLE_POINT_SLOPE;
use super::session::SessionResult;

/// Fewest earlier sessions that a line is drawn through and still leave its scatter known.
const FEWEST: usize = 4;

/// Change expected at `date` from the earlier changes, with the standard uncertainty of a
/// reading about it; `None` for fewer than four, or all of one day.
///
/// Least squares; u² = (s² + u_s²)·[1 + 1/n + (t − t̄)²/Σ(t − t̄)²] with s the residual
/// standard deviation and u_s the mean stated u, so that a line that fits by luck does
/// not claim more than the readings do (JCGM 100:2008, H.3, for the line).
pub(crate) fn expected(earlier: &[DatedChange], date: f64) -> Option<Expected> {
    let n = earlier.len() as f64;
    let mean = |of: fn(&DatedChange) -> f64| earlier.iter().map(of).sum::<f64>() / n;
    let (middle, level) = (mean(|c| c.date), mean(|c| c.change_mk));
    let square: f64 = earlier.iter().map(|c| (c.date - middle).powi(2)).sum();
    if earlier.len() < FEWEST || square <= 0.0 {
        return None;
    }
    let product: f64 = earlier
        .iter()
        .map(|c| (c.date - middle) * (c.change_mk - level))
        .sum();
    let slope = product / square;
    let residual: f64 = earlier
        .iter()
        .map(|c| (c.change_mk - level - slope * (c.date - middle)).powi(2))
        .sum();
    let scatter = residual / (n - 2.0) + mean(|c| c.u_mk * c.u_mk);
    let reach = 1.0 + 1.0 / n + (date - middle).powi(2) / square;
    Some(Expected {
        change_mk: level + slope * (date - middle),
        u_mk: (scatter * reach).sqrt(),
    })
}

/// What the next reading should be.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ExpectedValue {
    /// R, Ω.
    pub ohm: f64,
    /// Half-width about it, Ω and mK.
    pub half_width: (f64, f64),
    /// What it rests on.
    pub from: String,
}

/// What R should be on `day`, by the accepted ones of `own`, else by the value in use.
pub(super) fn expected_value(
    own: &[&SessionResult],
    facts: Option<&ThermometerFacts>,
    limits: &AdviceSettings,
    day: f64,
) -> Option<ExpectedValue> {
    let accepted: Vec<&SessionResult> = own.iter().filter(|r| r.is_accepted()).copied().collect();
    let Some(last) = accepted.last() else {
        let value = facts?.value_on(day);
        return Some(ExpectedValue {
            ohm: value.ohm,
            half_width: (2.0 * value.u_ohm, 2.0 * value.u_mk()),
            from: "the value in use; no session yet".into(),
        });
    };
    let origin = last.reduced.resistance_ohm;
    let changes: Vec<DatedChange> = accepted
        .iter()
        .map(|r| DatedChange::new(r.date, r.change_from_mk(origin), r.u_mk()))
        .collect();
    let (change, u, from) = match expected(&changes, day) {
        Some(line) => (line.change_mk, line.u_mk, "the line through its sessions"),
        None => (0.0, 2f64.sqrt() * last.u_mk(), "its last accepted session"),
    };
    let half_mk = limits.coverage_factor * u;
    let per_mk = last.reduced.ohm_per_mk;
    Some(ExpectedValue {
        ohm: origin + change * per_mk,
        half_width: (half_mk * per_mk, half_mk),
        from: from.into(),
    })
}

/// Change from the value in use that the accepted sessions predict for `day`, with its standard uncertainty,
/// mK; `None` without such a session.
pub(crate) fn predicted(
    own: &[&SessionResult],
    facts: &ThermometerFacts,
    limits: &AdviceSettings,
    day: f64,
) -> Option<(f64, f64)> {
    own.iter().find(|r| r.is_accepted())?;
    let expected = expected_value(own, Some(facts), limits, day)?;
    let value = facts.value_on(f64::INFINITY);
    let mk = 1000.0 * (expected.ohm / value.ohm - 1.0) / TRIPLE_POINT_SLOPE;
    Some((mk, expected.half_width.1 / limits.coverage_factor))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn changes(values: &[f64]) -> Vec<DatedChange> {
        let dated = values
            .iter()
            .enumerate()
            .map(|(i, &change_mk)| DatedChange::new(100.0 * i as f64, change_mk, 0.03));
        dated.collect()
    }

    #[test]
    fn a_steady_drift_goes_on() {
        let next = expected(&changes(&[0.1, 0.2, 0.3, 0.4]), 400.0).unwrap();
        near!(next.change_mk, 0.5, 1e-12);
        // No residual: u² = 0.03²·(1 + 1/4 + 250²/50 000).
        near!(next.u_mk, 0.03 * 2.5_f64.sqrt(), 1e-12);
    }

    #[test]
    fn too_little_says_nothing() {
        assert!(expected(&changes(&[0.1, 0.2, 0.3]), 400.0).is_none());
        let mut one_day = changes(&[0.1, 0.2, 0.3, 0.4]);
        one_day.iter_mut().for_each(|c| c.date = 5.0);
        assert!(expected(&one_day, 5.0).is_none());
    }
}
