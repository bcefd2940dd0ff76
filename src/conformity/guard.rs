/*! Guard bands that keep the global consumer's risk at or below a stated value. */

use super::global::risks_of_ratio;
use crate::stats::root;

/// Guard band in units of the 95 % expanded uncertainty that keeps the risk of accepting
/// an item outside at 2 % or less whatever the spread of the items; 0 from a ratio of
/// 4.59 on. `ratio` = tolerance/U, above 0.
///
/// Source: M. Dobbert, NCSL International 2008 (abstract read; formula from memory and
/// verified by calculation in our tests).
pub fn managed_guard_factor(ratio: f64) -> f64 {
    (1.04 - (0.38 * ratio.ln() - 0.54).exp()).max(0.0)
}

/// Guard band in units of the 95 % expanded uncertainty for which items of true
/// `reliability` are accepted though outside with probability `risk`; 0 where no guard
/// band is needed, `None` where the inputs are impossible.
pub fn guard_factor_for_risk(reliability: f64, ratio: f64, risk: f64) -> Option<f64> {
    let excess = |m: f64| {
        let risks = risks_of_ratio(reliability, false, ratio, 1.0 - m / ratio);
        risks.map_or(f64::NAN, |r| r.consumer - risk)
    };
    let open = excess(0.0);
    if open.is_nan() || risk.is_nan() || risk <= 0.0 {
        return None;
    }
    if open <= 0.0 {
        return Some(0.0);
    }
    root(0.0, ratio, excess)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Interval-practice check 44 (formula), and the smallest factor that holds 2 % for
    /// every spread by scipy (table of 5.3), found here over a fine grid of reliabilities.
    #[test]
    fn managed_two_percent() {
        for (ratio, factor) in [(1.5, 0.36018), (2.0, 0.28165), (4.0, 0.05312)] {
            assert!((managed_guard_factor(ratio) - factor).abs() < 6e-6);
        }
        assert!(managed_guard_factor(4.5917) > 0.0 && managed_guard_factor(4.5918) == 0.0);
        for (ratio, exact) in [(1.5, 0.359269), (2.0, 0.279440), (4.0, 0.053214)] {
            let worst = (125..240)
                .filter_map(|r| guard_factor_for_risk(f64::from(r) / 250.0, ratio, 0.02))
                .fold(0.0, f64::max);
            assert!((worst - exact).abs() < 5e-6, "{ratio} {worst}");
        }
    }

    /// True reliability needed for 2 % without guard band (interval-practice 5.2, scipy).
    #[test]
    fn no_guard_band_needed_at_high_reliability() {
        for (ratio, needed) in [(1.5, 0.932206), (2.0, 0.917214), (4.0, 0.800961)] {
            assert_eq!(guard_factor_for_risk(needed + 1e-5, ratio, 0.02), Some(0.0));
            assert!(guard_factor_for_risk(needed - 1e-5, ratio, 0.02) > Some(0.0));
        }
    }
}
