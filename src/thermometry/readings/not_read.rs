/*! Columns of a table of raw readings that are not read: what a reading loses with them is told. */

use super::columns::COLUMNS;
use crate::records::cells::unit::{Quantity, Unit, of_header};
use crate::records::reading::table::Table;
use crate::records::words::{plain, reading_words};

/// True for a header that is one of the usual words for the column `name`, whatever unit stands behind it.
pub(crate) fn is_named(header: &str, name: &str) -> bool {
    let bare = header.split(['[', '(', '/']).next().unwrap_or(header);
    reading_words(name).contains(&plain(bare))
}

/// What is told of columns that are not read and by their names may be wanted ones.
pub(super) fn told(table: &Table) -> Vec<String> {
    let words = |header: &str| {
        let name = meant(table, header)?;
        Some(format!(
            "by its name the column \"{header}\" may be {name}: name it under thermometry.columns, as {name} = \"{header}\""
        ))
    };
    let headers = table.unread_headers().into_iter();
    headers.filter_map(words).collect()
}

/// The column without a header in the table that `header` names by its words or its unit.
fn meant(table: &Table, header: &str) -> Option<&'static str> {
    let absent = COLUMNS
        .iter()
        .enumerate()
        .filter(|(place, _)| !table.has(*place))
        .map(|(_, column)| column.name);
    absent.into_iter().find(|name| is_named(header, name))
}

/// The header of a column that is not read and holds resistances by its unit.
pub(super) fn in_ohm(table: &Table) -> Option<&str> {
    let resistance = |header: &&str| {
        let unit = of_header(header).and_then(Unit::parse);
        unit.is_some_and(|unit| unit.quantity == Quantity::Of("Ω"))
    };
    table.unread_headers().into_iter().find(resistance)
}
