/*! The columns of one part on the disk: Parquet, uncompressed, read once and by nobody else. */

use crate::records::{CheckKind, Columns, Event, Outcome};
use polars::prelude::*;
use std::fs::File;
use std::path::Path;

const OUTCOMES: [Outcome; 3] = [Outcome::Unknown, Outcome::In, Outcome::Out];
const EVENTS: [Event; 6] = [
    Event::None,
    Event::Adjusted,
    Event::Repaired,
    Event::Annealed,
    Event::Shocked,
    Event::Replaced,
];
const KINDS: [CheckKind; 4] = [
    CheckKind::Unstated,
    CheckKind::Check,
    CheckKind::Calibration,
    CheckKind::Comparison,
];

/// The columns of numbers by name.
fn numbers(columns: &mut Columns) -> [(&'static str, &mut Vec<f64>); 9] {
    [
        ("date", &mut columns.date),
        ("as_found", &mut columns.as_found),
        ("as_left", &mut columns.as_left),
        ("nominal", &mut columns.nominal),
        ("u", &mut columns.u),
        ("u_common", &mut columns.u_common),
        ("lower", &mut columns.lower),
        ("upper", &mut columns.upper),
        ("usage", &mut columns.usage),
    ]
}

/// Writes `columns` to a new file.
pub(super) fn write(path: &Path, mut columns: Columns) -> PolarsResult<()> {
    let mut frame: Vec<Column> = Vec::new();
    for (name, values) in numbers(&mut columns) {
        let values = Float64Chunked::from_vec(name.into(), std::mem::take(values));
        frame.push(values.into_column());
    }
    let mut whole = |name: &str, values: Vec<u32>| {
        frame.push(UInt32Chunked::from_vec(name.into(), values).into_column());
    };
    whole(
        "file",
        columns.source.iter().map(|(file, _)| *file).collect(),
    );
    whole("row", columns.source.iter().map(|(_, row)| *row).collect());
    whole("outcome", codes(&columns.outcome, &OUTCOMES));
    whole("event", codes(&columns.event, &EVENTS));
    whole("kind", codes(&columns.kind, &KINDS));
    let mut frame = DataFrame::new_infer_height(frame)?;
    let writer = ParquetWriter::new(File::create(path)?);
    let writer = writer.with_compression(ParquetCompression::Uncompressed);
    writer.finish(&mut frame).map(drop)
}

/// Reads what `write` wrote.
pub(super) fn read(path: &Path) -> PolarsResult<Columns> {
    let mut columns = Columns::default();
    for (name, values) in numbers(&mut columns) {
        let frame = only(path, name)?;
        let column = frame.column(name)?.f64()?;
        *values = column.into_no_null_iter().collect();
    }
    let whole = |name: &str| -> PolarsResult<Vec<u32>> {
        let frame = only(path, name)?;
        Ok(frame.column(name)?.u32()?.into_no_null_iter().collect())
    };
    let (file, row) = (whole("file")?, whole("row")?);
    columns.source = file.into_iter().zip(row).collect();
    columns.outcome = words(whole("outcome")?, &OUTCOMES);
    columns.event = words(whole("event")?, &EVENTS);
    columns.kind = words(whole("kind")?, &KINDS);
    Ok(columns)
}

/// One column of the file at a time, so that nothing is held twice.
fn only(path: &Path, name: &str) -> PolarsResult<DataFrame> {
    let reader = ParquetReader::new(File::open(path)?);
    reader.with_columns(Some(vec![name.to_string()])).finish()
}

fn codes<T: PartialEq>(values: &[T], all: &[T]) -> Vec<u32> {
    let code = |value: &T| all.iter().position(|other| other == value).unwrap_or(0) as u32;
    values.iter().map(code).collect()
}

fn words<T: Copy + Default>(codes: Vec<u32>, all: &[T]) -> Vec<T> {
    let word = |code: u32| all.get(code as usize).copied().unwrap_or_default();
    codes.into_iter().map(word).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_come_back_as_they_went() {
        let mut columns = Columns::default();
        for (at, (_, values)) in numbers(&mut columns).into_iter().enumerate() {
            *values = vec![0.1 * at as f64, f64::NAN, -0.0, f64::INFINITY, 1e-300, 7.0];
        }
        columns.source = (0..6).map(|row| (row % 2, row)).collect();
        columns.outcome = OUTCOMES.into_iter().chain(OUTCOMES).collect();
        columns.event = EVENTS.to_vec();
        columns.kind = KINDS.into_iter().chain([KINDS[1], KINDS[3]]).collect();
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("part.parquet");
        write(&path, columns.clone()).unwrap();
        let again = read(&path).unwrap();
        assert_eq!(format!("{columns:?}"), format!("{again:?}"));
    }
}
