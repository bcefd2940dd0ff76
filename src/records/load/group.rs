/*! From rows in file order to histories: integer codes, radix sort, dates.

Rows are grouped by the rank of their (instrument, point) name, so that only
distinct names are ever compared as text, and once.
*/

use super::names::{Names, hash_of};
use crate::records::FormerNames;
use crate::records::cells::batch::Batch;
use crate::records::name_order::by_history;
use rayon::prelude::*;
use std::ops::Range;

/// A usable row on its way into a history: where its values are.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Entry {
    pub date: f64,
    pub batch: u32,
    pub row: u32,
}

/// Rows grouped by history; histories sorted by instrument and point, rows by
/// date with ties in file order.
#[derive(Debug, Default)]
pub(crate) struct Groups {
    pub names: Names,
    /// Codes of `names` in order of instrument and point.
    pub order: Vec<u32>,
    pub entries: Vec<Entry>,
    /// History `i` owns `entries[offsets[i]..offsets[i + 1]]`.
    pub offsets: Vec<usize>,
}

/// Histories whose rows one task places.
const HISTORIES_A_TASK: usize = 4_096;

/// Upper bits of a hash that tell in which part a name is shared; lower ones place it in a table.
const PART_BITS: u32 = 4;

/// Groups the rows of all batches; those under a former name belong to the present one.
pub(crate) fn group(batches: &mut [Batch], former: &FormerNames) -> Groups {
    let (names, codes) = share_names(batches, former);
    let order = sorted(&names);
    let mut rank = vec![0u32; names.len()];
    for (position, &code) in order.iter().enumerate() {
        rank[code as usize] = position as u32;
    }
    batches
        .par_iter_mut()
        .zip(codes)
        .for_each(|(batch, codes)| {
            batch.names = Names::default();
            for code in &mut batch.code {
                *code = rank[codes[*code as usize] as usize];
            }
        });
    let (entries, offsets) = place(batches, order.len());
    for batch in batches {
        batch.code = Vec::new();
    }
    Groups {
        names,
        order,
        entries,
        offsets,
    }
}

/// One list of the names of all batches, and for each batch the codes there of its own.
fn share_names(batches: &[Batch], former: &FormerNames) -> (Names, Vec<Vec<u32>>) {
    let hashes = |batch: &Batch| -> Vec<u32> {
        let own = batch.names.iter().zip(0..);
        let hash = |((instrument, point), code)| match former.present(instrument) {
            same if same == instrument => batch.names.hash(code),
            present => hash_of(present, point),
        };
        own.map(hash).collect()
    };
    let hashes: Vec<Vec<u32>> = batches.par_iter().map(hashes).collect();
    // Each part takes its names from all batches, in their order, so that no part waits for another.
    let share = |part: u32| {
        let mut names = Names::default();
        let mut codes = Vec::with_capacity(batches.len());
        for (batch, hashes) in batches.iter().zip(&hashes) {
            let own = (0..)
                .zip(hashes)
                .filter(|(_, hash)| *hash >> (u32::BITS - PART_BITS) == part);
            let code = |(code, _): (u32, &u32)| {
                let (instrument, point) = batch.names.get(code);
                (code, names.code(former.present(instrument), point))
            };
            codes.push(own.map(code).collect::<Vec<_>>());
        }
        (names, codes)
    };
    let parts: Vec<_> = (0..1 << PART_BITS).into_par_iter().map(share).collect();
    let mut all = Names::default();
    let mut firsts = Vec::with_capacity(parts.len());
    for (names, _) in &parts {
        firsts.push(all.len() as u32);
        all.follow(names);
    }
    let codes = hashes.par_iter().enumerate().map(|(batch, hashes)| {
        let mut codes = vec![0; hashes.len()];
        for ((_, pairs), first) in parts.iter().zip(&firsts) {
            for (own, code) in &pairs[batch] {
                codes[*own as usize] = first + code;
            }
        }
        codes
    });
    let codes = codes.collect();
    (all, codes)
}

fn sorted(names: &Names) -> Vec<u32> {
    let mut order: Vec<u32> = (0..names.len() as u32).collect();
    order.par_sort_unstable_by(|&a, &b| by_history(names.get(a), names.get(b)));
    order
}

/// The rows of a batch by the task that places them, in file order.
struct Rows {
    rows: Vec<u32>,
    starts: Vec<usize>,
}

impl Rows {
    fn of(batch: &Batch, tasks: usize) -> Self {
        let task = |rank: &u32| *rank as usize / HISTORIES_A_TASK;
        let mut starts = vec![0; tasks + 1];
        for rank in &batch.code {
            starts[task(rank) + 1] += 1;
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut next = starts.clone();
        let mut rows = vec![0; batch.code.len()];
        for (row, rank) in (0..).zip(&batch.code) {
            let place = &mut next[task(rank)];
            rows[*place] = row;
            *place += 1;
        }
        Self { rows, starts }
    }

    fn of_task(&self, task: usize) -> &[u32] {
        &self.rows[self.starts[task]..self.starts[task + 1]]
    }
}

/// Places the rows by their history, whose ranks stand for the codes, then by date: a radix sort,
/// its first digit by batch, its second by task. Rows of one date stay in file order.
fn place(batches: &[Batch], histories: usize) -> (Vec<Entry>, Vec<usize>) {
    let tasks = histories.div_ceil(HISTORIES_A_TASK);
    let by_task: Vec<Rows> = batches.par_iter().map(|b| Rows::of(b, tasks)).collect();
    let lengths = (0..tasks).map(|task| by_task.iter().map(|r| r.of_task(task).len()).sum());
    let lengths: Vec<usize> = lengths.collect();
    let nowhere = Entry {
        date: f64::NAN,
        batch: 0,
        row: 0,
    };
    let mut entries = vec![nowhere; lengths.iter().sum()];
    let mut slices = Vec::with_capacity(tasks);
    let mut rest: &mut [Entry] = &mut entries;
    for length in lengths {
        let (slice, after) = rest.split_at_mut(length);
        slices.push(slice);
        rest = after;
    }
    let fill = |(task, slice): (usize, &mut [Entry])| {
        let first = task * HISTORIES_A_TASK;
        let rows = by_task.iter().map(|rows| rows.of_task(task));
        place_task(
            slice,
            first..histories.min(first + HISTORIES_A_TASK),
            batches,
            rows,
        )
    };
    let counts: Vec<Vec<usize>> = slices.into_par_iter().enumerate().map(fill).collect();
    let mut offsets = Vec::with_capacity(histories + 1);
    offsets.push(0);
    let mut end = 0;
    offsets.extend(counts.into_iter().flatten().map(|count| {
        end += count;
        end
    }));
    (entries, offsets)
}

/// Places the `rows` of each batch that belong to the histories of these `ranks`; returns the
/// number of rows of each history.
fn place_task<'a>(
    slice: &mut [Entry],
    ranks: Range<usize>,
    batches: &[Batch],
    rows: impl Iterator<Item = &'a [u32]> + Clone,
) -> Vec<usize> {
    let own = |batch: &Batch, row: u32| batch.code[row as usize] as usize - ranks.start;
    let mut counts = vec![0; ranks.len()];
    for (batch, rows) in batches.iter().zip(rows.clone()) {
        rows.iter().for_each(|row| counts[own(batch, *row)] += 1);
    }
    let mut next: Vec<usize> = counts
        .iter()
        .scan(0, |end, count| Some(std::mem::replace(end, *end + count)))
        .collect();
    for (index, (batch, rows)) in (0..).zip(batches.iter().zip(rows)) {
        for &row in rows {
            let place = &mut next[own(batch, row)];
            slice[*place] = Entry {
                date: batch.columns.date[row as usize],
                batch: index,
                row,
            };
            *place += 1;
        }
    }
    let mut rest = slice;
    for count in &counts {
        let (history, after) = rest.split_at_mut(*count);
        history.sort_by(|a, b| a.date.total_cmp(&b.date));
        rest = after;
    }
    counts
}
