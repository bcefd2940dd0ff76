/*! From two measuring currents to zero power.

Model R(I) = R_0 + c·I². With κ = 1/(r² − 1) and r = I_2/I_1: R_0 = R_1 − κ·(R_2 − R_1).
*/

use super::series::Series;
use super::settings::BudgetSettings;
use crate::thermometry::ThermometryError;

/// Value extrapolated to zero power, in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ZeroPower {
    /// Value at zero power.
    pub value: f64,
    /// κ = I_1²/(I_2² − I_1²).
    pub kappa: f64,
    /// Rise at the first current above zero power.
    pub rise: f64,
    /// |dR_0/dr|: change of the value with the ratio of the currents.
    pub ratio_sensitivity: f64,
    /// Ratio of the currents.
    pub current_ratio: f64,
}

/// Extrapolates values `first` and `second` at two currents in mA to zero power.
///
/// # Errors
/// Currents not positive, equal, or the second smaller than the first.
pub fn zero_power(
    (first, first_ma): (f64, f64),
    (second, second_ma): (f64, f64),
) -> Result<ZeroPower, ThermometryError> {
    if !(first_ma > 0.0 && second_ma > first_ma && second_ma.is_finite()) {
        return Err(ThermometryError::Currents {
            first: first_ma,
            second: second_ma,
        });
    }
    let r = second_ma / first_ma;
    let kappa = 1.0 / (r * r - 1.0);
    let rise = (second - first) * kappa;
    Ok(ZeroPower {
        value: first - rise,
        kappa,
        rise,
        ratio_sensitivity: ((second - first) * 2.0 * r * kappa * kappa).abs(),
        current_ratio: r,
    })
}

impl ZeroPower {
    /// Standard uncertainty from those of the two values, √[(1+κ)²·u_1² + κ²·u_2²].
    pub fn u_readings(&self, u_first: f64, u_second: f64) -> f64 {
        ((1.0 + self.kappa) * u_first).hypot(self.kappa * u_second)
    }
}

/// Mean reading at zero power, in the unit of the readings.
pub(super) struct AtZeroPower {
    pub value: f64,
    /// The extrapolation, where two currents were measured.
    pub measured: Option<ZeroPower>,
}

impl AtZeroPower {
    /// Extrapolated from the smallest and the largest current; with one current only, the
    /// self-heating of the settings is taken off.
    pub fn of(series: &[Series], slope: f64, settings: &BudgetSettings) -> Self {
        let at = |s: Option<&Series>| s.map_or((f64::NAN, f64::NAN), |s| (s.mean(), s.current_ma));
        let (first, last) = (at(series.first()), at(series.last()));
        match zero_power(first, last) {
            Ok(zero) => Self {
                value: zero.value,
                measured: Some(zero),
            },
            Err(_) => Self {
                value: first.0 * (1.0 - slope * settings.self_heating_mk / 1000.0),
                measured: None,
            },
        }
    }

    /// What was assumed where one current alone was measured.
    pub fn assumption(&self, series: &[Series], settings: &BudgetSettings) -> Option<String> {
        let current = series.first().map_or(f64::NAN, |s| s.current_ma);
        let told = match current.is_finite() {
            true => format!("all readings at {current} mA, no second, larger current"),
            false => "no current noted".into(),
        };
        self.measured.is_none().then(|| {
            format!(
                "{told}: self-heating of {} mK with u = {} mK assumed",
                settings.self_heating_mk, settings.u_self_heating_mk
            )
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::SQRT_2;

    /// Values evaluated independently in Python.
    #[test]
    fn extrapolates_the_published_pairs() {
        let at = |first, second| zero_power(first, second).unwrap();
        let long = at((25.479_630_0, 1.0), (25.479_661_0, SQRT_2));
        assert!((long.value - 25.479_599_0).abs() < 1e-9);
        assert!((long.u_readings(1.0, 1.0) - 2.236_068).abs() < 1e-6);
        let double = at((100.001, 1.0), (100.004, 2.0));
        assert!((double.value - 100.0).abs() < 1e-9);
        assert!((double.u_readings(1.0, 1.0) - 1.374_369).abs() < 1e-6);
        // u on |R_2 − R_1|·u(r) at r = √2.
        assert!((at((0.0, 1.0), (1.0, SQRT_2)).ratio_sensitivity - 2.828_427).abs() < 1e-6);
    }

    #[test]
    fn equal_and_swapped_currents_are_refused() {
        for (first, second) in [(1.0, 1.0), (1.4, 1.0), (0.0, 1.0), (f64::NAN, 1.0)] {
            assert!(zero_power((25.0, first), (25.0, second)).is_err());
        }
    }
}
