/*! Stated uncertainties in doubt: how wide a band must be where scatter beyond the stated u may
be chance or may be real.

No band can have everything here. One that is never narrower than the stated u demands covers
too often where u is right; the best of all of them misses 95 % somewhere by 3.7 % with one degree
of freedom, 1.6 % with three, 0.8 % with ten and 0.4 % with 38 (docs/methods-drift.md). Two rules
come near that:

- **Three degrees of freedom or more.** Scatter that is not significantly more than u explains,
  yet improbable, takes degrees of freedom from the bands: a u that may be too small is a u that
  is itself uncertain, and the Guide tells the uncertainty of an uncertainty by its degrees of
  freedom (JCGM 100:2008, G.4.2). They are chosen so that the 95 % band is the one that the scatter
  alone would give, t(ν)·√(χ²/ν) times that of u.
- **One or two.** Student's t would widen the band tenfold from one reading to the next. The
  excess is integrated out instead ([`super::rare_excess`]).

Estimates and standard uncertainties stay those of the stated u.
*/

use super::rare_excess::band_factor;
use crate::stats::{quantile, root_within};

/// With fewer degrees of freedom the excess is integrated out.
const LEAST_FREEDOM: f64 = 3.0;
/// Upper end of a 95 % band.
const END: f64 = 0.975;
/// More than this many degrees of freedom are not told from a normal distribution.
const MOST_FREEDOM: f64 = 16.0;

/// ln(t/z) as a polynomial in 1/ν: the first coefficient is (z² + 1)/4 (Abramowitz and Stegun,
/// Handbook of Mathematical Functions, 26.7.5), the others make ν = 1 and ν = 2 exact.
const CUBIC: [f64; 3] = [
    1.210_364_705_173_531_3,
    0.790_186_734_879_638_5,
    -0.131_387_101_811_288_88,
];

/// Scatter this improbable or less raises doubt. From three degrees of freedom on chosen so that
/// the band misses 95 % by as much above, where u is right, as below, where it is not
/// (docs/methods-drift.md); with fewer, bands of right u would grow too wide.
fn doubt_below(freedom: f64) -> f64 {
    if freedom < LEAST_FREEDOM {
        0.25
    } else {
        0.15 + 0.6 / freedom
    }
}

/// Degrees of freedom of bands with stated u, where the excess is not significant: infinite
/// without doubt.
pub(crate) fn doubted_freedom(chi_squared: f64, freedom: f64, consistency: f64) -> f64 {
    let doubted = consistency <= doubt_below(freedom) && chi_squared > freedom;
    if !doubted {
        return f64::INFINITY;
    }
    if freedom < LEAST_FREEDOM {
        return freedom_of(band_factor(chi_squared, freedom));
    }
    nearest_whole(
        quantile(END, freedom) * (chi_squared / freedom).sqrt(),
        freedom,
    )
}

/// Degrees of freedom of bands whose excess makes the scatter of a reading `ratio` times its
/// stated u: those of the excess (`own`), where there are readings enough.
pub(crate) fn freedom_with_excess(chi_squared: f64, freedom: f64, ratio: f64, own: f64) -> f64 {
    if freedom >= LEAST_FREEDOM {
        return own;
    }
    freedom_of(band_factor(chi_squared, freedom) / ratio)
}

/// What a 95 % band with stated u is worth where no more than two degrees of freedom can tell of an
/// excess: the percentages of true errors it covers where u is right, where the excess is as
/// large as u, and where it is twice as large. `None` with more degrees of freedom.
pub(crate) fn worth(freedom: f64) -> Option<[u32; 3]> {
    match freedom {
        1.0 => Some([96, 88, 78]),
        2.0 => Some([96, 88, 82]),
        _ => None,
    }
}

/// The whole number up to `most` whose t is nearest to `wanted`.
fn nearest_whole(wanted: f64, most: f64) -> f64 {
    let mut whole = most.min(MOST_FREEDOM).floor();
    let mut reached = quantile(END, whole);
    while whole > 1.0 && reached < wanted {
        let wider = quantile(END, whole - 1.0);
        if wider - wanted > wanted - reached {
            break;
        }
        (whole, reached) = (whole - 1.0, wider);
    }
    whole
}

/// Degrees of freedom at which Student's t has its 97.5 % quantile at `t`: whole numbers from
/// three on, which are quick to compute with; infinite at the normal quantile and below.
fn freedom_of(t: f64) -> f64 {
    if t.is_nan() {
        return f64::INFINITY;
    }
    let whole = nearest_whole(t, MOST_FREEDOM);
    if whole > 2.0 {
        let normal = quantile(END, f64::INFINITY);
        let middle = 0.5 * (quantile(END, MOST_FREEDOM) + normal);
        return if t < middle { f64::INFINITY } else { whole };
    }
    let [first, second, third] = CUBIC;
    let wanted = (t / quantile(END, f64::INFINITY)).ln();
    let cubic = |r: f64| r * (first + r * (second + r * third)) - wanted;
    root_within(0.3, 1.0, 1e-4, cubic).map_or(1.0, |inverse| 1.0 / inverse)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::regression::line;
    use crate::drift::regression::line::SIGNIFICANT;
    use crate::drift::series::readings::Reading;
    use crate::drift::testing::*;
    use crate::stats::{chi_squared_upper, normal_upper_two_sided};
    use statrs::distribution::{ChiSquared, ContinuousCDF};

    #[test]
    fn doubt_takes_degrees_of_freedom_and_nothing_else_does() {
        assert_eq!(doubted_freedom(9.0, 10.0, 0.53), f64::INFINITY);
        assert_eq!(doubted_freedom(1.25, 1.0, 0.26), f64::INFINITY);
        assert_eq!(doubted_freedom(f64::NAN, 0.0, f64::NAN), f64::INFINITY);
        let few = doubted_freedom(3.0, 1.0, 0.08);
        assert!((1.5..8.0).contains(&few), "{few}");
        // t(10)·√1.5 = 2.73, between t(4) = 2.776 and t(5) = 2.571 (e-Handbook 1.3.6.7.2).
        assert_eq!(doubted_freedom(15.0, 10.0, 0.13), 4.0);
    }

    #[test]
    fn degrees_of_freedom_are_found_from_t() {
        for freedom in [1.0, 1.3, 2.0, 5.0, 12.0] {
            let found = freedom_of(quantile(END, freedom));
            near!(found / freedom, 1.0, 0.01);
        }
        assert_eq!(freedom_of(100.0), 1.0);
        assert_eq!(freedom_of(1.96), f64::INFINITY);
        assert_eq!(freedom_of(f64::NAN), f64::INFINITY);
    }

    /// The share that the band covers where every u is one, the excess `excess` and no date or
    /// coefficient matters: χ² is σ² times that of ν degrees of freedom, here at midpoints of
    /// equal probability.
    fn share(freedom: f64, excess: f64) -> f64 {
        let (sigma, steps) = (excess.hypot(1.0), 1000);
        let distribution = ChiSquared::new(freedom).unwrap();
        let inside: f64 = (0..steps)
            .map(|k| {
                let below = (f64::from(k) + 0.5) / f64::from(steps);
                let chi_squared = sigma * sigma * distribution.inverse_cdf(below);
                let consistency = chi_squared_upper(chi_squared, freedom);
                let ratio = (chi_squared / freedom).sqrt();
                let factor = if consistency <= SIGNIFICANT && ratio > 1.0 {
                    let own = freedom_with_excess(chi_squared, freedom, ratio, freedom);
                    ratio * quantile(END, own)
                } else {
                    quantile(END, doubted_freedom(chi_squared, freedom, consistency))
                };
                1.0 - normal_upper_two_sided(factor / sigma)
            })
            .sum();
        inside / f64::from(steps)
    }

    /// Never further from 95 % than the best that a band of at least the stated u can do, plus
    /// 0.4 %: the bounds of docs/methods-drift.md, found by optimising over all monotone bands.
    #[test]
    fn bands_come_near_the_best_possible() {
        for (freedom, bound) in [(3.0, 0.0155), (6.0, 0.0104), (10.0, 0.0082), (38.0, 0.0041)] {
            let excesses = [0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0];
            let shares = excesses.map(|excess| share(freedom, excess));
            println!("{freedom}: {shares:.4?}");
            for share in shares {
                near!(share, 0.95, bound + 0.004, "{freedom} {shares:?}");
            }
        }
    }

    /// Three and four readings: the shares of docs/methods-drift.md.
    #[test]
    fn few_readings_cover_as_documented() {
        for (freedom, documented) in [(2.0, FEW[1]), (1.0, FEW[0])] {
            let shares = [0.0, 0.5, 1.0, 2.0, 5.0].map(|excess| share(freedom, excess));
            println!("{freedom}: {shares:.4?}");
            for (found, documented) in shares.iter().zip(documented) {
                near!(*found, documented, 0.003, "{freedom} {shares:?}");
            }
            let expected = worth(freedom)
                .unwrap()
                .map(|percent| f64::from(percent) / 100.0);
            for (found, expected) in [shares[0], shares[2], shares[3]].iter().zip(expected) {
                near!(*found, expected, 0.006, "{freedom} {shares:?}");
            }
        }
    }

    const FEW: [[f64; 5]; 2] = [
        [0.958, 0.935, 0.877, 0.779, 0.772],
        [0.956, 0.933, 0.880, 0.822, 0.883],
    ];

    /// Share of next readings inside the 95 % band, 4,000 lines a cell, u stated as one.
    fn coverage(n: usize, excess: f64) -> f64 {
        let mut inside = 0u32;
        for seed in 0..4000 {
            let mut random = Pcg64::seed_from_u64(seed);
            let mut x = 50.0;
            let mut readings: Vec<Reading> = Vec::new();
            for check in 0..=n {
                x += if check == n {
                    1.0
                } else {
                    random.random_range(0.7..1.3)
                };
                let (noise, more): (f64, f64) = (
                    StandardNormal.sample(&mut random),
                    StandardNormal.sample(&mut random),
                );
                readings.push(Reading {
                    x,
                    value: noise + excess * more,
                    u: 1.0,
                    check: check as u32,
                    ..Reading::default()
                });
            }
            let next = readings.pop().unwrap();
            let fit = line::fit(&readings);
            assert_eq!(fit.status, Status::Estimated);
            let (lower, upper) = fit.at(next.x).unwrap().reading(0.95);
            inside += u32::from(lower <= next.value && next.value <= upper);
        }
        f64::from(inside) / 4000.0
    }

    /// Standard deviation of a share: 0.0034.
    #[test]
    fn bands_hold_with_and_without_excess() {
        for n in [5, 12, 40] {
            for excess in [0.0, 0.5, 1.0, 3.0] {
                let share = coverage(n, excess);
                println!("n {n}, excess {excess} u: {share:.4}");
                assert!(
                    n < 12 || (share - 0.95).abs() < 0.025,
                    "{n} {excess} {share}"
                );
            }
        }
    }
}
