/*! The units that the columns of a wide table state. */

use super::WideSettings;
use super::columns::Columns;
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::cells::digits::has_digit;
use crate::records::cells::unit;
use crate::records::cells::unit::stated::apart_from;
use crate::records::reading::csv::text::Split;
use std::borrow::Cow;

/// The units of one of our columns.
pub(super) struct Units {
    /// The one that all headers state; empty where none does, or where points have units of their own.
    pub one: String,
    /// What each date or point has in its cells; empty where all have one.
    pub in_cells: Vec<String>,
}

/// The units that the headers of a column state.
///
/// # Errors
/// Two that differ, unless each point may have its own.
pub(super) fn units_of(
    column: Column,
    columns: &Columns,
    split: &Split<'_>,
    settings: &WideSettings,
) -> Result<Units, LoadError> {
    let points = settings.numbered();
    let unit = |place: usize| {
        let below = split.units.as_ref().and_then(|units| units.get(place));
        let below = below.map(String::as_str).filter(|unit| !unit.is_empty());
        let header = &split.header[place];
        let is_point = |unit: &&str| points.number(unit).is_some();
        let own = unit::of_header(header).filter(|unit| !is_point(unit));
        match apart_from(header, own).filter(|_| own.is_some()) {
            Some(power) => Err(LoadError::new(
                split.shown,
                format!("\"{header}\" states a power of ten ({power}) apart from its unit"),
                "Write it before the unit, as in [10^-3 V], where the unit is so many times larger; else take it out.",
            )),
            None => Ok(own.or(below).unwrap_or("").to_string()),
        }
    };
    let checks = columns.checks.iter();
    let stated: Vec<Option<String>> = checks
        .map(|of| of.place(column).map(unit).transpose())
        .collect::<Result<_, _>>()?;
    let first = stated.iter().flatten().next().cloned().unwrap_or_default();
    let none = vec![String::new(); stated.len()];
    if stated.iter().flatten().all(|unit| *unit == first) {
        return Ok(Units {
            one: first,
            in_cells: none,
        });
    }
    let may_differ = !matches!(column, Column::InTolerance | Column::Event | Column::Usage);
    if settings.by_points() && may_differ {
        let in_cells = stated.into_iter().map(Option::unwrap_or_default).collect();
        return Ok(Units {
            one: String::new(),
            in_cells,
        });
    }
    let places = columns.checks.iter().filter_map(|of| of.place(column));
    let headers: Vec<String> = places
        .map(|place| format!("\"{}\"", split.header[place]))
        .collect();
    Err(LoadError::new(
        split.shown,
        format!("the columns {} state different units", headers.join(", ")),
        "State one unit in all columns of a kind.",
    ))
}

/// A cell with the unit of its header, unless it states one itself or holds no number.
pub(super) fn in_unit_of<'a>(value: &'a str, unit: &str) -> Cow<'a, str> {
    let number = has_digit(value);
    let states = value.contains(|c: char| c.is_alphabetic() || "%‰°".contains(c));
    match unit.is_empty() || !number || states {
        true => Cow::Borrowed(value),
        false => Cow::Owned(format!("{value} {unit}")),
    }
}

/// What the row of units states of a column; empty where there is none.
pub(super) fn stated_unit(split: &Split<'_>, place: usize) -> String {
    let units = split.units.as_ref();
    let unit = units.and_then(|units| units.get(place));
    unit.cloned().unwrap_or_default()
}
