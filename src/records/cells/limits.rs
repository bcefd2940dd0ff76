/*! The limits of a row: lower and upper, or a tolerance as people write it, and what they are of. */

pub(crate) mod allowed;
pub(crate) mod open;

use super::column::Column;
use super::field::Field;
use super::number::Number;
use super::number::written::{Form, Written, is_error, is_no_number, written};
use super::row::cells::{Cell, Cells, difference_in_unit, in_unit};
use super::row::rules::Problem;
use super::unit::target::Target;
use crate::records::cells::digits::has_digit;
use crate::records::settings::words::LimitsAre;
use allowed::{Limit, NoLimits};
use open::OpenCell;
use std::ops::RangeInclusive;

impl<'f> Cells<'f> {
    /// The limits: two columns, one of them with ±, or a tolerance in one.
    pub(super) fn limits(&self, target: &Target<'_>) -> Result<(f64, f64), Problem> {
        let cells = [self.stated(Column::Lower)?, self.stated(Column::Upper)?];
        if let [Some(lower), Some(upper)] = cells {
            allowed::refuse_unit_of_one([lower, upper], target)
                .map_err(|why| Problem::new(Column::Upper, why.to_string()))?;
        }
        let lower = self.limit(Column::Lower, cells[0], target)?;
        let upper = self.limit(Column::Upper, cells[1], target)?;
        let (lower, upper) = allowed::both(lower, upper)
            .map_err(|mixed| Problem::new(Column::Upper, mixed.to_string()))?;
        let (lower, upper) = (lower.unwrap_or(f64::NAN), upper.unwrap_or(f64::NAN));
        if (lower > 0.0 || upper < 0.0) && self.may_be_of_values(lower..=upper, target) {
            return Err(Problem::open(Column::Lower, OpenCell::LimitsAre));
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

    /// A limit as it stands in its cell.
    pub(super) fn stated(&self, column: Column) -> Result<Cell<'f>, Problem> {
        self.refuse_error(column)?;
        self.cell(column)
    }

    pub(super) fn limit(
        &self,
        column: Column,
        cell: Cell<'f>,
        target: &Target<'_>,
    ) -> Result<Limit, Problem> {
        let Some(cell) = cell else {
            return Ok(None);
        };
        let number = match self.rules.settings.limits_are {
            LimitsAre::Value => in_unit(column, cell, target)?,
            _ => difference_in_unit(column, cell, target)?,
        };
        let within = cell.form == Form::Within;
        match (self.rules.settings.limits_are, target.nominal) {
            (LimitsAre::Value, Some(nominal)) if !within => {
                Ok(Some((number.minus(nominal), within)))
            }
            (LimitsAre::Value, None) if !within => Err(Problem::new(
                column,
                "a limit of the value, beside no nominal value (limits_are)",
            )),
            (_, _) if !within && column == Column::Lower && self.shape.lower_is_below => {
                Ok(Some((0.0 - number.value.abs(), within)))
            }
            _ => Ok(Some((number.value, within))),
        }
    }

    /// Refuses an error of a spreadsheet in the place of a limit, which is not known by it: as an empty cell it would leave
    /// the error without a limit on that side.
    fn refuse_error(&self, column: Column) -> Result<(), Problem> {
        match self.fields[column] {
            Field::Text(text) if is_error(text.trim()) => Err(Problem::of_error(column)),
            _ => Ok(()),
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
        self.refuse_error(Column::Tolerance)?;
        let field = self.fields[Column::Tolerance];
        if field.is_blank() || is_no_number(field.text().trim()) {
            return Ok(None);
        }
        let range = self.range(target);
        let text = field.text();
        let text = self.unmarked(Column::Tolerance, &text)?;
        let ground = allowed::Ground {
            marks: self.rules.marks[Column::Tolerance.index()],
            header: self.header_unit(Column::Tolerance),
            per_cent_of: self.rules.settings.per_cent_of,
            target,
            range: range.as_ref().ok().copied().flatten(),
            step: Some(self.rules.settings.resolution)
                .filter(|step| *step > 0.0)
                .and_then(Number::from_double),
        };
        let text = text.trim();
        let (stated, two) = match allowed::centred(text) {
            Some((_, half)) => {
                self.is_about_nominal(target)?;
                (half, false)
            }
            None => (text, allowed::two_values(text).is_some()),
        };
        let limits = allowed::limits(stated, &ground).map_err(|why| match (why, range) {
            (NoLimits::PerCentOfWhat, _) => Problem::open(Column::Tolerance, OpenCell::PerCentOf),
            // What is wrong with the range is why it could not be taken.
            (_, Err(problem)) => problem,
            (why, Ok(_)) => Problem::new(Column::Tolerance, why.to_string()),
        })?;
        match two {
            true => self.of_value_or_error(limits, target).map(Some),
            false => Ok(Some(limits)),
        }
    }

    /// Two limits of one cell as those of the error: what holds the nominal value and not 0 is of the value.
    fn of_value_or_error(
        &self,
        (lower, upper): (f64, f64),
        target: &Target<'_>,
    ) -> Result<(f64, f64), Problem> {
        let problem = |words: &'static str| Err(Problem::new(Column::Tolerance, words));
        let holds = |value: f64| (lower..=upper).contains(&value);
        match (self.rules.settings.limits_are, target.nominal) {
            (LimitsAre::Value, Some(nominal)) if holds(nominal.value) => {
                let less = |limit: f64| match Number::from_double(limit) {
                    Some(limit) => limit.minus(nominal),
                    None => limit - nominal.value,
                };
                Ok((less(lower), less(upper)))
            }
            (LimitsAre::Error, _) => Ok((lower, upper)),
            _ if holds(0.0) => Ok((lower, upper)),
            (LimitsAre::Value, None) => {
                problem("limits of the value, beside no nominal value (limits_are)")
            }
            _ if self.may_be_of_values(lower..=upper, target) => {
                Err(Problem::open(Column::Tolerance, OpenCell::LimitsAre))
            }
            (_, Some(_)) => problem("the limits hold neither 0 nor the nominal value"),
            (_, None) => Ok((lower, upper)),
        }
    }

    /// The value that a tolerance is stated about (`100.00 ± 0.05 g`): a nominal value where the row has no other.
    pub(super) fn centre(&self) -> Result<Option<Written<'f>>, Problem> {
        let text = match self.fields[Column::Tolerance] {
            Field::Text(text) => text,
            _ => return Ok(None),
        };
        let Some((centre, half)) = allowed::centred(text) else {
            return Ok(None);
        };
        let mut cell = self.read(Column::Tolerance, Column::Nominal, centre)?;
        let behind = written(half, self.rules.marks[Column::Tolerance.index()]);
        if let (true, Ok(half)) = (cell.unit.is_empty(), behind) {
            cell.unit = half.unit;
        }
        Ok(Some(cell))
    }

    /// A tolerance about another value than the nominal one is none of its row.
    fn is_about_nominal(&self, target: &Target<'_>) -> Result<(), Problem> {
        /// Share of a value by which two ways to write it differ.
        const ALIKE: f64 = 1e-9;
        let turned = |centre| in_unit(Column::Tolerance, centre, target);
        let centre = self.centre()?.map(turned).transpose()?;
        match (centre, target.nominal) {
            (Some(centre), Some(nominal))
                if (centre.value - nominal.value).abs() > ALIKE * nominal.value.abs() =>
            {
                let words = format!(
                    "the tolerance is about {}, and the nominal value is {}",
                    centre.value, nominal.value
                );
                Err(Problem::new(Column::Tolerance, words))
            }
            _ => Ok(()),
        }
    }

    /// The range that a per cent may be of: a number, or one from 0 to it.
    fn range(&self, target: &Target<'_>) -> Result<Option<Number>, Problem> {
        let field = self.fields[Column::Range];
        if field.is_blank() {
            return Ok(None);
        }
        let turned = |cell| in_unit(Column::Range, cell, target);
        let whole = self.cell(Column::Range);
        let whole = whole.and_then(|cell| cell.map(turned).transpose());
        let text = match (&whole, field) {
            (Err(_), Field::Text(text)) => text.trim(),
            _ => return whole,
        };
        let Some((lower, upper)) = span(text) else {
            return whole;
        };
        let begin = self.read(Column::Range, Column::Range, lower)?;
        if begin.number.value != 0.0 {
            let words = "a range that does not begin at 0: a per cent may be of its end or of what lies between; write the one that is meant";
            return Err(Problem::new(Column::Range, words));
        }
        turned(self.read(Column::Range, Column::Range, upper)?).map(Some)
    }
}

/// The two ends of a range such as `0-100 bar`, `0 … 100` and `0 to 100`, as texts.
fn span(text: &str) -> Option<(&str, &str)> {
    const BETWEEN: [&str; 12] = [
        "...", "…", "–", "—", " - ", "-", "~", " to ", " bis ", " à ", " a ", " do ",
    ];
    // A minus before the first number stands between none.
    let sign = text.len() - text.trim_start_matches(['-', '+', '\u{2212}', '–']).len();
    BETWEEN.iter().find_map(|between| {
        let at = sign + text[sign..].find(between)?;
        let (lower, upper) = (text[..at].trim(), text[at + between.len()..].trim());
        (has_digit(lower) && has_digit(upper)).then_some((lower, upper))
    })
}

#[cfg(test)]
mod tests {
    use super::span;

    #[test]
    fn the_ends_of_a_range_are_told_apart() {
        for (text, ends) in [
            ("0-100 bar", ("0", "100 bar")),
            ("0…100", ("0", "100")),
            ("0 °C to 100 °C", ("0 °C", "100 °C")),
            ("-50...150 °C", ("-50", "150 °C")),
            ("0 – 10 V", ("0", "10 V")),
        ] {
            assert_eq!(span(text), Some(ends), "{text}");
        }
        for text in ["100 bar", "-100", ""] {
            assert_eq!(span(text), None, "{text}");
        }
    }
}
