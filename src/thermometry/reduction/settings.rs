/*! Components of the budget that no reading tells: what the laboratory assumes. */

use super::cell::IsotopeConstants;
use crate::settings::SettingError;

crate::settings! {
    /// Uncertainty of a reduced check: assumptions of the laboratory (defaults are examples, no source).
    pub struct BudgetSettings in "thermometry.budget" {
        /// Non-linearity of the bridge, half-width in ratio (or relative to the resistance where no ratio is given).
        bridge_linearity: f64 = 2e-8,
        /// Relative standard uncertainty of the ratio of the two currents.
        current_ratio: f64 = 0.001,
        /// Depth of the element, half-width in mm.
        depth_mm: f64 = 5.0,
        /// Depth taken where none was noted, m; its half-width is the same.
        depth_unknown_m: f64 = 0.2,
        /// Constants for the isotopic composition: annex or white_tew2010.
        isotopes: IsotopeConstants = IsotopeConstants::Annex,
        /// Isotopic correction, standard uncertainty in µK.
        isotopes_uk: f64 = 4.0,
        /// Isotopic composition unknown, standard uncertainty in µK.
        isotopes_unknown_uk: f64 = 30.0,
        /// Impurities and residual gas of the cell, half-width in µK.
        impurities_uk: f64 = 40.0,
        /// Strain and crystal size of the mantle, half-width in µK.
        mantle_uk: f64 = 15.0,
        /// Heat flux along the thermometer, half-width in µK.
        heat_flux_uk: f64 = 20.0,
        /// Departure of a cell by comparison whose uncertainty is not stated, standard uncertainty in µK.
        cell_departure_unknown_uk: f64 = 50.0,
        /// Difference of two good cells, standard uncertainty in µK: what a session in another than the usual cell carries at least (transfer cells of the key comparison CCT-K7 scatter by 50 µK).
        cells_uk: f64 = 50.0,
        /// Realisation in a small slush cell in a dry well as a whole, standard uncertainty in mK (with the next, U is 1 mK to 5 mK: common practice, no source).
        slush_mk: f64 = 1.0,
        /// The part of it that is new with every session, standard uncertainty in mK.
        slush_repeat_mk: f64 = 0.5,
        /// Realisation in a small cell with a frozen mantle, standard uncertainty in mK (between slush and large cell: our own choice, no source).
        frozen_mk: f64 = 0.3,
        /// The part of it that is new with every session, standard uncertainty in mK.
        frozen_repeat_mk: f64 = 0.15,
        /// Calibration of a readout that shows resistance, relative standard uncertainty in 1e-6; absent = 5, which is told.
        readout_ppm: Option<f64> = None,
        /// Its drift between checks, relative standard uncertainty in 1e-6; absent = 2, which is told.
        readout_drift_ppm: Option<f64> = None,
        /// Calibration of a reference resistor whose uncertainty is not stated, relative standard uncertainty in 1e-6.
        resistor_unknown_ppm: f64 = 1.0,
        /// Drift of the reference resistor since its calibration, standard uncertainty in 1e-6.
        resistor_drift_ppm: f64 = 0.05,
        /// Temperature of the reference resistor, half-width in °C.
        resistor_temperature_c: f64 = 0.010,
        /// The same where its temperature was not noted.
        resistor_temperature_unknown_c: f64 = 3.0,
        /// Temperature of the resistor's calibration where none is stated, half-width in °C about 20 °C.
        resistor_reference_unknown_c: f64 = 3.0,
        /// Temperature coefficient taken where the table states none, half-width in 1/K.
        resistor_alpha_unknown: f64 = 1e-5,
        /// Self-heating at 1 mA where only one current was measured and the thermometer states none, mK; it grows with the square of the current.
        self_heating_mk: f64 = 0.35,
        /// Its standard uncertainty, mK.
        u_self_heating_mk: f64 = 0.15,
        /// Realisation of a fixed point other than water, standard uncertainty in mK.
        other_point_mk: f64 = 0.5,
        /// Repeatability of such a realisation, new each time, standard uncertainty in mK.
        other_point_repeat_mk: f64 = 0.2,
        /// Comparison with a standard, standard uncertainty in mK.
        comparison_mk: f64 = 5.0,
        /// Coverage probability of the expanded uncertainty (0.9545 gives k = 2).
        level: f64 = 0.9545,
    }
}

impl BudgetSettings {
    /// Calibration and drift of a readout that shows resistance, relative standard uncertainties in
    /// 1e-6: as set, else examples without source.
    pub fn readout(&self) -> (f64, f64) {
        const USUAL_PPM: (f64, f64) = (5.0, 2.0);
        (
            self.readout_ppm.unwrap_or(USUAL_PPM.0),
            self.readout_drift_ppm.unwrap_or(USUAL_PPM.1),
        )
    }

    /// Negative or impossible assumptions.
    pub fn check(&self) -> Vec<SettingError> {
        let table = "thermometry.budget";
        let keys = [
            ("bridge_linearity", self.bridge_linearity),
            ("current_ratio", self.current_ratio),
            ("depth_mm", self.depth_mm),
            ("depth_unknown_m", self.depth_unknown_m),
            ("isotopes_uk", self.isotopes_uk),
            ("isotopes_unknown_uk", self.isotopes_unknown_uk),
            ("impurities_uk", self.impurities_uk),
            ("mantle_uk", self.mantle_uk),
            ("heat_flux_uk", self.heat_flux_uk),
            ("cell_departure_unknown_uk", self.cell_departure_unknown_uk),
            ("cells_uk", self.cells_uk),
            ("slush_mk", self.slush_mk),
            ("slush_repeat_mk", self.slush_repeat_mk),
            ("frozen_mk", self.frozen_mk),
            ("frozen_repeat_mk", self.frozen_repeat_mk),
            ("readout_ppm", self.readout().0),
            ("readout_drift_ppm", self.readout().1),
            ("resistor_unknown_ppm", self.resistor_unknown_ppm),
            (
                "resistor_reference_unknown_c",
                self.resistor_reference_unknown_c,
            ),
            ("resistor_drift_ppm", self.resistor_drift_ppm),
            ("resistor_temperature_c", self.resistor_temperature_c),
            (
                "resistor_temperature_unknown_c",
                self.resistor_temperature_unknown_c,
            ),
            ("resistor_alpha_unknown", self.resistor_alpha_unknown),
            ("self_heating_mk", self.self_heating_mk),
            ("u_self_heating_mk", self.u_self_heating_mk),
            ("other_point_mk", self.other_point_mk),
            ("other_point_repeat_mk", self.other_point_repeat_mk),
            ("comparison_mk", self.comparison_mk),
        ];
        let mut errors: Vec<_> = keys
            .into_iter()
            .filter(|(_, value)| !(value.is_finite() && *value >= 0.0))
            .map(|(key, value)| {
                SettingError::new(
                    table,
                    key,
                    format!("{value} is no uncertainty; expected a number not below 0"),
                )
            })
            .collect();
        if !(self.level > 0.0 && self.level < 1.0) {
            errors.push(SettingError::new(
                table,
                "level",
                "expected a probability above 0 and below 1",
            ));
        }
        errors
    }
}
