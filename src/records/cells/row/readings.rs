/*! What a row says was found and left, and the uncertainty: two of them may share a cell, and several
columns may repeat what was found. */

use super::cells::{Cell, Cells, VALUE_AND_U};
use super::rules::Problem;
use crate::records::cells::column::Column;
use crate::records::cells::field::Field;
use crate::records::cells::number::Number;
use crate::records::cells::number::last_digits::last_digits;
use crate::records::cells::number::written::{Written, pair, with_uncertainty};
use crate::records::cells::repeated::Scatter;
use crate::records::cells::unit::target::Target;
use crate::records::settings::words::Pairs;

/// False for a text that holds one number at the most: `/`, the first byte of ± and the = behind a symbol stand in none.
fn may_hold_two(text: &str) -> bool {
    text.bytes().any(|byte| matches!(byte, b'/' | 0xC2 | b'='))
}

/// What was found and left, and the uncertainty.
pub(crate) struct Readings<'f> {
    pub found: Cell<'f>,
    pub left: Cell<'f>,
    pub u: Cell<'f>,
    /// How the repeats of what was found scatter, in its unit.
    pub scatter: Option<Scatter>,
}

impl<'f> Cells<'f> {
    /// What was found: the cell, or the mean of it and its repeats, with their scatter.
    fn found(&self) -> Result<(Cell<'f>, Option<Scatter>), Problem> {
        let first = self.cell(Column::AsFound)?;
        if self.shape.repeated.is_empty() {
            return Ok((first, None));
        }
        let marks = self.rules.marks[Column::AsFound.index()];
        let mut mean = first;
        let mut numbers: Vec<Number> = first.iter().map(|cell| cell.number).collect();
        for (own, field) in self.shape.repeated.iter().zip(&self.fields.repeats) {
            let fails = |why: &dyn std::fmt::Display| {
                let words = format!("\"{}\" in \"{}\": {why}", field.text().trim(), own.header);
                Problem::new(Column::AsFound, words)
            };
            let Some(cell) = own.cell(*field, marks).map_err(|why| fails(&why))? else {
                continue;
            };
            let first = mean.get_or_insert(cell);
            if cell.unit.is_empty() != first.unit.is_empty() {
                return Err(fails(&"one repeat states a unit and another none"));
            }
            let target = Target::of_unit(first.unit);
            numbers.push(target.of(cell).map_err(|why| fails(&why))?);
        }
        let number = Number::mean(&numbers);
        let mean = mean
            .zip(number)
            .map(|(cell, number)| Written { number, ..cell });
        Ok((mean, Scatter::of(&numbers)))
    }

    /// What was found and left, and the uncertainty: two of them may share a cell.
    pub(crate) fn readings(&self) -> Result<Readings<'f>, Problem> {
        let (left, u) = (self.cell(Column::AsLeft)?, self.cell(Column::U)?);
        if let Some((found, own)) = self.found_with_last_digits(u.is_some())? {
            return Ok(Readings {
                found: Some(found),
                left,
                u: Some(own),
                scatter: None,
            });
        }
        let two = match self.fields[Column::AsFound] {
            Field::Text(text) if may_hold_two(text) && self.shape.repeated.is_empty() => pair(text),
            _ => None,
        };
        let Some((first, second)) = two else {
            let (found, scatter) = self.found()?;
            return Ok(Readings {
                found,
                left,
                u,
                scatter,
            });
        };
        let other = self.second_of_pair(left.is_none(), u.is_none())?;
        let mut first = self.read(Column::AsFound, Column::AsFound, first)?;
        let second = self.read(Column::AsFound, other, second)?;
        if first.unit.is_empty() {
            first.unit = second.unit;
        }
        let (left, u) = match other {
            Column::AsLeft => (Some(second), u),
            _ => (left, Some(second)),
        };
        Ok(Readings {
            found: Some(first),
            left,
            u,
            scatter: None,
        })
    }

    /// The column of the second of two numbers in the cell of what was found, where no cell of its own states it too.
    fn second_of_pair(&self, left_is_free: bool, u_is_free: bool) -> Result<Column, Problem> {
        let own = self.fields[Column::AsFound].text();
        let by_sign = with_uncertainty(&own).is_some();
        let (other, free) = match (self.shape.pairs, by_sign) {
            (Pairs::FoundU, _) => (Column::U, u_is_free),
            (Pairs::FoundLeft, false) => (Column::AsLeft, left_is_free),
            // By which k it is expanded no cell says.
            (_, true) => {
                return Err(Problem::new(Column::AsFound, VALUE_AND_U));
            }
            (Pairs::Auto, false) => {
                return Err(Problem::new(
                    Column::AsFound,
                    "two numbers: found and left, or a value and its uncertainty? State pairs = \"found_left\" or \"found_u\" under [checks]",
                ));
            }
        };
        match free {
            true => Ok(other),
            false => {
                let reason = format!(
                    "two numbers, and the column {} states the second too",
                    other.name()
                );
                Err(Problem::new(Column::AsFound, reason))
            }
        }
    }

    /// What was found with its uncertainty in the last digits, where the cell has one in brackets and no
    /// column `u` states one.
    fn found_with_last_digits(
        &self,
        u_is_stated: bool,
    ) -> Result<Option<(Written<'f>, Written<'f>)>, Problem> {
        let digits = match self.fields[Column::AsFound] {
            Field::Text(text) if text.contains('(') && self.shape.repeated.is_empty() => {
                last_digits(text)
            }
            _ => None,
        };
        let Some(digits) = digits else {
            return Ok(None);
        };
        let both = self.with_last_digits(Column::AsFound, digits)?;
        match u_is_stated {
            true => {
                let words = "an uncertainty in brackets, and the column u states one too: set pairs = \"found_u\" with u = false under columns, or take the brackets out";
                Err(Problem::new(Column::AsFound, words))
            }
            false => Ok(Some(both)),
        }
    }
}
