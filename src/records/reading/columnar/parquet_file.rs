/*! Parquet in: columns of any usual type become fields. */

use super::odd_types;
use super::parquet_column::{TypedColumn, typed};
use super::rows::{HEADER_ROW, pieces_of, wanted};
use crate::no_memory;
use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::cells::field::Field;
use crate::records::cells::row::rules::Rules;
use crate::records::cells::shape::Shape;
use crate::records::reading::guarded::PARQUET;
use crate::records::reading::header::Matched;
use crate::records::reading::header::checks::match_columns;
use crate::records::reading::plain_file;
use polars::prelude::*;
use polars_parquet::read::FileMetadata;
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::ops::Range;
use std::path::Path;
use std::sync::Arc;

const MEND: &str = PARQUET.mend;

/// Most rows of one file: a small file can state any number of equal ones.
pub(super) const MOST_ROWS: usize = 100_000_000;

/// Rows that are decoded together: each thread holds so many as columns of fields.
const ROWS_A_PIECE: usize = 1 << 18;

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
    let mut shape = Shape::of(&matched, rules.settings);
    if !(shape.remarks.is_empty() && shape.void.watched.is_empty()) {
        let no_cells = no_cells(path, shown)?;
        let has_cells = |place: &usize| no_cells.get(*place).is_some_and(Option::is_none);
        shape.remarks.retain(has_cells);
        shape.void.watched.retain(|(place, _)| has_cells(place));
    }
    let places = wanted(&matched, &shape);
    let named =
        |(place, text): &(Option<usize>, bool)| (place.map(|i| matched.headers[i].as_str()), *text);
    let wanted: Vec<(Option<&str>, bool)> = places.iter().map(named).collect();
    let file = Wanted::open(path, &wanted).map_err(unreadable(shown))?;
    let odd = file.odd().map_err(unreadable(shown))?;
    let read = |piece: Range<usize>| -> PolarsResult<Vec<Batch>> {
        let columns = file.piece(&piece)?;
        let column = |at: usize, row: usize| match (&columns[at], &odd[at]) {
            (Some(column), _) => column.field(row - piece.start),
            (None, Some(whole)) => whole.field(row),
            (None, None) => Field::Empty,
        };
        Ok(pieces_of(&piece, &column, (&shape, rules)))
    };
    // Pieces in parallel, each decoded and judged before its pages are cold.
    let batches: Vec<PolarsResult<Vec<Batch>>> = file.pieces().into_par_iter().map(read).collect();
    let batches: PolarsResult<Vec<Vec<Batch>>> = batches.into_iter().collect();
    let batches = batches.map_err(unreadable(shown))?;
    Ok((batches.into_iter().flatten().collect(), matched))
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

/// What each column holds that can be no cell of a table, in words; `None` for the others.
pub(crate) fn no_cells(path: &Path, shown: &str) -> Result<Vec<Option<&'static str>>, LoadError> {
    let read = || -> PolarsResult<Vec<Option<&'static str>>> {
        let mut reader = ParquetReader::new(open(path)?);
        let schema = reader.schema()?;
        let fields = schema.iter_values();
        Ok(fields
            .map(|field| odd_types::no_cells(field.dtype()))
            .collect())
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
    let read = || -> PolarsResult<(usize, Vec<Option<TypedColumn>>)> {
        let file = Wanted::open(path, wanted)?;
        let rows = file.metadata.num_rows;
        let columns = file.piece(&(0..rows))?.into_iter().zip(file.odd()?);
        Ok((rows, columns.map(|(column, odd)| column.or(odd)).collect()))
    };
    read().map_err(unreadable(shown))
}

/// The wanted columns of one file.
struct Wanted<'w> {
    path: &'w Path,
    metadata: Arc<FileMetadata>,
    /// Name, whether as text, and the plain type of a column that polars does not read itself.
    columns: Vec<Option<(&'w str, bool, Option<ArrowDataType>)>>,
}

impl<'w> Wanted<'w> {
    fn open(path: &'w Path, wanted: &[(Option<&'w str>, bool)]) -> PolarsResult<Self> {
        let mut reader = ParquetReader::new(open(path)?);
        refuse_rows(reader.num_rows()?)?;
        let (schema, metadata) = (reader.schema()?, reader.get_metadata()?.clone());
        let dtype = |name: &str| schema.get(name).map(|field| field.dtype());
        let column = |(name, as_text): &(Option<&'w str>, bool)| {
            let Some(name) = *name else { return Ok(None) };
            match dtype(name).and_then(odd_types::no_cells) {
                Some(held) => Err(polars_err!(
                    ComputeError: "column \"{name}\" holds {held}; expected text, number, date or true/false"
                )),
                None => {
                    let plain = dtype(name).and_then(odd_types::plain_type);
                    Ok(Some((name, *as_text, plain)))
                }
            }
        };
        let columns: PolarsResult<Vec<_>> = wanted.iter().map(column).collect();
        Ok(Self {
            path,
            metadata,
            columns: columns?,
        })
    }

    /// Rows that are decoded together: of one row group or, where these are small, of neighbours.
    fn pieces(&self) -> Vec<Range<usize>> {
        let mut pieces: Vec<Range<usize>> = Vec::new();
        let mut end = 0;
        for group in &self.metadata.row_groups {
            let start = end;
            end += group.num_rows();
            match pieces.last_mut() {
                Some(piece) if end - piece.start <= ROWS_A_PIECE => piece.end = end,
                _ => {
                    let starts = (start..end).step_by(ROWS_A_PIECE);
                    pieces.extend(starts.map(|at| at..end.min(at + ROWS_A_PIECE)));
                }
            }
        }
        pieces
    }

    /// The columns that polars reads, of some rows.
    fn piece(&self, rows: &Range<usize>) -> PolarsResult<Vec<Option<TypedColumn>>> {
        let mut reader = ParquetReader::new(open(self.path)?);
        reader.set_metadata(self.metadata.clone());
        let own = self
            .columns
            .iter()
            .flatten()
            .filter(|column| column.2.is_none());
        let names: BTreeSet<&str> = own.map(|(name, ..)| *name).collect();
        let frame = reader
            .with_columns(Some(names.into_iter().map(str::to_string).collect()))
            .with_slice(Some((rows.start, rows.len())))
            .set_rechunk(true)
            .finish()?;
        let column = |column: &Option<(&str, bool, Option<ArrowDataType>)>| match column {
            Some((name, as_text, None)) => typed(frame.column(name)?, *as_text).map(Some),
            _ => Ok(None),
        };
        self.columns.iter().map(column).collect()
    }

    /// The other columns, whole.
    fn odd(&self) -> PolarsResult<Vec<Option<TypedColumn>>> {
        let mut file = open(self.path)?;
        let column = |column: &Option<(&str, bool, Option<ArrowDataType>)>| match column {
            Some((name, as_text, Some(plain))) => {
                odd_types::read(&mut file, &self.metadata, name, plain, *as_text).map(Some)
            }
            _ => Ok(None),
        };
        self.columns.iter().map(column).collect()
    }
}

fn refuse_rows(rows: usize) -> PolarsResult<()> {
    match rows <= MOST_ROWS {
        true => Ok(()),
        false => Err(polars_err!(
            ComputeError: "it states {rows} rows, more than the {MOST_ROWS} that are read; split it"
        )),
    }
}

fn open(path: &Path) -> PolarsResult<std::fs::File> {
    Ok(plain_file::open(path)?.into_inner())
}

fn unreadable(shown: &str) -> impl Fn(PolarsError) -> LoadError {
    move |error| {
        let said = error.to_string();
        match no_memory::is_said(&said) {
            true => LoadError::new(shown, no_memory::WHAT, no_memory::MEND),
            false => LoadError::new(shown, format!("cannot be read as Parquet: {said}"), MEND),
        }
    }
}
