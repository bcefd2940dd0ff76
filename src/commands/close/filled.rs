/*! Closings that a person wrote into a file, in the columns of the book.

`closed_by`, `closed_on`, `action` and `reference` may be left out or empty: then those of the
command's line hold. A row without a finding closes nothing and is refused.
*/

use super::{Asked, Whose};
use crate::commands::append_entries::all_or_why;
use crate::commands::refused::{Refused, refused};
use crate::commands::written_days::WrittenDays;
use crate::decisions::cases::closings::COLUMNS;
use crate::ledger::gone::Gone;
use crate::records::reading::table::TableFormat;
use crate::records::{Histories, Table, TableColumn, date};
use crate::words::neutralised;
use std::collections::HashMap;
use std::path::Path;

/// The closings of the file at `path`; what a row leaves open is that of `own`.
///
/// # Errors
/// A file of other columns, or with rows that cannot be followed: all of them are named.
pub(super) fn read(
    path: &Path,
    own: &Asked,
    (histories, gone): (&Histories, &Gone),
    (days, today): (&WrittenDays, f64),
) -> Result<Vec<Asked>, Refused> {
    let shown = path.display().to_string();
    let columns = COLUMNS.map(|name| TableColumn {
        name,
        own: None,
        text: true,
        needed: matches!(name, "instrument" | "finding"),
    });
    let table = Table::read(path, &shown, &columns, TableFormat::default())?;
    if let Some((row, why)) = table.ragged.first() {
        return Err(refused!("{shown}, row {row}: {why}"));
    }
    if table.len() == 0 {
        return Err(refused!("{shown} has no row: nothing to close"));
    }
    let name = |text: &str| neutralised(text).into_owned();
    let named = histories.items.iter().enumerate();
    let places: HashMap<(String, String), usize> = named
        .map(|(index, item)| ((name(&item.instrument), name(&item.point)), index))
        .collect();
    let rows = (0..table.len()).map(|row| {
        let place = table.place(row);
        let asked = asked(&table, row, own, (&places, gone), (days, today));
        asked.map_err(|why| refused!("{place}: {why}"))
    });
    all_or_why(rows)
}

fn asked(
    table: &Table,
    row: usize,
    own: &Asked,
    (places, gone): (&HashMap<(String, String), usize>, &Gone),
    (days, today): (&WrittenDays, f64),
) -> Result<Asked, Refused> {
    let [instrument, point, finding, by, on, action, reference]: [String; 7] =
        std::array::from_fn(|column| table.field(row, column).text().trim().to_string());
    let or = |text: String, otherwise: &str| match text.is_empty() {
        true => otherwise.to_string(),
        false => text,
    };
    let on = days.day("closed_on", &on)?.unwrap_or(own.on);
    if on > today {
        return Err(refused!("closed_on {} lies in the future", date::iso(on)));
    }
    let named = format!("{instrument} {point}");
    let unknown = refused!("no history is named {}", named.trim_end());
    let of = match places.get(&(instrument.clone(), point.clone())) {
        Some(&index) => Whose::History(index),
        None => Whose::gone(&instrument, Some(&point), gone, unknown)?,
    };
    Ok(Asked {
        place: table.place(row),
        of,
        finding,
        by: or(by, &own.by),
        on,
        action: or(action, &own.action),
        reference: or(reference, &own.reference),
    })
}
