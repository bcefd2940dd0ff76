/*! Components of the budget that no reading tells: what the laboratory assumes. */

use super::cell::IsotopeConstants;

crate::settings! {
    /// Uncertainty of a reduced check: assumptions of the laboratory (defaults are examples, no source).
    pub struct BudgetSettings in "thermometry.budget" {
        /// Non-linearity of the bridge, half-width in ratio (or relative to the resistance where no ratio is given).
        bridge_linearity: f64 = 2e-8 => at_least(0.0),
        /// Relative standard uncertainty of the ratio of the two currents.
        current_ratio: f64 = 0.001 => at_least(0.0),
        /// Depth of the element, half-width in mm.
        depth_mm: f64 = 5.0 => at_least(0.0),
        /// Depth taken where none was noted, m; its half-width is the same.
        depth_unknown_m: f64 = 0.2 => at_least(0.0),
        /// Constants for the isotopic composition: annex or white_tew2010.
        isotopes: IsotopeConstants = IsotopeConstants::Annex,
        /// Isotopic correction, standard uncertainty in µK.
        isotopes_uk: f64 = 4.0 => at_least(0.0),
        /// Isotopic composition unknown, standard uncertainty in µK.
        isotopes_unknown_uk: f64 = 30.0 => at_least(0.0),
        /// Impurities and residual gas of the cell, half-width in µK.
        impurities_uk: f64 = 40.0 => at_least(0.0),
        /// Strain and crystal size of the mantle, half-width in µK.
        mantle_uk: f64 = 15.0 => at_least(0.0),
        /// Heat flux along the thermometer, half-width in µK.
        heat_flux_uk: f64 = 20.0 => at_least(0.0),
        /// Departure of a cell by comparison whose uncertainty is not stated, standard uncertainty in µK.
        cell_departure_unknown_uk: f64 = 50.0 => at_least(0.0),
        /// Difference of two good cells, standard uncertainty in µK: what a session in another than the usual cell carries at least (transfer cells of the key comparison CCT-K7 scatter by 50 µK).
        cells_uk: f64 = 50.0 => at_least(0.0),
        /// Realisation in a small slush cell in a dry well as a whole, standard uncertainty in mK (with the next, U is 1 mK to 5 mK: common practice, no source).
        slush_mk: f64 = 1.0 => at_least(0.0),
        /// The part of it that is new with every session, standard uncertainty in mK.
        slush_repeat_mk: f64 = 0.5 => at_least(0.0),
        /// Realisation in a small cell with a frozen mantle, standard uncertainty in mK (between slush and large cell: our own choice, no source).
        frozen_mk: f64 = 0.3 => at_least(0.0),
        /// The part of it that is new with every session, standard uncertainty in mK.
        frozen_repeat_mk: f64 = 0.15 => at_least(0.0),
        /// Calibration of a readout that shows resistance, relative standard uncertainty in 1e-6; absent = 5, which is told.
        readout_ppm: Option<f64> = None => at_least(0.0),
        /// Its drift between checks, relative standard uncertainty in 1e-6; absent = 2, which is told.
        readout_drift_ppm: Option<f64> = None => at_least(0.0),
        /// Calibration of a reference resistor whose uncertainty is not stated, relative standard uncertainty in 1e-6.
        resistor_unknown_ppm: f64 = 1.0 => at_least(0.0),
        /// Drift of the reference resistor since its calibration, standard uncertainty in 1e-6.
        resistor_drift_ppm: f64 = 0.05 => at_least(0.0),
        /// Temperature of the reference resistor, half-width in °C.
        resistor_temperature_c: f64 = 0.010 => at_least(0.0),
        /// The same where its temperature was not noted.
        resistor_temperature_unknown_c: f64 = 3.0 => at_least(0.0),
        /// Temperature of the resistor's calibration where none is stated, half-width in °C about 20 °C.
        resistor_reference_unknown_c: f64 = 3.0 => at_least(0.0),
        /// Temperature coefficient taken where the table states none, half-width in 1/K.
        resistor_alpha_unknown: f64 = 1e-5 => at_least(0.0),
        /// Self-heating at 1 mA where only one current was measured and the thermometer states none, mK; it grows with the square of the current.
        self_heating_mk: f64 = 0.35 => at_least(0.0),
        /// Its standard uncertainty, mK.
        u_self_heating_mk: f64 = 0.15 => at_least(0.0),
        /// Realisation of a fixed point other than water, standard uncertainty in mK.
        other_point_mk: f64 = 0.5 => at_least(0.0),
        /// Repeatability of such a realisation, new each time, standard uncertainty in mK.
        other_point_repeat_mk: f64 = 0.2 => at_least(0.0),
        /// Comparison with a standard, standard uncertainty in mK.
        comparison_mk: f64 = 5.0 => at_least(0.0),
        /// Coverage probability of the expanded uncertainty (0.9545 gives k = 2).
        level: f64 = 0.9545 => PROBABILITY,
    }
}

impl BudgetSettings {
    /// Calibration and drift of a readout that shows resistance, relative standard uncertainties in
    /// 1e-6: as set, else examples without source.
    pub(crate) fn readout(&self) -> (f64, f64) {
        const USUAL_PPM: (f64, f64) = (5.0, 2.0);
        (
            self.readout_ppm.unwrap_or(USUAL_PPM.0),
            self.readout_drift_ppm.unwrap_or(USUAL_PPM.1),
        )
    }
}
