/*! The numbers of one row, all in its unit.

Each cell is in its own unit, else in that of its header, else in the row's. A part (%, ppm)
of a row that measures in another unit is one of the nominal value. What cannot be turned
into the row's unit for certain is a problem of the row, never a guess.
*/

use super::allowed;
use super::column::Column;
use super::field::Field;
use super::number::{Number, NumberProblem};
use super::repeated::Scatter;
use super::rules::{Fields, Problem, Rules};
use super::said::Carried;
use super::shape::Shape;
use super::target::Target;
use super::unit::{Quantity, Unit, same_unit};
use super::written::{Form, Written, is_nothing, pair, written};
use crate::records::Event;
use crate::records::settings::{AsFoundIs, LimitsAre, Pairs};
use std::borrow::Cow;
use std::ops::RangeInclusive;

/// Cells of one row with what its file and its settings say of them.
pub(crate) struct Cells<'f> {
    pub rules: &'f Rules<'f>,
    pub fields: &'f Fields<'f>,
    pub shape: &'f Shape,
}

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

type Cell<'f> = Option<Written<'f>>;

/// What was found and left, and the uncertainty.
struct Readings<'f> {
    found: Cell<'f>,
    left: Cell<'f>,
    u: Cell<'f>,
    /// How the repeats of what was found scatter, in its unit.
    scatter: Option<Scatter>,
}

/// Why limits are not read that hold the nominal value and not 0.
pub(crate) const LIMITS_OPEN: &str = "the limits hold the nominal value and not 0: of the value, or of the error? State limits_are = \"value\" (the nominal value is subtracted) or \"error\" under [checks]";

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
    pub fn unknown() -> Self {
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
    pub fn decided(&self) -> bool {
        !(self.as_found.is_nan() || self.lower.is_nan() && self.upper.is_nan())
    }
}

impl<'f> Cells<'f> {
    /// Reads the numbers of the row.
    pub fn amounts(&self) -> Result<Amounts<'f>, Problem> {
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
        let u =
            uncertain(Column::U, u)?.map_or(f64::NAN, |u| u / self.rules.settings.coverage_factor);
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
            scatter: found.zip(scatter).and_then(|(found, scatter)| {
                let one = Number::from_double(1.0)?;
                let factor = target.of(Written {
                    number: one,
                    ..found
                });
                Some(scatter.times(factor.ok()?.value))
            }),
            lent: self.lent(found, &target),
            unit: target.unit,
        })
    }

    /// What the numbers of a row that cannot be used say of a failure or an adjustment.
    pub fn carried(&self) -> Carried {
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
            let target = Target {
                unit: Cow::Borrowed(first.unit),
                nominal: None,
            };
            numbers.push(target.of(cell).map_err(|why| fails(&why))?);
        }
        let number = Number::mean(&numbers);
        let mean = mean
            .zip(number)
            .map(|(cell, number)| Written { number, ..cell });
        Ok((mean, Scatter::of(&numbers)))
    }

    /// What was found and left, and the uncertainty: two of them may share a cell.
    fn readings(&self) -> Result<Readings<'f>, Problem> {
        let (left, u) = (self.cell(Column::AsLeft)?, self.cell(Column::U)?);
        let two = match self.fields[Column::AsFound.index()] {
            Field::Text(text) if text.contains('/') && self.shape.repeated.is_empty() => pair(text),
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
        let (other, free) = match self.shape.pairs {
            Pairs::FoundLeft => (Column::AsLeft, left.is_none()),
            Pairs::FoundU => (Column::U, u.is_none()),
            Pairs::Auto => {
                return Err(Problem::new(
                    Column::AsFound,
                    "two numbers: found and left, or a value and its uncertainty? State pairs = \"found_left\" or \"found_u\" under [checks]",
                ));
            }
        };
        if !free {
            let reason = format!(
                "two numbers, and the column {} states the second too",
                other.name()
            );
            return Err(Problem::new(Column::AsFound, reason));
        }
        let mut first = self.read(Column::AsFound, Column::AsFound, first)?;
        let second = self.read(Column::AsFound, other, second)?;
        if first.unit.is_empty() {
            first.unit = second.unit;
        }
        Ok(match other {
            Column::AsLeft => Readings {
                found: Some(first),
                left: Some(second),
                u,
                scatter: None,
            },
            _ => Readings {
                found: Some(first),
                left,
                u: Some(second),
                scatter: None,
            },
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

    /// The limits: two columns, one of them with ±, or a tolerance in one.
    fn limits(&self, target: &Target<'_>) -> Result<(f64, f64), Problem> {
        let (lower, upper) = (
            self.limit(Column::Lower, target)?,
            self.limit(Column::Upper, target)?,
        );
        let (lower, upper) = match (lower, upper) {
            (Some((value, true)), None) | (None, Some((value, true))) => (-value, value),
            (Some((a, true)), Some((b, true))) if a == b => (-a, a),
            (Some((_, true)), _) | (_, Some((_, true))) => {
                return Err(Problem::new(
                    Column::Upper,
                    "± in one column, and another limit in the other",
                ));
            }
            (lower, upper) => {
                let or_open =
                    |limit: Option<(f64, bool)>| limit.map_or(f64::NAN, |(value, _)| value);
                (or_open(lower), or_open(upper))
            }
        };
        if (lower > 0.0 || upper < 0.0) && self.may_be_of_values(lower..=upper, target) {
            return Err(Problem::new(Column::Lower, LIMITS_OPEN));
        }
        if lower >= upper {
            let reason = format!("the lower limit {lower} is not below the upper limit {upper}");
            return Err(Problem::new(Column::Lower, reason));
        }
        match self.tolerance(target)? {
            None => Ok((lower, upper)),
            Some(limits) if lower.is_nan() && upper.is_nan() => Ok(limits),
            Some(limits) if limits == (lower, upper) => Ok(limits),
            Some((a, b)) => Err(Problem::new(
                Column::Tolerance,
                format!("it says {a} to {b}, the limits {lower} to {upper}"),
            )),
        }
    }

    /// A limit, and whether ± stands before it.
    fn limit(&self, column: Column, target: &Target<'_>) -> Result<Option<(f64, bool)>, Problem> {
        let Some(cell) = self.cell(column)? else {
            return Ok(None);
        };
        let number = target
            .of(cell)
            .map_err(|why| Problem::new(column, why.to_string()))?;
        let within = cell.form == Form::Within;
        match (self.rules.settings.limits_are, target.nominal) {
            (LimitsAre::Value, Some(nominal)) if !within => {
                Ok(Some((number.minus(nominal), within)))
            }
            (LimitsAre::Value, None) if !within => Err(Problem::new(
                column,
                "a limit of the value, beside no nominal value (limits_are)",
            )),
            _ => Ok(Some((number.value, within))),
        }
    }

    /// True where limits that do not hold 0 hold the nominal value, and nothing says what they are of.
    fn may_be_of_values(&self, limits: RangeInclusive<f64>, target: &Target<'_>) -> bool {
        let nominal = || self.cell(Column::Nominal).ok().flatten();
        let value = || target.of(nominal()?).ok();
        self.rules.settings.limits_are == LimitsAre::Auto
            && value().is_some_and(|nominal| limits.contains(&nominal.value))
    }

    fn tolerance(&self, target: &Target<'_>) -> Result<Option<(f64, f64)>, Problem> {
        let field = self.fields[Column::Tolerance.index()];
        if field.is_blank() || is_nothing(field.text().trim()) {
            return Ok(None);
        }
        let range = match self.cell(Column::Range)? {
            None => None,
            Some(cell) => Some(
                target
                    .of(cell)
                    .map_err(|why| Problem::new(Column::Range, why.to_string()))?,
            ),
        };
        let text = field.text();
        let ground = allowed::Ground {
            marks: self.rules.marks[Column::Tolerance.index()],
            header: self.header_unit(Column::Tolerance),
            per_cent_of: self.rules.settings.per_cent_of,
            target,
            range,
        };
        allowed::limits(text.trim(), &ground)
            .map(Some)
            .map_err(|why| Problem::new(Column::Tolerance, why.to_string()))
    }

    /// The number of a column whose unit is not looked at.
    pub fn count(&self, column: Column) -> Result<f64, Problem> {
        let number = self.fields[column.index()].number(self.rules.marks[column.index()]);
        match number {
            Ok(number) => Ok(number.map_or(f64::NAN, |n| n.value)),
            Err(problem) => Err(Problem::new(column, problem.words())),
        }
    }

    /// The number of a column as it stands there; `None` where there is none.
    pub fn cell(&self, column: Column) -> Result<Cell<'f>, Problem> {
        let text = match self.fields[column.index()] {
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
        match self.read(column, column, text) {
            Ok(cell) => Ok(Some(cell)),
            Err(_) if is_nothing(text) => Ok(None),
            Err(problem) => Err(problem),
        }
    }

    /// Reads a text in `place`: a number in a form that fits a column.
    fn read(&self, place: Column, column: Column, text: &'f str) -> Result<Written<'f>, Problem> {
        let marks = self.rules.marks[place.index()];
        let problem = match Number::parse(text, marks) {
            Ok(number) => return Ok(self.plain(place, number)),
            Err(problem) => problem,
        };
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
            cell.unit = self.header_unit(place);
        }
        Ok(cell)
    }

    /// A bare number, in the unit of its header.
    fn plain(&self, place: Column, number: Number) -> Written<'f> {
        Written {
            form: Form::Plain,
            number,
            unit: self.header_unit(place),
        }
    }

    fn header_unit(&self, column: Column) -> &'f str {
        self.shape.units[column.index()].as_deref().unwrap_or("")
    }
}
