/*! Checks that cannot be used and are newer than all of their item that can: what is decided without them asks for a
person. */

use super::named::Named;
use crate::records::accounts::Reject;
use crate::records::{FormerNames, Loaded, UnusedCheck, date};
use std::collections::BTreeMap;

/// Leaves to a person what is decided of an item whose newest check cannot be used.
pub(crate) fn settle(loaded: &mut Loaded, former: &FormerNames) {
    let histories = &loaded.histories;
    let mut newest: BTreeMap<usize, UnusedCheck> = BTreeMap::new();
    if loaded.rejects.iter().any(|reject| reject.unused.is_some()) {
        let named = Named::of(&histories.items, former);
        for reject in &loaded.rejects {
            let Some(row) = reject.unused.as_ref().filter(|row| row.has_value) else {
                continue;
            };
            let (Some(place), Some(day)) = (named.place(row), row.date) else {
                continue;
            };
            let last = histories.get(place).date.last().copied();
            let known = newest.get(&place).map(|check| check.day).or(last);
            if known.is_none_or(|known| day.floor() > known.floor()) {
                let words = words(reject, day);
                newest.insert(place, UnusedCheck { day, words });
            }
        }
    }
    for (place, check) in newest {
        loaded.histories.items[place].newest_unused = Some(check);
    }
    for reject in &mut loaded.rejects {
        reject.unused = None;
    }
}

fn words(reject: &Reject, day: f64) -> String {
    let Reject {
        file,
        row,
        value,
        reason,
        ..
    } = reject;
    format!(
        "its newest check, of {} ({file}, row {row}: \"{value}\"), cannot be used: {reason}",
        date::iso(day)
    )
}
