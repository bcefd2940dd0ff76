/*! Repeats of one reading in several columns of a row: their mean, and how they scatter.

The mean is the best estimate of what was read (GUM, JCGM 100:2008, 4.2.1). Their scatter is that
of readings minutes apart (4.2.2): the checks of a history scatter by more, which is seen from the
history itself and holds this part already. So it is told and adds nothing to u.
*/

use super::field::Field;
use super::marks::Marks;
use super::number::written::{Form, Written, is_nothing, written};
use super::number::{Number, NumberProblem};

/// A column that repeats the reading in `as_found`.
#[derive(Debug, Clone)]
pub(crate) struct Repeated {
    /// Place in the file.
    pub place: usize,
    pub header: Box<str>,
    /// Unit of its bare numbers: that of its header, else of the header of `as_found`; else empty.
    pub unit: Box<str>,
    /// Power of ten that they are multiplied by, where no unit takes it.
    pub power: i32,
}

impl Repeated {
    /// The number of a field, in the unit of its own or of the header; `None` where there is none.
    ///
    /// # Errors
    /// What is no single number, in words.
    pub(crate) fn cell<'f>(
        &'f self,
        field: Field<'f>,
        marks: Marks,
    ) -> Result<Option<Written<'f>>, &'static str> {
        let cell = match field {
            Field::Text(text) => match text.trim() {
                "" => None,
                text => match written(text, marks) {
                    Ok(cell) => Some(cell),
                    Err(_) if is_nothing(text) => None,
                    Err(problem) => return Err(problem.words()),
                },
            },
            other => {
                let number = other.number(marks).map_err(NumberProblem::words)?;
                number.map(|number| Written {
                    form: Form::Plain,
                    number,
                    unit: "",
                })
            }
        };
        Ok(match cell {
            Some(cell) if cell.form == Form::Within => return Err(NumberProblem::Within.words()),
            Some(cell) if cell.form != Form::Plain => return Err(NumberProblem::Bound.words()),
            Some(cell) if cell.unit.is_empty() => Some(Written {
                unit: &self.unit,
                number: match self.power {
                    0 => cell.number,
                    power => cell.number.scaled(power),
                },
                ..cell
            }),
            cell => cell,
        })
    }
}

/// How the repeats of one reading scatter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Scatter {
    /// How many there are, from two on.
    pub count: u32,
    /// Experimental standard deviation of one of them (GUM 4.2.2).
    pub deviation: f64,
    /// Step of their last decimal place.
    pub step: f64,
}

impl Scatter {
    /// Of the numbers of one row; `None` of fewer than two.
    pub(crate) fn of(numbers: &[Number]) -> Option<Self> {
        let (first, others) = numbers
            .split_first()
            .filter(|(_, others)| !others.is_empty())?;
        let count = numbers.len() as f64;
        // Differences from the first keep their digits.
        let apart: Vec<f64> = others.iter().map(|other| other.minus(*first)).collect();
        let sum: f64 = apart.iter().sum();
        let squares: f64 = apart.iter().map(|d| d * d).sum();
        let steps = numbers.iter().filter_map(|number| number.step());
        Some(Self {
            count: numbers.len() as u32,
            deviation: ((squares - sum * sum / count) / (count - 1.0))
                .max(0.0)
                .sqrt(),
            step: steps.reduce(f64::min).unwrap_or(0.0),
        })
    }

    /// The same, every number `factor` times as large.
    pub(crate) fn times(self, factor: f64) -> Self {
        Self {
            deviation: self.deviation * factor,
            step: self.step * factor,
            ..self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn repeats_scatter_by_their_standard_deviation() {
        let of = |texts: &[&str]| {
            let numbers = texts.iter().map(|text| Number::parse(text, false).unwrap());
            Scatter::of(&numbers.collect::<Vec<_>>())
        };
        // By hand: 1, 2 and 3 have the mean 2 and the variance (1 + 0 + 1)/2.
        let three = of(&["100.01", "100.02", "100.03"]).unwrap();
        near!(three.deviation, 0.01, 1e-12);
        assert_eq!((three.count, three.step), (3, 0.01));
        assert_eq!(of(&["5"]), None);
    }
}
