/*! The tables of the parts of a fleet as one table: their rows in the order of instrument and point.

An instrument is in one part with all its points, so that the parts' rows need only be dealt out by
it. Rows are written in the batches in which a fleet at once would write them.
*/

use super::table::{Cells, Table};
use super::table_writer::{BATCH_ROWS, PART_ROWS, TableFolder, TableWriter};
use crate::files::run_error::RunError;
use crate::records::name_order::{by_history, by_instrument};
use polars::prelude::*;
use polars_parquet::read::FileMetadata;
use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Name of a history in a table.
pub(crate) type Key = (String, String);

fn pair((instrument, point): &Key) -> (&str, &str) {
    (instrument, point)
}

/// Where a batch of a table ends.
pub(crate) enum Batches<'a> {
    /// After so many rows as a batch may have; of a table of one row a history this gives the
    /// first of every batch.
    Rows,
    /// Before these histories, the first of every batch but the first.
    Before(&'a [Key]),
}

/// Writes the table `name` of all `parts`, folders of Parquet tables, to one; returns the first
/// history of every batch but the first.
///
/// # Errors
/// A file that cannot be read or written.
pub(crate) fn merge(
    parts: &[PathBuf],
    (name, shape): (&'static str, &Table<'_>),
    batches: &Batches<'_>,
    to: TableFolder<'_>,
) -> Result<Vec<Key>, RunError> {
    merged(parts, (name, shape), batches, to).map_err(|why| RunError::write(name, why))
}

fn merged(
    parts: &[PathBuf],
    (name, shape): (&'static str, &Table<'_>),
    batches: &Batches<'_>,
    to: TableFolder<'_>,
) -> PolarsResult<Vec<Key>> {
    let mut writer = TableWriter::create(to, name, shape)?;
    let file = |part: &PathBuf| Source::open(&part.join(format!("{name}.parquet")));
    let mut sources: Vec<Source> = parts.iter().map(file).collect::<PolarsResult<_>>()?;
    let mut batch: Vec<usize> = Vec::new();
    let mut firsts: Vec<Key> = Vec::new();
    loop {
        let heads = sources.iter().enumerate();
        let least = heads.filter_map(|(at, source)| Some((source.instrument()?, at)));
        let least = least.min_by(|(a, i), (b, j)| by_instrument(a, b).then(i.cmp(j)));
        let Some((_, at)) = least else {
            break;
        };
        let instrument = sources[at].instrument().unwrap_or_default().to_string();
        while sources[at].instrument() == Some(&*instrument) {
            let key = (instrument.clone(), sources[at].point().to_string());
            // A batch may be empty: no row of its histories is in this table.
            let passed = match batches {
                Batches::Rows => usize::from(batch.len() == BATCH_ROWS),
                Batches::Before(keys) => {
                    let rest = keys.get(firsts.len()..).unwrap_or_default();
                    let begun = |first: &&Key| by_history(pair(&key), pair(first)).is_ge();
                    rest.iter().take_while(begun).count()
                }
            };
            if passed > 0 {
                write(&mut writer, shape, &mut sources, &mut batch)?;
            }
            firsts.extend((0..passed).map(|_| key.clone()));
            batch.push(at);
            sources[at].step()?;
        }
    }
    if !batch.is_empty() {
        write(&mut writer, shape, &mut sources, &mut batch)?;
    }
    writer.finish()?;
    Ok(firsts)
}

/// Writes the rows that were dealt out, each named by the source whose next row it is.
fn write(
    writer: &mut TableWriter,
    shape: &Table<'_>,
    sources: &mut [Source],
    batch: &mut Vec<usize>,
) -> PolarsResult<()> {
    let mut next = Vec::with_capacity(sources.len());
    let mut all: Option<DataFrame> = None;
    let mut height = 0;
    for source in sources {
        next.push(height);
        let dealt = source.dealt()?;
        height += dealt.height();
        match &mut all {
            Some(all) => all.vstack_mut(&dealt).map(drop)?,
            none => *none = Some(dealt),
        }
    }
    let order = batch.drain(..).map(|at| {
        next[at] += 1;
        next[at] as IdxSize - 1
    });
    let order = IdxCa::from_vec("".into(), order.collect());
    // Each is let go of once the next is made from it: texts fill the memory three times else.
    let frame = all.unwrap_or_default().take(&order)?;
    let table = table(shape, &frame)?;
    drop(frame);
    writer.write(&table)
}

/// The table of one part, read in pieces.
struct Source {
    path: PathBuf,
    /// Read once: every piece asks for it.
    metadata: Arc<FileMetadata>,
    rows: usize,
    /// Rows of the file before the frame.
    read: usize,
    frame: DataFrame,
    /// Texts of the frame.
    names: (StringChunked, Option<StringChunked>),
    /// The row of the frame that is next.
    at: usize,
    /// The first row of the frame that was dealt out and not written.
    from: usize,
    /// Rows of frames before that were.
    before: Option<DataFrame>,
}

impl Source {
    fn open(path: &Path) -> PolarsResult<Self> {
        let mut reader = ParquetReader::new(File::open(path)?);
        let mut source = Self {
            path: path.to_path_buf(),
            metadata: reader.get_metadata()?.clone(),
            rows: reader.num_rows()?,
            read: 0,
            frame: DataFrame::default(),
            names: (StringChunked::full_null("".into(), 0), None),
            at: 0,
            from: 0,
            before: None,
        };
        source.refill()?;
        Ok(source)
    }

    /// The instrument of the next row; `None` at the end.
    fn instrument(&self) -> Option<&str> {
        (self.at < self.frame.height()).then(|| self.names.0.get(self.at).unwrap_or_default())
    }

    /// The point of the next row; empty where the table has none.
    fn point(&self) -> &str {
        let points = self.names.1.as_ref();
        points
            .and_then(|points| points.get(self.at))
            .unwrap_or_default()
    }

    fn step(&mut self) -> PolarsResult<()> {
        self.at += 1;
        if self.at < self.frame.height() {
            return Ok(());
        }
        self.before = Some(self.dealt()?);
        self.refill()
    }

    fn refill(&mut self) -> PolarsResult<()> {
        let mut reader = ParquetReader::new(File::open(&self.path)?);
        reader.set_metadata(self.metadata.clone());
        let piece = PART_ROWS.min(self.rows - self.read);
        let reader = reader
            .with_slice(Some((self.read, piece)))
            .set_rechunk(true);
        self.frame = reader.finish()?;
        self.read += piece;
        (self.at, self.from) = (0, 0);
        let points = self.frame.column("point").ok();
        let points = points.map(|points| points.str().cloned()).transpose()?;
        self.names = (self.frame.column("instrument")?.str()?.clone(), points);
        Ok(())
    }

    /// The rows that were dealt out since the last time.
    fn dealt(&mut self) -> PolarsResult<DataFrame> {
        let own = self.frame.slice(self.from as i64, self.at - self.from);
        self.from = self.at;
        match self.before.take() {
            Some(mut before) => {
                before.vstack_mut(&own)?;
                Ok(before)
            }
            None => Ok(own),
        }
    }
}

/// The rows of `frame` as the table that they were written from.
fn table(shape: &Table<'_>, frame: &DataFrame) -> PolarsResult<Table<'static>> {
    let mut table = Table::default();
    for name in shape.names() {
        let column = frame.column(name)?;
        let cells = match column.dtype() {
            DataType::String => {
                let texts = column.str()?.iter();
                Cells::Text(texts.map(|text| text.unwrap_or_default().into()).collect())
            }
            DataType::Float64 => {
                let numbers = column.f64()?.iter();
                Cells::Number(numbers.map(|number| number.unwrap_or(f64::NAN)).collect())
            }
            DataType::Int64 => Cells::Whole(column.i64()?.iter().collect()),
            DataType::Boolean => {
                let flags = column.bool()?.iter();
                Cells::Flag(flags.map(Option::unwrap_or_default).collect())
            }
            _ => {
                let days = column.cast(&DataType::Int32)?;
                let days = days.i32()?.iter();
                Cells::Date(days.map(|day| day.map_or(f64::NAN, f64::from)).collect())
            }
        };
        table = table.with(name, cells);
    }
    Ok(table)
}
