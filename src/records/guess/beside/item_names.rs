/*! Which column of a table beside the checks names the instruments as the checks do: lists of equipment have
an inventory number, a serial number and a designation, and the checks any one of them. */

use super::Beside;
use std::collections::BTreeSet;

/// A column that may name the instruments: its header, and the names in the rows looked at.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ItemNames {
    pub header: String,
    pub names: BTreeSet<String>,
}

impl Beside {
    /// Takes the column whose names are those of the checks, where the one that was taken has fewer of them.
    pub(crate) fn name_as(&mut self, checks: &BTreeSet<&str>) {
        let shared = |column: &ItemNames| {
            let own = column.names.iter();
            own.filter(|name| checks.contains(name.as_str())).count()
        };
        let Some(place) = self.columns.iter().position(|c| c.0 == "instrument") else {
            return;
        };
        let taken = self.columns[place].1.clone();
        let by_header = |header: &String| self.item_names.iter().find(|c| c.header == *header);
        let most = by_header(&taken).map_or(0, shared);
        // The first of equals.
        let best = self
            .item_names
            .iter()
            .rev()
            .max_by_key(|column| shared(column));
        let Some(best) = best.filter(|column| shared(column) > most) else {
            return;
        };
        let header = best.header.clone();
        self.columns.retain(|(_, own)| *own != header);
        self.ignored.retain(|own| *own != header);
        for (name, own) in &mut self.columns {
            if *name == "instrument" {
                *own = header.clone();
            }
        }
        self.ignored.push(taken.clone());
        self.to_check.push(format!(
            "The instruments are named by \"{header}\", whose names are those of the checks, and not by \"{taken}\"."
        ));
    }
}
