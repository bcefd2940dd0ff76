/*! Units as people write them, and what turns the one into the other.

A unit is a quantity and a power of ten: SI prefixes before the trade's usual symbols, products
and ratios of them (`compound`), and parts of a whole (%, ppm). Anything else is no unit that is understood: it is compared as
text and never converted. Symbols and prefixes: the SI brochure (9th edition), 2.3 and 3;
1 bar = 10^5 Pa.
*/

use super::compound::{Compound, Powers};
use super::power_of_ten::leading;
use std::borrow::Cow;

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Quantity {
    /// Kelvin: a temperature, or a difference of two.
    Kelvin,
    /// Degree Celsius: as a difference a kelvin, as a temperature 273.15 away from it.
    Celsius,
    /// A part of the nominal value.
    Part,
    /// Any other, by the symbol of its unit.
    Of(&'static str),
    /// A product or ratio, by the powers of what it is made of.
    Made(Powers),
}

/// A unit that is understood: 10^`power` of the plain unit of its quantity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Unit {
    pub quantity: Quantity,
    pub power: i32,
}

/// Symbols, with the power of ten of the plain unit of their quantity.
const SYMBOLS: [(&str, Quantity, i32); 16] = [
    ("K", Quantity::Kelvin, 0),
    ("°C", Quantity::Celsius, 0),
    ("Ω", Quantity::Of("Ω"), 0),
    ("g", Quantity::Of("g"), 0),
    ("m", Quantity::Of("m"), 0),
    ("s", Quantity::Of("s"), 0),
    ("V", Quantity::Of("V"), 0),
    ("A", Quantity::Of("A"), 0),
    ("W", Quantity::Of("W"), 0),
    ("J", Quantity::Of("J"), 0),
    ("N", Quantity::Of("N"), 0),
    ("F", Quantity::Of("F"), 0),
    ("H", Quantity::Of("H"), 0),
    ("Hz", Quantity::Of("Hz"), 0),
    ("Pa", Quantity::Of("Pa"), 0),
    ("bar", Quantity::Of("Pa"), 5),
];

/// SI prefixes that the trade uses.
const PREFIXES: [(&str, i32); 13] = [
    ("f", -15),
    ("p", -12),
    ("n", -9),
    ("µ", -6),
    ("u", -6),
    ("m", -3),
    ("c", -2),
    ("d", -1),
    ("h", 2),
    ("k", 3),
    ("M", 6),
    ("G", 9),
    ("T", 12),
];

/// Parts of a whole.
const PARTS: [(&str, i32); 12] = [
    ("%", -2),
    ("‰", -3),
    ("ppm", -6),
    ("ppb", -9),
    ("1e-6", -6),
    ("1E-6", -6),
    ("10^-6", -6),
    ("10⁻⁶", -6),
    ("×10^-6", -6),
    ("1e-9", -9),
    ("1E-9", -9),
    ("10^-9", -9),
];

/// Units that no power of ten turns into one that is understood: they are compared as text, so that
/// a column in another one is refused.
const NAMED: [&str; 38] = [
    "psi", "psia", "psig", "inHg", "mmHg", "inH2O", "mmH2O", "inH₂O", "mmH₂O", "Torr", "torr",
    "atm", "kgf", "lbf", "ozf", "lb", "lbs", "oz", "in", "inch", "mil", "ft", "°F", "rpm", "U/min",
    "HRC", "HRB", "HV", "HB", "HBW", "pH", "dBm", "dB(A)", "dBA", "gal", "cfm", "sccm", "slpm",
];

/// Words for "of the reading" and "of the range" behind a per cent; common practice, no source.
pub(super) const OF_READING: [&str; 29] = [
    "of reading",
    "of rdg",
    "reading",
    "rdg",
    "of value",
    "of nominal",
    "of reference",
    "of ref",
    "of applied",
    "v. soll",
    "vom soll",
    "vom sollwert",
    "v. m.",
    "v.m.",
    "v. mw.",
    "v. mw",
    "v.mw.",
    "vom messwert",
    "vom nennwert",
    "de la lecture",
    "de la lectura",
    "lect.",
    "lecture",
    "de lecture",
    "lectura",
    "de lectura",
    "lettura",
    "della lettura",
    "da leitura",
];
pub(super) const OF_RANGE: [&str; 20] = [
    "of range",
    "range",
    "of span",
    "span",
    "fs",
    "f.s.",
    "of fs",
    "of f.s.",
    "of full scale",
    "full scale",
    "v. e.",
    "v.e.",
    "v. ew.",
    "vom endwert",
    "vom bereich",
    "de l'étendue",
    "fondo scala",
    "del fondo scala",
    "de fondo de escala",
    "do fundo de escala",
];

/// Other spellings of a symbol, each with the one that is compared: micro sign, omega, degree signs.
const SPELLINGS: [(&str, &str); 9] = [
    ("\u{3bc}", "µ"),
    ("\u{2126}", "Ω"),
    ("ohm", "Ω"),
    ("Ohm", "Ω"),
    ("degC", "°C"),
    ("deg C", "°C"),
    ("° C", "°C"),
    ("ºC", "°C"),
    ("\u{2103}", "°C"),
];

/// One spelling a symbol. Units are read once a row, and most of them are spelled so.
fn spelled(text: &str) -> Cow<'_, str> {
    let mut text = Cow::Borrowed(text.trim());
    for (other, one) in SPELLINGS {
        if text.contains(other) {
            text = Cow::Owned(text.replace(other, one));
        }
    }
    text
}

impl Unit {
    /// The unit that `text` names; `None` where it names none that is understood.
    pub(crate) fn parse(text: &str) -> Option<Unit> {
        let text = spelled(text);
        let of_reading = |rest: &str| {
            let rest = rest.trim().to_lowercase();
            rest.is_empty() || OF_READING.contains(&rest.as_str())
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

/// One spelling for units that mean the same: micro sign and Greek mu, ohm and omega.
pub(crate) fn same_unit(a: &str, b: &str) -> bool {
    a == b
        || spelled(a) == spelled(b)
        || part_of_range(a).is_some_and(|a| Some(a) == part_of_range(b))
}

/// The sign of a part of the range, however it is written: "%" of `% FS` and `%span`.
fn part_of_range(unit: &str) -> Option<&'static str> {
    let lower = unit.to_lowercase();
    let of_range = |(sign, _): &&(&'static str, i32)| {
        let of = lower.strip_prefix(*sign).map(str::trim);
        of.is_some_and(|of| OF_RANGE.contains(&of))
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

/// The unit that a header states, as its text: `Error [mK]`, `U (µK)`, `Abweichung in mK`,
/// `Nominal / °C`.
pub(crate) fn of_header(header: &str) -> Option<&str> {
    let scaled = |text: &str| {
        let rest = leading(text).map_or("", |(_, rest)| rest);
        rest.starts_with(char::is_alphabetic)
    };
    let understood =
        |text: &'_ &str| Unit::parse(text).is_some() || NAMED.contains(text) || scaled(text);
    let header = header.trim();
    for (open, close) in [('[', ']'), ('(', ')'), ('［', '］'), ('（', '）')] {
        let mut rest = header;
        while let Some((_, inside)) = rest.split_once(open) {
            let (text, after) = inside.split_once(close).unwrap_or((inside, ""));
            // A bracket may stand in the unit: (W/(m·K)).
            let whole = inside.rsplit_once(close).map(|(text, _)| text.trim());
            if let Some(whole) = whole.filter(|whole| whole.len() > text.len() && understood(whole))
            {
                return Some(whole);
            }
            let text = text.trim();
            let text = text.strip_prefix("in ").unwrap_or(text);
            if understood(&text) {
                return Some(text);
            }
            rest = after;
        }
    }
    let last = |mark: &str| header.rsplit_once(mark).map(|(_, text)| text.trim());
    let marked = [" in ", " / ", ", "].into_iter().filter_map(last);
    let mut marked = marked.into_iter();
    let unit = marked.find(understood).or_else(|| bare(header));
    unit.or_else(|| part_of_whole(header))
}

/// The part that a header states with what it is of, known or not, as in `Tol (% of span)`: its
/// numbers are no plain ones. An amount is none (`U (95 %)`).
fn part_of_whole(header: &str) -> Option<&str> {
    let begins = |sign: &str| {
        let at = header.find(sign)?;
        let amount = header[..at]
            .trim_end()
            .ends_with(|c: char| c.is_ascii_digit());
        (!amount).then_some(at)
    };
    let at = ["%", "‰", "ppm"].into_iter().find_map(begins)?;
    Some(header[at..].trim_end_matches([')', ']']).trim())
}

/// The unit that ends a header without a mark, as in `Tol %` and `Error mV`, or the part that
/// begins it, as in `% error`. A number before it makes both an amount (`U 95 %`), and a symbol of
/// one letter, or one that is a word as well, may be none.
fn bare(header: &str) -> Option<&str> {
    const WORDS: [&str; 4] = ["bar", "fs", "us", "as"];
    let part = |text: &str| PARTS.iter().any(|(known, _)| *known == text);
    let words = header.match_indices(' ').map(|(at, _)| &header[at + 1..]);
    let power = |text: &str| leading(text).is_some_and(|(_, rest)| !rest.is_empty());
    let scaled = |text: &&str| power(text) && Unit::parse(text).is_some();
    if let Some(unit) = words.into_iter().find(scaled) {
        return Some(unit);
    }
    let begins = header.split_whitespace().next().filter(|text| part(text));
    if begins.is_some() {
        return begins;
    }
    let (before, last) = header.rsplit_once(char::is_whitespace)?;
    let word = before.rsplit(char::is_whitespace).next()?;
    let named = word.contains(char::is_alphabetic) || word == "±";
    let reads = part(last) || !last.is_ascii() || last.len() > 1 && !WORDS.contains(&last);
    (named && reads && Unit::parse(last).is_some()).then_some(last)
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

    #[test]
    fn headers_state_units() {
        for (header, expected) in [
            ("Error [mK]", Some("mK")),
            ("Error [1e-3 V]", Some("1e-3 V")),
            ("Error (×10⁻³ V)", Some("×10⁻³ V")),
            ("Error 10^-3 V", Some("10^-3 V")),
            ("Error [10^-3 psi]", Some("10^-3 psi")),
            ("Error [10 mV]", None),
            ("U (k=2) (µK)", Some("µK")),
            ("Abweichung in mK", Some("mK")),
            ("Nominal / °C", Some("°C")),
            ("U (95 %)", None),
            ("U 95 %", None),
            ("Tol %", Some("%")),
            ("Tol ± %", Some("%")),
            ("% error", Some("%")),
            ("Error mV", Some("mV")),
            ("Fehler °C", Some("°C")),
            ("Accuracy FS", None),
            ("Channel A", None),
            ("Error bar", None),
            ("Tol (% of reading)", Some("% of reading")),
            ("Tol % FS", Some("% FS")),
            ("Error % of reading", Some("% of reading")),
            ("as_found", None),
            ("Date (local)", None),
        ] {
            assert_eq!(of_header(header), expected, "{header}");
        }
    }
}
