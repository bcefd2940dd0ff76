/*! The numbers of one row, all in its unit.

Each cell is in its own unit, else in that of its header, else in the row's. A part (%, ppm)
of a row that measures in another unit is one of the nominal value. What cannot be turned
into the row's unit for certain is a problem of the row, never a guess.
*/

use super::written::{Written, pair};
use crate::records::Event;
use crate::records::cells::column::Column;
use crate::records::cells::field::Field;
use crate::records::cells::repeated::Scatter;
use crate::records::cells::row::cells::{Cell, Cells};
use crate::records::cells::row::readings::Readings;
use crate::records::cells::row::rules::Problem;
use crate::records::cells::row::said::Carried;
use crate::records::cells::unit::target::Target;
use crate::records::cells::unit::{Quantity, Unit, same_unit, spoken};
use crate::records::settings::words::{AsFoundIs, LimitsAre};
use std::borrow::Cow;

/// The numbers of a row in its unit; NaN where not stated.
#[derive(Debug)]
pub(crate) struct Amounts<'f> {
    pub unit: Cow<'f, str>,
    pub as_found: f64,
    pub as_left: f64,
    pub nominal: f64,
    pub u: f64,
    pub u_common: f64,
    pub lower: f64,
    pub upper: f64,
    /// Value that a certificate states, and its standard uncertainty.
    pub assigned: f64,
    pub u_assigned: f64,
    /// The nominal value that the row states, subtracted or not; NaN where none is looked for.
    pub stated_nominal: f64,
    /// How the repeats scatter of which what was found is the mean.
    pub scatter: Option<Scatter>,
    /// A column whose bare number takes its unit from the cell of what was found.
    pub lent: Option<Column>,
}

/// Columns whose bare numbers are in the row's unit, beside the nominal value.
const BESIDE: [Column; 8] = [
    Column::AsLeft,
    Column::U,
    Column::UCommon,
    Column::Lower,
    Column::Upper,
    Column::Tolerance,
    Column::Assigned,
    Column::UAssigned,
];

/// The number of a cell in the plain unit of its quantity, so that it compares with that of
/// another row.
fn in_plain_unit(cell: Written<'_>) -> f64 {
    let unit = Unit::parse(cell.unit);
    unit.map_or(cell.number.value, |unit| {
        cell.number.scaled(unit.power).value
    })
}

impl Amounts<'_> {
    /// No number is stated.
    pub(crate) fn unknown() -> Self {
        Self {
            unit: Cow::Borrowed(""),
            as_found: f64::NAN,
            as_left: f64::NAN,
            nominal: 0.0,
            u: f64::NAN,
            u_common: 0.0,
            lower: f64::NAN,
            upper: f64::NAN,
            assigned: f64::NAN,
            u_assigned: f64::NAN,
            stated_nominal: f64::NAN,
            scatter: None,
            lent: None,
        }
    }

    /// True where the row's own numbers tell whether it is in tolerance.
    pub(crate) fn decided(&self) -> bool {
        !(self.as_found.is_nan() || self.lower.is_nan() && self.upper.is_nan())
    }
}

impl<'f> Cells<'f> {
    /// Reads the numbers of the row.
    pub(crate) fn amounts(&self) -> Result<Amounts<'f>, Problem> {
        let Readings {
            found,
            left,
            u,
            scatter,
        } = self.readings()?;
        let nominal = match self.cell(Column::Nominal) {
            Err(_) if !self.rules.reads_nominal() => None,
            nominal => nominal?,
        };
        let nominal = match nominal {
            None if self.rules.reads_nominal() => self.centre()?,
            nominal => nominal,
        };
        let target = Target {
            unit: self.unit(found)?,
            nominal: None,
        };
        let subtracts = self.rules.subtracts_nominal() && !target.is_part_of(found);
        let nominal_number = match nominal {
            Some(nominal) if self.needs_nominal(&target, subtracts) => Some(
                target
                    .of(nominal)
                    .map_err(|why| Problem::new(Column::Nominal, why.to_string()))?,
            ),
            _ => None,
        };
        let target = Target {
            nominal: nominal_number,
            ..target
        };
        let error = |column, cell: Cell<'f>| -> Result<f64, Problem> {
            let Some(cell) = cell else {
                return Ok(f64::NAN);
            };
            self.one_zero(column, cell, nominal.filter(|_| subtracts), &target)?;
            let number = target
                .of(cell)
                .map_err(|why| Problem::new(column, why.to_string()))?;
            Ok(match nominal_number.filter(|_| subtracts) {
                Some(nominal) => number.minus(nominal),
                None if self.rules.settings.as_found_is == AsFoundIs::Correction => {
                    number.negated().value
                }
                None => number.value,
            })
        };
        let (as_found, as_left) = (error(Column::AsFound, found)?, error(Column::AsLeft, left)?);
        let uncertain = |column, cell| self.not_negative(column, cell, &target);
        let u = match uncertain(Column::U, u)? {
            None => f64::NAN,
            Some(u) => u / self.coverage_factor()?,
        };
        let u_common = uncertain(Column::UCommon, self.cell(Column::UCommon)?)?.unwrap_or(0.0);
        let (lower, upper) = self.limits(&target)?;
        let assigned = error(Column::Assigned, self.cell(Column::Assigned)?)?;
        let u_assigned = uncertain(Column::UAssigned, self.cell(Column::UAssigned)?)?;
        let u_assigned = u_assigned.unwrap_or(f64::NAN);
        // A certificate's value is a reading where the row has no other.
        let (as_found, u) = match as_found.is_nan() {
            true => (assigned, if u.is_nan() { u_assigned } else { u }),
            false => (as_found, u),
        };
        Ok(Amounts {
            as_found,
            as_left,
            nominal: nominal_number
                .filter(|_| subtracts)
                .map_or(0.0, |n| n.value),
            u,
            u_common,
            lower,
            upper,
            assigned,
            u_assigned,
            stated_nominal: nominal.map_or(f64::NAN, in_plain_unit),
            scatter: found
                .zip(scatter)
                .and_then(|(found, scatter)| Some(scatter.times(target.factor(found)?))),
            lent: self.lent(found, &target),
            unit: target.unit,
        })
    }

    /// What divides the uncertainty of the row: its own factor, where the file has such a column.
    fn coverage_factor(&self) -> Result<f64, Problem> {
        let own = Column::CoverageFactor;
        if !self.shape.has(own) {
            return Ok(self.rules.settings.coverage_factor);
        }
        match self.count(own)? {
            // A factor of 1 is that of a standard uncertainty, and one of 10 is none that is used.
            factor if (1.0..=10.0).contains(&factor) => Ok(factor),
            factor if factor.is_nan() => Err(Problem::new(own, "no factor beside an uncertainty")),
            _ => Err(Problem::new(own, "a coverage factor lies between 1 and 10")),
        }
    }

    /// What the numbers of a row that cannot be used say of a failure or an adjustment.
    pub(crate) fn carried(&self) -> Carried {
        let number = |column| {
            let cell = self.cell(column).ok().flatten();
            cell.map_or(f64::NAN, |cell| cell.number.value)
        };
        let (found, left) = match self.readings() {
            Ok(Readings { found, left, .. }) => {
                let value = |cell: Cell<'_>| cell.map_or(f64::NAN, |cell| cell.number.value);
                (value(found), value(left))
            }
            Err(_) => self.pair_values(),
        };
        let nominal = match self.rules.subtracts_nominal() {
            true => number(Column::Nominal),
            false => f64::NAN,
        };
        let error = found - if nominal.is_nan() { 0.0 } else { nominal };
        let (lower, upper) = (number(Column::Lower), number(Column::Upper));
        Carried {
            failure: lower < upper && (error < lower || error > upper),
            event: match (found - left).is_nan() || found == left {
                true => Event::None,
                false => Event::Adjusted,
            },
        }
    }

    /// The numbers of a cell with two of them, whatever they mean.
    fn pair_values(&self) -> (f64, f64) {
        let place = Column::AsFound;
        let Field::Text(text) = self.fields[place.index()] else {
            return (f64::NAN, f64::NAN);
        };
        let number = |text| {
            self.read(place, place, text)
                .map_or(f64::NAN, |cell| cell.number.value)
        };
        pair(text).map_or((f64::NAN, f64::NAN), |(first, second)| {
            (number(first), number(second))
        })
    }

    /// The row's unit: its own column's, else the setting's, else that of what was found.
    fn unit(&self, found: Cell<'f>) -> Result<Cow<'f, str>, Problem> {
        let field = self.fields[Column::Unit.index()];
        let header = self.shape.units[Column::AsFound.index()].as_deref();
        let stated = match field {
            field if field.is_blank() => Cow::Borrowed(self.rules.settings.unit.as_str()),
            Field::Text(text) => Cow::Borrowed(text.trim()),
            other => other.text(),
        };
        let stated = match stated {
            Cow::Borrowed(unit) => spoken(unit),
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

    /// A column with a bare number, where the cell of what was found alone tells the row's unit.
    fn lent(&self, found: Cell<'f>, target: &Target<'_>) -> Option<Column> {
        let header = self.shape.units[Column::AsFound.index()].is_some();
        let stated = !self.fields[Column::Unit.index()].is_blank();
        let own = found.is_some_and(|found| !found.unit.is_empty());
        if header || stated || !own || !self.rules.settings.unit.is_empty() {
            return None;
        }
        let bare = |column: &Column| {
            let cell = self.cell(*column).ok().flatten();
            cell.is_some_and(|cell| cell.unit.is_empty() && cell.number.value != 0.0)
        };
        let nominal = target.nominal.map(|_| Column::Nominal);
        nominal.into_iter().chain(BESIDE).find(bare)
    }

    /// A nominal value is read where it is subtracted, or where a part of it is stated.
    fn needs_nominal(&self, target: &Target<'_>, subtracts: bool) -> bool {
        subtracts
            || self.rules.settings.limits_are == LimitsAre::Value
            || std::iter::once(Column::AsFound)
                .chain(BESIDE)
                .any(|column| {
                    let text = match self.fields[column.index()] {
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

    fn not_negative(
        &self,
        column: Column,
        cell: Cell<'f>,
        target: &Target<'_>,
    ) -> Result<Option<f64>, Problem> {
        let Some(cell) = cell else {
            return Ok(None);
        };
        let number = target
            .of(cell)
            .map_err(|why| Problem::new(column, why.to_string()))?;
        match number.value {
            value if value < 0.0 => Err(Problem::new(column, "an uncertainty cannot be negative")),
            // A number read as −0 means 0.
            value => Ok(Some(value.abs())),
        }
    }
}
