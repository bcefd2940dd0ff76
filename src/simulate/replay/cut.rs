/*! The records as they stood on a past day: nothing dated later can be seen. */

use crate::records::{Histories, History, Item, ItemStatus};

/// Rows of every history dated up to `day`, it included; histories that had none stay, empty.
pub(crate) fn known_by(histories: &Histories, day: f64) -> Histories {
    let mut known = Histories::default();
    for history in histories.iter() {
        let rows = history.date.partition_point(|date| *date <= day);
        known.push(&prefix(&history, &past_item(history.item), rows));
    }
    known
}

/// The register's row without what only later days told: the date of the last calibration, whether
/// the item serves today, what a person put in force.
pub(crate) fn past_item(item: &Item) -> Item {
    Item {
        last_calibration: None,
        status: ItemStatus::default(),
        until: None,
        signed: None,
        uncounted: Vec::new(),
        ..item.clone()
    }
}

/// The first `rows` checks of a history, under the item as it stood then.
pub(crate) fn prefix<'a>(history: &History<'a>, item: &'a Item, rows: usize) -> History<'a> {
    History {
        item,
        ..history.first(rows)
    }
}
