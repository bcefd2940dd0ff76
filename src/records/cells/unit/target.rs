/*! The unit into which a row's numbers are turned. */

use super::{Quantity, Unit, same_unit};
use crate::records::cells::digits::begins_with_digit;
use crate::records::cells::number::Number;
use crate::records::cells::number::written::Written;
use std::borrow::Cow;

/// Why a number cannot be turned into the unit of its row.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(crate) enum NoUnit {
    #[error("the unit \"{0}\" is not known")]
    Unknown(String),
    #[error(
        "degrees with minutes (\"{0}\") are two units in one number: write it in one of them, such as 10.5° or 630'"
    )]
    Sexagesimal(String),
    #[error("\"{0}\" of {1}, which is not stated")]
    PartOf(String, &'static str),
    #[error("not a finite number")]
    NotFinite,
    #[error("\"{0}\" cannot be turned into \"{1}\"")]
    Other(String, String),
}

/// The unit into which a row's numbers are turned, and the nominal value that parts are of.
pub(crate) struct Target<'f> {
    pub unit: Cow<'f, str>,
    pub nominal: Option<Number>,
}

impl<'f> Target<'f> {
    /// A row in this unit whose nominal value nothing asks for.
    pub(crate) fn of_unit(unit: impl Into<Cow<'f, str>>) -> Self {
        Self {
            unit: unit.into(),
            nominal: None,
        }
    }

    /// True where `unit` is a part, and the row measures in something else.
    pub(crate) fn is_part(&self, unit: &str) -> bool {
        let part =
            |text: &str| Unit::parse(text).is_some_and(|unit| unit.quantity == Quantity::Part);
        let other = !unit.is_empty() && *unit != *self.unit;
        other && part(unit) && !part(&self.unit)
    }

    pub(crate) fn is_part_of(&self, cell: Option<Written<'_>>) -> bool {
        cell.is_some_and(|cell| self.is_part(cell.unit))
    }

    /// What a number is multiplied by that is written as `cell` is; `None` where it cannot be.
    pub(crate) fn factor(&self, cell: Written<'_>) -> Option<f64> {
        let number = Number::from_double(1.0)?;
        self.of(Written { number, ..cell })
            .ok()
            .map(|one| one.value)
    }

    /// True where `unit` is that of a difference of two levels, which the row states: readings in dBm differ by dB.
    pub(crate) fn is_difference(&self, unit: &str) -> bool {
        /// Levels above a reference that the unit names. Common practice, no source.
        const LEVELS: [&str; 3] = ["dBm", "dB(A)", "dBA"];
        unit == "dB" && LEVELS.contains(&self.unit.as_ref())
    }

    /// The number of a cell that states a limit of the error or an uncertainty, in the row's unit.
    pub(crate) fn difference(&self, cell: Written<'_>) -> Result<Number, NoUnit> {
        match self.is_difference(cell.unit) {
            true => Ok(cell.number),
            false => self.of(cell),
        }
    }

    /// The number of a cell in the row's unit.
    pub(crate) fn of(&self, cell: Written<'_>) -> Result<Number, NoUnit> {
        self.turned(
            cell.number,
            cell.unit,
            self.nominal.ok_or("the nominal value"),
        )
    }

    /// `number` from `unit` into the row's; `whole` is what parts are of, or its name.
    pub(crate) fn turned(
        &self,
        number: Number,
        unit: &str,
        whole: Result<Number, &'static str>,
    ) -> Result<Number, NoUnit> {
        if unit.is_empty() || same_unit(unit, &self.unit) {
            return Ok(number);
        }
        let Some(from) = Unit::parse(unit) else {
            let minutes = unit
                .strip_prefix('°')
                .filter(|rest| begins_with_digit(rest));
            return Err(match minutes {
                Some(_) => NoUnit::Sexagesimal(unit.to_string()),
                None => NoUnit::Unknown(unit.to_string()),
            });
        };
        if self.is_part(unit) {
            let whole = whole.map_err(|whole| NoUnit::PartOf(unit.to_string(), whole))?;
            let part = number.scaled(from.power).times(whole.size());
            let finite = part.value.is_finite();
            return finite.then_some(part).ok_or(NoUnit::NotFinite);
        }
        let into = Unit::parse(&self.unit).and_then(|unit| from.power_to(unit));
        match into {
            Some(power) => Ok(number.scaled(power)),
            None => Err(NoUnit::Other(unit.to_string(), self.unit.to_string())),
        }
    }
}
