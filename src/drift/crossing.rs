/*! First crossing: how long the probability of being in tolerance stays at the target. */

use super::Prediction;
use crate::records::{DAYS_PER_YEAR, Tolerance};

/// How long a forecast stays at the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Crossing {
    /// Already below the target at the start; the probability there.
    AlreadyBelow(f64),
    /// Years after the start at which the probability first falls to the target.
    After(f64),
    /// Still at or above the target at the cap; the probability there.
    BeyondCap(f64),
    /// No forecast to judge.
    NoForecast,
}

impl Crossing {
    /// Longest time at the target, years, the cap where it binds; `None` without a forecast.
    pub fn years(self, cap_years: f64) -> Option<f64> {
        match self {
            Crossing::AlreadyBelow(_) => Some(0.0),
            Crossing::After(years) => Some(years),
            Crossing::BeyondCap(_) => Some(cap_years),
            Crossing::NoForecast => None,
        }
    }
}

/// The crossing is found to this many years: about a minute, far inside 0.1 day.
const CLOSE: f64 = 0.001 / DAYS_PER_YEAR;

/// Points a year at which a forecast that may wiggle (season, polynomial) is looked at.
const LOOKS_PER_YEAR: f64 = 12.0;

/// Longest h ≤ `cap_years` for which P_in(`from_x` + h) stays at or above `target`.
///
/// For any forecast: looks monthly for the first month's end below the target, then
/// closes in. A dip that begins and ends between two looks is not seen.
pub fn crossing(
    fit_at: impl Fn(f64) -> Option<Prediction>,
    from_x: f64,
    cap_years: f64,
    tolerance: Tolerance,
    target: f64,
) -> Crossing {
    let margin = |h: f64| fit_at(from_x + h).map(|p| p.probability_in(tolerance) - target);
    let looks = (cap_years * LOOKS_PER_YEAR).ceil().clamp(1.0, 1200.0);
    let Some(start) = margin(0.0) else {
        return Crossing::NoForecast;
    };
    if start < 0.0 || start.is_nan() {
        return Crossing::AlreadyBelow(start + target);
    }
    let mut good = (0.0, start);
    for look in 1..=looks as usize {
        let h = cap_years * look as f64 / looks;
        match margin(h) {
            Some(margin_there) if margin_there >= 0.0 => good = (h, margin_there),
            Some(margin_there) => return close_in(margin, good, (h, margin_there)),
            None => return Crossing::After(good.0),
        }
    }
    Crossing::BeyondCap(good.1 + target)
}

/// As [`crossing`] for forecasts that cross once: straight lines and state forecasts, whose
/// expected error is linear and whose uncertainty grows. Two looks decide whether to close in.
pub fn single_crossing(
    fit_at: impl Fn(f64) -> Option<Prediction>,
    from_x: f64,
    cap_years: f64,
    tolerance: Tolerance,
    target: f64,
) -> Crossing {
    let margin = |h: f64| fit_at(from_x + h).map(|p| p.probability_in(tolerance) - target);
    let (Some(start), Some(end)) = (margin(0.0), margin(cap_years)) else {
        return Crossing::NoForecast;
    };
    if start < 0.0 || start.is_nan() {
        return Crossing::AlreadyBelow(start + target);
    }
    if end >= 0.0 {
        return Crossing::BeyondCap(end + target);
    }
    close_in(margin, (0.0, start), (cap_years, end))
}

/// Bisection mixed with regula falsi (Illinois): the bracket halves at least every other
/// step, so flat stretches where the probability is 1 cost little.
fn close_in(
    margin: impl Fn(f64) -> Option<f64>,
    mut good: (f64, f64),
    mut bad: (f64, f64),
) -> Crossing {
    let mut by_secant = false;
    while bad.0 - good.0 > CLOSE {
        let width = bad.0 - good.0;
        let middle = good.0 + 0.5 * width;
        // Half the tolerance away from both ends, so that each secant step shuts one side.
        let secant = good.0 + width * good.1 / (good.1 - bad.1);
        let inside = secant.clamp(good.0 + 0.4 * CLOSE, bad.0 - 0.4 * CLOSE);
        let h = if by_secant && inside.is_finite() {
            inside
        } else {
            middle
        };
        if h <= good.0 || h >= bad.0 {
            break;
        }
        by_secant = !by_secant;
        match margin(h) {
            Some(value) if value >= 0.0 => good = (h, value),
            Some(value) => bad = (h, value),
            None => break,
        }
    }
    Crossing::After(good.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn forecast(slope: f64, u: f64, per_year: f64) -> impl Fn(f64) -> Option<Prediction> {
        move |x| {
            Some(Prediction {
                expected: slope * x,
                u_error: u.hypot(per_year * x),
                u_reading: f64::NAN,
                degrees_of_freedom: f64::INFINITY,
                no_step: 1.0,
            })
        }
    }

    fn limits() -> Tolerance {
        Tolerance::new(-1.0, 1.0).unwrap()
    }

    /// Without uncertainty of the slope the one-sided quantile of the normal decides:
    /// m = 1 − 1.6448536 u.
    #[test]
    fn straight_drift_meets_the_normal_quantile() {
        let at = forecast(0.1, 0.05, 0.0);
        let exact = (1.0 - 1.644_853_626_951_472_2 * 0.05) / 0.1;
        for found in [
            single_crossing(&at, 0.0, 20.0, limits(), 0.95),
            crossing(&at, 0.0, 20.0, limits(), 0.95),
        ] {
            let years = found.years(20.0).unwrap();
            assert!(
                (years - exact).abs() * DAYS_PER_YEAR < 0.01,
                "{years} {exact}"
            );
        }
    }

    #[test]
    fn cap_and_start_are_named() {
        let slow = forecast(1e-6, 0.01, 0.0);
        assert!(matches!(
            single_crossing(&slow, 0.0, 5.0, limits(), 0.95),
            Crossing::BeyondCap(_)
        ));
        let out = forecast(0.1, 0.01, 0.0);
        assert!(matches!(
            single_crossing(&out, 11.0, 5.0, limits(), 0.95),
            Crossing::AlreadyBelow(_)
        ));
        assert_eq!(
            single_crossing(|_| None, 0.0, 5.0, limits(), 0.95),
            Crossing::NoForecast
        );
        assert_eq!(Crossing::NoForecast.years(5.0), None);
    }

    #[test]
    fn first_of_several_crossings_is_found() {
        let wave = |x: f64| {
            Some(Prediction {
                expected: 1.2 * (std::f64::consts::TAU * x).sin(),
                u_error: 1e-6,
                u_reading: f64::NAN,
                degrees_of_freedom: f64::INFINITY,
                no_step: 1.0,
            })
        };
        let years = crossing(wave, 0.0, 3.0, limits(), 0.95).years(3.0).unwrap();
        let exact = (1.0f64 / 1.2).asin() / std::f64::consts::TAU;
        assert!((years - exact).abs() * DAYS_PER_YEAR < 0.1);
    }
}
