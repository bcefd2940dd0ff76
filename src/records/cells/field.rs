/*! One field of a table: text from CSV, or a typed value from Parquet. */

use super::marks::Marks;
use super::number::written::{Form, is_no_number, is_nothing, written};
use super::number::{Number, NumberProblem};
use super::row::said::{own_event, said, said_event};
use crate::records::date;
use crate::records::date::DateFormat;
use crate::records::{CheckKind, Event, Outcome};
use std::borrow::Cow;

/// A field as the file gives it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) enum Field<'a> {
    /// Nothing there.
    #[default]
    Empty,
    /// Text, not trimmed.
    Text(&'a str),
    /// A number; may be NaN or infinite.
    Number(f64),
    /// Days since 1970-01-01.
    Date(f64),
    /// True or false.
    Flag(bool),
}

impl<'a> Field<'a> {
    /// The field as a name: blanks at the ends stay, since they tell names apart.
    pub(crate) fn text(self) -> Cow<'a, str> {
        match self {
            Field::Empty => Cow::Borrowed(""),
            Field::Text(text) => Cow::Borrowed(text),
            Field::Number(number) => Cow::Owned(number.to_string()),
            Field::Date(days) => Cow::Owned(date::iso(days)),
            Field::Flag(flag) => Cow::Owned(flag.to_string()),
        }
    }

    /// The field as a number; `None` where empty.
    pub(crate) fn number(self, marks: impl Into<Marks>) -> Result<Option<Number>, NumberProblem> {
        match self {
            Field::Empty => Ok(None),
            Field::Text(text) => match text.trim() {
                "" => Ok(None),
                trimmed => lone(trimmed, marks.into()),
            },
            Field::Number(number) => match Number::from_double(number) {
                Some(number) => Ok(Some(number)),
                None => Err(NumberProblem::NotFinite),
            },
            Field::Date(_) | Field::Flag(_) => Err(NumberProblem::Unreadable),
        }
    }

    /// The field as days since 1970-01-01; `None` where empty or unreadable.
    pub(crate) fn date(self, format: &DateFormat) -> Option<f64> {
        match self {
            Field::Text(text) => format.parse(text.trim()),
            Field::Date(days) => date::calendar(days)
                .is_some_and(|d| (1..=9999).contains(&chrono::Datelike::year(&d)))
                .then_some(days),
            Field::Empty | Field::Number(_) | Field::Flag(_) => None,
        }
    }

    /// True where the field holds nothing but blanks.
    pub(crate) fn is_blank(self) -> bool {
        match self {
            Field::Empty => true,
            Field::Text(text) => text.chars().all(char::is_whitespace),
            _ => false,
        }
    }
}

/// A number that stands alone in its cell; `None` where the cell says that there is none.
fn lone(text: &str, marks: Marks) -> Result<Option<Number>, NumberProblem> {
    let problem = match Number::parse(text, marks) {
        Ok(number) => return Ok(Some(number)),
        Err(_) if is_no_number(text) => return Ok(None),
        Err(problem) => problem,
    };
    let around = written(text, marks).map_err(|_| problem)?;
    match around.form {
        Form::Plain if around.unit.is_empty() => Ok(Some(around.number)),
        Form::Plain => Err(NumberProblem::Unit),
        Form::Within => Err(NumberProblem::Within),
        Form::Below | Form::Above => Err(NumberProblem::Bound),
    }
}

/// Signs of what is in order. A cross is one of what is not in one form, and ticks a box in another.
const TICKS: [&str; 4] = ["✓", "✔", "☑", "√"];

/// In or out of tolerance from the words laboratories use, and what was done where the same
/// field says so; `None` where unreadable.
pub(crate) fn outcome(field: Field<'_>) -> Option<(Outcome, Event)> {
    let text = field.text();
    let words = text.trim();
    let known = |list: &[&str]| list.iter().any(|word| word.eq_ignore_ascii_case(words));
    if words.is_empty() || is_nothing(words) {
        Some((Outcome::Unknown, Event::None))
    } else if TICKS.contains(&words)
        || known(&["true", "t", "yes", "y", "1", "in", "pass", "passed", "ok"])
    {
        Some((Outcome::In, Event::None))
    } else if known(&["false", "f", "no", "n", "0", "out", "fail", "failed"]) {
        Some((Outcome::Out, Event::None))
    } else {
        said(&text)
    }
}

/// An event from its own word, or from those of the trade; `None` where unknown.
pub(crate) fn event(word: &str) -> Option<Event> {
    if word.is_empty() || is_nothing(word) {
        return Some(Event::None);
    }
    own_event(word).or_else(|| said_event(word))
}

/// Check, calibration or comparison; `None` where unknown.
pub(crate) fn kind(word: &str) -> Option<CheckKind> {
    if word.is_empty() {
        Some(CheckKind::Unstated)
    } else if word.eq_ignore_ascii_case("check") {
        Some(CheckKind::Check)
    } else if word.eq_ignore_ascii_case("calibration") {
        Some(CheckKind::Calibration)
    } else if word.eq_ignore_ascii_case("comparison") {
        Some(CheckKind::Comparison)
    } else {
        None
    }
}
