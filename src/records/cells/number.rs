/*! Numbers as people write them, with an exact difference of decimals.

An error is `as_found − nominal`. Taken in binary, 27.868 − 28 is
−0.13199999999999790; taken in decimal it is −0.132, the number that stands in
the laboratory's book. So a number keeps its decimal digits until the nominal
value has been subtracted.
*/

pub(crate) mod amount;
pub(crate) mod amounts;
mod basis;
pub(crate) mod coverage;
mod decimal;
pub(crate) mod last_digits;
pub(crate) mod power_of_ten;
pub(crate) mod written;

use super::marks;
use super::marks::Marks;
use decimal::{Decimal, EXACT_INTEGERS, POWERS, plain};

/// A finite number, with its decimal digits where they are few enough.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Number {
    /// Nearest double.
    pub value: f64,
    digits: Digits,
}

/// The decimal digits of a number.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Digits {
    /// As written; `None` where they are too many.
    Written(Option<Decimal>),
    /// The fewest that read back to the value: looked for once somebody asks, since for most
    /// readings of a file of doubles nobody does.
    Fewest,
}

/// Why a text is no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NumberProblem {
    /// Infinity or not-a-number, in words or by overflow.
    NotFinite,
    /// Written with a decimal comma while a point is expected.
    Comma,
    /// Written with a decimal point while a comma is expected.
    Point,
    /// One mark before exactly three digits: decimals, or thousands.
    Open,
    /// A unit stands behind the number, where none is read.
    Unit,
    /// `±` before it, where one value is expected.
    Within,
    /// `<` or `>` before it: a bound, no value.
    Bound,
    /// The mark of a footnote stands beside it.
    Marked,
    /// Anything else.
    Unreadable,
}

impl NumberProblem {
    /// The reason in words, with the mend where there is one.
    pub(crate) fn words(self) -> &'static str {
        match self {
            NumberProblem::NotFinite => "not a finite number",
            NumberProblem::Comma => {
                "not a number: is the comma a decimal sign? (decimal_comma = true)"
            }
            NumberProblem::Point => {
                "not a number with a decimal comma: is the point a decimal sign? (decimal_comma = false)"
            }
            NumberProblem::Open => {
                "decimals or thousands? State decimal_comma, or thousands = \",\" or \".\""
            }
            NumberProblem::Unit => "a unit stands behind the number, where none is read",
            NumberProblem::Within => "± stands before the number, where one value is expected",
            NumberProblem::Bound => "a bound, not a value",
            NumberProblem::Marked => "a mark of a footnote stands beside the number",
            NumberProblem::Unreadable => "not a number",
        }
    }
}

impl Number {
    /// Reads `text` (without blanks around it), written with these marks; `true` alone
    /// stands for a decimal comma.
    pub(crate) fn parse(text: &str, marks: impl Into<Marks>) -> Result<Number, NumberProblem> {
        let marks = marks.into();
        match plain(text.as_bytes(), if marks.comma { b',' } else { b'.' }) {
            Some(decimal) => Ok(decimal.into()),
            None => ungrouped(text, marks).map_or_else(
                || general(text, marks.comma),
                |text| general(&text, marks.comma),
            ),
        }
    }

    /// The shortest decimal that reads back to `value`; `None` where it is not finite.
    pub(crate) fn from_double(value: f64) -> Option<Number> {
        value.is_finite().then_some(Number {
            value,
            digits: Digits::Fewest,
        })
    }

    fn decimal(&self) -> Option<Decimal> {
        match self.digits {
            Digits::Written(decimal) => decimal,
            Digits::Fewest => plain(self.value.to_string().as_bytes(), b'.'),
        }
    }

    /// `self` × 10^`power`, exact in decimal and rounded once where it is a short decimal.
    pub(crate) fn scaled(self, power: i32) -> Number {
        let exact = self.decimal().and_then(|decimal| decimal.scaled(power));
        exact.map_or_else(
            || {
                let factor = 10f64.powi(power.abs());
                let value = match power < 0 {
                    true => self.value / factor,
                    false => self.value * factor,
                };
                Number {
                    value,
                    digits: Digits::Written(None),
                }
            },
            Number::from,
        )
    }

    /// The number with the other sign.
    pub(crate) fn negated(self) -> Number {
        let other = |decimal: Decimal| Decimal {
            mantissa: -decimal.mantissa,
            ..decimal
        };
        Number {
            // Minus nothing is nothing: 0, not −0.
            value: 0.0 - self.value,
            digits: Digits::Written(self.decimal().map(other)),
        }
    }

    /// The mean, rounded once where all are short decimals; `None` of none.
    pub(crate) fn mean(all: &[Number]) -> Option<Number> {
        let count = i32::try_from(all.len()).ok().filter(|count| *count > 0)?;
        let exact = || {
            let decimals: Option<Vec<Decimal>> = all.iter().map(Number::decimal).collect();
            let decimals = decimals?;
            let scale = decimals.iter().map(|decimal| decimal.scale).max()?;
            let sum: i128 = decimals
                .iter()
                .map(|decimal| decimal.lifted(scale))
                .sum::<Option<i128>>()?;
            let whole = f64::from(count) * POWERS[scale as usize];
            let exact = sum.abs() <= EXACT_INTEGERS && whole <= EXACT_INTEGERS as f64;
            exact.then(|| sum as f64 / whole)
        };
        let plain = || all.iter().map(|number| number.value).sum::<f64>() / f64::from(count);
        Number::from_double(exact().unwrap_or_else(plain))
    }

    /// The step of its last decimal place, as far as that is known.
    pub(crate) fn step(self) -> Option<f64> {
        self.decimal()
            .map(|decimal| 1.0 / POWERS[decimal.scale as usize])
    }

    /// `self + other`, exact in decimal where both are short ones.
    pub(crate) fn plus(self, other: Number) -> Number {
        let exact = || {
            let (a, b) = (self.decimal()?, other.decimal()?);
            let scale = a.scale.max(b.scale);
            let sum = a.lifted(scale)? + b.lifted(scale)?;
            let mantissa = i64::try_from(sum).ok();
            let mantissa = mantissa.filter(|_| sum.abs() <= EXACT_INTEGERS)?;
            Some(Number::from(Decimal { mantissa, scale }))
        };
        exact().unwrap_or(Number {
            value: self.value + other.value,
            digits: Digits::Written(None),
        })
    }

    /// `self × other`, exact in decimal and rounded once where all three are short decimals.
    pub(crate) fn times(self, other: Number) -> Number {
        let exact = || self.decimal()?.times(other.decimal()?);
        exact().map_or_else(
            || Number {
                value: self.value * other.value,
                digits: Digits::Written(None),
            },
            Number::from,
        )
    }

    /// The number without its sign.
    pub(crate) fn size(self) -> Number {
        match self.value < 0.0 {
            true => self.negated(),
            false => self,
        }
    }

    /// `self − other`, exact in decimal and rounded once where both are short decimals.
    pub(crate) fn minus(self, other: Number) -> f64 {
        let exact = match (self.decimal(), other.decimal()) {
            (Some(a), Some(b)) => a.minus(b),
            _ => None,
        };
        exact.unwrap_or(self.value - other.value)
    }
}

impl From<Decimal> for Number {
    fn from(decimal: Decimal) -> Self {
        Number {
            value: decimal.nearest(),
            digits: Digits::Written(Some(decimal)),
        }
    }
}

/// The text without the marks that group its thousands, where they may and do.
fn ungrouped(text: &str, marks: Marks) -> Option<String> {
    let (decimal, group) = if marks.comma { (',', '.') } else { ('.', ',') };
    if !marks.grouped || !text.contains(group) {
        return None;
    }
    let (whole, part) = text.split_once(decimal).unwrap_or((text, ""));
    let unsigned = whole.trim_start_matches(['-', '+', '\u{2212}']);
    let fits = marks::grouped(unsigned, group) && !part.contains(group);
    fits.then(|| text.replace(group, ""))
}

/// Exponents, many digits, words: by the standard library.
fn general(text: &str, comma: bool) -> Result<Number, NumberProblem> {
    let with_minus = text.replace('\u{2212}', "-");
    // A word processor makes a dash of a minus; alone it stands for nothing.
    let with_minus = match with_minus.strip_prefix('\u{2013}') {
        Some(rest) if rest.starts_with(|c: char| c.is_ascii_digit()) => format!("-{rest}"),
        _ => with_minus,
    };
    // Some programs print the minus behind the number, which has no other meaning there.
    let with_minus = match with_minus.strip_suffix('-') {
        Some(rest) if begins_and_ends_with_digits(rest) => format!("-{rest}"),
        _ => with_minus,
    };
    let readable = match (comma, with_minus.contains(','), with_minus.contains('.')) {
        (true, _, true) => return Err(reading_fails(&with_minus, NumberProblem::Point)),
        (true, ..) => with_minus.replacen(',', ".", 1),
        (false, true, _) => {
            return Err(reading_fails(
                &with_minus.replacen(',', ".", 1),
                NumberProblem::Comma,
            ));
        }
        (false, ..) => with_minus,
    };
    match readable.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(Number {
            value,
            digits: Digits::Written(
                plain(readable.as_bytes(), b'.').or_else(|| of_power(&readable)),
            ),
        }),
        Ok(_) => Err(NumberProblem::NotFinite),
        Err(_) => Err(NumberProblem::Unreadable),
    }
}

/// The decimal of a number with a power of ten: 1.02E-07.
fn of_power(text: &str) -> Option<Decimal> {
    let (number, power) = text.split_once(['e', 'E'])?;
    plain(number.as_bytes(), b'.')?.scaled(power.parse().ok()?)
}

fn begins_and_ends_with_digits(text: &str) -> bool {
    let digit = |c: char| c.is_ascii_digit();
    text.starts_with(digit) && text.ends_with(digit)
}

/// Blames the decimal mark only where the text would read with the other one.
fn reading_fails(with_other_mark: &str, blame: NumberProblem) -> NumberProblem {
    let unsigned = with_other_mark.trim_start_matches(['-', '+']);
    match with_other_mark.parse::<f64>() {
        Ok(_) if marks::grouped(unsigned, '.') => NumberProblem::Open,
        Ok(_) => blame,
        Err(_) => NumberProblem::Unreadable,
    }
}

#[cfg(test)]
#[path = "number_tests.rs"]
mod tests;
