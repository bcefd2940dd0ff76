/*! From rows in file order to histories: integer codes, counting sort, dates.

Rows are grouped by the rank of their (instrument, point) name, so that only
distinct names are ever compared as text, and once.
*/

use super::FormerNames;
use super::cells::batch::Batch;
use super::names::Names;
use rayon::prelude::*;

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

/// Groups the rows of all batches; those under a former name belong to the present one.
pub(crate) fn group(batches: &mut [Batch], former: &FormerNames) -> Groups {
    let names = share_names(batches, former);
    let order = sorted(&names);
    let mut rank = vec![0u32; names.len()];
    for (position, &code) in order.iter().enumerate() {
        rank[code as usize] = position as u32;
    }
    let (mut entries, offsets) = place(batches, &rank);
    let mut slices: Vec<&mut [Entry]> = Vec::with_capacity(order.len());
    let mut rest: &mut [Entry] = &mut entries;
    for pair in offsets.windows(2) {
        let (history, after) = rest.split_at_mut(pair[1] - pair[0]);
        slices.push(history);
        rest = after;
    }
    // Stable: rows of one date stay in file order.
    slices
        .into_par_iter()
        .with_min_len(256)
        .for_each(|history| history.sort_by(|a, b| a.date.total_cmp(&b.date)));
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

/// Rewrites every batch's codes to those of one common list of names.
fn share_names(batches: &mut [Batch], former: &FormerNames) -> Names {
    let mut common = Names::default();
    let translations: Vec<Vec<u32>> = batches
        .iter_mut()
        .map(|batch| {
            let own = std::mem::take(&mut batch.names);
            own.iter()
                .map(|(i, p)| common.code(former.present(i), p))
                .collect()
        })
        .collect();
    batches
        .par_iter_mut()
        .zip(&translations)
        .for_each(|(batch, translation)| {
            for code in &mut batch.code {
                *code = translation[*code as usize];
            }
        });
    common
}

fn sorted(names: &Names) -> Vec<u32> {
    let mut order: Vec<u32> = (0..names.len() as u32).collect();
    order.par_sort_unstable_by(|&a, &b| names.bytes(a).cmp(&names.bytes(b)));
    order
}

/// Counting sort by rank, in file order inside a history.
fn place(batches: &[Batch], rank: &[u32]) -> (Vec<Entry>, Vec<usize>) {
    let mut offsets = vec![0usize; rank.len() + 1];
    for &code in batches.iter().flat_map(|b| &b.code) {
        offsets[rank[code as usize] as usize + 1] += 1;
    }
    for i in 1..offsets.len() {
        offsets[i] += offsets[i - 1];
    }
    let total = offsets.last().copied().unwrap_or(0);
    let mut next = offsets.clone();
    let nowhere = Entry {
        date: f64::NAN,
        batch: 0,
        row: 0,
    };
    let mut entries = vec![nowhere; total];
    for (index, batch) in batches.iter().enumerate() {
        for (row, (&code, &date)) in batch.code.iter().zip(&batch.columns.date).enumerate() {
            let slot = &mut next[rank[code as usize] as usize];
            entries[*slot] = Entry {
                date,
                batch: index as u32,
                row: row as u32,
            };
            *slot += 1;
        }
    }
    (entries, offsets)
}
