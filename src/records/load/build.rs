/*! From screened rows to [`Histories`]: drop, compact, gather the columns. */

use super::group::{Entry, Groups};
use crate::records::cells::batch::Batch;
use crate::records::cells::sparse::value;
use crate::records::screening::findings::{DROPPED, Findings};
use crate::records::screening::screen::screen;
use crate::records::{CheckKind, Columns, Event, Histories, Item, Outcome};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Histories that one task screens.
const HISTORIES_A_TASK: usize = 512;

/// Screens every history. Returns the findings that are worth keeping, with the
/// history each belongs to, in order; sets `items` to the histories' identities.
pub(crate) fn screen_all(
    groups: &mut Groups,
    batches: &[Batch],
    files: &[String],
    mut items: Vec<Item>,
) -> (Vec<Item>, Vec<Findings>) {
    let mut slices: Vec<(&mut [Entry], &mut Item)> = Vec::with_capacity(items.len());
    let mut rest: &mut [Entry] = &mut groups.entries;
    for (pair, item) in groups.offsets.windows(2).zip(&mut items) {
        let (history, after) = rest.split_at_mut(pair[1] - pair[0]);
        slices.push((history, item));
        rest = after;
    }
    let findings: Vec<Findings> = slices
        .par_chunks_mut(HISTORIES_A_TASK)
        .flat_map_iter(|task| {
            task.iter_mut().filter_map(|(entries, item)| {
                let mut found = screen(&item.name(), entries, (batches, files), &item.unit);
                item.unit = std::mem::take(&mut found.unit);
                if !found.rejects.is_empty() {
                    found.names = (item.instrument.clone(), item.point.clone());
                }
                let empty = found.rejects.is_empty()
                    && found.warnings.is_empty()
                    && found.conversions.is_empty();
                (!empty || found.merged > 0).then_some(found)
            })
        })
        .collect();
    (items, findings)
}

/// The histories that still have rows, and their columns.
pub(crate) fn build(groups: Groups, mut batches: Vec<Batch>, items: Vec<Item>) -> Histories {
    let (items, offsets, entries) = kept(groups, items);
    Histories {
        items,
        offsets,
        columns: gather(&entries, &mut batches, After::Freed),
    }
}

/// The histories that still have rows: their identities, and the rows of each.
pub(crate) fn kept(groups: Groups, mut items: Vec<Item>) -> (Vec<Item>, Vec<usize>, Vec<Entry>) {
    let Groups {
        mut entries,
        offsets,
        ..
    } = groups;
    let mut kept_offsets = vec![0];
    let mut total = 0;
    let mut pairs = offsets.windows(2);
    // In place: a second list of all of them would be the most that a large fleet takes.
    items.retain(|_| {
        let own = pairs.next().and_then(|pair| entries.get(pair[0]..pair[1]));
        let kept = own.map_or(0, |rows| rows.iter().filter(|e| e.batch != DROPPED).count());
        if kept > 0 {
            total += kept;
            kept_offsets.push(total);
        }
        kept > 0
    });
    entries.retain(|e| e.batch != DROPPED);
    (items, kept_offsets, entries)
}

/// What becomes of a column of the batches once it is gathered.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum After {
    /// Nobody asks for it any more.
    Freed,
    /// Other rows of it are gathered later.
    Kept,
}

/// The columns of `entries`, one after the other.
pub(crate) fn gather(entries: &[Entry], batches: &mut [Batch], after: After) -> Columns {
    let source = |e: &Entry| {
        let batch = &batches[e.batch as usize];
        (batch.file, batch.first_row + batch.row[e.row as usize])
    };
    let mut columns = Columns {
        date: entries.par_iter().map(|e| e.date).collect(),
        source: entries.par_iter().map(source).collect(),
        ..Columns::default()
    };
    (columns.givers, columns.given_by) = givers(entries, batches);
    let certified = batches
        .iter()
        .any(|batch| !batch.columns.assigned.is_empty());
    let mut numbers = |pick: fn(&mut Columns) -> &mut Vec<f64>, otherwise: f64| {
        *pick(&mut columns) = gather_one(entries, batches, after, pick, otherwise);
    };
    numbers(|c| &mut c.as_found, f64::NAN);
    numbers(|c| &mut c.as_left, f64::NAN);
    numbers(|c| &mut c.nominal, 0.0);
    numbers(|c| &mut c.u, f64::NAN);
    numbers(|c| &mut c.u_common, 0.0);
    numbers(|c| &mut c.lower, f64::NAN);
    numbers(|c| &mut c.upper, f64::NAN);
    numbers(|c| &mut c.usage, f64::NAN);
    if certified {
        numbers(|c| &mut c.assigned, f64::NAN);
        numbers(|c| &mut c.u_assigned, f64::NAN);
    }
    let (b, unknown) = (batches, Outcome::Unknown);
    columns.outcome = gather_one(entries, b, after, |c| &mut c.outcome, unknown);
    columns.event = gather_one(entries, b, after, |c| &mut c.event, Event::None);
    columns.kind = gather_one(entries, b, after, |c| &mut c.kind, CheckKind::Unstated);
    columns
}

/// The sorted names of those who gave the readings, and for each row its place among them; both
/// empty where no file says so.
fn givers(entries: &[Entry], batches: &[Batch]) -> (Vec<String>, Vec<u32>) {
    if batches
        .iter()
        .all(|batch| batch.columns.given_by.is_empty())
    {
        return Default::default();
    }
    let of = |e: &Entry| batches[e.batch as usize].giver_at(e.row as usize);
    let names: BTreeSet<&str> = entries.iter().map(of).collect();
    let names: Vec<&str> = names.into_iter().collect();
    let place = |e: &Entry| names.binary_search(&of(e)).map_or(0, |place| place as u32);
    let given_by = entries.par_iter().map(place).collect();
    (names.iter().map(ToString::to_string).collect(), given_by)
}

fn gather_one<T: Copy + Send + Sync>(
    entries: &[Entry],
    batches: &mut [Batch],
    after: After,
    pick: impl Fn(&mut Columns) -> &mut Vec<T>,
    otherwise: T,
) -> Vec<T> {
    let parts: Vec<Vec<T>> = batches
        .iter_mut()
        .map(|batch| std::mem::take(pick(&mut batch.columns)))
        .collect();
    if parts.iter().all(Vec::is_empty) {
        return vec![otherwise; entries.len()];
    }
    let gathered = entries
        .par_iter()
        .map(|e| value(&parts[e.batch as usize], e.row, otherwise))
        .collect();
    if after == After::Kept {
        for (batch, part) in batches.iter_mut().zip(parts) {
            *pick(&mut batch.columns) = part;
        }
    }
    gathered
}
