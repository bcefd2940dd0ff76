/*! Tables out: one set of columns, written in batches to CSV and to Parquet.

Text that a spreadsheet would run as a formula is neutralised in CSV only;
Parquet keeps every text as it is. Numbers are written with the shortest text
that reads back to the same double; NaN is an empty cell.
*/

use super::csv_rows;
use super::table::Table;
use super::table_file::TableFile;
use crate::files::run_error::RunError;
use crate::settings::output::TableFormats;
use polars::prelude::*;
use std::path::Path;

/// Rows in one Parquet row group at the most: bounds memory, and fixes the bytes
/// whatever the number of threads.
pub(crate) const BATCH_ROWS: usize = 16_384;

/// The same in the tables of a part of a fleet, of which many are read beside each other.
pub(crate) const PART_ROWS: usize = 2_048;

/// A folder for tables, and the formats that they have there.
#[derive(Debug, Clone, Copy)]
pub(crate) struct TableFolder<'a> {
    folder: &'a Path,
    csv: bool,
    parquet: bool,
    /// Rows in a Parquet row group at the most; a batch is one where this is not stated.
    group_rows: Option<usize>,
}

impl<'a> TableFolder<'a> {
    /// A folder in which every table is CSV alone.
    pub(crate) fn csv(folder: &'a Path) -> Self {
        Self {
            folder,
            csv: true,
            parquet: false,
            group_rows: None,
        }
    }

    /// A folder for the tables of a part of a fleet, until they are joined with those of the others.
    pub(crate) fn of_part(folder: &'a Path) -> Self {
        Self {
            folder,
            csv: false,
            parquet: true,
            group_rows: Some(PART_ROWS),
        }
    }

    /// A folder of a report of so many `histories`.
    pub(crate) fn new(folder: &'a Path, formats: TableFormats, histories: usize) -> Self {
        Self {
            folder,
            csv: formats.csv(histories),
            parquet: formats.parquet(),
            group_rows: None,
        }
    }

    /// Writes the table `name`, which is one batch.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn write(self, name: &str, table: &Table<'_>) -> Result<(), RunError> {
        let written = TableWriter::create(self, name, table).and_then(|mut writer| {
            writer.write(table)?;
            writer.finish()
        });
        written.map_err(|why| RunError::write(name, why))
    }

    /// Writes the table `name` of all `rows`, of which `table` makes one batch.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn write_rows<'r, R>(
        self,
        name: &str,
        rows: &'r [R],
        table: impl Fn(&'r [R]) -> Table<'r>,
    ) -> Result<(), RunError> {
        let written = TableWriter::create(self, name, &table(&[])).and_then(|mut writer| {
            let mut batches = rows.chunks(BATCH_ROWS);
            batches.try_for_each(|batch| writer.write(&table(batch)))?;
            writer.finish()
        });
        written.map_err(|why| RunError::write(name, why))
    }
}

/// Writes one table to `NAME.csv` and `NAME.parquet`, where its folder asks for them, batch by batch.
pub(crate) struct TableWriter {
    csv: Option<TableFile>,
    parquet: Option<Parquet>,
}

struct Parquet {
    file: TableFile,
    rows: polars::io::parquet::write::BatchedWriter<TableFile>,
    group_rows: Option<usize>,
}

impl TableWriter {
    /// Creates the files; `shape` gives names and types (its rows are ignored).
    pub(crate) fn create(to: TableFolder<'_>, name: &str, shape: &Table<'_>) -> PolarsResult<Self> {
        let csv = || -> PolarsResult<TableFile> {
            let mut file = TableFile::create(&to.folder.join(format!("{name}.csv")))?;
            csv_rows::write_header(shape, &mut file)?;
            Ok(file)
        };
        let parquet = || {
            let path = to.folder.join(format!("{name}.parquet"));
            Parquet::create(&path, shape, to.group_rows)
        };
        Ok(Self {
            csv: to.csv.then(csv).transpose()?,
            parquet: to.parquet.then(parquet).transpose()?,
        })
    }

    /// Appends one batch, at most [`BATCH_ROWS`] rows for bounded memory; none where it is empty.
    pub(crate) fn write(&mut self, batch: &Table<'_>) -> PolarsResult<()> {
        if batch.height() == 0 {
            return Ok(());
        }
        let (csv, parquet) = (&mut self.csv, &mut self.parquet);
        let (text, rows) = rayon::join(
            || {
                csv.as_mut()
                    .map_or(Ok(()), |file| csv_rows::write_rows(batch, file))
            },
            || parquet.as_mut().map_or(Ok(()), |file| file.write(batch)),
        );
        text?;
        rows
    }

    /// Completes the files.
    pub(crate) fn finish(self) -> PolarsResult<()> {
        self.csv.map_or(Ok(()), |file| file.settle())?;
        self.parquet.map_or(Ok(()), Parquet::finish)
    }
}

impl Parquet {
    fn create(path: &Path, shape: &Table<'_>, group_rows: Option<usize>) -> PolarsResult<Self> {
        let schema = shape.frame()?.schema().clone();
        let file = TableFile::create(path)?;
        let rows = ParquetWriter::new(file.clone()).batched(&schema)?;
        Ok(Self {
            file,
            rows,
            group_rows,
        })
    }

    fn write(&mut self, batch: &Table<'_>) -> PolarsResult<()> {
        let frame = batch.frame()?;
        let rows = self.group_rows.unwrap_or(frame.height());
        for start in (0..frame.height()).step_by(rows.max(1)) {
            let group = frame.slice(start as i64, rows);
            let written = self.rows.write_batch(&group);
            self.or_system(written)?;
        }
        Ok(())
    }

    fn finish(self) -> PolarsResult<()> {
        let finished = self.rows.finish().map(drop);
        self.or_system(finished)?;
        Ok(self.file.settle()?)
    }

    /// The system's word in place of the writer's, where there is one.
    fn or_system(&self, result: PolarsResult<()>) -> PolarsResult<()> {
        result.or_else(|other| self.file.settle().map_err(Into::into).and(Err(other)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::table::Cells;

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
        let to = TableFolder::new(folder.path(), TableFormats::Both, 1);
        let mut writer = TableWriter::create(to, "t", &table).unwrap();
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
