/*! Which histories must stay together, and which records cannot be cut at all. */

use crate::records::load::request::Request;
use crate::records::load::screened::Screened;
use crate::records::{Item, Reject, Role};
use std::collections::BTreeMap;

/// Bytes that a run takes for a check and for a history beside its checks: measured on histories
/// of one to a thousand checks each.
const CHECK_BYTES: u64 = 200;
const HISTORY_BYTES: u64 = 2_500;

/// Bytes that a run of so many checks and histories takes, about.
pub(crate) fn need(checks: usize, histories: usize) -> u64 {
    CHECK_BYTES * checks as u64 + HISTORY_BYTES * histories as u64
}

/// The same while they are read, before anything of them is in parts.
const READ_CHECK_BYTES: u64 = 100;
const READ_HISTORY_BYTES: u64 = 500;

/// Bytes that reading so many checks, histories and rejected rows takes, about.
pub(super) fn reading(checks: usize, histories: usize, rejects: usize) -> u64 {
    // A rejected row stands in the accounts and, a second time, in the table that is written of them.
    let reject = 2 * std::mem::size_of::<Reject>();
    READ_CHECK_BYTES * checks as u64
        + READ_HISTORY_BYTES * histories as u64
        + (reject * rejects) as u64
}

/// Why the records cannot be run in parts; `None` where they can.
pub(crate) fn not_apart(screened: &Screened, request: &Request<'_>) -> Option<&'static str> {
    let columns = || screened.batches.iter().map(|batch| &batch.columns);
    let stated = |any: bool, why| any.then_some(why);
    stated(
        request.checks_settings.revaluations.is_some(),
        "new values of the references (revaluations) reach across all classes",
    )
    .or(stated(
        columns().any(|columns| !columns.nominal.is_empty()),
        "whether readings beside nominal values are errors is told by all rows of a file together",
    ))
    .or(stated(
        columns().any(|columns| !columns.given_by.is_empty() || !columns.assigned.is_empty()),
        "readings of several sources are brought to one level by all that share them",
    ))
    .or(stated(
        screened
            .items
            .iter()
            .any(|item| item.role == Role::CheckStandard),
        "a check standard speaks for the checks of other classes",
    ))
}

/// The histories of at most `count` parts of about equal size, each in their order: the fewest rows
/// that must stay together, the largest first, to the part that is the smallest then.
pub(super) fn cut(items: &[Item], offsets: &[usize], count: usize) -> Vec<Vec<u32>> {
    let mut together: BTreeMap<usize, Vec<u32>> = BTreeMap::new();
    for (root, index) in roots(items).into_iter().zip(0..) {
        together.entry(root).or_default().push(index);
    }
    let size = |members: &[u32]| {
        let rows = members
            .iter()
            .map(|i| offsets[*i as usize + 1] - offsets[*i as usize]);
        need(rows.sum(), members.len())
    };
    let mut together: Vec<(u64, Vec<u32>)> = together
        .into_values()
        .map(|own| (size(&own), own))
        .collect();
    together.sort_by_key(|(size, members)| (std::cmp::Reverse(*size), members.first().copied()));
    let mut parts: Vec<(u64, Vec<u32>)> = vec![(0, Vec::new()); count.min(together.len())];
    for (size, members) in together {
        if let Some(least) = parts.iter_mut().min_by_key(|(size, _)| *size) {
            least.0 += size;
            least.1.extend(members);
        }
    }
    let in_order = |(_, mut members): (u64, Vec<u32>)| {
        members.sort_unstable();
        members
    };
    parts.into_iter().map(in_order).collect()
}

/// For each history the number of those it stays with: its class, and those of the other points of
/// its instrument. Without a group, all of one unit are looked at together.
fn roots(items: &[Item]) -> Vec<usize> {
    let mut numbers: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let mut joined: Vec<usize> = Vec::new();
    let mut of: Vec<usize> = Vec::with_capacity(items.len());
    for (index, item) in items.iter().enumerate() {
        let unit = if item.group.is_empty() {
            &*item.unit
        } else {
            ""
        };
        let next = numbers.len();
        let own = *numbers.entry((&item.group, unit)).or_insert(next);
        if own == next {
            joined.push(own);
        }
        if index > 0 && items[index - 1].instrument == item.instrument {
            let (a, b) = (root(&joined, of[index - 1]), root(&joined, own));
            joined[a.max(b)] = a.min(b);
        }
        of.push(own);
    }
    of.into_iter().map(|own| root(&joined, own)).collect()
}

fn root(joined: &[usize], mut at: usize) -> usize {
    while joined[at] != at {
        at = joined[at];
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(instrument: &str, group: &str, unit: &str) -> Item {
        Item {
            instrument: instrument.into(),
            group: group.into(),
            unit: unit.into(),
            ..Item::default()
        }
    }

    #[test]
    fn classes_and_the_points_of_an_instrument_stay_together() {
        let items = [
            item("A", "g1", "K"),
            item("B", "g1", "K"),
            item("B", "g2", "K"),
            item("C", "g2", "V"),
            item("D", "", "K"),
            item("E", "", "V"),
            item("F", "", "K"),
            item("G", "g3", "K"),
        ];
        assert_eq!(roots(&items), [0, 0, 0, 0, 2, 3, 2, 4]);
        let offsets: Vec<usize> = (0..=items.len()).collect();
        let parts = cut(&items, &offsets, 3);
        assert_eq!(parts, [vec![0, 1, 2, 3], vec![4, 6], vec![5, 7]]);
        assert_eq!(cut(&items, &offsets, 1), [(0..8).collect::<Vec<u32>>()]);
    }
}
