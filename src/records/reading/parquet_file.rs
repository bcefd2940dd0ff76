/*! Parquet in: columns of any usual type become fields. */

use super::csv_file::match_columns;
use super::guarded::PARQUET;
use super::header::Matched;
use super::parquet_column::{TypedColumn, typed};
use super::parquet_odd;
use super::plain_file;
use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::cells::column::{COLUMN_COUNT, Column};
use crate::records::cells::field::Field;
use crate::records::cells::marks::Marks;
use crate::records::cells::rules::Rules;
use crate::records::cells::shape::Shape;
use polars::prelude::*;
use rayon::prelude::*;
use std::borrow::Cow;
use std::path::Path;

const MEND: &str = PARQUET.mend;

/// Most rows of one file: a small file can state any number of equal ones.
pub(super) const MOST_ROWS: usize = 100_000_000;

/// Row of the names of columns, as a spreadsheet shows such a table.
pub(crate) const HEADER_ROW: u32 = 1;

/// Rows that one task reads.
const ROWS_A_TASK: usize = 1 << 18;

/// Reads the rows of one file of checks, in file order.
///
/// # Errors
/// A broken file, a column type that cannot be a check's, a needed column missing.
pub(crate) fn read_rows(
    path: &Path,
    shown: &str,
    rules: &Rules<'_>,
) -> Result<(Vec<Batch>, Matched), LoadError> {
    let mut matched = match_columns(shown, headers(path, shown)?, rules)?;
    matched.header_row = HEADER_ROW;
    let shape = Shape::of(&matched, rules.settings);
    let places = wanted(&matched, &shape);
    let named =
        |(place, text): &(Option<usize>, bool)| (place.map(|i| matched.headers[i].as_str()), *text);
    let wanted: Vec<(Option<&str>, bool)> = places.iter().map(named).collect();
    let (rows, columns) = read_columns(path, shown, &wanted)?;
    Ok((batches(rows, &columns, &shape, rules), matched))
}

/// Where the columns of the checks stand in the file, those that tell points apart behind them, and
/// whether each is text.
pub(super) fn wanted(matched: &Matched, shape: &Shape) -> Vec<(Option<usize>, bool)> {
    let own = matched.positions.iter().zip(Column::ALL);
    let own = own.map(|(place, column)| (*place, is_text(column)));
    let parts = shape.point_from.iter();
    own.chain(parts.map(|(place, _)| (Some(*place), true)))
        .collect()
}

/// The rows of the `columns` that are [`wanted`].
pub(super) fn batches(
    rows: usize,
    columns: &[Option<TypedColumn>],
    shape: &Shape,
    rules: &Rules<'_>,
) -> Vec<Batch> {
    let starts: Vec<usize> = (0..rows).step_by(ROWS_A_TASK).collect();
    starts
        .into_par_iter()
        .map(|start| {
            let mut batch = Batch {
                first_row: HEADER_ROW + start as u32,
                ..Batch::default()
            };
            for row in start..rows.min(start + ROWS_A_TASK) {
                let mut fields = std::array::from_fn(|i| match &columns[i] {
                    Some(column) => blank_words(column.field(row), rules),
                    None => Field::Empty,
                });
                let point;
                if !shape.point_from.is_empty() {
                    point = shape.point(Marks::from(false), |place| {
                        let parts = shape.point_from.iter().map(|(own, _)| *own);
                        let part = parts
                            .zip(&columns[COLUMN_COUNT..])
                            .find(|(own, _)| *own == place);
                        let column = part.and_then(|(_, column)| column.as_ref());
                        column.map_or(Cow::Borrowed(""), |column| column.field(row).text())
                    });
                    fields[Column::Point.index()] = Field::Text(&point);
                }
                batch.push(&fields, shape, rules);
            }
            batch
        })
        .collect()
}

fn blank_words<'a>(field: Field<'a>, rules: &Rules<'_>) -> Field<'a> {
    match field {
        Field::Text(text) if rules.means_empty(text) => Field::Empty,
        other => other,
    }
}

/// The names of the columns.
pub(crate) fn headers(path: &Path, shown: &str) -> Result<Vec<String>, LoadError> {
    let read = || -> PolarsResult<Vec<String>> {
        let mut reader = ParquetReader::new(open(path)?);
        let schema = reader.schema()?;
        Ok(schema.iter_names().map(|name| name.to_string()).collect())
    };
    read().map_err(unreadable(shown))
}

/// Reads the named columns: number of rows, and one typed column for each name. A
/// column of numbers is read as text where its flag says so.
pub(crate) fn read_columns(
    path: &Path,
    shown: &str,
    wanted: &[(Option<&str>, bool)],
) -> Result<(usize, Vec<Option<TypedColumn>>), LoadError> {
    let mut distinct: Vec<String> = wanted
        .iter()
        .flat_map(|w| w.0)
        .map(str::to_string)
        .collect();
    distinct.sort();
    distinct.dedup();
    let read = || -> PolarsResult<(usize, Vec<Option<TypedColumn>>)> {
        let mut file = open(path)?;
        let mut reader = ParquetReader::new(open(path)?);
        refuse_rows(reader.num_rows()?)?;
        let (schema, metadata) = (reader.schema()?, reader.get_metadata()?.clone());
        let plain = |name: &str| {
            schema
                .get(name)
                .and_then(|f| parquet_odd::plain_type(f.dtype()))
        };
        distinct.retain(|name| plain(name).is_none());
        let frame = reader
            .with_columns(Some(distinct))
            .set_rechunk(true)
            .finish()?;
        let columns = wanted.iter().map(|(name, as_text)| match name {
            Some(name) => match plain(name) {
                Some(plain) => parquet_odd::read(&mut file, &metadata, name, &plain, *as_text),
                None => typed(frame.column(name)?, *as_text),
            }
            .map(Some),
            None => Ok(None),
        });
        Ok((metadata.num_rows, columns.collect::<PolarsResult<_>>()?))
    };
    read().map_err(unreadable(shown))
}

fn refuse_rows(rows: usize) -> PolarsResult<()> {
    match rows <= MOST_ROWS {
        true => Ok(()),
        false => Err(polars_err!(
            ComputeError: "it states {rows} rows, more than the {MOST_ROWS} that are read; split it"
        )),
    }
}

fn is_text(column: Column) -> bool {
    matches!(
        column,
        Column::Instrument | Column::Point | Column::Event | Column::Kind | Column::Unit
    )
}

fn open(path: &Path) -> PolarsResult<std::fs::File> {
    Ok(plain_file::open(path)?.into_inner())
}

fn unreadable(shown: &str) -> impl Fn(PolarsError) -> LoadError {
    move |error| LoadError::new(shown, format!("cannot be read as Parquet: {error}"), MEND)
}
