/*! The published constants of the ITS-90 reference functions.

Source: The International Temperature Scale of 1990, Metrologia 27 (1990) 3–10 with
erratum 27 (1990) 107, Table 4. The tests check two sums of each list, because copies
with one wrong digit are in circulation.
*/

/// Temperature of the triple point of water, K: exact on the scale.
pub(crate) const TRIPLE_POINT_K: f64 = 273.16;
/// 0 °C in K: exact.
pub(crate) const ZERO_CELSIUS_K: f64 = 273.15;
/// Slope dW_r/dT of the reference function at the triple point of water, 1/K
/// (equation 10a evaluated at 273.16 K).
pub(crate) const TRIPLE_POINT_SLOPE: f64 = 3.988_528_485e-3;

/// A_0 … A_12 of equation (9a).
pub(super) const A: [f64; 13] = [
    -2.135_347_29,
    3.183_247_20,
    -1.801_435_97,
    0.717_272_04,
    0.503_440_27,
    -0.618_993_95,
    -0.053_323_22,
    0.280_213_62,
    0.107_152_24,
    -0.293_028_65,
    0.044_598_72,
    0.118_686_32,
    -0.052_481_34,
];

/// B_0 … B_15 of equation (9b).
pub(super) const B: [f64; 16] = [
    0.183_324_722,
    0.240_975_303,
    0.209_108_771,
    0.190_439_972,
    0.142_648_498,
    0.077_993_465,
    0.012_475_611,
    -0.032_267_127,
    -0.075_291_522,
    -0.056_470_670,
    0.076_201_285,
    0.123_893_204,
    -0.029_201_193,
    -0.091_173_542,
    0.001_317_696,
    0.026_025_526,
];

/// C_0 … C_9 of equation (10a).
pub(super) const C: [f64; 10] = [
    2.781_572_54,
    1.646_509_16,
    -0.137_143_90,
    -0.006_497_67,
    -0.002_344_44,
    0.005_118_68,
    0.001_879_82,
    -0.002_044_72,
    -0.000_461_22,
    0.000_457_24,
];

/// D_0 … D_9 of equation (10b).
pub(super) const D: [f64; 10] = [
    439.932_854,
    472.418_020,
    37.684_494,
    7.472_018,
    2.920_828,
    0.005_184,
    -0.963_864,
    -0.188_732,
    0.191_203,
    0.049_025,
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Sums evaluated independently in Python; they catch a wrong digit anywhere.
    #[test]
    fn sums_match_the_published_lists() {
        assert!((A.iter().sum::<f64>() + 1.000_000_005e-8).abs() < 1e-12);
        assert!((B.iter().sum::<f64>() - 0.999_999_999).abs() < 1e-12);
        let alternating = |list: &[f64]| -> f64 {
            list.iter()
                .enumerate()
                .map(|(i, c)| if i % 2 == 0 { *c } else { -c })
                .sum()
        };
        // W_r and t at the ends of the argument ranges: equation (10a) at x = −1 is W_r(0 °C)
        // and (10b) at x = −1 is the temperature of W_r = 1.
        near!(alternating(&C), 0.999_960_11, 1e-8);
        near!(alternating(&D), 0.01, 2e-4);
    }
}
