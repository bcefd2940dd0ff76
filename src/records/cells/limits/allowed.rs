/*! A tolerance in one column: `±0.05`, `0,1 % + 0,02 K`, `-0.1 / +0.2`, `0.5 % of range`.

Terms are added, as specifications state them; each is a constant, or a part of the nominal
value or of the range. Whether a bare per cent is of the reading or of the range is no
secret of the number: the cell says it, or a person does.
*/

use crate::records::cells::cell_words::CELL_WORDS;
use crate::records::cells::marks::Marks;
use crate::records::cells::number::written::{Form, Written, is_bare, written};
use crate::records::cells::number::{Number, NumberProblem};
use crate::records::cells::unit::target::{NoUnit, Target};
use crate::records::cells::unit::{Unit, same_unit};
use crate::records::settings::words::PerCentOf;
use crate::records::words::plain;

/// What specifications call the last digit of a display; common practice, no source.
const DIGITS: [&str; 16] = [
    "digit", "digits", "dgt", "dgts", "dig", "d", "count", "counts", "lsd", "ziffer", "ziffern",
    "stellen", "chiffres", "dígitos", "digitos", "cifre",
];

/// What a tolerance is read by.
pub(crate) struct Ground<'a> {
    pub marks: Marks,
    /// Unit of bare numbers that the header states; empty where it states none.
    pub header: &'a str,
    /// What a bare per cent is of.
    pub per_cent_of: PerCentOf,
    /// The row's unit and nominal value.
    pub target: &'a Target<'a>,
    /// The range, in the row's unit.
    pub range: Option<Number>,
    /// The step of the display, in the row's unit, where a setting states it.
    pub step: Option<Number>,
}

/// Why a cell states no limits.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum NoLimits {
    #[error("the lower limit {0} is not below the upper limit {1}")]
    Order(f64, f64),
    #[error("a tolerance in one number cannot be negative")]
    Negative,
    #[error("a tolerance of 0")]
    Zero,
    #[error("{}", .0.words())]
    Number(NumberProblem),
    #[error("not a tolerance")]
    NoTolerance,
    #[error("two limits that do not hold 0 seem to be of the value: state them of the error")]
    OfValue,
    #[error(
        "\"{0}\" is not known: per cent of what? Write \"of reading\" (of the nominal value beside it) or \"of range\" behind the %"
    )]
    Part(String),
    #[error("\"{0}\" stands behind one of the limits alone: is the other in it too?")]
    UnitOfOne(String),
    #[error("per cent of the reading, or of the range?")]
    PerCentOfWhat,
    #[error(
        "\"{0}\" are steps of a display: state its step as resolution under [checks], in the unit of the values"
    )]
    DigitsOfWhat(String),
    #[error(transparent)]
    Unit(#[from] NoUnit),
}

/// ± in one of two columns of limits, and another limit in the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("± in one column, and another limit in the other")]
pub(crate) struct Mixed;

/// A limit as its cell states it, and whether ± stands before it.
pub(crate) type Limit = Option<(f64, bool)>;

/// The limits that a lower and an upper cell state together: ± in either holds on both sides.
pub(crate) fn both(lower: Limit, upper: Limit) -> Result<(Option<f64>, Option<f64>), Mixed> {
    match (lower, upper) {
        (Some((half, true)), None) | (None, Some((half, true))) => Ok((Some(-half), Some(half))),
        (Some((a, true)), Some((b, true))) if a == b => Ok((Some(-a), Some(a))),
        (Some((_, true)), _) | (_, Some((_, true))) => Err(Mixed),
        (lower, upper) => Ok((lower.map(|(value, _)| value), upper.map(|(value, _)| value))),
    }
}

/// Refuses two limits of which one alone has a unit, and another than the row's: whether the other is in it too, nothing
/// says. A 0 is the same in all.
///
/// # Errors
/// Such limits.
pub(crate) fn refuse_unit_of_one(
    limits: [Written<'_>; 2],
    target: &Target<'_>,
) -> Result<(), NoLimits> {
    let [lower, upper] = limits;
    let open = |bare: Written<'_>| bare.unit.is_empty() && bare.number.value != 0.0;
    match (open(lower), open(upper)) {
        (true, false) => unit_of_both(upper.unit, target),
        (false, true) => unit_of_both(lower.unit, target),
        _ => Ok(()),
    }
}

/// The unit of one limit, where it must be that of the other too.
fn unit_of_both(unit: &str, target: &Target<'_>) -> Result<(), NoLimits> {
    match unit.is_empty() || same_unit(unit, &target.unit) {
        true => Ok(()),
        false => Err(NoLimits::UnitOfOne(unit.to_string())),
    }
}

/// The limits that `text` states.
///
/// # Errors
/// What cannot be read, or has two readings, in words.
pub(crate) fn limits(text: &str, ground: &Ground<'_>) -> Result<(f64, f64), NoLimits> {
    if let Some((lower, upper)) = two_sided(text).or_else(|| two_values(text)) {
        // The unit behind the second is that of both; one behind the first alone leaves the second open.
        let lower_first = lower.as_ptr() < upper.as_ptr();
        let (behind, before) = match lower_first {
            true => (ground.unit_behind(upper), ground.unit_behind(lower)),
            false => (ground.unit_behind(lower), ground.unit_behind(upper)),
        };
        if behind.is_empty() {
            unit_of_both(before, ground.target)?;
        }
        let both = Ground {
            header: match behind {
                "" => ground.header,
                unit => unit,
            },
            ..*ground
        };
        let (lower, upper) = (both.term(lower)?.value, both.term(upper)?.value);
        return match lower < upper {
            true => Ok((lower, upper)),
            false => Err(NoLimits::Order(lower, upper)),
        };
    }
    let half = match is_bare(text) {
        true => ground.not_negative(text)?.value,
        false => {
            let terms = terms(unmarked(text)).into_iter();
            let terms = terms.map(|term| ground.not_negative(term));
            // As decimals: 0.00035 and 0.00005 are 0.0004, which a reading of 0.0004 keeps.
            let sum = terms.reduce(|sum, term| Ok(sum?.plus(term?)));
            sum.ok_or(NoLimits::NoTolerance)??.value
        }
    };
    match half > 0.0 {
        true => Ok((-half, half)),
        false => Err(NoLimits::Zero),
    }
}

/// A lower and an upper limit in one cell.
pub(crate) fn two_sided(text: &str) -> Option<(&str, &str)> {
    if is_bare(text) {
        return None;
    }
    let text = text.trim_matches(['[', ']', '(', ')']).trim();
    let marks = [" … ", "…", "...", "..", " to ", " bis ", " à ", ";", "/"];
    let marked = marks.iter().find_map(|mark| text.split_once(mark));
    // "+6 -4": the sign of the second parts them.
    let signed = || {
        let at = text.rfind([' ', '\u{a0}'])?;
        let before = text[..at].rfind([' ', '\u{a0}']);
        let mut blanks = [Some(at), before].into_iter().flatten();
        let at = blanks.find(|at| text[*at..].trim_start().starts_with(['+', '-', '\u{2212}']))?;
        Some(text.split_at(at))
    };
    let (first, second) = marked.or_else(signed)?;
    let (first, second) = (first.trim(), second.trim());
    let counts = |text: &str| text.contains(|c: char| c.is_ascii_digit());
    if !counts(first) || !counts(second) {
        return None;
    }
    let minus = |text: &str| text.starts_with(['-', '\u{2212}']);
    let number = |text: &str| text.starts_with(|c: char| c.is_ascii_digit() || c == '+');
    match (minus(first), minus(second)) {
        (true, false) if number(second) => Some((first, second)),
        (false, true) if first.starts_with('+') => Some((second, first)),
        _ => None,
    }
}

/// Two limits in one cell of which none is told by its sign: `0.90 - 1.10`, `[0,90; 1,10]`, `20 °C to 25 °C`.
pub(crate) fn two_values(text: &str) -> Option<(&str, &str)> {
    const BETWEEN: [&str; 16] = [
        " … ", "…", "...", "..", " to ", " bis ", " à ", " a ", " do ", ";", " – ", " — ", " - ",
        " / ", "–", "—",
    ];
    if is_bare(text) {
        return None;
    }
    let text = text.trim_matches(['[', ']', '(', ')']).trim();
    let number = |text: &str| {
        let bare = text.trim_start_matches(['-', '+', '\u{2212}']).trim_start();
        bare.starts_with(|c: char| c.is_ascii_digit())
    };
    let apart = BETWEEN.iter().find_map(|mark| text.split_once(mark));
    let (first, second) = apart.or_else(|| cut_at_dash(text))?;
    let (first, second) = (first.trim(), second.trim());
    (number(first) && number(second) && !text.contains(['±', '%'])).then_some((first, second))
}

/// `0.90-1.10` at its dash, which stands in no exponent and before no number alone.
fn cut_at_dash(text: &str) -> Option<(&str, &str)> {
    let at = text.rfind('-').filter(|at| *at > 0)?;
    let (first, second) = (&text[..at], &text[at + 1..]);
    first
        .ends_with(|c: char| c.is_ascii_digit())
        .then_some((first, second))
}

/// A value with what is allowed about it: `100.00 ± 0.05 g`.
pub(crate) fn centred(text: &str) -> Option<(&str, &str)> {
    if is_bare(text) {
        return None;
    }
    let text = text.trim_matches(['(', ')', '[', ']']).trim();
    let signs = ["±", "+/-", "+-"].iter();
    let (centre, half) = signs.into_iter().find_map(|sign| text.split_once(sign))?;
    let (centre, half) = (centre.trim(), half.trim());
    let counts = |text: &str| text.contains(|c: char| c.is_ascii_digit());
    (counts(centre) && counts(half)).then_some((centre, half))
}

/// Without the sign that says that it holds on both sides.
fn unmarked(text: &str) -> &str {
    match written(text, Marks::from(false)) {
        Ok(cell) if cell.form == Form::Plain => text,
        _ => ["±", "+/-", "+-", "<=", "≤", "<"]
            .iter()
            .find_map(|sign| text.strip_prefix(sign))
            .unwrap_or(text)
            .trim(),
    }
}

/// The terms of a sum, cut at `+` that stands in no exponent.
fn terms(text: &str) -> Vec<&str> {
    let inside = text.trim_matches(['(', ')']);
    let mut terms = Vec::new();
    let mut start = 0;
    for (place, _) in inside.match_indices('+') {
        let before = inside[..place].trim_end();
        let exponent = before.ends_with(['e', 'E'])
            && before[..before.len() - 1].ends_with(|c: char| c.is_ascii_digit());
        if !before[start.min(before.len())..].trim().is_empty() && !exponent {
            terms.push(inside[start..place].trim());
            start = place + 1;
        }
    }
    terms.push(inside[start..].trim());
    terms
}

impl Ground<'_> {
    /// The unit that stands behind a number; empty where none does.
    fn unit_behind<'t>(&self, text: &'t str) -> &'t str {
        written(text, self.marks).map_or("", |cell| cell.unit)
    }

    /// So many steps of the display.
    fn digits(&self, number: Number, text: &str) -> Result<Number, NoLimits> {
        let step = self.step;
        let step = step.ok_or_else(|| NoLimits::DigitsOfWhat(text.trim().to_string()))?;
        Ok(number.times(step))
    }

    /// One term that allows something on both sides.
    fn not_negative(&self, text: &str) -> Result<Number, NoLimits> {
        match self.term(text)? {
            term if term.value < 0.0 => Err(NoLimits::Negative),
            term => Ok(term),
        }
    }

    /// One term in the row's unit.
    fn term(&self, text: &str) -> Result<Number, NoLimits> {
        let cell = written(text.trim(), self.marks).map_err(NoLimits::Number)?;
        if cell.form != Form::Plain {
            return Err(NoLimits::NoTolerance);
        }
        let unit = match cell.unit {
            "" => self.header,
            unit => unit,
        };
        // Errors in "% FS" have limits in "% FS".
        if same_unit(unit, &self.target.unit) || self.target.is_difference(unit) {
            return Ok(cell.number);
        }
        if DIGITS.contains(&plain(unit).as_str()) {
            return self.digits(cell.number, text);
        }
        let lower = unit.to_lowercase();
        let part = ["%", "ppm", "‰"]
            .into_iter()
            .find(|part| lower.starts_with(part));
        let (unit, of) = match part {
            Some(part) => (part, lower[part.len()..].trim()),
            None => (unit, ""),
        };
        let of = match of {
            "" if !self.target.is_part(unit) => PerCentOf::Reading,
            "" if unit != "%" && Unit::parse(unit).is_some() => PerCentOf::Reading,
            "" => self.per_cent_of,
            of if CELL_WORDS.say_of_reading(of) => PerCentOf::Reading,
            of if CELL_WORDS.say_of_range(of) => PerCentOf::Range,
            _ => return Err(NoLimits::Part(format!("{unit} {of}"))),
        };
        let whole = match of {
            PerCentOf::Reading => self.target.nominal.ok_or("the nominal value"),
            PerCentOf::Range => self.range.ok_or("the range (column range)"),
            PerCentOf::Auto => {
                return Err(NoLimits::PerCentOfWhat);
            }
        };
        Ok(self.target.turned(cell.number, unit, whole)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::borrow::Cow;

    fn read(text: &str, unit: &str, of: PerCentOf) -> Result<(f64, f64), NoLimits> {
        let number = |text| Number::parse(text, false).ok();
        let target = Target {
            unit: Cow::Borrowed(unit),
            nominal: number("200"),
        };
        let ground = Ground {
            marks: Marks::from(false),
            header: "",
            per_cent_of: of,
            target: &target,
            range: number("1000"),
            step: number("0.1"),
        };
        limits(text, &ground)
    }

    #[test]
    fn tolerances_as_people_write_them() {
        for (text, expected) in [
            ("0.05", (-0.05, 0.05)),
            ("±0.05", (-0.05, 0.05)),
            ("± 50 mV", (-0.05, 0.05)),
            ("+/- 2 V", (-2.0, 2.0)),
            ("≤ 2", (-2.0, 2.0)),
            ("-0.1 / +0.2", (-0.1, 0.2)),
            ("+0.2/-0.1", (-0.1, 0.2)),
            ("-0.1 … 0.2", (-0.1, 0.2)),
            ("+0.2 -0.1", (-0.1, 0.2)),
            ("-100 +200 mV", (-0.1, 0.2)),
            ("-100 / +200 mV", (-0.1, 0.2)),
            ("+200 mV / -100 mV", (-0.1, 0.2)),
            ("-0.1 V / +0.2", (-0.1, 0.2)),
            ("0.5 % of reading", (-1.0, 1.0)),
            ("0.5 % FS", (-5.0, 5.0)),
            ("±(0.5 % rdg + 2 V)", (-3.0, 3.0)),
            ("50 ppm + 0.01", (-0.02, 0.02)),
            ("0.5 % rdg + 2 digits", (-1.2, 1.2)),
            // As doubles 0.14 and 0.7 are 0.8400000000000001, and 0.0007 · 200 is 0.13999999999999999.
            ("0.07 % rdg + 0.07 % FS", (-0.84, 0.84)),
            ("±(3 dgt.)", (-0.3, 0.3)),
            ("0.90 - 1.10", (0.9, 1.1)),
            ("[0.90; 1.10]", (0.9, 1.1)),
            ("900 mV to 1100 mV", (0.9, 1.1)),
            ("0.90–1.10 V", (0.9, 1.1)),
            ("0.90-1.10", (0.9, 1.1)),
            ("-5 - 5", (-5.0, 5.0)),
        ] {
            assert_eq!(read(text, "V", PerCentOf::Auto), Ok(expected), "{text}");
        }
        assert_eq!(read("2 %", "%", PerCentOf::Auto), Ok((-2.0, 2.0)));
        assert_eq!(read("0.5 %", "V", PerCentOf::Range), Ok((-5.0, 5.0)));
    }

    #[test]
    fn a_value_with_what_is_allowed_about_it_is_told() {
        assert_eq!(centred("100.00 ± 0.05 g"), Some(("100.00", "0.05 g")));
        for text in ["±0.05", "± 0,5 % + 0.1", "100", "x ± y"] {
            assert_eq!(centred(text), None, "{text}");
        }
    }

    #[test]
    fn two_readings_are_asked() {
        let bare = read("0.5 %", "V", PerCentOf::Auto);
        assert_eq!(bare, Err(NoLimits::PerCentOfWhat));
        for text in [
            "-0.1",
            "0.1 % of cake",
            "5 mm",
            "0.2 - 0.1",
            "1 % whichever",
            "-100 mV / +0.2",
            "0",
            "x",
        ] {
            assert!(read(text, "V", PerCentOf::Reading).is_err(), "{text}");
        }
    }
}
