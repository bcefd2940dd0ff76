/*! Several readings of one history on one day: keep, average or reject.

A mean of n readings with standard uncertainties u_i has u = √(Σ u_i²) / n, the
readings being independent (GUM, JCGM 100:2008, 5.1.2); where one u is not
stated, that of the mean is not stated either. Only readings under the same
conditions are averaged: a day is cut at an event and where nominal, tolerance
or the shared uncertainty change.
*/

use crate::records::cells::row::said::Carried;
use crate::records::date;
use crate::records::settings::words::Repeats;
use crate::records::{Columns, Event, History, Loaded, Outcome, Reject, RejectKind};
use std::ops::Range;

/// Applies the setting; keeps the row accounts true.
pub(crate) fn settle(loaded: &mut Loaded, repeats: Repeats) {
    if repeats == Repeats::Keep {
        return;
    }
    let old = std::mem::take(&mut loaded.histories);
    let mut columns = Columns::default();
    let (mut offsets, mut kept) = (vec![0], Vec::new());
    for (history, first) in old.iter().zip(&old.offsets) {
        let giver = |i: usize| old.columns.given_by.get(first + i);
        let mut start = 0;
        while start < history.len() {
            let run = start..end_of_run(&history, start, repeats, &giver);
            kept.push(first + start);
            start = run.end;
            if run.len() == 1 {
                columns.extend(&history.rows(run.start..run.start + 1));
            } else if repeats == Repeats::Average {
                loaded.rows.merged += run.len() as u64 - 1;
                push_mean(&mut columns, &history, run);
            } else {
                columns.extend(&history.rows(run.start..run.start + 1));
                loaded.rejects.extend(run.skip(1).map(|i| {
                    let (file, row) = history.source[i];
                    Reject {
                        file: loaded.tables[file as usize].clone(),
                        row,
                        column: "date".into(),
                        value: date::iso(history.date[i]),
                        reason: "not the first reading of this day (repeats = \"reject\")".into(),
                        kind: RejectKind::Plain,
                        shared_cause: None,
                        carried: Carried {
                            failure: history.outcome_at(i) == Outcome::Out,
                            event: history.happened(i),
                        },
                        unused: None,
                    }
                }));
            }
        }
        offsets.push(columns.len());
    }
    columns.take_givers(&old.columns, &kept);
    loaded.order_rejects();
    loaded.histories.items = old.items;
    loaded.histories.offsets = offsets;
    loaded.histories.columns = columns;
}

fn end_of_run<'g>(
    history: &History<'_>,
    start: usize,
    repeats: Repeats,
    giver: &impl Fn(usize) -> Option<&'g u32>,
) -> usize {
    let same_day = |i: usize| history.date[i].floor() == history.date[start].floor();
    let joins = |i: usize| {
        repeats == Repeats::Reject || same_reading(history, start, i) && giver(start) == giver(i)
    };
    (start + 1..history.len())
        .find(|&i| !(same_day(i) && joins(i)))
        .unwrap_or(history.len())
}

fn same_reading(history: &History<'_>, a: usize, b: usize) -> bool {
    let same = |column: &[f64]| column[a].to_bits() == column[b].to_bits();
    let plain = |i: usize| history.happened(i) == Event::None && history.as_found[i].is_finite();
    plain(a)
        && plain(b)
        && history.kind[a] == history.kind[b]
        && [
            history.nominal,
            history.u_common,
            history.lower,
            history.upper,
        ]
        .into_iter()
        .all(same)
}

fn push_mean(columns: &mut Columns, history: &History<'_>, run: Range<usize>) {
    columns.extend(&history.rows(run.start..run.start + 1));
    let count = run.len() as f64;
    let mean = |column: &[f64]| column[run.clone()].iter().sum::<f64>() / count;
    let square_sum: f64 = history.u[run.clone()].iter().map(|u| u * u).sum();
    let last = columns.len() - 1;
    columns.date[last] = mean(history.date);
    columns.as_found[last] = mean(history.as_found);
    columns.as_left[last] = f64::NAN;
    columns.u[last] = square_sum.sqrt() / count;
    columns.usage[last] = history.usage[run.end - 1];
    columns.outcome[last] = Outcome::Unknown;
}
