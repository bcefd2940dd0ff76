/*! Departure of a fixed-point cell from the temperature the scale assigns.

Head: ITS-90 text, Metrologia 27 (1990) 3–10, Table 2. Isotopes: the technical annex for
the ITS-90 (constants from memory) or White and Tew, Int. J. Thermophys. 31 (2010) 1644.
*/

use serde::{Deserialize, Serialize};

/// Exponent that gives the oxygen-17 content where only oxygen-18 was measured
/// (natural fractionation; from memory).
const OXYGEN_17_EXPONENT: f64 = 0.528;

/// Which published constants turn an isotopic composition into a temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum IsotopeConstants {
    /// Technical annex for the ITS-90, 628, 641 and 57 µK (from memory).
    #[default]
    Annex,
    /// White and Tew 2010, 671, 603 and 60 µK.
    WhiteTew2010,
}

impl IsotopeConstants {
    /// µK per unit of δD, δ18O and δ17O.
    fn microkelvin(self) -> (f64, f64, f64) {
        match self {
            Self::Annex => (628.0, 641.0, 57.0),
            Self::WhiteTew2010 => (671.0, 603.0, 60.0),
        }
    }
}

/// Isotopic composition of the water against V-SMOW; plain numbers: −60 ‰ is −0.060.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Isotopes {
    /// δD.
    pub deuterium: f64,
    /// δ18O.
    pub oxygen_18: f64,
    /// δ17O where it was measured.
    pub oxygen_17: Option<f64>,
}

impl Isotopes {
    /// Temperature of the cell minus that of V-SMOW water, K.
    pub(crate) fn departure_k(&self, constants: IsotopeConstants) -> f64 {
        let (deuterium, oxygen_18, oxygen_17) = constants.microkelvin();
        let light = self
            .oxygen_17
            .unwrap_or_else(|| natural_oxygen_17(self.oxygen_18));
        (deuterium * self.deuterium + oxygen_18 * self.oxygen_18 + oxygen_17 * light) * 1e-6
    }
}

/// δ17O of natural water with the given δ18O.
fn natural_oxygen_17(oxygen_18: f64) -> f64 {
    (1.0 + oxygen_18).powf(OXYGEN_17_EXPONENT) - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::its90::FixedPoint;

    /// Evaluated independently in Python.
    #[test]
    fn isotopic_departures() {
        let rows = [
            (-0.060, -0.0085, -43.385, -45.655),
            (-0.100, -0.0135, -71.861, -75.670),
            (-0.428, -0.0555, -306.052, -322.436),
        ];
        for (deuterium, oxygen_18, annex, later) in rows {
            let water = Isotopes {
                deuterium,
                oxygen_18,
                oxygen_17: None,
            };
            let got = |c| water.departure_k(c) * 1e6;
            near!(got(IsotopeConstants::Annex), annex, 1e-3);
            near!(got(IsotopeConstants::WhiteTew2010), later, 1e-3);
        }
        assert!((natural_oxygen_17(-0.0135) + 0.007_150_862).abs() < 1e-9);
    }

    /// ITS-90 text, Table 2: −0.73 mK per metre of water.
    #[test]
    fn hydrostatic_departure() {
        let departure = FixedPoint::Water.head_k_per_m() * 0.265;
        assert!((departure + 193.450e-6).abs() < 1e-9);
    }
}
