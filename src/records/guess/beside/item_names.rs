/*! Which column of a table beside the checks names the instruments as the checks do: lists of equipment have
an inventory number, a serial number and a designation, and the checks any one of them. */

use std::collections::BTreeSet;

/// A column that may name the instruments: its header, and the names in the rows looked at.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ItemNames {
    pub header: String,
    pub names: BTreeSet<String>,
}

/// The header of the column that has more names of the checks than the one that was `taken`, the first of
/// equals; `None` where none has.
pub(super) fn better<'n>(
    columns: &'n [ItemNames],
    taken: &str,
    checks: &BTreeSet<&str>,
) -> Option<&'n str> {
    let shared = |column: &ItemNames| {
        let own = column.names.iter();
        own.filter(|name| checks.contains(name.as_str())).count()
    };
    let of_taken = columns.iter().find(|column| column.header == taken);
    let most = of_taken.map_or(0, shared);
    let best = columns.iter().rev().max_by_key(|column| shared(column))?;
    (shared(best) > most).then_some(best.header.as_str())
}
