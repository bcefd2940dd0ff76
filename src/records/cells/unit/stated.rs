/*! What a header says of the numbers below it: their unit, and the power of ten that they are multiplied by. */

use super::{begins_with_power, of_header, spoken};
use crate::records::cells::number::power_of_ten::{PowerOfTen, apart, decimal, without};

/// What a header says of the bare numbers below it.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Stated {
    /// Their unit, where it or a row of units below it states one.
    pub unit: Option<Box<str>>,
    /// The power of ten that they are multiplied by, where no unit takes it.
    pub power: i32,
}

impl Stated {
    /// What a header says, with the unit that a row below it states.
    pub(crate) fn of(header: &str, below: Option<&str>, powers: PowerOfTen) -> Self {
        let unit = of_header(header).or(below);
        let apart = apart_from(header, unit);
        let power = match (apart, powers) {
            (Some(power), PowerOfTen::Unit) => power,
            (Some(power), PowerOfTen::Numbers) => -power,
            _ => 0,
        };
        if power == 0 {
            return Stated {
                unit: unit.map(|unit| spoken(unit).into()),
                power,
            };
        }
        let header = without(header);
        let plain = of_header(&header).or(below);
        Stated {
            unit: plain.map(|unit| spoken(&format!("10^{power} {unit}")).into()),
            power: if plain.is_some() { 0 } else { power },
        }
    }
}

/// The power of ten that a header states where its unit does not begin with it.
pub(crate) fn apart_from(header: &str, unit: Option<&str>) -> Option<i32> {
    if unit.is_some_and(begins_with_power) {
        return None;
    }
    // With another unit beside it, an amount in brackets is a point: `Error [mK] (0.01 °C)`.
    let alone = || decimal(header).filter(|_| unit.is_none());
    apart(header).or_else(alone).map(|(power, _)| power)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn powers_of_ten_scale_a_unit() {
        let of = |header, powers| {
            let stated = Stated::of(header, None, powers);
            (
                stated.unit.as_deref().unwrap_or("").to_string(),
                stated.power,
            )
        };
        for (header, powers, unit, power) in [
            ("Error [1e-3 V]", PowerOfTen::Auto, "mV", 0),
            ("Error [10⁻³ kg]", PowerOfTen::Auto, "g", 0),
            ("Error [10^-2 V]", PowerOfTen::Auto, "10^-2 V", 0),
            ("Error [10^-3 psi]", PowerOfTen::Auto, "10^-3 psi", 0),
            ("Error ×10⁻³ [V]", PowerOfTen::Unit, "mV", 0),
            ("Error ×10³ [V]", PowerOfTen::Numbers, "mV", 0),
            ("Error [mV ×10]", PowerOfTen::Unit, "10^1 mV", 0),
            ("Lens ×10 [mm]", PowerOfTen::None, "mm", 0),
            ("Error x1000", PowerOfTen::Numbers, "", -3),
            ("Error [0.001 V]", PowerOfTen::Unit, "mV", 0),
        ] {
            assert_eq!(of(header, powers), (unit.to_string(), power), "{header}");
        }
    }
}
