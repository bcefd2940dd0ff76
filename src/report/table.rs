/*! Tables out: one set of columns, written in batches to CSV and to Parquet.

Text that a spreadsheet would run as a formula is neutralised in CSV only;
Parquet keeps every text as it is. Numbers are written with the shortest text
that reads back to the same double; NaN is an empty cell.
*/

use super::csv_rows;
use super::table_file::TableFile;
use polars::prelude::*;
use std::borrow::Cow;
use std::path::Path;

/// Rows in one Parquet row group at the most: bounds memory, and fixes the bytes
/// whatever the number of threads.
pub const BATCH_ROWS: usize = 16_384;

/// One column of a table.
#[derive(Debug, Clone)]
pub enum Cells<'a> {
    /// Text; empty text is an empty cell.
    Text(Vec<String>),
    /// Text that lives elsewhere; empty text is an empty cell.
    Shared(Vec<&'a str>),
    /// Words from a fixed list; empty is an empty cell.
    Word(Vec<&'static str>),
    /// Numbers; NaN and infinities are empty cells.
    Number(Vec<f64>),
    /// Whole numbers; `None` is an empty cell.
    Whole(Vec<Option<i64>>),
    /// Dates as days since 1970-01-01 (time of day dropped); NaN is an empty cell.
    Date(Vec<f64>),
    /// Truth values.
    Flag(Vec<bool>),
}

/// Named columns of equal length.
#[derive(Debug, Clone, Default)]
pub struct Table<'a> {
    columns: Vec<(&'static str, Cells<'a>)>,
}

impl<'a> Table<'a> {
    /// Adds a column at the right.
    pub fn with(mut self, name: &'static str, cells: Cells<'a>) -> Self {
        self.columns.push((name, cells));
        self
    }

    /// Names of the columns.
    pub fn names(&self) -> impl Iterator<Item = &'static str> {
        self.columns.iter().map(|(name, _)| *name)
    }

    /// The columns.
    pub fn cells(&self) -> impl Iterator<Item = &Cells<'a>> {
        self.columns.iter().map(|(_, cells)| cells)
    }

    /// Number of rows.
    pub fn height(&self) -> usize {
        self.cells().map(Cells::len).min().unwrap_or(0)
    }

    fn frame(&self) -> PolarsResult<DataFrame> {
        let columns = self
            .columns
            .iter()
            .map(|(name, cells)| column(name, cells))
            .collect::<PolarsResult<Vec<Column>>>()?;
        DataFrame::new_infer_height(columns)
    }
}

impl Cells<'_> {
    fn len(&self) -> usize {
        match self {
            Cells::Text(texts) => texts.len(),
            Cells::Shared(texts) => texts.len(),
            Cells::Word(words) => words.len(),
            Cells::Number(numbers) => numbers.len(),
            Cells::Whole(numbers) => numbers.len(),
            Cells::Date(days) => days.len(),
            Cells::Flag(flags) => flags.len(),
        }
    }
}

fn texts<'t>(name: PlSmallStr, texts: impl Iterator<Item = &'t str>) -> Column {
    let present = texts.map(|text| (!text.is_empty()).then_some(text));
    StringChunked::from_iter_options(name, present).into_column()
}

fn column(name: &str, cells: &Cells<'_>) -> PolarsResult<Column> {
    let name = PlSmallStr::from_str(name);
    let present = |value: &f64| value.is_finite().then_some(*value);
    Ok(match cells {
        Cells::Text(owned) => texts(name, owned.iter().map(String::as_str)),
        Cells::Shared(shared) => texts(name, shared.iter().copied()),
        Cells::Word(words) => texts(name, words.iter().copied()),
        Cells::Number(numbers) => {
            Float64Chunked::from_iter_options(name, numbers.iter().map(present)).into_column()
        }
        Cells::Whole(numbers) => {
            Int64Chunked::from_iter_options(name, numbers.iter().copied()).into_column()
        }
        Cells::Date(days) => {
            let whole = days
                .iter()
                .map(|day| present(day).map(|d| d.floor() as i32));
            Int32Chunked::from_iter_options(name, whole)
                .into_column()
                .cast(&DataType::Date)?
        }
        Cells::Flag(flags) => {
            BooleanChunked::from_iter_values(name, flags.iter().copied()).into_column()
        }
    })
}

/// Text that no spreadsheet takes for a formula: an apostrophe before a leading
/// `=`, `+`, `-`, `@`, tab or carriage return, unless the whole text is a number.
pub fn neutralised(text: &str) -> Cow<'_, str> {
    let risky = matches!(
        text.as_bytes().first(),
        Some(b'=' | b'+' | b'-' | b'@' | b'\t' | b'\r')
    );
    if risky && text.parse::<f64>().is_err() {
        format!("'{text}").into()
    } else {
        text.into()
    }
}

/// Writes one table to `NAME.csv` and, where asked, `NAME.parquet`, batch by batch.
pub struct TableWriter {
    csv: TableFile,
    parquet: Option<Parquet>,
}

struct Parquet {
    file: TableFile,
    rows: polars::io::parquet::write::BatchedWriter<TableFile>,
}

impl TableWriter {
    /// Creates both files in `folder`; `shape` gives names and types (its rows are ignored).
    pub fn create(
        folder: &Path,
        name: &str,
        shape: &Table<'_>,
        parquet: bool,
    ) -> PolarsResult<Self> {
        let mut csv = TableFile::create(&folder.join(format!("{name}.csv")))?;
        csv_rows::write_header(shape, &mut csv)?;
        let parquet = match parquet {
            true => Some(Parquet::create(
                &folder.join(format!("{name}.parquet")),
                shape,
            )?),
            false => None,
        };
        Ok(Self { csv, parquet })
    }

    /// Appends one batch, at most [`BATCH_ROWS`] rows for bounded memory.
    pub fn write(&mut self, batch: &Table<'_>) -> PolarsResult<()> {
        let (csv, parquet) = (&mut self.csv, &mut self.parquet);
        let (text, rows) = rayon::join(
            || csv_rows::write_rows(batch, csv),
            || parquet.as_mut().map_or(Ok(()), |file| file.write(batch)),
        );
        text?;
        rows
    }

    /// Completes both files.
    pub fn finish(self) -> PolarsResult<()> {
        self.csv.settle()?;
        self.parquet.map_or(Ok(()), Parquet::finish)
    }
}

impl Parquet {
    fn create(path: &Path, shape: &Table<'_>) -> PolarsResult<Self> {
        let schema = shape.frame()?.schema().clone();
        let file = TableFile::create(path)?;
        let rows = ParquetWriter::new(file.clone()).batched(&schema)?;
        Ok(Self { file, rows })
    }

    fn write(&mut self, batch: &Table<'_>) -> PolarsResult<()> {
        let written = self.rows.write_batch(&batch.frame()?);
        self.told(written)
    }

    fn finish(self) -> PolarsResult<()> {
        let finished = self.rows.finish().map(drop);
        self.told(finished)?;
        Ok(self.file.settle()?)
    }

    /// The system's word in place of the writer's, where there is one.
    fn told(&self, result: PolarsResult<()>) -> PolarsResult<()> {
        result.or_else(|other| self.file.settle().map_err(Into::into).and(Err(other)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_shortest_and_formulas_are_neutralised_in_csv_only() {
        let folder = tempfile::tempdir().unwrap();
        let table = Table::default()
            .with(
                "text",
                Cells::Text(vec!["=1+1".into(), "-3.5".into(), String::new()]),
            )
            .with("number", Cells::Number(vec![0.1 + 0.2, f64::NAN, 1e-300]))
            .with("day", Cells::Date(vec![0.0, 19_000.75, f64::NAN]))
            .with(
                "mark",
                Cells::Shared(vec!["a,b", "5\" gauge", "two\nlines"]),
            )
            .with("count", Cells::Whole(vec![Some(-3), None, Some(i64::MAX)]))
            .with("flag", Cells::Flag(vec![true, false, true]));
        let mut writer = TableWriter::create(folder.path(), "t", &table, true).unwrap();
        writer.write(&table).unwrap();
        writer.finish().unwrap();
        let text = std::fs::read_to_string(folder.path().join("t.csv")).unwrap();
        assert_eq!(
            text,
            "text,number,day,mark,count,flag\n\
             '=1+1,0.30000000000000004,1970-01-01,\"a,b\",-3,true\n\
             -3.5,,2022-01-08,\"5\"\" gauge\",,false\n\
             ,1e-300,,\"two\nlines\",9223372036854775807,true\n"
        );
        let file = std::fs::File::open(folder.path().join("t.parquet")).unwrap();
        let frame = ParquetReader::new(file).finish().unwrap();
        assert_eq!(
            frame.column("text").unwrap().str().unwrap().get(0),
            Some("=1+1")
        );
        assert_eq!(frame.shape(), (3, 6));
    }
}
