/*! The limits of a row of the register or of the jobs, in the same cells as those of the records: ±, units, a
tolerance in one column. What cannot be read is left out whole: half a tolerance would be a wrong one. */

use super::super::Tolerance;
use super::super::cells::field::Field;
use super::super::cells::limits::allowed::{self, Ground, Mixed, NoLimits};
use super::super::cells::marks::Marks;
use super::super::cells::number::NumberProblem;
use super::super::cells::number::written::{Form, Written, is_no_number, written};
use super::super::cells::unit::stated::apart_from;
use super::super::cells::unit::target::{NoUnit, Target};
use super::super::cells::unit::{Quantity, Unit, of_header};
use super::super::settings::words::PerCentOf;
use super::table::Table;

/// Where the limits of one row stand.
pub(crate) struct LimitCells<'a> {
    pub table: &'a Table,
    pub row: usize,
    pub marks: Marks,
    /// Places of lower, upper and tolerance.
    pub columns: [usize; 3],
    /// The unit that the row states; empty where none.
    pub unit: String,
}

type Limits = Result<Option<Tolerance>, LeftOut>;

/// Limits that do not count.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{stated} is left out: {why}")]
pub(crate) struct LeftOut {
    /// What stands in the cells.
    stated: String,
    why: NoTolerance,
}

#[derive(Debug, Clone, PartialEq, thiserror::Error)]
enum NoTolerance {
    #[error(transparent)]
    Mixed(Mixed),
    #[error("the column tolerance says otherwise than lower and upper")]
    Contradiction,
    #[error("lower {0} is not below upper {1}")]
    Order(f64, f64),
    #[error("a bound of the other side")]
    OtherSide,
    #[error("expected a number")]
    NotFinite,
    #[error("{}", .0.words())]
    Number(NumberProblem),
    #[error(transparent)]
    Unit(NoUnit),
    #[error(
        "a per cent of what? Neither readings nor ranges stand beside it: state lower and upper in the unit of the error, or the tolerance of an instrument in a column of its records"
    )]
    PerCent,
    #[error(transparent)]
    Limits(NoLimits),
}

impl From<NoUnit> for NoTolerance {
    fn from(why: NoUnit) -> Self {
        match why {
            NoUnit::PartOf(..) => Self::PerCent,
            why => Self::Unit(why),
        }
    }
}

impl From<NoLimits> for NoTolerance {
    fn from(why: NoLimits) -> Self {
        match why {
            NoLimits::PerCentOfWhat => Self::PerCent,
            NoLimits::Unit(why) => Self::from(why),
            why => Self::Limits(why),
        }
    }
}

impl LimitCells<'_> {
    /// The tolerance with its unit; why it is left out.
    pub(crate) fn read(&self) -> (Limits, String) {
        let cells = [0, 1].map(|side| self.cell(side));
        let found = cells
            .iter()
            .flatten()
            .flatten()
            .find(|cell| !cell.unit.is_empty());
        let unit = match self.unit.as_str() {
            "" => found.map_or("", |cell| cell.unit),
            unit => unit,
        };
        let own = self.unit_of_tolerance();
        let unit = match (unit, self.header_unit(2)) {
            ("", "") => own.as_str(),
            ("", header) if self.text(2).is_some() => header,
            (unit, _) => unit,
        };
        let target = Target::of_unit(unit);
        (self.limits(cells, &target), unit.to_string())
    }

    /// The unit that stands in the cell of a tolerance, as in `± 1 mm` or `-1 ... 2 mm`; empty where none does, or a part
    /// of something.
    fn unit_of_tolerance(&self) -> String {
        let text = self.text(2).unwrap_or_default();
        let behind =
            |text: &str| written(text, self.marks).map_or(String::new(), |cell| cell.unit.into());
        let unit = match allowed::two_sided(&text).or_else(|| allowed::two_values(&text)) {
            // The unit behind the one that stands last is that of both.
            Some((lower, upper)) if lower.as_ptr() < upper.as_ptr() => behind(upper),
            Some((lower, _)) => behind(lower),
            None => behind(&text),
        };
        let unit = unit.as_str();
        match Unit::parse(unit) {
            Some(known) if known.quantity != Quantity::Part => unit.to_string(),
            _ => String::new(),
        }
    }

    fn limits(
        &self,
        cells: [Result<Option<Written<'_>>, LeftOut>; 2],
        target: &Target<'_>,
    ) -> Limits {
        let [lower, upper] = cells;
        let (lower, upper) = (lower?, upper?);
        if let (Some(lower), Some(upper)) = (lower, upper) {
            let stated = Target::of_unit(self.unit.as_str());
            allowed::refuse_unit_of_one([lower, upper], &stated)
                .map_err(|why| self.left_out(why))?;
        }
        let turned = |cell: Option<Written<'_>>| {
            let number =
                |cell: Written<'_>| Ok((target.of(cell)?.value, cell.form == Form::Within));
            cell.map(number)
                .transpose()
                .map_err(|why: NoUnit| self.left_out(why))
        };
        let (lower, upper) = allowed::both(turned(lower)?, turned(upper)?)
            .map_err(|mixed| self.left_out(NoTolerance::Mixed(mixed)))?;
        if lower.is_none() && upper.is_none() {
            return self.tolerance(target);
        }
        let both = (
            lower.unwrap_or(f64::NEG_INFINITY),
            upper.unwrap_or(f64::INFINITY),
        );
        if self.text(2).is_some() && self.tolerance(target)? != Tolerance::new(both.0, both.1) {
            return Err(self.left_out(NoTolerance::Contradiction));
        }
        self.of(both)
    }

    fn of(&self, (lower, upper): (f64, f64)) -> Limits {
        let tolerance = Tolerance::new(lower, upper);
        let wrong = || self.left_out(NoTolerance::Order(lower, upper));
        tolerance.map(Some).ok_or_else(wrong)
    }

    /// The limits that the column tolerance states.
    fn tolerance(&self, target: &Target<'_>) -> Limits {
        let Some(text) = self.text(2) else {
            return Ok(None);
        };
        let ground = Ground {
            marks: self.marks,
            header: self.header_unit(2),
            per_cent_of: PerCentOf::Auto,
            target,
            range: None,
            step: None,
        };
        let limits = allowed::limits(&text, &ground).map_err(|why| self.left_out(why))?;
        if limits.0 > 0.0 || limits.1 < 0.0 {
            return Err(self.left_out(NoLimits::OfValue));
        }
        self.of(limits)
    }

    /// A limit as it stands there.
    fn cell(&self, side: usize) -> Result<Option<Written<'_>>, LeftOut> {
        let column = self.columns[side];
        let misread = |why| self.left_out(NoTolerance::Number(why));
        let mut cell = match self.table.field(self.row, column) {
            Field::Text(text) if text.trim().is_empty() || is_no_number(text.trim()) => {
                return Ok(None);
            }
            Field::Text(text) => written(text.trim(), self.marks).map_err(misread)?,
            field => match field.number(self.marks).map_err(misread)? {
                None => return Ok(None),
                Some(number) => Written {
                    form: Form::Plain,
                    number,
                    unit: "",
                },
            },
        };
        let bound = [Form::Above, Form::Below][side];
        if !(cell.form == Form::Plain || cell.form == Form::Within || cell.form == bound) {
            return Err(self.left_out(NoTolerance::OtherSide));
        }
        if !cell.number.value.is_finite() {
            return Err(self.left_out(NoTolerance::NotFinite));
        }
        if cell.unit.is_empty() {
            cell.unit = self.header_unit(side);
        }
        Ok(Some(cell))
    }

    fn text(&self, place: usize) -> Option<String> {
        let text = self.table.field(self.row, self.columns[place]).text();
        let text = text.trim();
        (!text.is_empty() && !is_no_number(text)).then(|| text.to_string())
    }

    fn header_unit(&self, place: usize) -> &str {
        header_unit(self.table, self.columns[place])
    }

    /// Why the tolerance is left out, with what stands there.
    fn left_out(&self, why: impl Into<NoTolerance>) -> LeftOut {
        let names = ["lower", "upper", "tolerance"];
        let stated = (0..3).filter_map(|i| Some(format!("{} \"{}\"", names[i], self.text(i)?)));
        let stated: Vec<String> = stated.collect();
        LeftOut {
            stated: stated.join(", "),
            why: why.into(),
        }
    }
}

/// The unit that the header of a column states; empty where it states none.
pub(crate) fn header_unit(table: &Table, column: usize) -> &str {
    let Some(header) = table.header(column) else {
        return "";
    };
    let unit = of_header(header);
    // Of a power apart from its unit nothing is known: the header is no unit, and is told as that.
    match apart_from(header, unit) {
        Some(_) => header,
        None => unit.unwrap_or(""),
    }
}
