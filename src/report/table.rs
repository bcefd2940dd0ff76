/*! Tables out: one set of columns, written in batches to CSV and to Parquet.

Text that a spreadsheet would run as a formula is neutralised in CSV only;
Parquet keeps every text as it is. Numbers are written with the shortest text
that reads back to the same double; NaN is an empty cell.
*/

use polars::prelude::*;
use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

/// Rows in one Parquet row group at the most: bounds memory, and fixes the bytes
/// whatever the number of threads.
pub const BATCH_ROWS: usize = 16_384;

/// One column of a table.
#[derive(Debug, Clone)]
pub enum Cells {
    /// Text; empty text is an empty cell.
    Text(Vec<String>),
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
pub struct Table {
    columns: Vec<(&'static str, Cells)>,
}

impl Table {
    /// Adds a column at the right.
    pub fn with(mut self, name: &'static str, cells: Cells) -> Self {
        self.columns.push((name, cells));
        self
    }

    fn frame(&self, for_csv: bool) -> PolarsResult<DataFrame> {
        let columns = self
            .columns
            .iter()
            .map(|(name, cells)| column(name, cells, for_csv))
            .collect::<PolarsResult<Vec<Column>>>()?;
        DataFrame::new_infer_height(columns)
    }
}

fn column(name: &str, cells: &Cells, for_csv: bool) -> PolarsResult<Column> {
    let name = PlSmallStr::from_str(name);
    let present = |value: &f64| value.is_finite().then_some(*value);
    Ok(match cells {
        Cells::Text(texts) => {
            let shown = texts.iter().map(|text| match () {
                () if text.is_empty() => None,
                () if for_csv => Some(neutralised(text)),
                () => Some(std::borrow::Cow::Borrowed(text.as_str())),
            });
            StringChunked::from_iter_options(name, shown).into_column()
        }
        Cells::Word(words) => {
            let shown = words.iter().map(|word| (!word.is_empty()).then_some(*word));
            StringChunked::from_iter_options(name, shown).into_column()
        }
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
pub fn neutralised(text: &str) -> std::borrow::Cow<'_, str> {
    let risky = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if risky && text.parse::<f64>().is_err() {
        format!("'{text}").into()
    } else {
        text.into()
    }
}

/// Writes one table to `NAME.csv` and, where asked, `NAME.parquet`, batch by batch.
pub struct TableWriter {
    csv: BatchedWriterOf,
    parquet: Option<polars::io::parquet::write::BatchedWriter<BufWriter<File>>>,
}

type BatchedWriterOf = polars::io::csv::write::BatchedWriter<BufWriter<File>>;

impl TableWriter {
    /// Creates both files in `folder`; `shape` gives names and types (its rows are ignored).
    pub fn create(folder: &Path, name: &str, shape: &Table, parquet: bool) -> PolarsResult<Self> {
        let schema = shape.frame(true)?.schema().clone();
        let open = |ending: &str| {
            File::create(folder.join(format!("{name}.{ending}"))).map(BufWriter::new)
        };
        let csv = CsvWriter::new(open("csv")?)
            .include_header(true)
            .batched(&schema)?;
        let parquet = if parquet {
            Some(ParquetWriter::new(open("parquet")?).batched(&schema)?)
        } else {
            None
        };
        Ok(Self { csv, parquet })
    }

    /// Appends one batch, at most [`BATCH_ROWS`] rows for bounded memory.
    pub fn write(&mut self, batch: &Table) -> PolarsResult<()> {
        self.csv.write_batch(&batch.frame(true)?)?;
        if let Some(parquet) = &mut self.parquet {
            parquet.write_batch(&batch.frame(false)?)?;
        }
        Ok(())
    }

    /// Completes both files.
    pub fn finish(mut self) -> PolarsResult<()> {
        self.csv.finish()?;
        if let Some(parquet) = &mut self.parquet {
            parquet.finish()?;
        }
        Ok(())
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
            .with("day", Cells::Date(vec![0.0, 19_000.75, f64::NAN]));
        let mut writer = TableWriter::create(folder.path(), "t", &table, true).unwrap();
        writer.write(&table).unwrap();
        writer.finish().unwrap();
        let text = std::fs::read_to_string(folder.path().join("t.csv")).unwrap();
        assert_eq!(
            text,
            "text,number,day\n'=1+1,0.30000000000000004,1970-01-01\n-3.5,,2022-01-08\n,1e-300,\n"
        );
        let file = File::open(folder.path().join("t.parquet")).unwrap();
        let frame = ParquetReader::new(file).finish().unwrap();
        assert_eq!(
            frame.column("text").unwrap().str().unwrap().get(0),
            Some("=1+1")
        );
        assert_eq!(frame.shape(), (3, 3));
    }
}
