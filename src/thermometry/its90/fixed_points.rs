/*! Defining fixed points of the ITS-90 that platinum thermometers are calibrated at. */

use super::constants::ZERO_CELSIUS_K;
use serde::{Deserialize, Serialize};

/// A defining fixed point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum FixedPoint {
    /// Triple point of equilibrium hydrogen.
    Hydrogen,
    /// Triple point of neon.
    Neon,
    /// Triple point of oxygen.
    Oxygen,
    /// Triple point of argon.
    Argon,
    /// Triple point of mercury.
    Mercury,
    /// Triple point of water.
    Water,
    /// Melting point of gallium.
    Gallium,
    /// Freezing point of indium.
    Indium,
    /// Freezing point of tin.
    Tin,
    /// Freezing point of zinc.
    Zinc,
    /// Freezing point of aluminium.
    Aluminium,
    /// Freezing point of silver.
    Silver,
}

/// Published facts of one fixed point.
struct Facts {
    name: &'static str,
    kelvin: f64,
    reference_ratio: f64,
    head_k_per_m: f64,
}

impl FixedPoint {
    /// All of them, by rising temperature.
    pub(crate) const ALL: [Self; 12] = [
        Self::Hydrogen,
        Self::Neon,
        Self::Oxygen,
        Self::Argon,
        Self::Mercury,
        Self::Water,
        Self::Gallium,
        Self::Indium,
        Self::Tin,
        Self::Zinc,
        Self::Aluminium,
        Self::Silver,
    ];

    /// Name in words, as tables and raw readings write it.
    pub(crate) fn name(self) -> &'static str {
        self.facts().name
    }

    /// The point that `text` names, in any case, as `gallium`, `Ga` or `triple point of water`.
    pub(crate) fn from_name(text: &str) -> Option<Self> {
        let wanted = text.trim().to_lowercase();
        Self::ALL.into_iter().find(|point| {
            let names = point.symbols().contains(&wanted.as_str());
            names || point.name() == wanted || wanted == format!("{point:?}").to_lowercase()
        })
    }

    /// Short names, as benches write them, in lower case: the chemical symbol, and for water the usual letters.
    fn symbols(self) -> &'static [&'static str] {
        match self {
            Self::Hydrogen => &["h2", "e-h2"],
            Self::Neon => &["ne"],
            Self::Oxygen => &["o2"],
            Self::Argon => &["ar"],
            Self::Mercury => &["hg"],
            Self::Water => &["tpw", "wtp", "h2o", "tp h2o"],
            Self::Gallium => &["ga"],
            Self::Indium => &["in"],
            Self::Tin => &["sn"],
            Self::Zinc => &["zn"],
            Self::Aluminium => &["al"],
            Self::Silver => &["ag"],
        }
    }

    /// T90 assigned to the point, K (Metrologia 27 (1990) 3–10, Table 1).
    pub(crate) fn kelvin(self) -> f64 {
        self.facts().kelvin
    }

    /// The same in °C, to the digits of the table.
    pub(crate) fn celsius(self) -> f64 {
        ((self.kelvin() - ZERO_CELSIUS_K) * 1e4).round() / 1e4
    }

    /// W_r of the point (Metrologia 27 (1990) 3–10, Table 1).
    pub(crate) fn reference_ratio(self) -> f64 {
        self.facts().reference_ratio
    }

    /// Change of the temperature with depth of liquid, K per m
    /// (Metrologia 27 (1990) 3–10, Table 2). Negative for water: deeper is colder.
    pub(crate) fn head_k_per_m(self) -> f64 {
        self.facts().head_k_per_m
    }

    fn facts(self) -> Facts {
        let (name, kelvin, reference_ratio, head_mk_per_m) = match self {
            Self::Hydrogen => ("triple point of hydrogen", 13.8033, 0.001_190_07, 0.25),
            Self::Neon => ("triple point of neon", 24.5561, 0.008_449_74, 1.9),
            Self::Oxygen => ("triple point of oxygen", 54.3584, 0.091_718_04, 1.5),
            Self::Argon => ("triple point of argon", 83.8058, 0.215_859_75, 3.3),
            Self::Mercury => ("triple point of mercury", 234.3156, 0.844_142_11, 7.1),
            Self::Water => ("triple point of water", 273.16, 1.0, -0.73),
            Self::Gallium => ("melting point of gallium", 302.9146, 1.118_138_89, -1.2),
            Self::Indium => ("freezing point of indium", 429.7485, 1.609_801_85, 3.3),
            Self::Tin => ("freezing point of tin", 505.078, 1.892_797_68, 2.2),
            Self::Zinc => ("freezing point of zinc", 692.677, 2.568_917_30, 2.7),
            Self::Aluminium => ("freezing point of aluminium", 933.473, 3.376_008_60, 1.6),
            Self::Silver => ("freezing point of silver", 1234.93, 4.286_420_53, 5.4),
        };
        Facts {
            name,
            kelvin,
            reference_ratio,
            head_k_per_m: head_mk_per_m / 1000.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_reads_back() {
        for point in FixedPoint::ALL {
            assert_eq!(FixedPoint::from_name(point.name()), Some(point));
        }
        assert_eq!(FixedPoint::from_name(" Zinc "), Some(FixedPoint::Zinc));
        assert_eq!(FixedPoint::from_name("lead"), None);
    }
}
