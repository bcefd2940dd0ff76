/*! Subranges of the ITS-90 for platinum thermometers and the terms of their deviation functions.

Source: Metrologia 27 (1990) 3–10, section 3.3 and Table 5. The scale text gives the
ranges no numbers; 1 to 11 are the suffixes that calibration reports usually carry
(a7, b7 …: common practice).
*/

use super::constants::ZERO_CELSIUS_K;
use super::fixed_points::FixedPoint::{self, *};
use super::reference::Reference;

/// Largest number of terms of a deviation function.
pub(super) const TERMS: usize = 7;

/// One of the eleven subranges.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Subrange(u8);

impl Subrange {
    /// Subrange `number`, 1 to 11.
    pub fn new(number: u8) -> Option<Self> {
        (1..=11).contains(&number).then_some(Self(number))
    }

    /// Its number, 1 to 11.
    pub(crate) fn number(self) -> u8 {
        self.0
    }

    /// Lowest and highest T90, K.
    pub(crate) fn limits_k(self) -> (f64, f64) {
        let water = Water.kelvin();
        match self.0 {
            1 => (Hydrogen.kelvin(), water),
            2 => (Neon.kelvin(), water),
            3 => (Oxygen.kelvin(), water),
            4 => (Argon.kelvin(), water),
            5 => (Mercury.kelvin(), Gallium.kelvin()),
            6 => (ZERO_CELSIUS_K, Silver.kelvin()),
            7 => (ZERO_CELSIUS_K, Aluminium.kelvin()),
            8 => (ZERO_CELSIUS_K, Zinc.kelvin()),
            9 => (ZERO_CELSIUS_K, Tin.kelvin()),
            10 => (ZERO_CELSIUS_K, Indium.kelvin()),
            _ => (ZERO_CELSIUS_K, Gallium.kelvin()),
        }
    }

    /// Calibration points beside the triple point of water. Subrange 1 needs hydrogen
    /// thrice: its triple point and two temperatures near 17 K and 20.3 K.
    pub(crate) fn calibration_points(self) -> &'static [FixedPoint] {
        match self.0 {
            1 => &[Hydrogen, Hydrogen, Hydrogen, Neon, Oxygen, Argon, Mercury],
            2 => &[Hydrogen, Neon, Oxygen, Argon, Mercury],
            3 => &[Oxygen, Argon, Mercury],
            4 => &[Argon, Mercury],
            5 => &[Mercury, Gallium],
            6 => &[Tin, Zinc, Aluminium, Silver],
            7 => &[Tin, Zinc, Aluminium],
            8 => &[Tin, Zinc],
            9 => &[Indium, Tin],
            10 => &[Indium],
            _ => &[Gallium],
        }
    }

    /// Names of the coefficients, in the order every list of coefficients has.
    pub(crate) fn coefficient_names(self) -> &'static [&'static str] {
        match self.0 {
            1 => &["a", "b", "c1", "c2", "c3", "c4", "c5"],
            2 => &["a", "b", "c1", "c2", "c3"],
            3 => &["a", "b", "c1"],
            4 | 5 | 8 | 9 => &["a", "b"],
            6 => &["a", "b", "c", "d"],
            7 => &["a", "b", "c"],
            _ => &["a"],
        }
    }

    /// Reference function that holds in the subrange.
    pub(crate) fn reference(self) -> Reference {
        match self.0 {
            1..=4 => Reference::Low,
            5 => Reference::Joined,
            _ => Reference::High,
        }
    }

    /// Power of ln W that the first logarithmic term has, less one: n of Table 5.
    fn logarithm_offset(self) -> i32 {
        match self.0 {
            1 => 2,
            2 => 0,
            _ => 1,
        }
    }

    /// Value of each term of ΔW at `ratio`; unused places are 0. `aluminium` is the
    /// thermometer's own W at the freezing point of aluminium (subrange 6 only).
    pub(super) fn terms(self, ratio: f64, aluminium: f64) -> [f64; TERMS] {
        let w = ratio - 1.0;
        let mut terms = [0.0; TERMS];
        terms[0] = w;
        match self.0 {
            1..=3 => {
                terms[1] = w * w;
                let (logarithm, offset) = (ratio.ln(), self.logarithm_offset());
                for (i, term) in terms[2..self.term_count()].iter_mut().enumerate() {
                    *term = logarithm.powi(i as i32 + 1 + offset);
                }
            }
            4 => terms[1] = w * ratio.ln(),
            _ => {
                terms[1] = w * w;
                terms[2] = w * w * w;
                terms[3] = (ratio - aluminium).max(0.0).powi(2);
            }
        }
        terms
    }

    /// Derivative of each term with respect to W at `ratio`.
    pub(super) fn term_slopes(self, ratio: f64, aluminium: f64) -> [f64; TERMS] {
        let w = ratio - 1.0;
        let mut slopes = [0.0; TERMS];
        slopes[0] = 1.0;
        match self.0 {
            1..=3 => {
                slopes[1] = 2.0 * w;
                let (logarithm, offset) = (ratio.ln(), self.logarithm_offset());
                for (i, slope) in slopes[2..self.term_count()].iter_mut().enumerate() {
                    let power = i as i32 + 1 + offset;
                    *slope = f64::from(power) * logarithm.powi(power - 1) / ratio;
                }
            }
            4 => slopes[1] = ratio.ln() + w / ratio,
            _ => {
                slopes[1] = 2.0 * w;
                slopes[2] = 3.0 * w * w;
                slopes[3] = 2.0 * (ratio - aluminium).max(0.0);
            }
        }
        slopes
    }

    /// Number of coefficients.
    pub(super) fn term_count(self) -> usize {
        self.coefficient_names().len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_many_points_as_coefficients() {
        for subrange in (1..=11).map(Subrange) {
            assert_eq!(
                subrange.calibration_points().len(),
                subrange.coefficient_names().len(),
                "{subrange:?}"
            );
        }
        assert_eq!(Subrange::new(0), None);
        assert_eq!(Subrange::new(12), None);
    }

    #[test]
    fn slopes_are_the_derivatives_of_the_terms() {
        let (ratio, step, aluminium) = (3.6, 1e-6, 3.376);
        for subrange in (1..=11).map(Subrange) {
            let above = subrange.terms(ratio + step, aluminium);
            let below = subrange.terms(ratio - step, aluminium);
            let slopes = subrange.term_slopes(ratio, aluminium);
            for i in 0..subrange.term_count() {
                let numeric = (above[i] - below[i]) / (2.0 * step);
                near!(numeric, slopes[i], 1e-7, "{subrange:?} term {i}");
            }
        }
    }
}
