/*! Means of dependent data with honest errors. */

use crate::stats::{quantile, share_limits};

/// From this many histories on, histories are the independent units of an error; with
/// fewer, stretches of [`STRETCHES`] to a history are.
const HISTORIES_FOR_UNITS: usize = 10;
/// Stretches of consecutive cases into which a history is cut.
const STRETCHES: usize = 20;

/// Ratio of two sums and its standard error, from paired values of independent units.
///
/// With r = Σa/Σb the residuals a − r·b have mean zero; their scatter gives the error
/// (W. G. Cochran, *Sampling Techniques*, 3rd ed. 1977, chapter 6; from memory).
/// NaN error from fewer than two units.
pub(crate) fn ratio(a: &[f64], b: &[f64]) -> (f64, f64) {
    let n = a.len() as f64;
    let (sum_a, sum_b) = (a.iter().sum::<f64>(), b.iter().sum::<f64>());
    let ratio = sum_a / sum_b;
    if a.len() < 2 {
        return (ratio, f64::NAN);
    }
    let squares: f64 = a.iter().zip(b).map(|(a, b)| (a - ratio * b).powi(2)).sum();
    (ratio, (squares / (n - 1.0) * n).sqrt() / sum_b.abs())
}

/// Sum and number of the cases in each independent unit.
pub(crate) fn units(cases: &[(u32, f64)]) -> (Vec<f64>, Vec<f64>) {
    let histories: Vec<&[(u32, f64)]> = cases.chunk_by(|a, b| a.0 == b.0).collect();
    let whole = histories.len() >= HISTORIES_FOR_UNITS;
    let stretch = |history: &&[(u32, f64)]| match whole {
        true => history.len(),
        false => history.len().div_ceil(STRETCHES),
    };
    histories
        .iter()
        .flat_map(|history| history.chunks(stretch(history).max(1)))
        .map(|unit| {
            (
                unit.iter().map(|case| case.1).sum::<f64>(),
                unit.len() as f64,
            )
        })
        .unzip()
}

/// Two-sided limits of a share at confidence `level`, from cases (history, 1 or 0) in walking
/// order: those of the number of independent cases that would scatter as much as the units do.
///
/// The checks of one item are no trials of their own. Where the units scatter more than single
/// cases would, the exact limits are those of fewer trials, by the ratio of the variances and
/// of the quantiles of Student's t (E. L. Korn and B. I. Graubard, *Survey Methodology* 24 (1998)
/// 193–201; from memory). Where nothing scatters, since all or none are 1, a unit counts once.
pub(crate) fn share_of_dependent(
    cases: impl Iterator<Item = (u32, f64)>,
    level: f64,
) -> (f64, f64) {
    let cases: Vec<(u32, f64)> = cases.collect();
    let (sums, counts) = units(&cases);
    let (n, each) = (cases.len() as f64, sums.len() as f64);
    let (share, error) = ratio(&sums, &counts);
    if cases.is_empty() || error.is_nan() {
        return (0.0, 1.0);
    }
    let tail = 0.5 + 0.5 * level;
    let wider = (quantile(tail, n - 1.0) / quantile(tail, each - 1.0)).powi(2);
    let trials = match share * (1.0 - share) {
        alike if alike <= 0.0 => each,
        single => (wider * single / (error * error)).min(n),
    };
    share_limits(share, trials, level)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::proportion_limits;

    /// Ten items, each found alike at its ten checks, nine of them always inside: ten trials at
    /// the most, not a hundred.
    #[test]
    fn a_hundred_checks_of_ten_items_that_never_change_are_ten_trials() {
        let cases = |out: u32| {
            let each =
                move |item: u32| (0..10).map(move |_| (item, f64::from(u8::from(item >= out))));
            (0..10).flat_map(each)
        };
        let (low, high) = share_of_dependent(cases(1), 0.95);
        let ten = proportion_limits(9, 10, 0.95);
        assert!(low <= ten.0 && high >= ten.1, "{low} {high} {ten:?}");
        let none = share_of_dependent(cases(0), 0.95);
        let exact = proportion_limits(10, 10, 0.95);
        assert!((none.0 - exact.0).abs() < 1e-9 && none.1 == 1.0, "{none:?}");
    }

    /// One check an item: the exact limits of Clopper and Pearson, all but for the quantile of t.
    #[test]
    fn independent_checks_keep_their_exact_limits() {
        let cases = (0..400).map(|item| (item, f64::from(u8::from(item % 20 != 0))));
        let (low, high) = share_of_dependent(cases, 0.95);
        let exact = proportion_limits(380, 400, 0.95);
        assert!((low - exact.0).abs() < 1e-3 && (high - exact.1).abs() < 1e-3);
        assert_eq!(share_of_dependent(std::iter::empty(), 0.95), (0.0, 1.0));
    }

    /// Shares of items scatter about 0.9 with standard deviation 0.1; ten checks of each of sixty. The limits hold
    /// the mean in at least 94 of 100 fleets; those of 600 trials in fewer.
    #[test]
    fn the_limits_hold_where_items_differ() {
        let mut state = 7u64;
        let mut uniform = || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (state >> 11) as f64 / (1u64 << 53) as f64
        };
        let (mut held, mut held_by_checks) = (0, 0);
        let fleets = 400;
        for _ in 0..fleets {
            let mut cases = Vec::new();
            for item in 0..60 {
                let own = if uniform() < 0.5 { 1.0 } else { 0.8 };
                cases.extend((0..10).map(|_| (item, f64::from(u8::from(uniform() < own)))));
            }
            let inside = |(low, high): (f64, f64)| low <= 0.9 && 0.9 <= high;
            let count = cases.iter().filter(|case| case.1 == 1.0).count() as u64;
            held += u32::from(inside(share_of_dependent(cases.iter().copied(), 0.95)));
            held_by_checks += u32::from(inside(proportion_limits(count, 600, 0.95)));
        }
        assert!(held >= 376, "{held}");
        assert!(held > held_by_checks, "{held} {held_by_checks}");
    }

    #[test]
    fn a_ratio_of_constants_has_no_error() {
        let (ratio, error) = ratio(&[2.0, 4.0, 6.0], &[1.0, 2.0, 3.0]);
        assert_eq!(ratio, 2.0);
        assert!(error < 1e-12);
    }

    #[test]
    fn the_error_of_a_mean_is_the_textbook_one() {
        // b = 1: the ratio is the mean of a, its error s/√n = √(5/3)/2 for 1, 2, 3, 4.
        let (ratio, error) = ratio(&[1.0, 2.0, 3.0, 4.0], &[1.0; 4]);
        assert_eq!(ratio, 2.5);
        near!(error, (5.0f64 / 3.0).sqrt() / 2.0, 1e-12);
    }
}
