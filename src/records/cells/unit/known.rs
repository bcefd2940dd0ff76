/*! What units are made of: symbols, prefixes, parts of a whole, and the spellings of them that the trade uses.

Symbols and prefixes: the SI brochure (9th edition), 2.3 and 3; 1 bar = 10^5 Pa.
*/

use super::compound::Powers;

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

/// Symbols, with the power of ten of the plain unit of their quantity.
pub(super) const SYMBOLS: [(&str, Quantity, i32); 16] = [
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
pub(super) const PREFIXES: [(&str, i32); 13] = [
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
pub(super) const PARTS: [(&str, i32); 14] = [
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
    // As names of columns in databases have it.
    ("pct", -2),
    ("percent", -2),
];

/// Units that no power of ten turns into one that is understood: they are compared as text, so that
/// a column in another one is refused.
pub(super) const NAMED: [&str; 38] = [
    "psi", "psia", "psig", "inHg", "mmHg", "inH2O", "mmH2O", "inH₂O", "mmH₂O", "Torr", "torr",
    "atm", "kgf", "lbf", "ozf", "lb", "lbs", "oz", "in", "inch", "mil", "ft", "°F", "rpm", "U/min",
    "HRC", "HRB", "HV", "HB", "HBW", "pH", "dBm", "dB(A)", "dBA", "gal", "cfm", "sccm", "slpm",
];

/// Other spellings of a symbol, each with the one that is compared: micro sign, omega, degree signs.
pub(super) const SPELLINGS: [(&str, &str); 10] = [
    ("\u{3bc}", "µ"),
    ("\u{2126}", "Ω"),
    ("ohm", "Ω"),
    ("Ohm", "Ω"),
    ("degC", "°C"),
    ("deg C", "°C"),
    ("° C", "°C"),
    ("ºC", "°C"),
    ("\u{2103}", "°C"),
    // A Cyrillic letter that looks like the Latin one.
    ("°С", "°C"),
];
