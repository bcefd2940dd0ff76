/*! Tests of a check standard against its own past: deviation, mean, one value.

Sources: e-Handbook 2.2.3.1 (limit for a within-run deviation) and NIST IR 6969
(F and t tests of check standards; from memory). E_n: ISO/IEC 17043 (from memory).
*/

use crate::stats::{cumulative, root};
use statrs::distribution::{ContinuousCDF, FisherSnedecor};

/// A test statistic with its probability under "nothing changed".
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Change {
    /// F or t.
    pub statistic: f64,
    /// Degrees of freedom; the numerator's for F.
    pub degrees_of_freedom: f64,
    /// Upper tail for F, both tails for t.
    pub p_value: f64,
}

/// F test: has the deviation grown? (deviation, degrees of freedom) of the new and old
/// period. NaN where a deviation or its degrees of freedom are not positive.
pub(crate) fn deviation_change(new: (f64, f64), old: (f64, f64)) -> Change {
    let statistic = (new.0 / old.0).powi(2);
    let tail = match statistic {
        f if f.is_nan() => f64::NAN,
        f64::INFINITY => 0.0,
        f => FisherSnedecor::new(new.1, old.1).map_or(f64::NAN, |law| law.sf(f)),
    };
    Change {
        statistic,
        degrees_of_freedom: new.1,
        p_value: tail,
    }
}

/// t test of two periods with one deviation: (mean, deviation, values) of new and old.
pub(crate) fn mean_change(new: (f64, f64, usize), old: (f64, f64, usize)) -> Change {
    let (n, m) = (new.2 as f64, old.2 as f64);
    let freedom = n + m - 2.0;
    let pooled = ((n - 1.0) * new.1 * new.1 + (m - 1.0) * old.1 * old.1) / freedom;
    t_test(
        (new.0 - old.0) / (pooled * (1.0 / n + 1.0 / m)).sqrt(),
        freedom,
    )
}

/// t test of one check value against an accepted mean and deviation with `freedom`.
pub(crate) fn single_value(value: f64, mean: f64, deviation: f64, freedom: f64) -> Change {
    t_test((value - mean) / deviation, freedom)
}

fn t_test(statistic: f64, degrees_of_freedom: f64) -> Change {
    Change {
        statistic,
        degrees_of_freedom,
        p_value: 2.0 * cumulative(-statistic.abs(), degrees_of_freedom),
    }
}

/// Upper limit of a run's standard deviation in units of the pooled one:
/// √F_{1−tail; run, pooled} with the degrees of freedom of both. `None` where impossible.
pub(crate) fn precision_limit_factor(run: f64, pooled: f64, tail: f64) -> Option<f64> {
    let law = FisherSnedecor::new(run, pooled).ok()?;
    let quantile = root(0.0, 1e6, |f| law.sf(f) - tail)?;
    Some(quantile.sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn periods_without_scatter_give_no_panic() {
        assert!(deviation_change((0.0, 5.0), (0.0, 5.0)).p_value.is_nan());
        assert_eq!(deviation_change((1.0, 5.0), (0.0, 5.0)).p_value, 0.0);
    }

    /// Interval-practice 6.2 and 6.5, checks 50, 52, 53 (scipy 1.17.1).
    #[test]
    fn published_tests() {
        let f = deviation_change((0.032, 10.0), (0.021, 40.0));
        assert!((f.statistic - 2.321995).abs() < 6e-7 && (f.p_value - 0.028978).abs() < 6e-7);
        let t = single_value(0.185, 0.140, 0.018, 24.0);
        assert!((t.statistic - 2.5).abs() < 1e-12 && (t.p_value - 0.019654).abs() < 6e-7);
        let means = mean_change((0.152, 0.020, 12), (0.140, 0.018, 25));
        near!(means.statistic, 1.831988, 6e-7);
        near!(means.p_value, 0.075474, 6e-7);
        let factor = precision_limit_factor(3.0, 351.0, 0.01).unwrap();
        near!(factor, 1.959047, 6e-7);
    }
}
