/*! Defining fixed points of the ITS-90 that platinum thermometers are calibrated at. */

use super::constants::ZERO_CELSIUS_K;
use serde::{Deserialize, Serialize};

/// What is known of one fixed point.
struct Facts {
    name: &'static str,
    /// Short names, as benches write them, in lower case: the chemical symbol, and for water the usual letters.
    symbols: &'static [&'static str],
    kelvin: f64,
    reference_ratio: f64,
    head_mk_per_m: f64,
}

/// Declares the fixed points by rising temperature: name, short names, T90 in K and W_r (Metrologia 27 (1990) 3–10,
/// Table 1), change of the temperature with depth of liquid in mK per m (Table 2).
macro_rules! fixed_points {
    ($(
        #[doc = $doc:literal]
        $point:ident $name:literal $symbols:tt, $kelvin:literal, $ratio:literal, $head:literal;
    )*) => {
        /// A defining fixed point.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "lowercase")]
        pub enum FixedPoint { $( #[doc = $doc] $point, )* }

        impl FixedPoint {
            /// All of them, by rising temperature.
            pub(crate) const ALL: [Self; [$($name),*].len()] = [$(Self::$point),*];

            fn facts(self) -> Facts {
                match self { $( Self::$point => Facts {
                    name: $name,
                    symbols: &$symbols,
                    kelvin: $kelvin,
                    reference_ratio: $ratio,
                    head_mk_per_m: $head,
                }, )* }
            }
        }
    };
}

fixed_points! {
    /// Triple point of equilibrium hydrogen.
    Hydrogen "triple point of hydrogen" ["h2", "e-h2"], 13.8033, 0.001_190_07, 0.25;
    /// Triple point of neon.
    Neon "triple point of neon" ["ne"], 24.5561, 0.008_449_74, 1.9;
    /// Triple point of oxygen.
    Oxygen "triple point of oxygen" ["o2"], 54.3584, 0.091_718_04, 1.5;
    /// Triple point of argon.
    Argon "triple point of argon" ["ar"], 83.8058, 0.215_859_75, 3.3;
    /// Triple point of mercury.
    Mercury "triple point of mercury" ["hg"], 234.3156, 0.844_142_11, 7.1;
    /// Triple point of water.
    Water "triple point of water" ["tpw", "wtp", "h2o", "tp h2o"], 273.16, 1.0, -0.73;
    /// Melting point of gallium.
    Gallium "melting point of gallium" ["ga"], 302.9146, 1.118_138_89, -1.2;
    /// Freezing point of indium.
    Indium "freezing point of indium" ["in"], 429.7485, 1.609_801_85, 3.3;
    /// Freezing point of tin.
    Tin "freezing point of tin" ["sn"], 505.078, 1.892_797_68, 2.2;
    /// Freezing point of zinc.
    Zinc "freezing point of zinc" ["zn"], 692.677, 2.568_917_30, 2.7;
    /// Freezing point of aluminium.
    Aluminium "freezing point of aluminium" ["al"], 933.473, 3.376_008_60, 1.6;
    /// Freezing point of silver.
    Silver "freezing point of silver" ["ag"], 1234.93, 4.286_420_53, 5.4;
}

impl FixedPoint {
    /// Name in words, as tables and raw readings write it.
    pub(crate) fn name(self) -> &'static str {
        self.facts().name
    }

    /// The point that `text` names, in any case, as `gallium`, `Ga` or `triple point of water`.
    pub(crate) fn from_name(text: &str) -> Option<Self> {
        let wanted = text.trim().to_lowercase();
        Self::ALL.into_iter().find(|point| {
            let names = point.facts().symbols.contains(&wanted.as_str());
            names || point.name() == wanted || wanted == format!("{point:?}").to_lowercase()
        })
    }

    /// T90 assigned to the point, K.
    pub(crate) fn kelvin(self) -> f64 {
        self.facts().kelvin
    }

    /// The same in °C, to the digits of the table.
    pub(crate) fn celsius(self) -> f64 {
        ((self.kelvin() - ZERO_CELSIUS_K) * 1e4).round() / 1e4
    }

    /// W_r of the point.
    pub(crate) fn reference_ratio(self) -> f64 {
        self.facts().reference_ratio
    }

    /// Change of the temperature with depth of liquid, K per m. Negative for water: deeper is colder.
    pub(crate) fn head_k_per_m(self) -> f64 {
        self.facts().head_mk_per_m / 1000.0
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
