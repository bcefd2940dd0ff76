/*! Units as people write them, and what turns the one into the other.

A unit is a quantity and a power of ten: SI prefixes before the trade's usual symbols, products
and ratios of them (`compound`), and parts of a whole (%, ppm). Anything else is no unit that is understood: it is compared as
text and never converted.
*/

mod compound;
mod cyrillic;
mod header;
mod known;
pub(crate) mod length_of_time;
pub(crate) mod stated;
pub(crate) mod target;

use super::cell_words::CELL_WORDS;
use super::number::power_of_ten::leading;
use compound::Compound;
pub(crate) use header::{Sign, may_be_unit, of_header, sign_of_header, words_of_header};
pub(crate) use known::Quantity;
use known::{NAMED, PARTS, PREFIXES, SPELLINGS, SYMBOLS};
use std::borrow::Cow;

/// A unit that is understood: 10^`power` of the plain unit of its quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Unit {
    pub quantity: Quantity,
    pub power: i32,
}

/// One spelling a symbol. Units are read once a row, and most of them are spelled so.
fn spelled(text: &str) -> Cow<'_, str> {
    let mut text = Cow::Borrowed(text.trim());
    for (other, one) in SPELLINGS {
        if text.contains(other) {
            text = Cow::Owned(text.replace(other, one));
        }
    }
    match cyrillic::in_latin(&text) {
        Some(latin) => Cow::Borrowed(latin),
        None => text,
    }
}

impl Unit {
    /// The unit that `text` names; `None` where it names none that is understood.
    pub(crate) fn parse(text: &str) -> Option<Unit> {
        let text = spelled(text);
        let of_reading = |rest: &str| {
            let rest = rest.trim().to_lowercase();
            rest.is_empty() || CELL_WORDS.say_of_reading(&rest)
        };
        let part = |(word, _): &&(&str, i32)| text.strip_prefix(*word).is_some_and(of_reading);
        if let Some(&(_, power)) = PARTS.iter().find(part) {
            return Some(Unit {
                quantity: Quantity::Part,
                power,
            });
        }
        if let Some((power, rest)) = leading(&text).filter(|(_, rest)| !rest.is_empty()) {
            let unit = Unit::parse(rest)?;
            return Some(Unit {
                power: unit.power.checked_add(power)?,
                ..unit
            });
        }
        Unit::simple(&text).or_else(|| {
            if NAMED.contains(&text.as_ref()) {
                return None;
            }
            let made = Compound::parse(&text, &PREFIXES)?;
            let quantity = match made.is_part() {
                true => Quantity::Part,
                false => Quantity::Made(made.powers),
            };
            Some(Unit {
                quantity,
                power: made.power,
            })
        })
    }

    /// A prefix, or none, and a symbol.
    fn simple(text: &str) -> Option<Unit> {
        let of = |symbol: &str, prefix: i32| {
            let found = SYMBOLS.iter().find(|(known, ..)| *known == symbol);
            found.map(|&(_, quantity, power)| Unit {
                quantity,
                power: power + prefix,
            })
        };
        of(text, 0).or_else(|| {
            PREFIXES
                .iter()
                .find_map(|&(prefix, power)| of(text.strip_prefix(prefix)?, power))
        })
    }

    /// The power of ten by which a number in this unit becomes one in `other`, for errors and
    /// other differences; `None` where the two measure different things.
    pub(crate) fn power_to(self, other: Unit) -> Option<i32> {
        let alike = |quantity: Quantity| match quantity {
            Quantity::Celsius => Quantity::Kelvin,
            quantity => quantity,
        };
        (alike(self.quantity) == alike(other.quantity)).then_some(self.power - other.power)
    }
}

/// The power of ten that turns a number, be it a value or an error, in the unit `from` into one in `into`; 0 where one
/// of them is not stated, `None` where none does (°C and K have errors alike, and no values).
pub(crate) fn power_between(from: &str, into: &str) -> Option<i32> {
    match from.is_empty() || into.is_empty() {
        true => Some(0),
        false => power_of_stated(from, into),
    }
}

/// The same of two units that are both stated; none is known of one that is not.
pub(crate) fn power_of_stated(from: &str, into: &str) -> Option<i32> {
    if same_unit(from, into) {
        return Some(0);
    }
    let (from, into) = Unit::parse(from).zip(Unit::parse(into))?;
    (from.quantity == into.quantity)
        .then(|| from.power_to(into))
        .flatten()
}

/// One spelling for units that mean the same: micro sign and Greek mu, ohm and omega.
pub(crate) fn same_unit(a: &str, b: &str) -> bool {
    if a.is_empty() || b.is_empty() {
        return a.trim() == b.trim();
    }
    a == b
        || spelled(a) == spelled(b)
        || part_of_range(a).is_some_and(|a| Some(a) == part_of_range(b))
}

/// The sign of a part of the range, however it is written: "%" of `% FS` and `%span`.
fn part_of_range(unit: &str) -> Option<&'static str> {
    let lower = unit.to_lowercase();
    let of_range = |(sign, _): &&(&'static str, i32)| {
        let of = lower.strip_prefix(*sign).map(str::trim);
        of.is_some_and(|of| CELL_WORDS.say_of_range(of))
    };
    PARTS.iter().find(of_range).map(|(sign, _)| *sign)
}

/// True where a unit begins with a power of ten: `10^-3 V`.
pub(super) fn begins_with_power(unit: &str) -> bool {
    let part = PARTS.iter().any(|(known, _)| *known == unit.trim());
    part || leading(unit).is_some_and(|(_, rest)| !rest.is_empty())
}

/// A unit as it is spoken of: `10⁻³ V` is mV, where a prefix says the same.
pub(crate) fn spoken(unit: &str) -> Cow<'_, str> {
    let by_prefix = || {
        let (power, rest) = leading(unit)?;
        let rest = spelled(rest);
        let symbol = |text: &str| SYMBOLS.iter().any(|(known, ..)| *known == text);
        let (own, symbol) = match symbol(&rest) {
            true => (0, rest.as_ref()),
            false => PREFIXES.iter().find_map(|&(prefix, power)| {
                let rest = rest.strip_prefix(prefix)?;
                symbol(rest).then_some((power, rest))
            })?,
        };
        let whole = power.checked_add(own)?;
        let prefix = match whole {
            0 => "",
            whole => {
                let thousands = |(_, power): &&(&str, i32)| *power == whole && whole % 3 == 0;
                PREFIXES.iter().find(thousands)?.0
            }
        };
        Some(format!("{prefix}{symbol}"))
    };
    by_prefix().map_or(Cow::Borrowed(unit), Cow::Owned)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_take_prefixes() {
        let unit = |quantity, power| Some(Unit { quantity, power });
        for (text, expected) in [
            ("mK", unit(Quantity::Kelvin, -3)),
            ("μK", unit(Quantity::Kelvin, -6)),
            ("uK", unit(Quantity::Kelvin, -6)),
            ("°C", unit(Quantity::Celsius, 0)),
            ("degC", unit(Quantity::Celsius, 0)),
            ("kOhm", unit(Quantity::Of("Ω"), 3)),
            ("mg", unit(Quantity::Of("g"), -3)),
            ("mm", unit(Quantity::Of("m"), -3)),
            ("m", unit(Quantity::Of("m"), 0)),
            ("hPa", unit(Quantity::Of("Pa"), 2)),
            ("mbar", unit(Quantity::Of("Pa"), 2)),
            ("MPa", unit(Quantity::Of("Pa"), 6)),
            ("ppm", unit(Quantity::Part, -6)),
            ("%", unit(Quantity::Part, -2)),
            ("µm/m", unit(Quantity::Part, -6)),
            ("% of reading", unit(Quantity::Part, -2)),
            ("% FS", None),
            ("mg/q", None),
            ("N/A", None),
            ("min", None),
            ("m3", None),
            ("ft", None),
            ("10⁻³ V", unit(Quantity::Of("V"), -3)),
            ("1e-6 km", unit(Quantity::Of("m"), -3)),
            ("psi", None),
            ("", None),
            ("Mk", None),
        ] {
            assert_eq!(Unit::parse(text), expected, "{text}");
        }
    }

    #[test]
    fn products_ratios_and_powers_are_units() {
        let power = |a, b| Unit::parse(a)?.power_to(Unit::parse(b)?);
        for (from, into, ten) in [
            ("Ncm", "Nm", -2),
            ("mN·m", "N m", -3),
            ("N.m", "kNm", -3),
            ("µL", "mL", -3),
            ("cm³", "mL", 0),
            ("mm3", "µl", 0),
            ("mL/min", "L/min", -3),
            ("m³/h", "L/h", 3),
            ("mW/(m·K)", "W/(m·K)", -3),
            ("W/(m·°C)", "W/(m K)", 0),
            ("kg/m³", "g/cm³", -3),
            ("kg/m^3", "g/L", 0),
            ("mS/m", "µS/cm", 1),
            ("mm/s", "m/s", -3),
            ("m/s²", "m·s⁻²", 0),
            ("1/min", "min⁻¹", 0),
            ("mPa·s", "Pa.s", -3),
            ("kVA", "VA", 3),
            ("µSv/h", "mSv/h", -3),
            ("mV/V", "ppm", 3),
            ("ppm/°C", "µm/(m·K)", 0),
        ] {
            assert_eq!(power(from, into), Some(ten), "{from} in {into}");
        }
        for (a, b) in [("L/min", "L/h"), ("Nm", "nm"), ("m³", "m²"), ("dB", "dBm")] {
            assert_eq!(power(a, b), None, "{a}, {b}");
        }
    }

    #[test]
    fn differences_in_kelvin_and_degrees_are_one() {
        let power = |a, b| Unit::parse(a)?.power_to(Unit::parse(b)?);
        assert_eq!(power("°C", "mK"), Some(3));
        assert_eq!(power("µm", "mm"), Some(-3));
        assert_eq!(power("bar", "kPa"), Some(2));
        assert_eq!(power("mK", "mm"), None);
    }
}
