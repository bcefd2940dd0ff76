/*! What can still be read of a row that cannot be used, so that no failure is lost with it. */

use super::cells::{Cell, Cells};
use super::readings::Readings;
use super::rules::{Fields, Problem, Rules};
use super::said::Carried;
use super::unused::Unused;
use crate::records::Event;
use crate::records::cells::column::Column;
use crate::records::cells::field::Field;
use crate::records::cells::number::Number;
use crate::records::cells::number::written::{Form, Written, is_no_number, pair, written};
use crate::records::cells::unit::target::Target;

/// The numbers of a row that cannot be used, as far as they can be read; NaN where not.
#[derive(Debug)]
pub(crate) struct Legible {
    /// What was found and left, as errors.
    pub error: f64,
    left: f64,
    /// The limits that the row states.
    lower: f64,
    upper: f64,
    /// The unit of them all; empty where it is not known.
    pub unit: String,
}

impl Legible {
    /// True where a limit cannot be read, or is not stated.
    pub(crate) fn lacks_a_limit(&self) -> bool {
        self.lower.is_nan() || self.upper.is_nan()
    }

    /// What the numbers say of a failure or an adjustment.
    pub(crate) fn carried(&self) -> Carried {
        let moved = self.error != self.left && !(self.error - self.left).is_nan();
        Carried {
            failure: self.error < self.lower || self.error > self.upper,
            event: match moved {
                true => Event::Adjusted,
                false => Event::None,
            },
        }
    }
}

impl Rules<'_> {
    /// What a row that cannot be used says of its item; `None` where it names none, or says nothing.
    pub(crate) fn unused(&self, fields: &Fields<'_>, legible: &Legible) -> Option<Box<Unused>> {
        let instrument = self.instrument_of(fields);
        if fields.off_point || fields.is_left || instrument.trim().is_empty() {
            return None;
        }
        let found = fields[Column::AsFound];
        let date = self.date(fields);
        let error = match legible.lacks_a_limit() {
            true => legible.error,
            false => f64::NAN,
        };
        let text = found.text();
        // An export writes NaN for what was not measured.
        let is_nan = text.trim().eq_ignore_ascii_case("nan");
        let has_value = !(is_nan || found.is_blank() || is_no_number(text.trim()));
        let is_later = date.as_ref().is_err_and(|problem| problem.later);
        (!is_later && (error.is_finite() || has_value)).then(|| {
            Box::new(Unused {
                instrument: instrument.trim().to_string(),
                point: self.name(fields[Column::Point]).into_owned(),
                date: date.ok(),
                error,
                unit: legible.unit.clone(),
                has_value,
            })
        })
    }
}

impl<'f> Cells<'f> {
    /// The numbers of the row that can be read, whatever is wrong with its other cells.
    pub(crate) fn legible(&self) -> Legible {
        let (found, left) = self.legible_readings();
        let Ok(basis) = self.basis(found) else {
            return self.legible_as_written(found, left);
        };
        let error = |column, cell| self.error(column, cell, &basis).unwrap_or(f64::NAN);
        let (lower, upper) = self.legible_limits(&basis.target);
        Legible {
            error: error(Column::AsFound, found),
            left: error(Column::AsLeft, left),
            lower,
            upper,
            unit: basis.target.unit.into_owned(),
        }
    }

    /// The same where its unit or its nominal value cannot be read: the numbers as they stand there.
    fn legible_as_written(&self, found: Cell<'f>, left: Cell<'f>) -> Legible {
        let number = |cell: Cell<'f>| cell.map_or(f64::NAN, |cell| cell.number.value);
        let of = |column| number(self.cell(column).ok().flatten());
        let nominal = match self.rules.subtracts_nominal() {
            true => Some(of(Column::Nominal)).filter(|nominal| !nominal.is_nan()),
            false => None,
        };
        let (lower, upper) = (of(Column::Lower), of(Column::Upper));
        let ordered = lower < upper;
        Legible {
            error: number(found) - nominal.unwrap_or(0.0),
            left: number(left) - nominal.unwrap_or(0.0),
            lower: if ordered { lower } else { f64::NAN },
            upper: if ordered { upper } else { f64::NAN },
            unit: String::new(),
        }
    }

    /// What was found and left, each by itself.
    fn legible_readings(&self) -> (Cell<'f>, Cell<'f>) {
        if let Ok(Readings { found, left, .. }) = self.readings() {
            return (found, left);
        }
        let cell = |column| self.cell(column).ok().flatten();
        if let Some(found) = cell(Column::AsFound) {
            return (Some(found), cell(Column::AsLeft));
        }
        let place = Column::AsFound;
        let Field::Text(text) = self.fields[place] else {
            return (None, None);
        };
        if let Some(found) = self.beyond(text) {
            return (Some(found), cell(Column::AsLeft));
        }
        // Two numbers in one cell, whatever they mean.
        let number = |text| self.read(place, place, text).ok();
        pair(text).map_or((None, None), |(first, second)| {
            (number(first), number(second))
        })
    }

    /// What lies beyond a number, as in `> 5.2`: the next number that it may be.
    fn beyond(&self, text: &'f str) -> Option<Written<'f>> {
        let cell = written(text.trim(), self.rules.marks[Column::AsFound.index()]).ok()?;
        let next = match cell.form {
            Form::Above => cell.number.value.next_up(),
            Form::Below => cell.number.value.next_down(),
            Form::Plain | Form::Within => return None,
        };
        let unit = match cell.unit {
            "" => self.header_unit(Column::AsFound),
            unit => unit,
        };
        Some(Written {
            form: Form::Plain,
            number: Number::from_double(next)?,
            unit,
        })
    }

    /// The limits of the row; one that cannot be read lies as far from 0 as the other.
    fn legible_limits(&self, target: &Target<'_>) -> (f64, f64) {
        if let Ok(limits) = self.limits(target) {
            return limits;
        }
        let side = |column| {
            let cell = self.stated(column)?;
            let limit = self.limit(column, cell, target)?;
            Ok::<_, Problem>(limit.map_or(f64::NAN, |(value, _)| value))
        };
        match (side(Column::Lower), side(Column::Upper)) {
            (Ok(lower), Ok(upper)) if lower < upper => (lower, upper),
            (Ok(known), Err(_)) | (Err(_), Ok(known)) => (-known.abs(), known.abs()),
            _ => (f64::NAN, f64::NAN),
        }
    }
}
