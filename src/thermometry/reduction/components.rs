/*! The components of the budget that come from the readings and the bridge.

Names follow the components that CCT/08-19 (WG3, 2009) lists for the resistance measurement
and the thermometer; sizes come from the readings or from `[thermometry.budget]`.
*/

use super::budget::{Budget, BudgetRow, Distribution::*, Shared};
use super::self_heating::AtWanted;
use super::series::{Series, value};
use super::settings::BudgetSettings;
use crate::thermometry::its90::TRIPLE_POINT_SLOPE;
use crate::thermometry::readings::RawReading;

/// Scatter of the readings, carried to the wanted current.
pub(super) fn add_readings(
    budget: &mut Budget,
    series: &[Series],
    at_wanted: &AtWanted,
    correlation: f64,
    ohm_per_unit: f64,
) {
    let part = |s: Option<&Series>| {
        s.map_or((f64::NAN, f64::NAN), |s| {
            (s.u_mean(correlation), s.degrees_of_freedom())
        })
    };
    let ((u_first, dof_first), (u_last, dof_last)) = (part(series.first()), part(series.last()));
    let (spread, degrees_of_freedom) = match at_wanted.measured {
        Some((zero, part)) => {
            let parts = [
                ((1.0 + part * zero.kappa) * u_first, dof_first),
                (part * zero.kappa * u_last, dof_last),
            ];
            let total = zero.u_readings(part, u_first, u_last);
            let sum: f64 = parts.iter().map(|(u, dof)| u.powi(4) / dof).sum();
            (total, total.powi(4) / sum)
        }
        None => (u_first, dof_first),
    };
    // A single reading has no scatter of its own; the caller says so.
    let known = spread.is_finite();
    let row = BudgetRow::new(
        "repeatability of the readings",
        (if known { spread } else { 0.0 }, "reading"),
        Observed,
        ohm_per_unit,
    );
    let counted = known && degrees_of_freedom.is_finite();
    budget.add(row.with_degrees_of_freedom(if counted {
        degrees_of_freedom
    } else {
        f64::INFINITY
    }));
}

/// Smallest step that the readings show, in their own unit: that of the digit after which none of
/// them has another. NaN where all are equal, so that no step is seen, or where they are means.
pub(crate) fn resolution(readings: &[&RawReading]) -> f64 {
    let single = || readings.iter().filter(|r| r.count == 1).map(|r| value(r));
    let first = single().next().unwrap_or(f64::NAN);
    if single().all(|v| v == first) {
        return f64::NAN;
    }
    let digits = single().map(|v| {
        let text = v.to_string();
        text.split_once('.').map_or(0, |(_, after)| after.len())
    });
    0.1_f64.powi(digits.max().unwrap_or(0) as i32)
}

/// A step of the display hides what is smaller; scatter beyond it shows the step's part by itself.
pub(super) fn add_resolution(budget: &mut Budget, series: &[Series], step: f64, ohm_per_unit: f64) {
    let runs = series.iter().flat_map(|s| &s.runs);
    if runs.map(|run| run.deviation).any(|d| d < step) {
        let half = (step / 2.0, "reading");
        budget.add(BudgetRow::new(
            "resolution of the readings",
            half,
            Rectangular,
            ohm_per_unit,
        ));
    }
}

/// Says where no scatter could be computed.
pub(super) fn reading_assumption(series: &[Series]) -> Option<String> {
    let lonely = |s: &Series| s.runs.iter().all(|run| run.count < 2);
    if series.iter().any(lonely) {
        return Some(
            "a current with single readings only: their scatter is not in the budget".into(),
        );
    }
    let all_equal = series
        .iter()
        .flat_map(|s| &s.runs)
        .all(|run| run.deviation == 0.0);
    all_equal.then(|| {
        "all readings of a run are equal: scatter and resolution are not seen, so not in the budget; \
         note more digits"
            .into()
    })
}

/// Self-heating: the ratio of the currents, or the assumption for one current.
pub(super) fn add_self_heating(
    budget: &mut Budget,
    at_wanted: &AtWanted,
    ohm_per_unit: f64,
    ohm_per_mk: f64,
    settings: &BudgetSettings,
) {
    budget.add(match at_wanted.measured {
        Some((zero, part)) => BudgetRow::new(
            "ratio of the currents",
            (settings.current_ratio * zero.current_ratio, "1"),
            Normal,
            part * zero.ratio_sensitivity * ohm_per_unit,
        ),
        // Where nothing was taken off, the doubt is whether the value in use was read at this
        // current: alike in every check.
        None => BudgetRow::new(
            "self-heating, assumed",
            (at_wanted.assumed_mk.1, "mK"),
            Normal,
            ohm_per_mk,
        )
        .shared(match at_wanted.assumed_mk.0 == 0.0 {
            true => Shared::Thermometer,
            false => Shared::No,
        }),
    });
}

/// The bridge: its non-linearity; of a readout that shows resistance also its calibration and drift.
pub(super) fn add_bridge(
    budget: &mut Budget,
    by_ratio: bool,
    ohm_per_unit: f64,
    resistance_ohm: f64,
    settings: &BudgetSettings,
) {
    let (unit, sensitivity) = if by_ratio {
        ("ratio", ohm_per_unit)
    } else {
        ("relative", resistance_ohm)
    };
    budget.add(BudgetRow::new(
        "linearity of the bridge",
        (settings.bridge_linearity, unit),
        Rectangular,
        sensitivity,
    ));
    if !by_ratio {
        let part = |name: &str, ppm: f64| {
            BudgetRow::new(name, (ppm, "1e-6"), Normal, resistance_ohm * 1e-6)
        };
        let (calibration, drift) = settings.readout();
        let calibration = part("calibration of the readout", calibration);
        budget.add(calibration.shared(Shared::Bridge));
        budget.add(part("drift of the readout", drift));
    }
}

/// What was assumed about a readout that shows resistance: what the settings do not state of it.
pub(super) fn readout_assumption(by_ratio: bool, settings: &BudgetSettings) -> Option<String> {
    let (calibration, drift) = settings.readout();
    let unknown: Vec<(&str, &str, f64)> = [
        (
            settings.readout_ppm,
            ("calibration", "readout_ppm", calibration),
        ),
        (
            settings.readout_drift_ppm,
            ("drift", "readout_drift_ppm", drift),
        ),
    ]
    .into_iter()
    .filter_map(|(stated, part)| stated.is_none().then_some(part))
    .collect();
    let of = |word: fn(&(&str, &str, f64)) -> String| {
        let words: Vec<String> = unknown.iter().map(word).collect();
        words.join(" and ")
    };
    (!by_ratio && !unknown.is_empty()).then(|| {
        format!(
            "{} of the readout not stated: u = {} parts in 1e6 taken, {}; set {} under [thermometry.budget]",
            of(|(name, ..)| name.to_string()),
            of(|(.., ppm)| ppm.to_string()),
            of(|(.., ppm)| format!("{:.2} mK", ppm * 1e-3 / TRIPLE_POINT_SLOPE)),
            of(|(_, setting, _)| setting.to_string()),
        )
    })
}
