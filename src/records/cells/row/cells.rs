/*! The cells of one row: each a number with its form and its unit, before they are turned into the
row's. */

use super::rules::{Fields, Problem, Rules};
use crate::records::cells::column::Column;
use crate::records::cells::field::Field;
use crate::records::cells::footnote::{bracketed, footnoted};
use crate::records::cells::limits::open::OpenCell;
use crate::records::cells::number::coverage::with_factor;
use crate::records::cells::number::last_digits::{LastDigits, last_digits};
use crate::records::cells::number::written::{Form, Written, is_bare, is_no_number, written};
use crate::records::cells::number::{Number, NumberProblem};
use crate::records::cells::shape::Shape;
use crate::records::cells::unit::target::Target;
use crate::records::settings::words::{Brackets, FootnoteMarks, Pairs};

/// Why a value with an uncertainty behind it is none yet.
pub(super) const VALUE_AND_U: &str = "a value and its uncertainty: state pairs = \"found_u\" under [checks], and coverage_factor = 2 beside it where it is an expanded one";

/// A number as it stands in a cell; `None` where there is none.
pub(crate) type Cell<'f> = Option<Written<'f>>;

/// The number of a cell of a column in the row's unit.
pub(crate) fn in_unit(
    column: Column,
    cell: Written<'_>,
    target: &Target<'_>,
) -> Result<Number, Problem> {
    let turned = target.of(cell);
    turned.map_err(|why| Problem::new(column, why.to_string()))
}

/// The same of a limit of the error or an uncertainty: dB beside levels in dBm.
pub(crate) fn difference_in_unit(
    column: Column,
    cell: Written<'_>,
    target: &Target<'_>,
) -> Result<Number, Problem> {
    let turned = target.difference(cell);
    turned.map_err(|why| Problem::new(column, why.to_string()))
}

/// Cells of one row with what its file and its settings say of them.
pub(crate) struct Cells<'f> {
    pub rules: &'f Rules<'f>,
    pub fields: &'f Fields<'f>,
    pub shape: &'f Shape,
}

impl<'f> Cells<'f> {
    /// The number of a column whose unit is not looked at.
    pub(crate) fn count(&self, column: Column) -> Result<f64, Problem> {
        let number = self.fields[column].number(self.rules.marks[column.index()]);
        match number {
            Ok(number) => Ok(number.map_or(f64::NAN, |n| n.value)),
            Err(problem) => Err(Problem::new(column, problem.words())),
        }
    }

    /// The number of a column as it stands there; `None` where there is none.
    pub(crate) fn cell(&self, column: Column) -> Result<Cell<'f>, Problem> {
        let text = match self.fields[column] {
            Field::Text(text) => text.trim(),
            other => {
                let number = other.number(self.rules.marks[column.index()]);
                let number = number.map_err(|problem| Problem::new(column, problem.words()))?;
                return Ok(number.map(|number| self.plain(column, number)));
            }
        };
        if text.is_empty() {
            return Ok(None);
        }
        let text = match column {
            Column::U | Column::UCommon | Column::UAssigned => self.without_factor(column, text)?,
            _ => text,
        };
        match self.read(column, column, text) {
            Ok(cell) => Ok(Some(cell)),
            Err(_) if is_no_number(text) => Ok(None),
            Err(problem) => Err(problem),
        }
    }

    /// An uncertainty without the factor that its cell states, which must be the one that divides the column.
    fn without_factor<'t>(&self, column: Column, text: &'t str) -> Result<&'t str, Problem> {
        if is_bare(text) {
            return Ok(text);
        }
        let Some((value, factor)) = with_factor(text) else {
            return Ok(text);
        };
        let by_row = self.shape.has(Column::CoverageFactor);
        if column == Column::U && !by_row && factor == self.rules.settings.coverage_factor {
            return Ok(value);
        }
        let words = format!(
            "the cell states k = {factor}, and it is not what divides the column: state coverage_factor = {factor} under [checks] where all of its cells say so, or write standard uncertainties"
        );
        Err(Problem::new(column, words))
    }

    /// Reads a text in `place`: a number in a form that fits a column.
    pub(crate) fn read(
        &self,
        place: Column,
        column: Column,
        text: &'f str,
    ) -> Result<Written<'f>, Problem> {
        let marks = self.rules.marks[place.index()];
        let problem = match Number::parse(text, marks) {
            Ok(number) => return Ok(self.plain(place, number)),
            Err(problem) => problem,
        };
        let text = self.unmarked(place, text)?;
        if let Some(inside) = bracketed(text) {
            let cell = self.read(place, column, inside)?;
            return match self.rules.settings.brackets {
                Brackets::Auto => Err(Problem::open(place, OpenCell::Brackets)),
                Brackets::Plain => Ok(cell),
                Brackets::Negative => Ok(Written {
                    number: cell.number.negated(),
                    ..cell
                }),
            };
        }
        if let Some(digits) = last_digits(text)
            && [Column::AsFound, Column::AsLeft, Column::Nominal].contains(&column)
        {
            let value = self.with_last_digits(place, digits)?;
            return Ok(value.0);
        }
        let mut cell = written(text, marks).map_err(|around| {
            let why = match around {
                NumberProblem::Unreadable => problem,
                around => around,
            };
            Problem::new(place, why.words())
        })?;
        let misfit = match cell.form {
            Form::Within if !column.takes_within() => Some(NumberProblem::Within),
            Form::Below if column != Column::Upper => Some(NumberProblem::Bound),
            Form::Above if column != Column::Lower => Some(NumberProblem::Bound),
            _ => None,
        };
        if let Some(misfit) = misfit {
            return Err(Problem::new(place, misfit.words()));
        }
        if cell.unit.is_empty() {
            let bare = self.plain(place, cell.number);
            cell = Written {
                form: cell.form,
                ..bare
            };
        }
        Ok(cell)
    }

    /// A value and the uncertainty of its last digits.
    pub(super) fn with_last_digits(
        &self,
        place: Column,
        digits: LastDigits<'f>,
    ) -> Result<(Written<'f>, Written<'f>), Problem> {
        // By which k it is expanded no cell says.
        if self.shape.pairs != Pairs::FoundU {
            return Err(Problem::new(place, VALUE_AND_U));
        }
        let parts = digits.parts(self.rules.marks[place.index()]);
        let (value, u, unit) =
            parts.ok_or_else(|| Problem::new(place, NumberProblem::Unreadable.words()))?;
        Ok(match unit {
            "" => (self.plain(place, value), self.plain(place, u)),
            unit => {
                let form = Form::Plain;
                let of = |number| Written { form, number, unit };
                (of(value), of(u))
            }
        })
    }

    /// A text without the mark of a footnote.
    pub(crate) fn unmarked<'t>(&self, place: Column, text: &'t str) -> Result<&'t str, Problem> {
        if is_bare(text.trim()) {
            return Ok(text);
        }
        match (footnoted(text), self.rules.settings.footnote_marks) {
            (None, _) => Ok(text),
            (Some((number, _)), FootnoteMarks::Ignored) => Ok(number),
            (Some(_), FootnoteMarks::Auto) => Err(Problem::open(place, OpenCell::FootnoteMark)),
        }
    }

    /// A bare number, in the unit of its header.
    fn plain(&self, place: Column, number: Number) -> Written<'f> {
        Written {
            form: Form::Plain,
            number: match self.shape.powers[place.index()] {
                0 => number,
                power => number.scaled(power),
            },
            unit: self.header_unit(place),
        }
    }

    pub(crate) fn header_unit(&self, column: Column) -> &'f str {
        self.shape.units[column.index()].as_deref().unwrap_or("")
    }
}
