/*! Tolerance classes of industrial platinum thermometers and their ranges.

Tolerances: IEC 60751, classes AA, A, B and C: ±(0.1 + 0.0017·|t|), ±(0.15 + 0.002·|t|),
±(0.3 + 0.005·|t|), ±(0.6 + 0.01·|t|) °C. Secondary texts disagree about the ranges, so
those are settings: compare them with the edition you work to.
*/

use super::function::RANGE_C;
use crate::records::Tolerance;
use serde::{Deserialize, Serialize};

/// A tolerance class, strictest first.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    clap::ValueEnum,
)]

pub(crate) enum Class {
    /// ±(0.1 + 0.0017·|t|) °C.
    #[value(name = "AA")]
    AA,
    /// ±(0.15 + 0.002·|t|) °C.
    #[value(name = "A")]
    A,
    /// ±(0.3 + 0.005·|t|) °C.
    #[value(name = "B")]
    B,
    /// ±(0.6 + 0.01·|t|) °C.
    #[value(name = "C")]
    C,
}

crate::words::worded! {
    /// How the resistor is made; the ranges of the classes depend on it.
    #[derive(
        Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize, clap::ValueEnum,
    )]
    #[serde(rename_all = "lowercase")]
    pub(crate) enum Construction with words {
        /// Wire-wound.
        #[default]
        Wire = "wire-wound",
        /// Film.
        Film = "film",
    }
}

crate::settings! {
    /// Temperature ranges of the tolerance classes of IEC 60751, thermometers, °C.
    pub struct ClassRanges in "thermometry.class_ranges" {
        /// Class AA, wire-wound: lowest and highest temperature, °C.
        aa_wire: [f64; 2] = [-50.0, 250.0] => LowestFirst(RANGE_C.0, RANGE_C.1),
        /// Class AA, film, °C.
        aa_film: [f64; 2] = [0.0, 150.0] => LowestFirst(RANGE_C.0, RANGE_C.1),
        /// Class A, wire-wound, °C.
        a_wire: [f64; 2] = [-100.0, 450.0] => LowestFirst(RANGE_C.0, RANGE_C.1),
        /// Class A, film, °C.
        a_film: [f64; 2] = [-30.0, 300.0] => LowestFirst(RANGE_C.0, RANGE_C.1),
        /// Class B, wire-wound, °C.
        b_wire: [f64; 2] = [-196.0, 600.0] => LowestFirst(RANGE_C.0, RANGE_C.1),
        /// Class B, film, °C.
        b_film: [f64; 2] = [-50.0, 500.0] => LowestFirst(RANGE_C.0, RANGE_C.1),
        /// Class C, wire-wound, °C.
        c_wire: [f64; 2] = [-196.0, 600.0] => LowestFirst(RANGE_C.0, RANGE_C.1),
        /// Class C, film, °C.
        c_film: [f64; 2] = [-50.0, 600.0] => LowestFirst(RANGE_C.0, RANGE_C.1),
    }
}

impl ClassRanges {
    /// Range of `class` in °C.
    pub(crate) fn of(&self, class: Class, construction: Construction) -> (f64, f64) {
        let [low, high] = match (class, construction) {
            (Class::AA, Construction::Wire) => self.aa_wire,
            (Class::AA, Construction::Film) => self.aa_film,
            (Class::A, Construction::Wire) => self.a_wire,
            (Class::A, Construction::Film) => self.a_film,
            (Class::B, Construction::Wire) => self.b_wire,
            (Class::B, Construction::Film) => self.b_film,
            (Class::C, Construction::Wire) => self.c_wire,
            (Class::C, Construction::Film) => self.c_film,
        };
        (low, high)
    }
}

impl Class {
    /// Tolerance ± in °C at `celsius`, whatever the range.
    pub(crate) fn tolerance_c(self, celsius: f64) -> f64 {
        let (constant, per_degree) = match self {
            Self::AA => (0.1, 0.0017),
            Self::A => (0.15, 0.002),
            Self::B => (0.3, 0.005),
            Self::C => (0.6, 0.01),
        };
        constant + per_degree * celsius.abs()
    }

    /// Limits on the error in °C at `celsius`; `None` where the class does not apply.
    pub(crate) fn limits(
        self,
        celsius: f64,
        construction: Construction,
        ranges: &ClassRanges,
    ) -> Option<Tolerance> {
        let (low, high) = ranges.of(self, construction);
        if !(low..=high).contains(&celsius) {
            return None;
        }
        let half = self.tolerance_c(celsius);
        Tolerance::new(-half, half)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::SettingsTable;
    use crate::thermometry::iec60751::function::Coefficients;

    /// The tolerance in Ω of a sensor with R0 = 100 Ω.
    fn tolerance_ohm(class: Class, celsius: f64) -> f64 {
        class.tolerance_c(celsius) * Coefficients::STANDARD.sensitivity(celsius, 100.0).unwrap()
    }

    /// Tolerance formulas of IEC 60751 in °C and Ω for R0 = 100 Ω: evaluated independently in Python.
    #[test]
    fn tolerances_of_the_classes() {
        let expected = [
            (Class::AA, 100.0, 0.27, 0.102_41),
            (Class::AA, -50.0, 0.185, 0.073_47),
            (Class::A, -100.0, 0.35, 0.141_86),
            (Class::A, 450.0, 1.05, 0.355_80),
            (Class::B, 400.0, 2.3, 0.792_65),
            (Class::B, 0.0, 0.3, 0.117_25),
            (Class::C, 600.0, 6.6, 2.122_10),
            (Class::C, -196.0, 2.56, 1.103_07),
        ];
        for (class, celsius, degrees, ohm) in expected {
            near!(class.tolerance_c(celsius), degrees, 1e-12);
            let got = tolerance_ohm(class, celsius);
            near!(got, ohm, 6e-6, "{class:?} {celsius}: {got}");
        }
    }

    /// Class A resistance tolerances of the 1995 tables, two decimals (R0 = 100 Ω).
    #[test]
    fn older_tables_round_to_the_same() {
        let expected = [
            (Class::A, -200.0, 0.24),
            (Class::A, 100.0, 0.13),
            (Class::A, 300.0, 0.27),
            (Class::A, 400.0, 0.33),
            (Class::A, 600.0, 0.43),
            (Class::B, -200.0, 0.56),
            (Class::B, 100.0, 0.30),
            (Class::B, 300.0, 0.64),
            (Class::B, 400.0, 0.79),
            (Class::B, 600.0, 1.06),
        ];
        for (class, celsius, ohm) in expected {
            let got = tolerance_ohm(class, celsius);
            assert!((got - ohm).abs() <= 0.0051, "{class:?} {celsius}: {got}");
        }
    }

    #[test]
    fn no_class_outside_its_range() {
        let ranges = ClassRanges::default();
        assert!(
            Class::AA
                .limits(300.0, Construction::Wire, &ranges)
                .is_none()
        );
        assert!(
            Class::A
                .limits(350.0, Construction::Film, &ranges)
                .is_none()
        );
        assert!(
            Class::B
                .limits(350.0, Construction::Film, &ranges)
                .is_some()
        );
        assert!(ranges.check().is_empty());
        let bad = ClassRanges {
            a_film: [300.0, -30.0],
            ..ranges
        };
        assert_eq!(bad.check()[0].key, "a_film");
    }
}
