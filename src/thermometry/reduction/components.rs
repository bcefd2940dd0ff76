/*! The components of the budget, and what they assume where a reading says nothing.

Names follow the components that CCT/08-19 (WG3, 2009) lists for the cell, the
resistance measurement and the thermometer; sizes come from the readings or from
`[thermometry.budget]`.
*/

use super::ReferenceResistor;
use super::budget::{Budget, BudgetRow, Distribution::*};
use super::circumstances::Circumstances;
use super::self_heating::AtZeroPower;
use super::series::Series;
use super::settings::BudgetSettings;
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::readings::ReadingPoint;

/// Departure of the cell from the assigned temperature at the sensor, K, with what it assumes.
pub(super) fn departure(
    circumstances: &Circumstances,
    settings: &BudgetSettings,
) -> (f64, Vec<String>) {
    let ReadingPoint::Fixed(point) = circumstances.point else {
        return (0.0, Vec::new());
    };
    let mut assumptions = Vec::new();
    let depth = if circumstances.depth_m.is_finite() {
        circumstances.depth_m
    } else {
        assumptions.push(format!(
            "depth not noted: {} m assumed, any depth from 0 to twice that allowed for",
            settings.depth_unknown_m
        ));
        settings.depth_unknown_m
    };
    let cell = &circumstances.cell;
    if cell.name.is_empty() {
        assumptions.push("cell not named: no correction, uncertainty of an unknown cell".into());
    } else if point == FixedPoint::Water && cell.isotopes.is_none() && cell.correction_uk.is_none()
    {
        assumptions.push(format!(
            "isotopic composition of cell {} unknown: u = {} µK instead of a correction",
            cell.name, settings.isotopes_unknown_uk
        ));
    }
    let of_cell = match (cell.correction_uk, cell.isotopes) {
        (Some((correction_uk, _)), _) => correction_uk * 1e-6,
        (None, Some(isotopes)) if point == FixedPoint::Water => {
            isotopes.departure_k(settings.isotopes)
        }
        _ => 0.0,
    };
    (point.head_k_per_m() * depth + of_cell, assumptions)
}

/// Scatter of the readings, carried to zero power.
pub(super) fn add_readings(
    budget: &mut Budget,
    series: &[Series],
    at_zero: &AtZeroPower,
    correlation: f64,
    ohm_per_unit: f64,
) {
    let part = |s: Option<&Series>| {
        s.map_or((f64::NAN, f64::NAN), |s| {
            (s.u_mean(correlation), s.degrees_of_freedom())
        })
    };
    let ((u_first, dof_first), (u_last, dof_last)) = (part(series.first()), part(series.last()));
    let (spread, degrees_of_freedom) = match at_zero.measured {
        Some(zero) => {
            let parts = [
                ((1.0 + zero.kappa) * u_first, dof_first),
                (zero.kappa * u_last, dof_last),
            ];
            let total = zero.u_readings(u_first, u_last);
            let sum: f64 = parts.iter().map(|(u, dof)| u.powi(4) / dof).sum();
            (total, total.powi(4) / sum)
        }
        None => (u_first, dof_first),
    };
    // A single reading has no scatter of its own; the caller says so.
    let known = spread.is_finite();
    let row = BudgetRow::new(
        "repeatability at zero power",
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

/// Says where no scatter could be computed.
pub(super) fn reading_assumption(series: &[Series]) -> Option<String> {
    let lonely = |s: &Series| s.runs.iter().all(|run| run.count < 2);
    series
        .iter()
        .any(lonely)
        .then(|| "a current with single readings only: their scatter is not in the budget".into())
}

/// Self-heating: the ratio of the currents, or the assumption for one current.
pub(super) fn add_self_heating(
    budget: &mut Budget,
    at_zero: &AtZeroPower,
    ohm_per_unit: f64,
    ohm_per_mk: f64,
    settings: &BudgetSettings,
) {
    budget.add(match at_zero.measured {
        Some(zero) => BudgetRow::new(
            "ratio of the currents",
            (settings.current_ratio * zero.current_ratio, "1"),
            Normal,
            zero.ratio_sensitivity * ohm_per_unit,
        ),
        None => BudgetRow::new(
            "self-heating, assumed",
            (settings.u_self_heating_mk, "mK"),
            Normal,
            ohm_per_mk,
        ),
    });
}

/// Non-linearity of the bridge.
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
}

/// Reference resistor: its calibration (shared), drift and temperature.
pub(super) fn add_resistor(
    budget: &mut Budget,
    resistor: &ReferenceResistor,
    resistance_ohm: f64,
    settings: &BudgetSettings,
) {
    let relative = resistance_ohm / resistor.ohm;
    let u_ohm = if resistor.u_ohm.is_finite() {
        resistor.u_ohm
    } else {
        0.0
    };
    budget.add(
        BudgetRow::new(
            "calibration of the resistor",
            (u_ohm, "Ω"),
            Normal,
            relative,
        )
        .shared(),
    );
    budget.add(BudgetRow::new(
        "drift of the resistor",
        (settings.resistor_drift_ppm, "1e-6"),
        Normal,
        resistance_ohm * 1e-6,
    ));
    let half_width = if resistor.temperature_c.is_finite() {
        settings.resistor_temperature_c
    } else {
        settings.resistor_temperature_unknown_c
    };
    let slope = if resistor.alpha.is_finite() {
        resistor.temperature_slope()
    } else {
        resistor.ohm * settings.resistor_alpha_unknown
    };
    budget.add(BudgetRow::new(
        "temperature of the resistor",
        (half_width, "°C"),
        Rectangular,
        relative * slope,
    ));
}

/// What was assumed about the resistor.
pub(super) fn resistor_assumptions(
    circumstances: &Circumstances,
    settings: &BudgetSettings,
) -> Vec<String> {
    let Some(resistor) = circumstances.resistor else {
        return Vec::new();
    };
    let mut words = Vec::new();
    if !resistor.u_ohm.is_finite() {
        words.push("uncertainty of the resistor not stated: not in the budget".into());
    }
    if !resistor.temperature_c.is_finite() {
        words.push(format!(
            "temperature of the resistor not noted: ±{} °C about that of its calibration",
            settings.resistor_temperature_unknown_c
        ));
    }
    if !resistor.alpha.is_finite() {
        words.push(format!(
            "temperature coefficient of the resistor not stated: no correction, ±{} per K",
            settings.resistor_alpha_unknown
        ));
    }
    words
}

/// The cell: head, isotopes, impurities, mantle, heat flux; or the realisation as a whole.
pub(super) fn add_cell(
    budget: &mut Budget,
    circumstances: &Circumstances,
    ohm_per_mk: f64,
    settings: &BudgetSettings,
) {
    let millikelvin = |name: &str, (spread, unit): (f64, &'static str), distribution| {
        let per_unit = if unit == "µK" {
            ohm_per_mk / 1000.0
        } else {
            ohm_per_mk
        };
        BudgetRow::new(name, (spread, unit), distribution, per_unit)
    };
    let ReadingPoint::Fixed(point) = circumstances.point else {
        budget.add(millikelvin("comparison", (settings.comparison_mk, "mK"), Normal).shared());
        return;
    };
    let depth_mm = if circumstances.depth_m.is_finite() {
        settings.depth_mm
    } else {
        settings.depth_unknown_m * 1000.0
    };
    // K per m is mK per mm.
    budget.add(BudgetRow::new(
        "depth",
        (depth_mm, "mm"),
        Rectangular,
        point.head_k_per_m() * ohm_per_mk,
    ));
    let cell = &circumstances.cell;
    match (cell.correction_uk, cell.isotopes) {
        (Some((_, u_uk)), _) => {
            budget.add(millikelvin("comparison of the cell", (u_uk, "µK"), Normal).shared());
        }
        (None, isotopes) if point == FixedPoint::Water => {
            let u_uk = if isotopes.is_some() {
                settings.isotopes_uk
            } else {
                settings.isotopes_unknown_uk
            };
            budget.add(millikelvin("isotopic composition", (u_uk, "µK"), Normal).shared());
            let impurities = (settings.impurities_uk, "µK");
            budget.add(millikelvin("impurities and gas", impurities, Rectangular).shared());
        }
        _ => {
            let realisation = (settings.other_point_mk, "mK");
            budget.add(millikelvin("realisation of the point", realisation, Normal).shared());
            let repeat = (settings.other_point_repeat_mk, "mK");
            budget.add(millikelvin(
                "repeatability of the realisation",
                repeat,
                Normal,
            ));
            return;
        }
    }
    if point == FixedPoint::Water {
        budget.add(millikelvin(
            "mantle",
            (settings.mantle_uk, "µK"),
            Rectangular,
        ));
    }
    budget.add(millikelvin(
        "heat flux",
        (settings.heat_flux_uk, "µK"),
        Rectangular,
    ));
}
