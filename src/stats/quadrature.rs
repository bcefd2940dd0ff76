/*! Integrals of smooth functions: Gauss–Kronrod, halving where the two rules disagree.

Nodes and weights: R. Piessens and others, QUADPACK (1983), the 7-15 pair.
*/

const NODES: [f64; 8] = [
    0.991_455_371_120_812_6,
    0.949_107_912_342_758_5,
    0.864_864_423_359_769_1,
    0.741_531_185_599_394_4,
    0.586_087_235_467_691_1,
    0.405_845_151_377_397_2,
    0.207_784_955_007_898_47,
    0.0,
];
const KRONROD: [f64; 8] = [
    0.022_935_322_010_529_224,
    0.063_092_092_629_978_55,
    0.104_790_010_322_250_18,
    0.140_653_259_715_525_92,
    0.169_004_726_639_267_9,
    0.190_350_578_064_785_4,
    0.204_432_940_075_298_9,
    0.209_482_141_084_727_82,
];
const GAUSS: [f64; 4] = [
    0.129_484_966_168_869_7,
    0.279_705_391_489_276_64,
    0.381_830_050_505_118_9,
    0.417_959_183_673_469_4,
];
/// Halvings after which a panel is as narrow as rounding allows.
const DEEPEST: u32 = 40;
/// The two rules of one panel agree to rounding at this share of the whole integral.
const ROUNDING: f64 = 1e-14;

/// Integral of `function` over `[low, high]` to an absolute error of about `tolerance`
/// (each panel's two rules agree to that, and the finer one is used), or to rounding.
pub(crate) fn integral(low: f64, high: f64, tolerance: f64, function: &impl Fn(f64) -> f64) -> f64 {
    let (whole, _) = rules(low, high, function);
    let enough = tolerance.max(ROUNDING * whole.abs());
    panel(low, high, enough, function, 0)
}

/// The 15-point and the 7-point estimate.
fn rules(low: f64, high: f64, f: &impl Fn(f64) -> f64) -> (f64, f64) {
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    let (mut fine, mut coarse) = (0.0, 0.0);
    for (i, node) in NODES.iter().enumerate() {
        let sum = if *node == 0.0 {
            f(middle)
        } else {
            f(middle - half * node) + f(middle + half * node)
        };
        fine += KRONROD[i] * sum;
        if i % 2 == 1 {
            coarse += GAUSS[i / 2] * sum;
        }
    }
    (fine * half, coarse * half)
}

fn panel(low: f64, high: f64, enough: f64, f: &impl Fn(f64) -> f64, depth: u32) -> f64 {
    let (fine, coarse) = rules(low, high, f);
    if (fine - coarse).abs() <= enough || depth >= DEEPEST || !fine.is_finite() {
        return fine;
    }
    let middle = 0.5 * (low + high);
    panel(low, middle, enough, f, depth + 1) + panel(middle, high, enough, f, depth + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn known_integrals() {
        let sine = integral(0.0, std::f64::consts::PI, 1e-14, &f64::sin);
        near!(sine, 2.0, 1e-14);
        let kink = integral(0.0, 1.0, 1e-13, &|x: f64| (x - 0.3).abs());
        near!(kink, 0.29, 1e-12);
        let steep = integral(0.0, 1.0, 1e-12, &|x: f64| x.sqrt());
        near!(steep, 2.0 / 3.0, 1e-10);
    }
}
