/*! A number that a person types by itself, with its unit: `8,4 mK`. */

use super::written::{Form, written};
use super::{Number, NumberProblem};
use crate::records::cells::marks::{Marks, Seen};
use crate::records::cells::unit::power_of_stated;
use std::str::FromStr;

/// Why a text is no number with a unit, or not one in the unit asked for.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[allow(missing_docs)]
pub(crate) enum NoAmount {
    #[error("decimals or thousands? Write 1.234 or 1234")]
    Open,
    #[error("expected one value")]
    NotOne,
    #[error("expected a number without a unit ({0})")]
    Bare(String),
    #[error("{}", .0.words())]
    Number(NumberProblem),
    #[error(
        "{value} {unit} cannot be turned into the unit of the history, \"{into}\": give it in {into}"
    )]
    Unit {
        value: f64,
        unit: String,
        into: String,
    },
}

/// A number with the unit behind it; empty where none is.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Amount {
    number: Number,
    unit: String,
}

impl FromStr for Amount {
    type Err = NoAmount;

    fn from_str(text: &str) -> Result<Self, NoAmount> {
        let text = text.trim();
        let seen = Seen::of_cells(1, std::iter::once((0, 0, text)));
        let comma = match (seen.decimal_comma(), text.contains(',')) {
            (Some(comma), _) => comma,
            (None, true) => return Err(NoAmount::Open),
            (None, false) => false,
        };
        let marks = Marks::with_thousands(comma);
        match written(text, marks) {
            Ok(cell) if cell.form == Form::Plain => Ok(Amount {
                number: cell.number,
                unit: cell.unit.to_string(),
            }),
            Ok(_) => Err(NoAmount::NotOne),
            Err(problem) => Err(NoAmount::Number(problem)),
        }
    }
}

impl Amount {
    /// The number of a text that states no unit: `138,51`.
    ///
    /// # Errors
    /// No number, one that reads in two ways, or one with a unit.
    pub(crate) fn bare(text: &str) -> Result<f64, NoAmount> {
        let amount: Self = text.parse()?;
        match amount.unit.as_str() {
            "" => Ok(amount.number.value),
            unit => Err(NoAmount::Bare(unit.to_string())),
        }
    }

    /// The number in the unit `into`; one that states no unit is in `own`, else in `into`.
    ///
    /// # Errors
    /// Two units of which the one cannot be turned into the other.
    pub(crate) fn in_unit(&self, own: Option<&str>, into: &str) -> Result<f64, NoAmount> {
        let unit = match self.unit.as_str() {
            "" => own.unwrap_or(into),
            unit => unit,
        };
        match power_of_stated(unit, into) {
            Some(power) => Ok(self.number.scaled(power).value),
            None => Err(NoAmount::Unit {
                value: self.number.value,
                unit: unit.to_string(),
                into: into.to_string(),
            }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commas_and_units_are_understood() {
        let read = |text: &str| text.parse::<Amount>().unwrap().in_unit(None, "mK");
        for (text, expected) in [
            ("8,4 mK", 8.4),
            ("-0.0084 K", -8.4),
            ("8400 µK", 8.4),
            ("8.4", 8.4),
        ] {
            assert_eq!(read(text), Ok(expected), "{text}");
        }
        assert!(read("8,4 mm").is_err());
        assert!("1,234".parse::<Amount>().is_err());
        assert!("±5".parse::<Amount>().is_err());
        assert_eq!(Amount::bare("138,51"), Ok(138.51));
        assert_eq!(Amount::bare("-1.5e-3"), Ok(-0.0015));
        assert_eq!(Amount::bare("100 Ω"), Err(NoAmount::Bare("Ω".into())));
        for text in ["nan", "inf", "", "1,385"] {
            assert!(Amount::bare(text).is_err(), "{text}");
        }
    }
}
