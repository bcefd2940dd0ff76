/*! The histories by the names of their items, for what names them outside of their rows. */

use crate::records::cells::row::unused::Unused;
use crate::records::{FormerNames, Item};
use std::collections::HashMap;

/// The places of the histories by instrument and point.
pub(super) struct Named<'a> {
    places: HashMap<(&'a str, &'a str), usize>,
    former: &'a FormerNames,
}

impl<'a> Named<'a> {
    pub(super) fn of(items: &'a [Item], former: &'a FormerNames) -> Self {
        let named = items.iter().enumerate();
        let places = named.map(|(place, item)| {
            let names = (item.instrument.trim(), item.point.trim());
            (names, place)
        });
        Self {
            places: places.collect(),
            former,
        }
    }

    /// The history of a row that cannot be used; `None` where there is none.
    pub(super) fn place(&self, row: &Unused) -> Option<usize> {
        let instrument = self.former.present(&row.instrument).trim();
        self.places.get(&(instrument, row.point.trim())).copied()
    }
}
