/*! The units that the columns of a wide table state. */

use super::WideSettings;
use super::columns::Columns;
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::cells::stated_unit::apart_from;
use crate::records::cells::unit;
use crate::records::reading::csv_text::Split;

/// The one unit that the headers of a column state; empty where none does.
pub(super) fn unit_of(
    column: Column,
    columns: &Columns,
    split: &Split<'_>,
    (settings, shown): (&WideSettings, &str),
) -> Result<String, LoadError> {
    let places = columns.checks.iter().flat_map(|of| &of.places);
    let own = places
        .filter(|(own, _)| *own == column)
        .map(|(_, place)| *place);
    let mut known: Option<(usize, &str)> = None;
    let points = settings.numbered();
    for place in own {
        let below = split.units.as_ref().and_then(|units| units.get(place));
        let below = below.map(String::as_str).filter(|unit| !unit.is_empty());
        let header = &split.header[place];
        let is_point = |unit: &&str| points.number(unit).is_some();
        let own = unit::of_header(header).filter(|unit| !is_point(unit));
        let stated = own.or(below).unwrap_or("");
        if let Some(power) = apart_from(header, own).filter(|_| own.is_some()) {
            return Err(LoadError::new(
                shown,
                format!("\"{header}\" states a power of ten ({power}) apart from its unit"),
                "Write it before the unit, as in [10^-3 V], where the unit is so many times larger; else take it out.",
            ));
        }
        match known {
            None => known = Some((place, stated)),
            Some((_, unit)) if unit == stated => {}
            Some((first, unit)) => {
                return Err(LoadError::new(
                    shown,
                    format!(
                        "\"{}\" states the unit \"{unit}\" and \"{}\" the unit \"{stated}\"",
                        split.header[first], split.header[place]
                    ),
                    "State one unit in all columns of a kind.",
                ));
            }
        }
    }
    Ok(known.map_or(String::new(), |(_, unit)| unit.to_string()))
}

/// What the row of units states of a column; empty where there is none.
pub(super) fn stated_unit(split: &Split<'_>, place: usize) -> String {
    let units = split.units.as_ref();
    let unit = units.and_then(|units| units.get(place));
    unit.cloned().unwrap_or_default()
}
