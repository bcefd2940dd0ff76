/*! What can still be read of a row that cannot be used, so that no failure is lost with it. */

use super::cells::{Cell, Cells};
use super::readings::Readings;
use super::rules::{Fields, Problem, Rules};
use super::said::Carried;
use super::unjudged::Unjudged;
use crate::records::Event;
use crate::records::cells::column::Column;
use crate::records::cells::field::Field;
use crate::records::cells::number::written::pair;
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
    /// True where no limit can be read.
    pub(crate) fn is_without_limits(&self) -> bool {
        self.lower.is_nan() && self.upper.is_nan()
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
    /// What the tolerance of its item must judge of a row that cannot be used; `None` where nothing is.
    pub(crate) fn unjudged(&self, fields: &Fields<'_>, legible: &Legible) -> Option<Box<Unjudged>> {
        let instrument = self.instrument_of(fields);
        let counts = legible.is_without_limits()
            && legible.error.is_finite()
            && !(fields.off_point || fields.is_left || instrument.trim().is_empty());
        counts.then(|| {
            Box::new(Unjudged {
                instrument: instrument.trim().to_string(),
                point: self.name(fields[Column::Point]).into_owned(),
                date: self.date(fields).ok(),
                error: legible.error,
                unit: legible.unit.clone(),
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
        // Two numbers in one cell, whatever they mean.
        let place = Column::AsFound;
        let Field::Text(text) = self.fields[place] else {
            return (None, None);
        };
        let number = |text| self.read(place, place, text).ok();
        pair(text).map_or((None, None), |(first, second)| {
            (number(first), number(second))
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
