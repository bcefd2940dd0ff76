/*! What the units of the columns beside the readings decide: the unit of readings that state none, and whether
the nominal values are subtracted from them. */

use crate::records::cells::column::Column;
use crate::records::cells::number::written::written;
use crate::records::cells::unit::{self, Quantity, Unit};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::sample::{NO_UNIT, Sample};
use std::collections::BTreeSet;

/// The units of a column, by its header and its cells, and its smallest and largest number; `None`
/// for a column without a number.
fn numbers(samples: &[Sample], guess: &Guess, column: Column) -> Option<Numbers> {
    let header = header_of(guess, column)?;
    let sample = guess.sample(samples, column)?;
    let marks = guess.marks();
    let stated = unit::of_header(&header).unwrap_or("");
    let mut found = Numbers {
        units: BTreeSet::new(),
        least: f64::INFINITY,
        most: f64::NEG_INFINITY,
    };
    for (text, _) in sample.counted() {
        let Ok(cell) = written(text, marks) else {
            continue;
        };
        let unit = if cell.unit.is_empty() {
            stated
        } else {
            cell.unit
        };
        found.units.insert(unit.to_string());
        found.least = found.least.min(cell.number.value);
        found.most = found.most.max(cell.number.value);
    }
    (found.least <= found.most).then_some(found)
}

/// What the numbers of a column are.
struct Numbers {
    units: BTreeSet<String>,
    least: f64,
    most: f64,
}

impl Numbers {
    /// The one unit of all.
    fn unit(&self) -> Option<&str> {
        let only = self.units.len() == 1;
        self.units.first().filter(|_| only).map(String::as_str)
    }

    /// The largest size.
    fn size(&self) -> f64 {
        self.least.abs().max(self.most.abs())
    }
}

/// Takes the unit of the nominal values for readings that state none, and asks unless their sizes
/// are alike.
pub(crate) fn about_unit_of_nominal(samples: &[Sample], guess: &mut Guess) {
    let stated = !guess.unit.is_empty() || guess.reads(Column::Unit);
    let of = |column| numbers(samples, guess, column);
    let (Some(found), Some(nominal)) = (of(Column::AsFound), of(Column::Nominal)) else {
        return;
    };
    let Some(unit) = nominal.unit().filter(|unit| !unit.is_empty()) else {
        return;
    };
    if stated || found.unit() != Some("") {
        return;
    }
    /// Sizes alike: readings lie near their nominal values, errors far below them.
    const ALIKE: std::ops::Range<f64> = 0.5..2.0;
    let words =
        format!("unit = \"{unit}\": the readings state none, and the nominal values are in it.");
    let alike = ALIKE.contains(&(found.size() / nominal.size()));
    let unit = unit.to_string();
    guess.to_check.retain(|line| line != NO_UNIT);
    match alike {
        true => guess.to_check.push(words),
        false => guess.doubts.push(
            Doubt::new("unit_of_readings", words)
                .of_form()
                .settled_by("unit")
                .or(format!("they are in {unit}"), Answer::AsTaken),
        ),
    }
    guess.unit = unit;
}

/// Asks whether readings that state no unit are in that of the limits or the uncertainty beside
/// them.
pub(crate) fn about_unit_of_limits(samples: &[Sample], guess: &mut Guess) {
    const BESIDE: [Column; 4] = [Column::Tolerance, Column::Lower, Column::Upper, Column::U];
    let Some(header) = header_of(guess, Column::AsFound) else {
        return;
    };
    let wordless = |sample: &Sample| {
        !sample
            .counted()
            .any(|(v, _)| v.contains(char::is_alphabetic))
    };
    let bare = unit::of_header(&header).is_none()
        && samples.iter().any(|s| s.header == header && wordless(s));
    if !bare || !guess.unit.is_empty() || guess.reads(Column::Unit) {
        return;
    }
    let known = |unit: &str| Unit::parse(unit).is_some_and(|unit| unit.quantity != Quantity::Part);
    let found = BESIDE.into_iter().find_map(|column| {
        let unit = numbers(samples, guess, column)?.unit()?.to_string();
        known(&unit).then(|| (header_of(guess, column).unwrap_or_default(), unit))
    });
    if let Some((beside, unit)) = found {
        let words =
            format!("unit = \"{unit}\": the readings state none, and \"{beside}\" is in it.");
        let doubt = Doubt::new("unit_of_readings", words)
            .of_form()
            .settled_by("unit");
        guess
            .doubts
            .push(doubt.or(format!("they are in {unit}"), Answer::AsTaken));
        guess.to_check.retain(|line| line != NO_UNIT);
        guess.unit = unit;
    }
}

/// Parts of the nominal values (10⁻⁶, %) beside nominal values in a unit of their own: errors, from
/// which nothing can be subtracted. So can nothing from readings of another quantity.
pub(crate) fn about_parts(samples: &[Sample], guess: &mut Guess) {
    let of = |column| numbers(samples, guess, column);
    let (Some(found), Some(nominal)) = (of(Column::AsFound), of(Column::Nominal)) else {
        return;
    };
    let quantity = |numbers: &Numbers| {
        let one = |unit: &String| Unit::parse(unit).map(|unit| unit.quantity);
        let first = one(numbers.units.first()?)?;
        let same = |unit: &String| one(unit) == Some(first);
        numbers.units.iter().all(same).then_some(first)
    };
    // What "% span" is a part of is no unit.
    let of_else = found.unit().filter(|unit| {
        Unit::parse(unit).is_none() && ["%", "‰", "ppm"].iter().any(|sign| unit.starts_with(sign))
    });
    let is_part = of_else.is_some() || quantity(&found) == Some(Quantity::Part);
    let of_own_unit = quantity(&nominal).is_some_and(|quantity| quantity != Quantity::Part);
    if is_part && of_own_unit {
        let of = of_else.map_or("of the nominal values".to_string(), |unit| {
            format!("({unit})")
        });
        guess.off.push(Column::Nominal);
        guess.to_check.push(format!(
            "nominal = false: the readings are parts {of}, so they are errors. The nominal values are not subtracted."
        ));
        return;
    }
    let units = [&found, &nominal].map(|numbers| Unit::parse(numbers.units.first()?));
    if let ([Some(own), Some(other)], Some(_), Some(_)) =
        (units, quantity(&found), quantity(&nominal))
        && own.power_to(other).is_none()
        && other.quantity != Quantity::Part
    {
        guess.off.push(Column::Nominal);
        let [own, other] = [&found, &nominal].map(|n| n.units.first().map_or("", String::as_str));
        guess.to_check.push(format!(
            "nominal = false: the readings are in {own} and the nominal values in {other}, which are not subtracted."
        ));
    }
}

/// Errors in kelvin beside nominal values in degrees Celsius: far below the temperatures that the
/// nominal values are, the readings can be errors alone.
pub(crate) fn about_kelvin(samples: &[Sample], guess: &mut Guess) {
    /// From degrees Celsius to kelvin (SI brochure, 2.3.1).
    const ZERO_CELSIUS: f64 = 273.15;
    /// Largest share of the temperature that an error is.
    const SHARE: f64 = 0.1;
    // The power of ten of the one unit, where it is of this quantity.
    let power = |numbers: &Numbers, quantity: Quantity| {
        let unit = numbers.unit().and_then(Unit::parse)?;
        (unit.quantity == quantity).then_some(10_f64.powi(unit.power))
    };
    let of = |column| numbers(samples, guess, column);
    let (Some(found), Some(nominal)) = (of(Column::AsFound), of(Column::Nominal)) else {
        return;
    };
    let powers = (
        power(&found, Quantity::Kelvin),
        power(&nominal, Quantity::Celsius),
    );
    let (Some(kelvin), Some(celsius)) = powers else {
        return;
    };
    if found.size() * kelvin < SHARE * (nominal.least * celsius + ZERO_CELSIUS) {
        guess.off.push(Column::Nominal);
        guess.to_check.push(
            "nominal = false: the readings are in kelvin and far below the nominal values in degrees Celsius, so they are errors. The nominal values are not subtracted.".into(),
        );
    }
}
