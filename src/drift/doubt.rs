/*! Stated uncertainties in doubt: scatter that is not significantly more than u explains, yet
more than it should be, takes degrees of freedom from the bands.

A u that may be too small is a u that is itself uncertain, and the Guide tells the
uncertainty of an uncertainty by its degrees of freedom (JCGM 100:2008, G.4.2). They are
chosen so that the 95 % band is the one that the scatter alone would give, t(ν)·√(χ²/ν)
times that of u. Estimates and standard uncertainties stay those of the stated u.
*/

use crate::stats::quantile;

/// Scatter this improbable or less raises doubt. Chosen by the coverage study
/// (`benches/coverage.rs`): later, real excess is missed too often; earlier, bands of
/// consistent readings grow too wide.
const DOUBT_BELOW: f64 = 0.25;
/// With fewer degrees of freedom t would widen the band many times over for what is most
/// likely chance.
const LEAST_FREEDOM: f64 = 3.0;
/// Upper end of a 95 % band.
const END: f64 = 0.975;

/// Degrees of freedom of bands with stated u, where the excess is not significant: infinite
/// without doubt, else the whole number whose 95 % band is nearest to that of the scatter.
pub fn doubted_freedom(chi_squared: f64, freedom: f64, consistency: f64) -> f64 {
    let doubted = consistency <= DOUBT_BELOW && freedom >= LEAST_FREEDOM && chi_squared > freedom;
    if !doubted {
        return f64::INFINITY;
    }
    let wanted = quantile(END, freedom) * (chi_squared / freedom).sqrt();
    let mut whole = freedom.min(16.0).floor();
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

#[cfg(test)]
mod tests {
    use super::super::{Reading, Status, line};
    use super::*;
    use rand::{RngExt, SeedableRng};
    use rand_distr::{Distribution, StandardNormal};
    use rand_pcg::Pcg64;

    #[test]
    fn doubt_takes_degrees_of_freedom_and_nothing_else_does() {
        assert_eq!(doubted_freedom(9.0, 10.0, 0.53), f64::INFINITY);
        assert_eq!(doubted_freedom(3.0, 1.0, 0.08), f64::INFINITY);
        // t(10)·√1.5 = 2.73, between t(4) = 2.776 and t(5) = 2.571 (e-Handbook 1.3.6.7.2).
        assert_eq!(doubted_freedom(15.0, 10.0, 0.13), 4.0);
    }

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
                    segment: 0,
                    drift_segment: 0,
                    check: check as u32,
                    as_left: false,
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
