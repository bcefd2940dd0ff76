/*! Group regression: the change since the last calibration against the time since then.

Over all calibrations of a group, δ = error as found − error as left before is
regressed on the time Δt between them, through the origin (a change of nothing
in no time). Two laws of the scatter, by a setting:

```text
constant        b = Σδ·Δt/Σ Δt²   s² = (Σδ² − b·Σδ·Δt)/(n − 1)     Var b = s²/ΣΔt²
grows with Δt   b = Σδ/ΣΔt        D  = (Σδ²/Δt − b·Σδ)/(n − 1)     Var b = D/ΣΔt
R(t) = Φ((U − e − b·t)/σ) − Φ((L − e − b·t)/σ),   σ² = u₀² + (s² or D·t) + t²·Var b
```

with e the item's error as left and u₀ its standard uncertainty. The interval is
the first t with R(t) below the target. It is the variables-data method of the
calibration-interval literature (H. Castrup, "Calibration intervals from variables
data", NCSL International 2005) in its linear form. Changes are taken as shares
of each item's tolerance, so that points of different range can be pooled. The
scatter holds the noise of both readings, so u₀ is counted twice in part: on the
safe side. Neighbouring changes of an unadjusted item share a reading, so Var b is
somewhat overstated.
*/

use super::search::{Crossing, first_below};
use super::words::{count, days, figure, percent};
use super::{ChangeSums, Evidence, GroupEvidence, Method, MethodName, Proposal};
use crate::records::{DAYS_PER_YEAR, Tolerance};
use crate::settings::SettingError;
use crate::stats::normal_between;
use serde::{Deserialize, Serialize};

/// How the scatter of the changes depends on the time between calibrations.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Scatter {
    /// Its variance grows in proportion to the time.
    #[default]
    Growing,
    /// It is the same after any time.
    Constant,
}

crate::settings! {
    /// Group regression: change since the last calibration against time, over the group.
    pub struct GroupRegressionSettings in "intervals.group_regression" {
        /// Scatter of the changes: "growing" (variance in proportion to time) or "constant".
        scatter: Scatter = Scatter::Growing,
        /// Fewest changes for a regression.
        fewest: u32 = 5,
    }
}

impl GroupRegressionSettings {
    /// The values that cannot be used.
    pub fn check(&self) -> Vec<SettingError> {
        let table = "intervals.group_regression";
        if self.fewest < 2 {
            vec![SettingError::new(table, "fewest", "expected 2 or more")]
        } else {
            Vec::new()
        }
    }
}

/// The fitted law of change, in the unit and time of the sums.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChangeLaw {
    /// Mean change per unit of time.
    pub rate: f64,
    /// Its variance.
    pub rate_variance: f64,
    /// Scatter: variance, or variance per unit of time where it grows.
    pub scatter: f64,
    /// Whether it grows.
    pub kind: Scatter,
}

impl ChangeLaw {
    /// Fits the law; `None` from fewer than two changes or no time at all.
    pub fn fit(sums: &ChangeSums, kind: Scatter) -> Option<Self> {
        if sums.n < 2 || sums.t.is_nan() || sums.t <= 0.0 {
            return None;
        }
        let freedom = sums.n as f64 - 1.0;
        let (rate, left, information) = match kind {
            Scatter::Growing => {
                let rate = sums.d / sums.t;
                (rate, sums.dd_per_t - rate * sums.d, sums.t)
            }
            Scatter::Constant => {
                let rate = sums.dt / sums.tt;
                (rate, sums.dd - rate * sums.dt, sums.tt)
            }
        };
        let scatter = left.max(0.0) / freedom;
        Some(Self {
            rate,
            rate_variance: scatter / information,
            scatter,
            kind,
        })
    }

    /// Probability in tolerance at `time` after leaving `error` with variance `start`.
    pub fn probability_in(&self, time: f64, error: f64, start: f64, tolerance: (f64, f64)) -> f64 {
        let grown = match self.kind {
            Scatter::Growing => self.scatter * time,
            Scatter::Constant => self.scatter,
        };
        let deviation = (start + grown + time * time * self.rate_variance).sqrt();
        let mean = error + self.rate * time;
        if deviation > 0.0 {
            let low = (tolerance.0 - mean) / deviation;
            normal_between(low, (tolerance.1 - mean) / deviation)
        } else {
            f64::from(tolerance.0 <= mean && mean <= tolerance.1)
        }
    }
}

/// The method.
#[derive(Debug, Clone, Default)]
pub struct GroupRegression {
    /// Its settings.
    pub settings: GroupRegressionSettings,
}

/// Panels of the first look; the curve is smooth.
const PANELS: usize = 24;

impl Method for GroupRegression {
    fn name(&self) -> MethodName {
        MethodName::GroupRegression
    }

    fn propose(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Proposal {
        match self.proposal(evidence, group) {
            Ok(proposal) => proposal,
            Err(because) => Proposal::not_applicable(self.name(), because),
        }
    }
}

impl GroupRegression {
    fn proposal(&self, evidence: &Evidence<'_>, group: &GroupEvidence) -> Result<Proposal, String> {
        let tolerance = evidence.tolerance.ok_or("no tolerance was given")?;
        let own;
        let (sums, whose) = if group.name.is_empty() {
            own = GroupEvidence::alone(&evidence.history);
            (&own.changes, "the item".to_string())
        } else {
            (&group.changes, format!("group \"{}\"", group.name))
        };
        if sums.n < u64::from(self.settings.fewest) {
            return Err(format!(
                "{whose} has {} known changes between calibrations, and the regression needs {}",
                sums.n, self.settings.fewest
            ));
        }
        let law = ChangeLaw::fit(sums, self.settings.scatter)
            .ok_or("the changes leave nothing to regress on")?;
        let start = left_at_last_calibration(evidence)?;
        let half = tolerance.half_width();
        let shares = (tolerance.lower() / half, tolerance.upper() / half);
        let (error, variance) = (start.0 / half, (start.1 / half).powi(2));
        let probability = |t: f64| law.probability_in(t, error, variance, shares);
        let cap = evidence.cap;
        let panels: Vec<f64> = (1..=PANELS)
            .map(|j| cap * (j as f64 / PANELS as f64).powi(2))
            .collect();
        let target = percent(evidence.target);
        let (interval, finding) = match first_below(evidence.target, 0.0, &panels, probability) {
            Crossing::AtStart => (0.0, format!("is below {target} from the start")),
            Crossing::At(t) => (t, format!("stays at or above {target} for {}", days(t))),
            Crossing::Beyond => (cap, format!("stays above {target} for {}", days(cap))),
        };
        let reason = format!(
            "left at {}, and changing like {whose}, its probability in tolerance {finding}",
            figure(start.0, &evidence.history.item.unit)
        );
        Ok(Proposal::of(
            self.name(),
            interval,
            sums.n as f64,
            basis(sums, &law, tolerance, evidence),
            reason,
        ))
    }
}

/// "34 changes over 31 item-years: mean 0.02 ± 0.01 mK a year, scatter 0.2 mK per √year".
fn basis(
    sums: &ChangeSums,
    law: &ChangeLaw,
    tolerance: Tolerance,
    evidence: &Evidence<'_>,
) -> String {
    let unit = &evidence.history.item.unit;
    let half = tolerance.half_width();
    let scatter = match law.kind {
        Scatter::Growing => {
            let per_root_year = (law.scatter * DAYS_PER_YEAR).sqrt() * half;
            format!("{} per √year", figure(per_root_year, unit))
        }
        Scatter::Constant => figure(law.scatter.sqrt() * half, unit),
    };
    format!(
        "{} over {} item-years: {} ± {} a year (k = 1), scatter {scatter}",
        count(sums.n as usize, "change"),
        figure(sums.t / DAYS_PER_YEAR, ""),
        figure(law.rate * DAYS_PER_YEAR * half, ""),
        figure(law.rate_variance.sqrt() * DAYS_PER_YEAR * half, unit)
    )
}

/// Error left at the last calibration row with its standard uncertainty (0 where not stated).
fn left_at_last_calibration(evidence: &Evidence<'_>) -> Result<(f64, f64), String> {
    let history = &evidence.history;
    let row = evidence
        .calibrations()
        .last()
        .ok_or("there is no calibration")?;
    let left = history.left(row);
    if !left.is_finite() {
        return Err("the value left at the last calibration is not known".into());
    }
    let u = history.u[row];
    let random = if u.is_nan() { 0.0 } else { u };
    Ok((left, random.hypot(history.u_common[row])))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked example of interval-practice.md 4.5 (example data; statsmodels 0.15.0,
    /// scipy 1.17.1): months and the error's unit.
    fn sums() -> ChangeSums {
        let t = [6.0, 6.0, 12.0, 12.0, 12.0, 18.0, 18.0, 24.0, 24.0, 12.0];
        let d = [
            0.021, 0.034, 0.049, 0.071, 0.043, 0.083, 0.102, 0.108, 0.142, 0.064,
        ];
        let mut sums = ChangeSums::default();
        for (t, d) in t.into_iter().zip(d) {
            sums.add(t, d);
        }
        sums
    }

    fn interval(law: &ChangeLaw, target: f64) -> f64 {
        let panels: Vec<f64> = (1..=40).map(f64::from).collect();
        let figure = |t: f64| law.probability_in(t, 0.0, 0.02 * 0.02, (-0.2, 0.2));
        match first_below(target, 0.0, &panels, figure) {
            Crossing::At(t) => t,
            other => panic!("{other:?}"),
        }
    }

    /// Check values 37 and 38. The search resolves 0.01 (there days, here months).
    #[test]
    fn both_laws_reproduce_the_worked_example() {
        let constant = ChangeLaw::fit(&sums(), Scatter::Constant).unwrap();
        assert!((constant.rate / 0.005_058_824 - 1.0).abs() < 1e-6);
        assert!((constant.scatter.sqrt() / 0.012_721_50 - 1.0).abs() < 1e-6);
        assert!((constant.rate_variance.sqrt() / 0.000_257_12 - 1.0).abs() < 2e-5);
        assert!((interval(&constant, 0.95) - 31.393_314).abs() < 0.011);
        let growing = ChangeLaw::fit(&sums(), Scatter::Growing).unwrap();
        assert!((growing.rate / 0.004_979_167 - 1.0).abs() < 1e-6);
        assert!((growing.scatter / 1.095_293e-5 - 1.0).abs() < 1e-6);
        assert!((interval(&growing, 0.95) - 30.771_018).abs() < 0.011);
        assert!((interval(&growing, 0.99) - 27.320_880).abs() < 0.011);
        for (t, r) in [(24.0, 0.999_333), (30.0, 0.973_511), (36.0, 0.758_894)] {
            let found = constant.probability_in(t, 0.0, 0.02 * 0.02, (-0.2, 0.2));
            assert!((found - r).abs() < 5e-7, "{found} against {r} at {t}");
        }
    }
}
