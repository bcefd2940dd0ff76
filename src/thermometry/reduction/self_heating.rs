/*! From the measuring currents to the current at which R is wanted: zero power, or another.

Model R(I) = R_0 + c·I². With κ = 1/(r² − 1) and r = I_2/I_1: R_0 = R_1 − κ·(R_2 − R_1), and
R(I) = R_1 − [1 − (I/I_1)²]·κ·(R_2 − R_1).
*/

use super::currents::same_current;
use super::series::Series;
use super::settings::BudgetSettings;
use crate::thermometry::ThermometryError;

/// Value extrapolated to zero power, in the unit of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ZeroPower {
    /// Value at zero power.
    pub value: f64,
    /// κ = I_1²/(I_2² − I_1²).
    pub kappa: f64,
    /// Rise at the first current above zero power.
    pub rise: f64,
    /// |dR_0/dr|: change of the value with the ratio of the currents.
    pub ratio_sensitivity: f64,
    pub current_ratio: f64,
}

/// Extrapolates values `first` and `second` at two currents in mA to zero power.
///
/// # Errors
/// Currents not positive, equal, or the second smaller than the first.
fn zero_power(
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
    /// Standard uncertainty of R at the wanted current from those of the two values, where `part` of
    /// the rise was taken off: √[(1 + part·κ)²·u_1² + (part·κ)²·u_2²].
    pub(crate) fn u_readings(&self, part: f64, u_first: f64, u_second: f64) -> f64 {
        let kappa = part * self.kappa;
        ((1.0 + kappa) * u_first).hypot(kappa * u_second)
    }
}

/// At which current R of a thermometer is wanted, and what is known of its self-heating.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct AtCurrent {
    /// The current, mA; 0 is zero power.
    pub ma: f64,
    /// True where the file of the thermometers states it, false where the readings suggest it.
    pub stated: bool,
    /// True where a value in use, whose current is not stated, is compared with these readings.
    pub compared: bool,
    /// Rise at 1 mA and its standard uncertainty, mK, where the thermometer's own is known.
    pub own_rise_mk: Option<(f64, f64)>,
}

impl AtCurrent {
    /// Rise at 1 mA with its standard uncertainty, mK: the thermometer's own or the settings'.
    fn rise_mk(&self, settings: &BudgetSettings) -> (f64, f64) {
        self.own_rise_mk
            .unwrap_or((settings.self_heating_mk, settings.u_self_heating_mk))
    }

    /// The current in words.
    fn words(&self) -> String {
        match self.ma > 0.0 {
            true => format!("{} mA", self.ma),
            false => "zero power".into(),
        }
    }
}

/// Mean reading at the wanted current, in the unit of the readings.
pub(super) struct AtWanted {
    pub value: f64,
    /// Two currents: the extrapolation, and the part of it that was taken off.
    pub measured: Option<(ZeroPower, f64)>,
    /// One current: what was taken off and its standard uncertainty, mK.
    pub assumed_mk: (f64, f64),
}

impl AtWanted {
    /// From the smallest and the largest current by I²; with one current only, the difference of
    /// self-heating between it and the wanted one is taken from what is known of it.
    pub(crate) fn of(
        series: &[Series],
        slope: f64,
        wanted: &AtCurrent,
        settings: &BudgetSettings,
    ) -> Self {
        let at = |s: Option<&Series>| s.map_or((f64::NAN, f64::NAN), |s| (s.mean(), s.current_ma));
        let (first, last) = (at(series.first()), at(series.last()));
        if let Ok(zero) = zero_power(first, last) {
            let part = 1.0 - (wanted.ma / first.1).powi(2);
            return Self {
                value: first.0 - part * zero.rise,
                measured: Some((zero, part)),
                assumed_mk: (0.0, 0.0),
            };
        }
        let (rise, u_rise) = wanted.rise_mk(settings);
        // A current that was not noted is taken for 1 mA, the usual one.
        let squares = match first.1.is_finite() {
            true if same_current(first.1, wanted.ma) => 0.0,
            true => first.1.powi(2) - wanted.ma.powi(2),
            false if wanted.stated || wanted.ma == 0.0 => 1.0,
            false => 0.0,
        };
        // Whether the value in use was stated at this current is not known: either may be so.
        let between = match wanted.compared && !wanted.stated && squares == 0.0 {
            true => rise,
            false => 0.0,
        };
        let taken_mk = rise * squares;
        Self {
            value: first.0 * (1.0 - slope * taken_mk / 1000.0),
            measured: None,
            assumed_mk: (taken_mk, (u_rise * squares).abs().max(between)),
        }
    }

    /// What was assumed where one current alone was measured.
    pub(crate) fn assumption(&self, series: &[Series], wanted: &AtCurrent) -> Option<String> {
        let current = series.first().map_or(f64::NAN, |s| s.current_ma);
        let words = match current.is_finite() {
            true => format!("all readings at {current} mA, no second, larger current"),
            false => "no current noted".into(),
        };
        let (taken, u) = self.assumed_mk;
        if self.measured.is_some() || u == 0.0 {
            return None;
        }
        if taken == 0.0 {
            return Some(format!(
                "{words}, and the current of the value in use is not stated: R is taken as read, u = {u:.3} mK for \
                 its self-heating; state current_ma in the file of the thermometers"
            ));
        }
        let whose = match wanted.own_rise_mk {
            Some(_) => "this thermometer's own, by I²",
            None => "assumed, by I²; state self_heating_mk in the file of the thermometers",
        };
        Some(format!(
            "{words}: R at {} by self-heating of {taken:.3} mK with u = {u:.3} mK ({whose})",
            wanted.words()
        ))
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
        near!(long.value, 25.479_599_0, 1e-9);
        near!(long.u_readings(1.0, 1.0, 1.0), 2.236_068, 1e-6);
        let double = at((100.001, 1.0), (100.004, 2.0));
        near!(double.value, 100.0, 1e-9);
        near!(double.u_readings(1.0, 1.0, 1.0), 1.374_369, 1e-6);
        // u on |R_2 − R_1|·u(r) at r = √2.
        near!(
            at((0.0, 1.0), (1.0, SQRT_2)).ratio_sensitivity,
            2.828_427,
            1e-6
        );
    }

    #[test]
    fn equal_and_swapped_currents_are_refused() {
        for (first, second) in [(1.0, 1.0), (1.4, 1.0), (0.0, 1.0), (f64::NAN, 1.0)] {
            assert!(zero_power((25.0, first), (25.0, second)).is_err());
        }
    }
}
