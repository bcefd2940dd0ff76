/*! A value with the uncertainty of its last digits in brackets behind it, as in `100.0214(35) g` (JCGM 100:2008, 7.2.2). */

use super::Number;
use super::power_of_ten::times_power;
use super::written::closed;
use crate::records::cells::marks::Marks;

/// A value and what stands in brackets behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LastDigits<'a> {
    /// The value without its unit.
    value: &'a str,
    /// What stands in the brackets.
    inside: &'a str,
    /// What stands behind them, such as a unit.
    behind: &'a str,
}

/// The parts of `100.0214(35) g` and `100.0214 (0.0035) g`; `None` of any other text.
pub(crate) fn last_digits(text: &str) -> Option<LastDigits<'_>> {
    let (value, rest) = text.trim().split_once('(')?;
    let (inside, behind) = rest.split_once(')')?;
    let (value, inside, behind) = (value.trim_end(), inside.trim(), behind.trim_start());
    let digits = |text: &str| {
        text.bytes()
            .all(|b| b.is_ascii_digit() || b == b'.' || b == b',')
    };
    let ends = |c: char| c.is_ascii_digit();
    let unsigned = value
        .trim_start_matches(['+', '-', '\u{2212}'])
        .trim_start();
    let counts =
        |c: char| ends(c) || matches!(c, '.' | ',' | ' ' | '\u{a0}' | '\u{202f}' | '\u{2009}');
    let number =
        unsigned.starts_with(ends) && value.ends_with(ends) && unsigned.chars().all(counts);
    let whole = !inside.is_empty() && digits(inside) && inside.ends_with(ends);
    let no_more = !behind.starts_with(ends) && !behind.contains(['(', '=']);
    (number && whole && no_more).then_some(LastDigits {
        value,
        inside,
        behind,
    })
}

impl<'a> LastDigits<'a> {
    /// The value, its uncertainty and the unit of both, by these marks; `None` where they are no numbers.
    pub(crate) fn parts(&self, marks: Marks) -> Option<(Number, Number, &'a str)> {
        let number = |text: &str| Number::parse(&closed(text), marks).ok();
        let (value, inside) = (number(self.value)?, number(self.inside)?);
        // Digits alone count from the last one of the value on.
        let last = match self.inside.bytes().all(|b| b.is_ascii_digit()) {
            true => value.step()?.log10().round() as i32,
            false => 0,
        };
        let (power, unit) = times_power(self.behind).unwrap_or((0, self.behind));
        Some((value.scaled(power), inside.scaled(last + power), unit))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The three ways of JCGM 100:2008, 7.2.2, for u = 0.35 mg of a mass of 100.02147 g, and others.
    #[test]
    fn digits_in_brackets_count_from_the_last_one_of_the_value() {
        let read = |text, comma: bool| {
            let parts = last_digits(text)?.parts(Marks::from(comma))?;
            Some((parts.0.value, parts.1.value, parts.2))
        };
        for (text, expected) in [
            ("100.02147(35) g", (100.02147, 0.00035, "g")),
            ("100.021 47 (35) g", (100.02147, 0.00035, "g")),
            ("100.02147 (0.00035) g", (100.02147, 0.00035, "g")),
            ("-0.12(3)", (-0.12, 0.03, "")),
            ("100(2)", (100.0, 2.0, "")),
            ("1.25(3)\u{d7}10\u{207b}\u{b3} V", (0.00125, 0.00003, "V")),
        ] {
            assert_eq!(read(text, false), Some(expected), "{text}");
        }
        assert_eq!(read("100,021(4) g", true), Some((100.021, 0.004, "g")));
        for text in [
            "(28)",
            "5.2 (b)",
            "5 (k = 2)",
            "±(1 V)",
            "1.2(3)4",
            "5.2 ()",
            "a 5(2)",
            "0.5 (2) (3)",
        ] {
            assert!(last_digits(text).is_none(), "{text}");
        }
    }
}
