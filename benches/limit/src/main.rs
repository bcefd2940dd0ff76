/*! The limit that a run is compared with: `limit TABLE OUT` reads a table of checks with
polars, sorts it by instrument, point and date, writes it in the format that it came in,
and prints the seconds that it took. */

use polars::prelude::*;
use std::fs::File;
use std::path::PathBuf;
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let paths: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [table, out] = &paths[..] else {
        return Err("expected: limit TABLE OUT".into());
    };
    let start = Instant::now();
    let order = ["instrument", "point", "date"];
    if table.extension().is_some_and(|e| e == "parquet") {
        let frame = ParquetReader::new(File::open(table)?).finish()?;
        let mut sorted = frame.sort(order, SortMultipleOptions::default())?;
        ParquetWriter::new(File::create(out)?).finish(&mut sorted)?;
    } else {
        let frame = CsvReadOptions::default()
            .try_into_reader_with_file_path(Some(table.clone()))?
            .finish()?;
        let mut sorted = frame.sort(order, SortMultipleOptions::default())?;
        CsvWriter::new(File::create(out)?).finish(&mut sorted)?;
    }
    println!("{:.3}", start.elapsed().as_secs_f64());
    Ok(())
}
