/*! Rows that state what was left, in tables that keep a row for what was found and one for what was left. */

use super::findings::{DROPPED, Findings, LeftRow, ScreenReject};
use crate::records::cells::batch::Batch;
use crate::records::cells::column::Column;
use crate::records::cells::sparse::{put, value};
use crate::records::load::group::Entry;
use crate::records::{Event, Outcome};
use std::collections::VecDeque;

/// Days after a check within which what was left is stated at the latest: an adjustment waits for parts. Common
/// practice, no source.
const MOST_DAYS_APART: f64 = 31.0;

/// Takes the rows as left out of a history, its rows sorted by date: each belongs to the newest row as found of
/// its day or the [`MOST_DAYS_APART`] before that has no value left yet.
pub(super) fn take_left_rows(entries: &mut [Entry], batches: &[Batch], findings: &mut Findings) {
    let is_left = |e: &Entry| value(&batches[e.batch as usize].left, e.row, false);
    if !entries.iter().any(|e| e.batch != DROPPED && is_left(e)) {
        return;
    }
    let states_left = |e: &Entry| {
        let own = &batches[e.batch as usize].columns.as_left;
        !value(own, e.row, f64::NAN).is_nan()
    };
    // Days with rows as found that wait for what was left, the newest last; of one day the first in the file goes
    // first, since repeats as found and as left follow each other in order.
    let mut waiting: Vec<(f64, VecDeque<usize>)> = Vec::new();
    let mut start = 0;
    while start < entries.len() {
        let day = entries[start].date.floor();
        let same = entries[start..]
            .iter()
            .take_while(|e| e.date.floor() == day);
        let run = start..start + same.count();
        let used = run.clone().filter(|i| entries[*i].batch != DROPPED);
        let (left, found): (Vec<usize>, Vec<usize>) = used.partition(|i| is_left(&entries[*i]));
        let found = found.into_iter().filter(|i| !states_left(&entries[*i]));
        waiting.push((day, found.collect()));
        for i in left {
            while waiting.pop_if(|(_, found)| found.is_empty()).is_some() {}
            let near = waiting
                .last_mut()
                .filter(|(from, _)| day - *from <= MOST_DAYS_APART);
            match near.and_then(|(_, found)| found.pop_front()) {
                Some(j) => {
                    let place = |e: Entry| (e.batch, e.row);
                    findings.left.push(LeftRow {
                        found: place(entries[j]),
                        left: place(entries[i]),
                    });
                    findings.merged += 1;
                }
                None => findings.rejects.push(without_row_as_found(&entries[i])),
            }
            entries[i].batch = DROPPED;
        }
        start = run.end;
    }
}

fn without_row_as_found(left: &Entry) -> ScreenReject {
    ScreenReject {
        batch: left.batch,
        row: left.row,
        date: left.date,
        column: Column::AsLeft,
        value: String::new(),
        reason: format!(
            "as left, and no row as found of its day or the {MOST_DAYS_APART} days before waits for it"
        ),
    }
}

/// Gives the rows as found what was left, and what was done where they do not say it themselves. What fails as
/// left was not restored: the failure stays with the check.
pub(crate) fn leave(left_rows: &[LeftRow], batches: &mut [Batch]) {
    for &LeftRow { found, left } in left_rows {
        let of = &batches[left.0 as usize].columns;
        let as_left = value(&of.as_found, left.1, f64::NAN);
        let done = value(&of.event, left.1, Event::None);
        let fails = value(&of.outcome, left.1, Outcome::Unknown) == Outcome::Out;
        let into = &mut batches[found.0 as usize].columns;
        set(&mut into.as_left, found.1, as_left, f64::NAN);
        if fails {
            set(&mut into.outcome, found.1, Outcome::Out, Outcome::Unknown);
        }
        if value(&into.event, found.1, Event::None) == Event::None {
            set(&mut into.event, found.1, done, Event::None);
        }
    }
}

/// Sets the value of a row, in a column that may lack it.
fn set<T: Copy + PartialEq>(column: &mut Vec<T>, row: u32, new: T, otherwise: T) {
    match column.get_mut(row as usize) {
        Some(own) => *own = new,
        None => put(column, row as usize, new, otherwise),
    }
}
