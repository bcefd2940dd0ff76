/*! The numbers of one row, all in its unit.

Each cell is in its own unit, else in that of its header, else in the row's. A part (%, ppm)
of a row that measures in another unit is one of the nominal value. What cannot be turned
into the row's unit for certain is a problem of the row, never a guess.
*/

use super::basis::BESIDE;
use super::written::Written;
use crate::records::cells::column::Column;
use crate::records::cells::repeated::Scatter;
use crate::records::cells::row::cells::{Cell, Cells, difference_in_unit};
use crate::records::cells::row::readings::Readings;
use crate::records::cells::row::rules::Problem;
use crate::records::cells::unit::Unit;
use crate::records::cells::unit::target::Target;

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
        let basis = self.basis(found)?;
        let target = &basis.target;
        let error = |column, cell| self.error(column, cell, &basis);
        let (as_found, as_left) = (error(Column::AsFound, found)?, error(Column::AsLeft, left)?);
        let uncertain = |column, cell| self.not_negative(column, cell, target);
        let u = match uncertain(Column::U, u)? {
            None => f64::NAN,
            Some(u) => u / self.coverage_factor()?,
        };
        let u_common = uncertain(Column::UCommon, self.cell(Column::UCommon)?)?.unwrap_or(0.0);
        let (lower, upper) = self.limits(target)?;
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
            nominal: basis.subtracted().map_or(0.0, |n| n.value),
            u,
            u_common,
            lower,
            upper,
            assigned,
            u_assigned,
            stated_nominal: basis.nominal.map_or(f64::NAN, in_plain_unit),
            scatter: found
                .zip(scatter)
                .and_then(|(found, scatter)| Some(scatter.times(target.factor(found)?))),
            lent: self.lent(found, target),
            unit: basis.target.unit,
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

    /// A column with a bare number, where the cell of what was found alone tells the row's unit.
    fn lent(&self, found: Cell<'f>, target: &Target<'_>) -> Option<Column> {
        let header = self.shape.units[Column::AsFound.index()].is_some();
        let stated = !self.fields[Column::Unit].is_blank();
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

    fn not_negative(
        &self,
        column: Column,
        cell: Cell<'f>,
        target: &Target<'_>,
    ) -> Result<Option<f64>, Problem> {
        let Some(cell) = cell else {
            return Ok(None);
        };
        let number = difference_in_unit(column, cell, target)?;
        match number.value {
            value if value < 0.0 => Err(Problem::new(column, "an uncertainty cannot be negative")),
            // A number read as −0 means 0.
            value => Ok(Some(value.abs())),
        }
    }
}
