/*! The rows of checks in columns of fields: which columns are wanted, and each row judged once. */

use super::parquet_column::TypedColumn;
use crate::records::cells::batch::Batch;
use crate::records::cells::column::{COLUMN_COUNT, Column};
use crate::records::cells::field::Field;
use crate::records::cells::marks::Marks;
use crate::records::cells::row::rules::{Fields, Places, Rules};
use crate::records::cells::shape::Shape;
use crate::records::reading::header::Matched;
use rayon::prelude::*;
use std::ops::Range;

/// Row of the names of columns, as a spreadsheet shows such a table.
pub(crate) const HEADER_ROW: u32 = 1;

/// Rows that one task judges: the table by which it finds their names stays in the cache.
const ROWS_A_TASK: usize = 1 << 16;

/// Where the columns of the checks stand in the file, behind them the [`others`] of the shape, and whether each is text.
pub(crate) fn wanted(matched: &Matched, shape: &Shape) -> Vec<(Option<usize>, bool)> {
    let own = matched.positions.iter().zip(Column::ALL);
    let own = own.map(|(place, column)| (*place, is_text(column)));
    let others = others(shape).into_iter();
    own.chain(others.map(|(place, text)| (Some(place), text)))
        .collect()
}

/// The places in the file of the other columns that a row is read from, each once as a text or as a number.
fn others(shape: &Shape) -> Vec<(usize, bool)> {
    let repeats = shape.repeated.iter().map(|own| own.place);
    let parts = shape.point_from.iter().map(|(place, _)| *place);
    let left = shape.left_rows.iter().map(|(place, _)| *place);
    let watched = shape.void.watched.iter().map(|(place, _)| *place);
    let texts = parts
        .chain(left)
        .chain(shape.date_from.iter().copied())
        .chain(shape.time)
        .chain(shape.void.place());
    let texts = texts.chain(shape.remarks.iter().copied()).chain(watched);
    let number = is_text(Column::AsFound);
    let all = repeats.map(|place| (place, number));
    let mut others: Vec<(usize, bool)> = Vec::new();
    for other in all.chain(texts.map(|place| (place, true))) {
        if !others.contains(&other) {
            others.push(other);
        }
    }
    others
}

/// The rows of the `columns` that are [`wanted`].
pub(crate) fn batches(
    rows: usize,
    columns: &[Option<TypedColumn>],
    shape: &Shape,
    rules: &Rules<'_>,
) -> Vec<Batch> {
    let column = |at: usize, row: usize| match &columns[at] {
        Some(column) => column.field(row),
        None => Field::Empty,
    };
    pieces_of(&(0..rows), &column, (shape, rules))
}

/// The `rows` of a file in batches, in parallel; `column(place, row)` is the field in one of the
/// columns that are [`wanted`].
pub(super) fn pieces_of<'c>(
    rows: &Range<usize>,
    column: &(impl Fn(usize, usize) -> Field<'c> + Sync),
    (shape, rules): (&Shape, &Rules<'_>),
) -> Vec<Batch> {
    let starts = rows.clone().into_par_iter().step_by(ROWS_A_TASK);
    let one = |start: usize| {
        let own = start..rows.end.min(start + ROWS_A_TASK);
        batch(own, column, (shape, rules))
    };
    starts.map(one).collect()
}

/// Judges `rows` of the file; `column(place, row)` is the field in one of the wanted columns.
fn batch<'c>(
    rows: Range<usize>,
    column: &impl Fn(usize, usize) -> Field<'c>,
    (shape, rules): (&Shape, &Rules<'_>),
) -> Batch {
    let mut batch = Batch {
        first_row: HEADER_ROW + rows.start as u32,
        ..Batch::with_room(rows.len(), shape)
    };
    let others = others(shape);
    for row in rows {
        let other = |place: usize, text: bool| {
            let at = others.iter().position(|other| *other == (place, text));
            at.map_or(Field::Empty, |at| column(COLUMN_COUNT + at, row))
        };
        let text = |place: usize| other(place, true);
        let places = Places {
            own: |own: Column| column(own.index(), row),
            text,
            number: |place: usize| other(place, is_text(Column::AsFound)),
        };
        let point = shape.point(Marks::from(false), text);
        let fields = Fields::of(&places, point.as_ref(), shape, rules);
        batch.push(&fields, shape, rules);
        for place in &shape.remarks {
            batch.remarks.see(batch.lines, *place, &text(*place).text());
        }
        for watched in &shape.void.watched {
            batch
                .void
                .see(batch.lines, *watched, &text(watched.0).text());
        }
    }
    batch.whole()
}

fn is_text(column: Column) -> bool {
    matches!(
        column,
        Column::Instrument | Column::Point | Column::Event | Column::Kind | Column::Unit
    )
}
