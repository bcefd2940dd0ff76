/*! Units that the headers of raw readings state: `R [mΩ]`, `I (A)`, `Depth (cm)`, `U / mK`. */

use super::columns::{COLUMNS, ReadingColumn, index_of};
use crate::records::LoadError;
use crate::records::cells::unit::{Unit, of_header};
use crate::records::reading::table::Table;

/// Columns of uncertainties that may be those of a temperature: the reading turns them into resistances.
const AS_TEMPERATURE: [&str; 2] = ["u_ohm", "u_common_ohm"];

/// What turns the numbers of a column into the unit of its name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scale {
    /// This power of ten.
    Power(i32),
    /// Kelvin times this power of ten: a temperature at the point.
    Kelvin(i32),
}

/// The scales of all columns of a table by their headers; without a unit there, numbers are in that of
/// the column's name.
///
/// # Errors
/// A header with a unit of something else.
pub(super) fn scales(table: &Table) -> Result<[Scale; COLUMNS.len()], LoadError> {
    let mut scales = [Scale::Power(0); COLUMNS.len()];
    for (column, ReadingColumn { name, unit, .. }) in COLUMNS.into_iter().enumerate() {
        let Some(own) = unit else {
            continue;
        };
        let stated = table.header(column).and_then(of_header);
        let Some((text, stated)) = stated.and_then(|text| Some((text, Unit::parse(text)?))) else {
            continue;
        };
        let power = |unit: &str| stated.power_to(Unit::parse(unit)?);
        scales[column] = match (power(own), power("K")) {
            (Some(power), _) => Scale::Power(power),
            (None, Some(power)) if AS_TEMPERATURE.contains(&name) => Scale::Kelvin(power),
            _ => {
                let header = table.header(column).unwrap_or_default();
                return Err(LoadError::new(
                    &table.input.path,
                    format!(
                        "the column \"{header}\", taken for {name}, is in {text}, which is no {own}"
                    ),
                    format!(
                        "Name another under [thermometry.columns], as {name} = \"its header\", or turn its numbers into {own}."
                    ),
                ));
            }
        };
    }
    // A mean and its standard deviation are in one unit, unless the header of the latter states another.
    let place = |name: &str| index_of(name).filter(|column| table.has(*column));
    if let (Some(mean), Some(deviation), None) = (
        place("resistance_ohm"),
        place("standard_deviation"),
        place("ratio"),
    ) {
        let own = table.header(deviation).and_then(of_header);
        let own = own.and_then(Unit::parse).zip(Unit::parse("Ω"));
        let own = own.and_then(|(stated, ohm)| stated.power_to(ohm));
        scales[deviation] = own.map_or(scales[mean], Scale::Power);
    }
    Ok(scales)
}
