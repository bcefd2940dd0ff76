/*! From one row an item or a date to one row a check, as a text that is read like any other. */

use super::WideSettings;
use super::columns::{Columns, Key};
use super::door::{Door, refuse};
use super::long::Long;
use super::nominal::{bare_nominal, nominal};
use super::units::{stated_unit, units_of};
use crate::records::LoadError;
use crate::records::cells::column::Column;
use crate::records::date;
use crate::records::reading::csv::text::{Split, TableText};
use crate::records::reading::fill_down::{self, Anew, FillDown};
use crate::records::reading::header::places_of;

/// Reads a wide table; `own` gives the header under which one of our columns will be looked for
/// in the text.
///
/// # Errors
/// No column of a date or point, two that state the same, units that differ.
pub(crate) fn unpivot<'a>(
    table: TableText<'_>,
    door: &Door<'_>,
    own: impl Fn(Column) -> &'a str,
) -> Result<Long, LoadError> {
    let settings = door.settings;
    let split = door.header(table)?;
    let columns = Columns::of(&split.header, settings);
    refuse(&columns, settings, &split)?;
    let made = columns.columns();
    let (lead, leads) = leads(&columns, settings);
    let kept = columns.others(split.header.len());
    let mut units = vec![String::new(); lead.len()];
    let mut in_cells = vec![Vec::new(); columns.checks.len()];
    for column in &made {
        let own = units_of(*column, &columns, &split, settings)?;
        units.push(own.one);
        let points = in_cells.iter_mut().zip(own.in_cells);
        points.for_each(|(cells, unit): (&mut Vec<String>, String)| cells.push(unit));
    }
    units.extend(kept.iter().map(|place| stated_unit(&split, *place)));
    let mut header: Vec<&str> = lead
        .iter()
        .chain(&made)
        .map(|column| own(*column))
        .collect();
    header.extend(kept.iter().map(|place| split.header[*place].as_str()));
    let filled = filled(&split, door, &kept)?;
    let body = filled.as_ref().map_or(split.body, |filled| &filled.text);
    let records = split.records(body).below(split.row);
    let mut long = Long::empty(&split, (columns, leads, units), settings.by_points());
    long.in_cells = in_cells;
    long.set_aside_headings(filled.as_ref());
    long.fill(records, &header, (&made, &kept), door)?;
    Ok(long)
}

/// The rows of a wide table whose blank cells take what stands above; `None` where none are stated.
fn filled(split: &Split<'_>, door: &Door<'_>, kept: &[usize]) -> Result<Option<Anew>, LoadError> {
    if door.fill_down.is_empty() {
        return Ok(None);
    }
    let places = places_of(&split.header, door.fill_down).collect();
    // Beside columns of dates a sum or a note would get a date from its column.
    let dated = door.settings.by_points() || door.settings.by_numbers();
    let is_date = |text: &str| dated && (door.is_date)(text);
    let name = (door.name)(&split.header);
    let mut fill = FillDown::new(&split.header, places, kept.to_vec(), name, &is_date);
    fill_down::written_anew(split, &mut fill).map(Some)
}

/// The first columns of the text, and what each date or point puts into them: the date, or the
/// point and the nominal value that it states.
fn leads(columns: &Columns, settings: &WideSettings) -> (Vec<Column>, Vec<Vec<String>>) {
    let point = |number: usize| settings.points.get(number).map_or("", String::as_str);
    // A number without a unit is one only where every point is.
    let bare = settings
        .points
        .iter()
        .all(|point| bare_nominal(point).is_some());
    let value = |point: &str| {
        let bare = || bare_nominal(point).filter(|_| bare);
        nominal(point).or_else(bare).map(|(value, _)| value)
    };
    let leads = columns.checks.iter().map(|of| match of.key {
        Key::Date(day) => vec![date::iso(day)],
        Key::Number(_) => Vec::new(),
        Key::Point(number) if settings.by_instruments() => {
            vec![
                settings
                    .instruments
                    .get(number)
                    .cloned()
                    .unwrap_or_default(),
            ]
        }
        Key::Point(number) => {
            let point = point(number);
            match settings.nominal.is_some() {
                true => vec![point.to_string()],
                false => vec![point.to_string(), value(point).unwrap_or_default()],
            }
        }
    });
    let beside = settings.nominal.is_some();
    let first = match settings.by_points() {
        true if settings.by_instruments() => vec![Column::Instrument],
        true if beside => vec![Column::Point],
        true => vec![Column::Point, Column::Nominal],
        false if settings.by_numbers() => Vec::new(),
        false => vec![Column::Date],
    };
    (first, leads.collect())
}
