/*! A number with what people write around it: `25,3 mK`, `±0.05`, `< 0,5`, `5.2 / 0.3`, `1 234`.

Only what has one reading is read; a cell that holds more is told apart by its form, and
whoever asks for a number decides whether that form fits its column.
*/

use super::power_of_ten::times_power;
use super::{Number, NumberProblem};
use crate::records::cells::cell_words::CELL_WORDS;
use crate::records::cells::digits::{begins_with_digit, begins_with_number, has_digit};
use crate::records::cells::marks::Marks;
use crate::records::cells::unit::Unit;
use std::borrow::Cow;

/// What stands before a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Form {
    /// Nothing, or a sign.
    Plain,
    /// `±`, `+/-`.
    Within,
    /// `<`, `≤`: no value, but one that it lies below.
    Below,
    /// `>`, `≥`.
    Above,
}

/// A number with its form and the unit behind it (empty where none is).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Written<'a> {
    pub form: Form,
    pub number: Number,
    pub unit: &'a str,
}

/// Signs that mark a footnote behind a number, and are no unit; common practice, no source.
pub(crate) const MARKS: [char; 8] = ['*', '∗', '⁎', '†', '‡', '§', '¶', '#'];

/// True where a cell says nothing.
pub(crate) fn is_nothing(text: &str) -> bool {
    CELL_WORDS
        .nothing
        .iter()
        .any(|word| word.eq_ignore_ascii_case(text))
}

/// True for digits with at most one point or comma and at most a sign before them: most cells of most files, and nothing
/// that is looked for around or between numbers stands in them.
pub(crate) fn is_bare(text: &str) -> bool {
    let unsigned = text.strip_prefix(['+', '-']).unwrap_or(text).as_bytes();
    let mut marks = 0;
    let fits = |byte: &u8| match byte {
        b'0'..=b'9' => true,
        b'.' | b',' => {
            marks += 1;
            marks == 1
        }
        _ => false,
    };
    unsigned.first().is_some_and(u8::is_ascii_digit) && unsigned.iter().all(fits)
}

/// True where a cell of a column of numbers says that there is no number.
pub(crate) fn is_no_number(text: &str) -> bool {
    if is_bare(text) {
        return false;
    }
    let said = |word: &String| match word.is_ascii() {
        true => word.eq_ignore_ascii_case(text),
        false => *word == text.to_lowercase(),
    };
    is_nothing(text) || CELL_WORDS.none.iter().any(said)
}

/// True for what a spreadsheet writes where it could not work a cell out: `#N/A`, `#REF!`, `Err:502`.
pub(crate) fn is_error(text: &str) -> bool {
    let error =
        |word: &str| word.ends_with(['!', '?']) || word.starts_with("N/") || word == "GETTING_DATA";
    text.strip_prefix('#').is_some_and(error) || text.starts_with("Err:")
}

/// Reads `text` (without blanks around it).
pub(crate) fn written(text: &str, marks: Marks) -> Result<Written<'_>, NumberProblem> {
    let (form, rest) = form(text);
    let (number, unit) = parts(rest);
    let number = Number::parse(&closed(number), marks)?;
    if let Some((number, unit)) = with_its_rest(number, unit, marks) {
        return Ok(Written { form, number, unit });
    }
    let (number, unit) = match times_power(unit) {
        Some((power, unit)) => (number.scaled(power), unit),
        None => (number, unit),
    };
    // Nor is what states something of its own: `(U = 0.003 mm, k = 2)`.
    let states = unit.contains('=');
    if states || !unit.is_empty() && unit.chars().all(|c| MARKS.contains(&c)) {
        return Err(NumberProblem::Marked);
    }
    Ok(Written { form, number, unit })
}

/// A nominal value with what a thing differs from it, as certificates of masses and gauge blocks write
/// it: `20 g + 0.013 mg` is 20000.013 mg. Both parts have a unit, and both of one quantity.
fn with_its_rest(number: Number, unit: &str, marks: Marks) -> Option<(Number, &str)> {
    let at = unit.find(['+', '-', '\u{2212}', '\u{2013}'])?;
    let (whole, rest) = (unit[..at].trim_end(), &unit[at..]);
    let sign = rest.chars().next()?.len_utf8();
    let (digits, own_unit) = parts(rest[sign..].trim_start());
    if !begins_with_digit(digits) {
        return None;
    }
    let (whole, part) = (Unit::parse(whole)?, Unit::parse(own_unit)?);
    let power = whole.power_to(part)?;
    let part = Number::parse(&closed(digits), marks).ok()?;
    let whole = number.scaled(power);
    // "0 bar - 10 bar" is a range.
    if part.value > LARGEST_REST * whole.value.abs() {
        return None;
    }
    let part = if rest.starts_with('+') {
        part
    } else {
        part.negated()
    };
    Some((whole.plus(part), own_unit))
}

/// Share of the whole that its rest is at the most: an artefact lies closer to its nominal value. Common practice, no source.
const LARGEST_REST: f64 = 0.01;

/// A value and what stands behind a ± or a U in its cell, such as `0.40 ± 0.10` and `0.40 mm (U = 0.10 mm)`, as texts.
pub(crate) fn with_uncertainty(text: &str) -> Option<(&str, &str)> {
    const SIGNS: [&str; 3] = ["±", "+/-", "+-"];
    if is_bare(text) {
        return None;
    }
    if let Some(two) = with_symbol(text) {
        return Some(two);
    }
    let parted = |sign: &&str| text.split_once(*sign);
    let (value, behind) = SIGNS.iter().find_map(parted)?;
    // "0.2 / ±0.04" is a pair by its own sign.
    let one = has_digit(value) && !value.trim_end().ends_with('/');
    (one && begins_with_digit(behind.trim_start())).then_some((value.trim(), behind.trim()))
}

/// A value and the uncertainty that its symbol states behind it: `0.40 mm (U = 0.10 mm)`, `0.40; U=0.10`. What states more,
/// such as a k, is none.
fn with_symbol(text: &str) -> Option<(&str, &str)> {
    let (before, behind) = text.split_once('=')?;
    let before = before.trim_end().strip_suffix('U')?;
    let value = before.trim_end().trim_end_matches(['(', '[', ';', ',']);
    let behind = behind.trim();
    let opened = before.trim_end().chars().next_back();
    let behind = match opened {
        Some('(') => behind.strip_suffix(')')?,
        Some('[') => behind.strip_suffix(']')?,
        _ => behind,
    };
    // "0.40 UU = 0.1" has no symbol of its own.
    let apart = value.len() < before.len();
    (apart && begins_with_number(value) && begins_with_number(behind) && !behind.contains('='))
        .then_some((value.trim_end(), behind.trim_end()))
}

/// The two numbers of a cell such as `5.2 / 0.3` or `5.2 ± 0.3`, as texts.
pub(crate) fn pair(text: &str) -> Option<(&str, &str)> {
    if let Some(two) = with_uncertainty(text) {
        return Some(two);
    }
    let (first, second) = text.split_once('/')?;
    let starts =
        |text: &str| begins_with_digit(text.trim().trim_start_matches(['+', '-', '\u{2212}', '±']));
    let both = starts(first) && starts(second) && !second.contains('/');
    both.then_some((first.trim(), second.trim()))
}

/// The numbers of a cell, each as its digits and marks alone, for who looks at its marks.
pub(crate) fn numbers_of(text: &str) -> impl Iterator<Item = Cow<'_, str>> {
    let runs = text.split(|c| !belongs(c) || c == '+');
    runs.map(|run| closed(run.trim()))
}

fn form(text: &str) -> (Form, &str) {
    const WITHIN: [&str; 5] = ["±", "+/-", "+-", "+/−", "\u{2213}"];
    const BELOW: [&str; 3] = ["<=", "≤", "<"];
    const ABOVE: [&str; 3] = [">=", "≥", ">"];
    let behind = |signs: &[&str]| signs.iter().find_map(|sign| text.strip_prefix(sign));
    let forms = [
        (Form::Within, behind(&WITHIN)),
        (Form::Below, behind(&BELOW)),
        (Form::Above, behind(&ABOVE)),
    ];
    let found = forms
        .into_iter()
        .find_map(|(form, rest)| Some((form, rest?)));
    found.map_or((Form::Plain, text), |(form, rest)| {
        (form, rest.trim_start())
    })
}

/// The number and the unit behind it: the unit begins with the first sign that belongs to no
/// number.
pub(crate) fn parts(text: &str) -> (&str, &str) {
    let end = text.find(|c| !belongs(c)).unwrap_or(text.len());
    // An exponent belongs to the number: digits stand on both of its sides.
    let rest = &text[end..];
    let exponent = rest.strip_prefix(['e', 'E']).map(|power| {
        let signed = power.strip_prefix(['+', '-', '\u{2212}']).unwrap_or(power);
        let digits = signed.bytes().take_while(u8::is_ascii_digit).count();
        let length = rest.len() - signed.len() + digits;
        if digits > 0 { length } else { 0 }
    });
    let end = end + exponent.unwrap_or(0);
    let (number, unit) = text.split_at(end);
    (number.trim(), unit.trim())
}

fn belongs(c: char) -> bool {
    c.is_ascii_digit()
        || matches!(c, '.' | ',' | '+' | '-' | '\u{2212}' | '\u{2013}')
        || is_space(c)
}

/// Blanks and the signs that group digits and nothing else.
fn is_space(c: char) -> bool {
    c.is_whitespace() || matches!(c, '\u{202f}' | '\u{2009}' | '\'' | '’')
}

/// The number without the blanks that group its digits by threes: `1 234,5` is `1234,5`, and
/// `0.123 45` is `0.12345`. Anything else comes back as it is.
pub(super) fn closed(number: &str) -> Cow<'_, str> {
    let sign = number
        .find(|c: char| !matches!(c, '+' | '-' | '\u{2212}' | '\u{2013}'))
        .unwrap_or(number.len());
    let (sign, unsigned) = number.split_at(sign);
    let unsigned = unsigned.trim_start();
    if !unsigned.contains(is_space) {
        return match sign.len() + unsigned.len() == number.len() {
            true => Cow::Borrowed(number),
            false => Cow::Owned(format!("{sign}{unsigned}")),
        };
    }
    let end = unsigned.find(['.', ',']).unwrap_or(unsigned.len());
    let (whole, part) = unsigned.split_at(end);
    let part = part.get(1..).unwrap_or("");
    match in_threes(whole, false) && in_threes(part, true) && !part.contains(['.', ',']) {
        true => Cow::Owned(number.replace(is_space, "")),
        false => Cow::Borrowed(number),
    }
}

/// True where blanks cut digits into threes; the short group stands first, or last behind the
/// decimal sign.
fn in_threes(digits: &str, behind: bool) -> bool {
    let mut groups: Vec<&str> = digits.split(is_space).collect();
    if behind {
        groups.reverse();
    }
    let whole = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
    let Some((short, others)) = groups.split_first() else {
        return true;
    };
    let fits = others.is_empty() || (1..=3).contains(&short.len());
    fits && whole(short) && others.iter().all(|group| group.len() == 3 && whole(group))
}

#[cfg(test)]
#[path = "written_tests.rs"]
mod tests;
