/*! Powers of ten that stand beside a unit: `10⁻³ V`, `1e-3 V`, `×10^-6 m`; and those that stand apart
from it, as in `Error ×10³ [V]` or `[mV ×10]`, of which nobody can tell by the header whether the unit
is so many times larger, or the numbers were multiplied.
*/

use std::borrow::Cow;

/// Largest power that is looked for: beyond it nothing is measured.
const LARGEST: i32 = 30;

/// The setting that says what such a power is.
pub(crate) const POWER_OF_TEN: &str = "power_of_ten";

/// Signs of a product.
const TIMES: [char; 6] = ['×', 'x', '·', '⋅', '*', '✕'];

const SUPERSCRIPTS: [(char, char); 12] = [
    ('⁻', '-'),
    ('⁺', '+'),
    ('⁰', '0'),
    ('¹', '1'),
    ('²', '2'),
    ('³', '3'),
    ('⁴', '4'),
    ('⁵', '5'),
    ('⁶', '6'),
    ('⁷', '7'),
    ('⁸', '8'),
    ('⁹', '9'),
];

/// What a header's power of ten that stands apart from the unit means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PowerOfTen {
    /// Not stated: the file is refused.
    #[default]
    Auto,
    /// The unit is so many times larger: 0.4 below `×10⁻³ [V]` is 0.0004 V.
    Unit,
    /// The numbers were multiplied: 400 below `×10³ [V]` is 0.4 V.
    Numbers,
    /// No power of what is measured, such as a magnification.
    None,
}

/// A power of ten at the beginning of `text`, and the unit behind it: an exponent, since a plain
/// number before a unit is an amount.
pub(crate) fn leading(text: &str) -> Option<(i32, &str)> {
    let text = text.trim();
    let unmarked = text.strip_prefix(TIMES).map(str::trim_start);
    let (power, rest) = exponent(unmarked.unwrap_or(text), unmarked.is_some())?;
    let rest = rest.trim_start();
    Some((power, rest.strip_prefix(TIMES).unwrap_or(rest).trim_start()))
}

/// The power of ten by which a cell multiplies its number (`5.2×10⁻³ V`), and the unit behind it.
pub(super) fn times_power(text: &str) -> Option<(i32, &str)> {
    text.starts_with(TIMES).then(|| leading(text)).flatten()
}

/// `10^-3`, `10⁻³`, `1e-3`, and behind a sign of a product `10-3`.
fn exponent(text: &str, marked: bool) -> Option<(i32, &str)> {
    if let Some(rest) = text.strip_prefix("1e").or_else(|| text.strip_prefix("1E")) {
        return whole(rest);
    }
    let rest = text.strip_prefix("10")?;
    if let Some(raised) = rest.strip_prefix('^').or_else(|| rest.strip_prefix("**")) {
        return whole(raised);
    }
    let raised: String = rest.chars().map_while(superscript).collect();
    if !raised.is_empty() {
        let signs = raised.chars().count();
        let length: usize = rest.chars().take(signs).map(char::len_utf8).sum();
        return Some((whole(&raised)?.0, &rest[length..]));
    }
    let signed = rest.starts_with(['-', '\u{2212}', '+']);
    (marked && signed).then(|| whole(rest)).flatten()
}

fn superscript(sign: char) -> Option<char> {
    let plain = SUPERSCRIPTS.iter().find(|(raised, _)| *raised == sign);
    plain.map(|(_, plain)| *plain)
}

/// The whole number at the beginning of a text, and what follows.
fn whole(text: &str) -> Option<(i32, &str)> {
    let (negative, digits) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(digits) => (true, digits),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let length = digits.bytes().take_while(u8::is_ascii_digit).count();
    let power: i32 = digits[..length].parse().ok()?;
    let power = if negative { -power } else { power };
    (power.abs() <= LARGEST).then_some((power, &digits[length..]))
}

/// The power of ten that a header states apart from its unit, and where it stands.
pub(crate) fn apart(header: &str) -> Option<(i32, std::ops::Range<usize>)> {
    let mut before = None;
    for (at, sign) in header.char_indices() {
        let rest = &header[at..];
        let begins = before.is_none_or(|c: char| !(c.is_alphanumeric() || ".,^".contains(c)));
        // A sign of a product may follow a unit at once, but x is a letter: `max10` is none.
        let times = TIMES.contains(&sign) && (begins || sign != 'x');
        let over = sign == '/' && before.is_some_and(char::is_alphabetic);
        let found = match () {
            () if times => {
                let factor = rest[sign.len_utf8()..].trim_start();
                exponent(factor, true).or_else(|| plain(factor))
            }
            () if over => plain(&rest[1..])
                .filter(|(_, rest)| rest.trim_start().starts_with([']', ')']))
                .map(|(power, rest)| (-power, rest)),
            // `10-3 V` has lost its exponent's height, or is from 10 to 3.
            () if begins => exponent(rest, false).or_else(|| {
                let behind = |(_, rest): &(i32, &str)| rest.starts_with(' ');
                exponent(rest, true).filter(behind)
            }),
            () => None,
        };
        let ends = |rest: &str| !rest.starts_with(|c: char| c.is_alphanumeric());
        if let Some((power, rest)) = found.filter(|(_, rest)| ends(rest)) {
            return Some((power, at..header.len() - rest.len()));
        }
        before = Some(sign);
    }
    None
}

/// A decimal power of ten that begins a bracket of a header, before a unit: `[0.001 V]`. It may be
/// a point as well.
pub(crate) fn decimal(header: &str) -> Option<(i32, std::ops::Range<usize>)> {
    let brackets = header
        .char_indices()
        .filter(|(_, c)| matches!(c, '[' | '('));
    brackets.into_iter().find_map(|(at, _)| {
        let inside = &header[at + 1..];
        let text = inside.trim_start();
        let from = header.len() - text.len();
        let decimals = text
            .strip_prefix("0.")
            .or_else(|| text.strip_prefix("0,"))?;
        let rest = decimals.trim_start_matches('0').strip_prefix('1')?;
        let power = i32::try_from(decimals.len() - rest.len()).ok()?;
        let unit = rest.trim_start();
        let named = unit.starts_with(|c: char| c.is_alphabetic() || "°%Ω".contains(c));
        (named && power <= LARGEST).then_some((-power, from..header.len() - rest.len()))
    })
}

/// 10, 100, 1000 …
fn plain(text: &str) -> Option<(i32, &str)> {
    let digits = text.strip_prefix('1')?;
    let rest = digits.trim_start_matches('0');
    let power = i32::try_from(digits.len() - rest.len()).ok()?;
    (power > 0).then_some((power, rest))
}

/// The header without a power of ten that stands apart from its unit, so that `[mV ×10]` states mV.
pub(crate) fn without(header: &str) -> Cow<'_, str> {
    match apart(header).or_else(|| decimal(header)) {
        Some((_, range)) => {
            let mut rest = header.to_string();
            rest.replace_range(range, "");
            Cow::Owned(rest)
        }
        None => Cow::Borrowed(header),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_power_before_a_unit_is_read() {
        for (text, expected) in [
            ("1e-3 V", Some((-3, "V"))),
            ("1E-06 m", Some((-6, "m"))),
            ("x10^-3 V", Some((-3, "V"))),
            ("×10⁻³ V", Some((-3, "V"))),
            ("10⁻⁶·Ω", Some((-6, "Ω"))),
            ("×10-3 V", Some((-3, "V"))),
            ("10-3 V", None),
            ("10 mV", None),
            ("10^-6", Some((-6, ""))),
            ("1e99 V", None),
        ] {
            assert_eq!(leading(text), expected, "{text}");
        }
    }

    #[test]
    fn a_power_apart_from_the_unit_is_seen() {
        for (header, expected) in [
            ("Error x10^-3 [V]", Some(-3)),
            ("Error [V] ×10⁻³", Some(-3)),
            ("Error [mV ×10]", Some(1)),
            ("Error [V]*1000", Some(3)),
            ("Error [V/1000]", Some(-3)),
            ("Error [1e-3]", Some(-3)),
            ("Error [10³]", Some(3)),
            ("Error [V·10⁻³]", Some(-3)),
            ("Error [10-3 V]", Some(-3)),
            ("Error [10 mV]", None),
            ("Error 10 V", None),
            ("max10 [V]", None),
            ("Found/100", None),
            ("U (k=2) [mV]", None),
            ("Error at 100 V [mV]", None),
            ("Flow x 15", None),
        ] {
            assert_eq!(apart(header).map(|(power, _)| power), expected, "{header}");
        }
        assert_eq!(without("Error [mV ×10]"), "Error [mV ]");
        assert_eq!(without("Error [0.001 V]"), "Error [ V]");
        for (header, expected) in [
            ("Error [0.001 V]", Some(-3)),
            ("Tol (0,01 mm)", Some(-2)),
            ("Error [0.002 V]", None),
            ("Error [V]", None),
            ("Error [0.001]", None),
        ] {
            let found = decimal(header).map(|(power, _)| power);
            assert_eq!(found, expected, "{header}");
        }
    }
}
