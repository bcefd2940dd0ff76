/*! What the readings of a row are told against: the row's unit, and its nominal value. */

use super::Number;
use super::written::Written;
use crate::records::cells::column::Column;
use crate::records::cells::field::Field;
use crate::records::cells::row::cells::{Cell, Cells, in_unit};
use crate::records::cells::row::rules::Problem;
use crate::records::cells::unit::target::Target;
use crate::records::cells::unit::{Quantity, Unit, same_unit, spoken};
use crate::records::settings::words::{AsFoundIs, LimitsAre};
use std::borrow::Cow;

/// Columns whose bare numbers are in the row's unit, beside the nominal value.
pub(super) const BESIDE: [Column; 8] = [
    Column::AsLeft,
    Column::U,
    Column::UCommon,
    Column::Lower,
    Column::Upper,
    Column::Tolerance,
    Column::Assigned,
    Column::UAssigned,
];

/// The row's unit and its nominal value.
pub(crate) struct Basis<'f> {
    /// The unit, with the nominal value where anything asks for it.
    pub target: Target<'f>,
    /// The cell of the nominal value.
    pub nominal: Cell<'f>,
    /// True where it is subtracted from the readings.
    subtracts: bool,
}

impl Basis<'_> {
    /// The nominal value that is subtracted.
    pub(super) fn subtracted(&self) -> Option<Number> {
        self.target.nominal.filter(|_| self.subtracts)
    }
}

impl<'f> Cells<'f> {
    /// What a row with `found` is told against.
    pub(crate) fn basis(&self, found: Cell<'f>) -> Result<Basis<'f>, Problem> {
        let nominal = match self.cell(Column::Nominal) {
            Err(_) if !self.rules.reads_nominal() => None,
            nominal => nominal?,
        };
        let nominal = match nominal {
            None if self.rules.reads_nominal() => self.centre()?,
            nominal => nominal,
        };
        let target = Target::of_unit(self.unit(found)?);
        let subtracts = self.rules.subtracts_nominal() && !target.is_part_of(found);
        let number = match nominal {
            Some(nominal) if self.needs_nominal(&target, subtracts) => {
                Some(in_unit(Column::Nominal, nominal, &target)?)
            }
            _ => None,
        };
        Ok(Basis {
            target: Target {
                nominal: number,
                ..target
            },
            nominal,
            subtracts,
        })
    }

    /// The error that a cell states; NaN where it is blank.
    pub(crate) fn error(
        &self,
        column: Column,
        cell: Cell<'f>,
        basis: &Basis<'f>,
    ) -> Result<f64, Problem> {
        let Some(cell) = cell else {
            return Ok(f64::NAN);
        };
        let target = &basis.target;
        self.one_zero(
            column,
            cell,
            basis.nominal.filter(|_| basis.subtracts),
            target,
        )?;
        let number = in_unit(column, cell, target)?;
        Ok(match basis.subtracted() {
            Some(nominal) => number.minus(nominal),
            None if self.rules.settings.as_found_is == AsFoundIs::Correction => {
                number.negated().value
            }
            None => number.value,
        })
    }

    /// The row's unit: its own column's, else the setting's, else that of what was found.
    fn unit(&self, found: Cell<'f>) -> Result<Cow<'f, str>, Problem> {
        let field = self.fields[Column::Unit];
        let header = self.shape.units[Column::AsFound.index()].as_deref();
        let stated = match field {
            field if field.is_blank() => Cow::Borrowed(self.rules.settings.unit.as_str()),
            Field::Text(text) => Cow::Borrowed(text.trim()),
            other => other.text(),
        };
        let stated = match stated {
            Cow::Borrowed(unit) if !unit.is_empty() => spoken(unit),
            owned => owned,
        };
        let own = found
            .map(|found| found.unit)
            .filter(|unit| !unit.is_empty());
        if stated.is_empty() {
            return Ok(header.or(own).map_or(stated, Cow::Borrowed));
        }
        let part =
            |header: &str| Unit::parse(header).is_some_and(|unit| unit.quantity == Quantity::Part);
        match header {
            Some(header) if !same_unit(header, &stated) && !part(header) => {
                let reason = format!(
                    "the header states {header}, the row {stated}: whichever is wrong, take it out (unit = false under [checks.columns] switches the column off)"
                );
                Err(Problem::new(Column::Unit, reason))
            }
            _ => Ok(stated),
        }
    }

    /// A nominal value is read where it is subtracted, or where a part of it is stated.
    fn needs_nominal(&self, target: &Target<'_>, subtracts: bool) -> bool {
        subtracts
            || self.rules.settings.limits_are == LimitsAre::Value
            || std::iter::once(Column::AsFound)
                .chain(BESIDE)
                .any(|column| {
                    let text = match self.fields[column] {
                        Field::Text(text) => text,
                        _ => "",
                    };
                    let header = self.shape.units[column.index()].as_deref();
                    let parts = |unit: &str| target.is_part(unit);
                    header.is_some_and(parts) || text.contains(['%', '‰', 'p', '^', '/'])
                })
    }

    /// Temperatures in °C and K have zeros of their own: no difference joins them.
    fn one_zero(
        &self,
        column: Column,
        cell: Written<'f>,
        nominal: Cell<'f>,
        target: &Target<'_>,
    ) -> Result<(), Problem> {
        let celsius = |unit: &str| {
            let unit = if unit.is_empty() { &target.unit } else { unit };
            Unit::parse(unit).map(|unit| unit.quantity == Quantity::Celsius)
        };
        let other = match nominal {
            Some(nominal) if nominal.unit.is_empty() && cell.unit.is_empty() => return Ok(()),
            Some(nominal) => celsius(nominal.unit),
            None if cell.unit.is_empty() || same_unit(cell.unit, &target.unit) => return Ok(()),
            None if self.rules.settings.as_found_is != AsFoundIs::Auto => return Ok(()),
            None => celsius(&target.unit),
        };
        match (celsius(cell.unit), other) {
            (Some(a), Some(b)) if a != b => Err(Problem::new(
                column,
                "°C and K in one row: as temperatures they lie 273.15 apart, as differences they are one; state both in one unit",
            )),
            _ => Ok(()),
        }
    }
}
