/*! The reference resistor in the budget, and what is assumed where its certificate is not told. */

use super::ReferenceResistor;
use super::budget::{Budget, BudgetRow, Distribution::*, Shared};
use super::circumstances::Circumstances;
use super::settings::BudgetSettings;
use crate::thermometry::its90::TRIPLE_POINT_SLOPE;

/// Its calibration (shared), drift, temperature and the temperature of its calibration.
pub(super) fn add_resistor(
    budget: &mut Budget,
    resistor: &ReferenceResistor,
    resistance_ohm: f64,
    settings: &BudgetSettings,
) {
    let relative = resistance_ohm / resistor.ohm;
    let u_ohm = match resistor.u_ohm.is_finite() {
        true => resistor.u_ohm,
        false => resistor.ohm * settings.resistor_unknown_ppm * 1e-6,
    };
    let calibration = BudgetRow::new(
        "calibration of the resistor",
        (u_ohm, "Ω"),
        Normal,
        relative,
    );
    budget.add(calibration.shared(Shared::Resistor));
    budget.add(BudgetRow::new(
        "drift of the resistor",
        (settings.resistor_drift_ppm, "1e-6"),
        Normal,
        resistance_ohm * 1e-6,
    ));
    let half_width = match resistor.temperature_c.is_finite() {
        true => settings.resistor_temperature_c,
        false => settings.resistor_temperature_unknown_c,
    };
    let slope = match resistor.alpha.is_finite() {
        true => resistor.temperature_slope(),
        false => resistor.ohm * settings.resistor_alpha_unknown,
    };
    budget.add(BudgetRow::new(
        "temperature of the resistor",
        (half_width, "°C"),
        Rectangular,
        relative * slope,
    ));
    let corrected = resistor.temperature_c.is_finite() && resistor.alpha.is_finite();
    if corrected && !resistor.reference_c.is_finite() {
        let reference = BudgetRow::new(
            "temperature of the resistor's calibration",
            (settings.resistor_reference_unknown_c, "°C"),
            Rectangular,
            relative * slope,
        );
        budget.add(reference.shared(Shared::Resistor));
    }
    if !resistor.alpha.is_finite() && resistor.temperature_c.is_finite() {
        let away = (resistor.temperature_c - resistor.known_reference_c()).abs();
        budget.add(BudgetRow::new(
            "coefficient of the resistor",
            (settings.resistor_alpha_unknown * away, "1"),
            Rectangular,
            resistance_ohm,
        ));
    }
}

/// What was assumed about the resistor, and what that costs.
pub(super) fn resistor_assumptions(
    circumstances: &Circumstances,
    settings: &BudgetSettings,
) -> Vec<String> {
    let Some(resistor) = circumstances.resistor else {
        return Vec::new();
    };
    let millikelvin = |relative: f64| 1e3 * relative.abs() / TRIPLE_POINT_SLOPE;
    let mut words = Vec::new();
    if !resistor.u_ohm.is_finite() {
        words.push(format!(
            "uncertainty of the resistor not stated: u = {} parts in 1e6 taken, {:.2} mK at the triple point",
            settings.resistor_unknown_ppm,
            millikelvin(settings.resistor_unknown_ppm * 1e-6)
        ));
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
    } else if resistor.temperature_c.is_finite() && !resistor.reference_c.is_finite() {
        let half = settings.resistor_reference_unknown_c;
        words.push(format!(
            "temperature of the resistor's calibration not stated: {} °C taken, ±{half} °C, which is ±{:.2} mK at the triple point",
            resistor.known_reference_c(),
            millikelvin(resistor.alpha * half)
        ));
    }
    words
}
