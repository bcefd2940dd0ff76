/*! The records as they stood on a past day: nothing dated later can be seen. */

use crate::records::{Columns, Histories, History, Item, ItemStatus};

/// Rows of every history dated up to `day`, it included; histories that had none stay, empty.
pub(crate) fn known_by(histories: &Histories, day: f64) -> Histories {
    let mut known = Histories {
        items: histories.items.iter().map(past_item).collect(),
        offsets: vec![0],
        columns: Columns::default(),
    };
    let (from, to) = (&histories.columns, &mut known.columns);
    for bounds in histories.offsets.windows(2) {
        let rows = bounds[0]..bounds[1];
        let count = from.date[rows.clone()].partition_point(|date| *date <= day);
        let rows = rows.start..rows.start + count;
        macro_rules! copy {
            ($($column:ident),*) => { $( to.$column.extend_from_slice(&from.$column[rows.clone()]); )* };
        }
        copy!(
            date, as_found, as_left, nominal, u, u_common, lower, upper, usage, outcome, event,
            kind, source
        );
        known.offsets.push(to.date.len());
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
