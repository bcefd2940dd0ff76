/*! The rows of a text, in parallel pieces, each judged once.

A text without a quotation mark can be cut at any line break, so that its
pieces are read on all cores; one with quotation marks is read in one piece,
because a line break may belong to a field.
*/

use super::records::{Next, open_reason};
use super::text::{PlainRecords, Split};
use crate::records::LoadError;
use crate::records::cells::batch::{Batch, Remains, remains};
use crate::records::cells::column::{COLUMN_COUNT, Column};
use crate::records::cells::field::Field;
use crate::records::cells::row::rules::{Fields, Places, Rules};
use crate::records::cells::shape::Shape;
use crate::records::reading::aside::{Aside, aside};
use csv::StringRecord;
use rayon::prelude::*;

/// Largest piece: small enough that its columns grow little beyond need.
const LARGEST_PIECE: usize = 16 << 20;
/// Smallest piece: large enough that every name is interned few times.
const SMALLEST_PIECE: usize = 1 << 20;
/// Pieces for each thread, so that none waits long for the last one.
const PIECES_A_THREAD: usize = 2;

/// What a row needs to become fields.
pub(crate) struct Layout<'a> {
    /// The text, with its header.
    pub split: &'a Split<'a>,
    pub positions: [Option<usize>; COLUMN_COUNT],
    pub columns: Shape,
}

/// Reads a body without quotation marks, below row `first_row`, in pieces of some `size` on all cores.
pub(super) fn read_pieces(
    body: &str,
    size: usize,
    mut first_row: u32,
    read: impl Fn(&str) -> Batch + Sync + Send,
) -> Vec<Batch> {
    let mut batches: Vec<Batch> = pieces(body, size).into_par_iter().map(read).collect();
    for batch in &mut batches {
        batch.first_row = first_row;
        first_row += batch.lines;
    }
    batches
}

/// Bytes of a piece of a body of `length`; rows and their numbers do not depend on it.
pub(super) fn piece_size(length: usize) -> usize {
    let pieces = PIECES_A_THREAD * rayon::current_num_threads();
    (length / pieces + 1).clamp(SMALLEST_PIECE, LARGEST_PIECE)
}

/// Pieces of whole lines of a text without quotation marks.
fn pieces(body: &str, size: usize) -> Vec<&str> {
    let mut pieces = Vec::new();
    let mut rest = body;
    while rest.len() > size {
        let Some(line_end) = memchr::memchr(b'\n', &rest.as_bytes()[size..]) else {
            break;
        };
        let (piece, after) = rest.split_at(size + line_end + 1);
        pieces.push(piece);
        rest = after;
    }
    pieces.push(rest);
    pieces
}

pub(super) fn read_plain(piece: &str, layout: &Layout<'_>, rules: &Rules<'_>) -> Batch {
    let rows = match rules.needed {
        None => memchr::memchr_iter(b'\n', piece.as_bytes()).count() + 1,
        // Most lines are blank.
        Some(_) => 0,
    };
    let mut batch = Batch::with_room(rows, &layout.columns);
    let mut records = PlainRecords::new(piece, layout.split.delimiter);
    let mut record = Vec::with_capacity(layout.split.header.len());
    while records.next(&mut record) {
        batch.lines = records.row - 1;
        push(&mut batch, record.len(), |i| record[i], layout, rules);
    }
    batch.lines = records.row;
    batch.whole()
}

pub(super) fn read_quoted(
    body: &str,
    layout: &Layout<'_>,
    rules: &Rules<'_>,
) -> Result<Batch, LoadError> {
    let mut batch = Batch::default();
    let date = layout.positions[Column::Date.index()];
    let dated = |record: &StringRecord| {
        let field = date.and_then(|place| record.get(place)).unwrap_or("");
        rules.dates.parse(field.trim()).is_some()
    };
    let mut records = layout.split.records(body).telling(&dated);
    let mut record = StringRecord::new();
    loop {
        let next = records.next(&mut record)?;
        match next {
            Next::End => break,
            _ => batch.lines = records.row - 1,
        }
        match next {
            Next::Open(below) => batch.push_ragged(
                joined(&record, layout),
                open_reason(below),
                Remains::default(),
            ),
            _ => push(&mut batch, record.len(), |i| &record[i], layout, rules),
        }
    }
    batch.lines = records.row;
    Ok(batch.whole())
}

/// Judges one record of `width` fields.
fn push<'a>(
    batch: &mut Batch,
    width: usize,
    field: impl Fn(usize) -> &'a str,
    layout: &Layout<'_>,
    rules: &Rules<'_>,
) {
    let rejected = batch.rejects.len();
    let remarks = layout.columns.remarks.iter();
    for place in remarks.filter(|place| **place < width) {
        batch.remarks.see(batch.lines + 1, *place, field(*place));
    }
    let at = |place: usize| match place < width {
        true => Field::Text(field(place)),
        false => Field::Empty,
    };
    let own = |column: Column| layout.positions[column.index()].map_or(Field::Empty, at);
    let places = Places {
        own,
        text: at,
        number: at,
    };
    let marks = rules.marks[Column::Nominal.index()];
    let point = layout.columns.point(marks, at);
    let fields = Fields::of(&places, point.as_ref(), &layout.columns, rules);
    if width == layout.split.header.len() || layout.split.of_sheet {
        batch.push(&fields, &layout.columns, rules);
    } else {
        let remains = remains(&fields, &layout.columns, rules);
        push_ragged(batch, &(0..width).map(&field).collect(), layout, remains);
    }
    if batch.void.has_left_out(batch.lines) {
        return;
    }
    let watched = layout.columns.void.watched.iter();
    for own in watched.filter(|(place, _)| *place < width) {
        batch.void.see(batch.lines, *own, field(own.0));
    }
    if let Some(reject) = batch.rejects.get(rejected) {
        let speaks = !reject.carried.is_nothing();
        set_aside_rejected(batch, speaks, (width, field), layout, rules);
    }
}

/// Sets the row that was rejected last aside where it is no record; `speaks` where it tells of a failure or an event.
fn set_aside_rejected<'a>(
    batch: &mut Batch,
    speaks: bool,
    (width, field): (usize, impl Fn(usize) -> &'a str),
    layout: &Layout<'_>,
    rules: &Rules<'_>,
) {
    let name = |column: Column| layout.positions[column.index()].filter(|i| *i < width);
    let named = [Column::Instrument, Column::Point].map(name);
    if named
        .into_iter()
        .flatten()
        .any(|i| rules.sets_aside(field(i)))
    {
        batch.set_aside_last(Aside::Summary);
        return;
    }
    let fields: Vec<&str> = (0..width).map(field).collect();
    let is_date = |text: &str| rules.dates.parse(text).is_some();
    if let Some(what) = aside(&fields, &layout.split.header, speaks, is_date) {
        batch.set_aside_last(what);
    }
}

/// The fields of a record as one text.
fn joined(record: &StringRecord, layout: &Layout<'_>) -> String {
    let fields: Vec<&str> = record.iter().collect();
    fields.join(&char::from(layout.split.delimiter).to_string())
}

fn push_ragged(batch: &mut Batch, record: &StringRecord, layout: &Layout<'_>, remains: Remains) {
    let text = joined(record, layout);
    let count = |n: usize| {
        if n == 1 {
            "1 field".to_string()
        } else {
            format!("{n} fields")
        }
    };
    let mut reason = format!(
        "the row has {}, the header {}",
        count(record.len()),
        count(layout.split.header.len())
    );
    if text.contains('\n') {
        reason.push_str("; it spans several lines: is a quotation mark left open?");
    }
    batch.push_ragged(text, reason, remains);
}

#[cfg(test)]
#[path = "rows_tests.rs"]
mod tests;
