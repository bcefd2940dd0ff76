/*! What a worker is sent, and what it sends back: streams of columns. */

use super::{COLUMNS, Row};
use polars_arrow::array::{Array, PrimitiveArray, StructArray, Utf8Array};
use polars_arrow::datatypes::{ArrowSchema, Field};
use polars_arrow::io::ipc::read::{StreamReader, StreamState, read_stream_metadata};
use polars_arrow::io::ipc::write::{StreamWriter, WriteOptions};
use polars_arrow::record_batch::RecordBatchT;
use std::collections::BTreeMap;
use std::io::{Cursor, Write};
use std::process::{Command, Stdio};
use std::sync::Arc;

/// How a worker ended.
pub struct Worked {
    pub status: i32,
    pub out: Vec<u8>,
    pub said: String,
}

/// Runs `driftbook worker` with these arguments on what is `sent`.
pub fn worker(arguments: &[&str], sent: &[u8]) -> Worked {
    let mut child = Command::new(env!("CARGO_BIN_EXE_driftbook"))
        .arg("worker")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let (mut input, bytes) = (child.stdin.take().unwrap(), sent.to_vec());
    // A worker that refuses its arguments reads nothing.
    let sender = std::thread::spawn(move || drop(input.write_all(&bytes)));
    let output = child.wait_with_output().unwrap();
    sender.join().unwrap();
    Worked {
        status: output.status.code().unwrap_or(-1),
        out: output.stdout,
        said: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

pub fn good(arguments: &[&str], sent: &[u8]) -> Vec<u8> {
    let worked = worker(arguments, sent);
    assert_eq!(worked.status, 0, "{arguments:?}: {}", worked.said);
    worked.out
}

/// A stream of columns.
pub fn stream(columns: Vec<(&str, Box<dyn Array>)>) -> Vec<u8> {
    let field = |(name, array): &(&str, Box<dyn Array>)| {
        Field::new((*name).into(), array.dtype().clone(), true)
    };
    let schema = Arc::new(ArrowSchema::from_iter(columns.iter().map(field)));
    let rows = columns[0].1.len();
    let mut writer = StreamWriter::new(Vec::new(), WriteOptions { compression: None });
    writer.start(&schema, None).unwrap();
    let arrays = columns.into_iter().map(|(_, array)| array).collect();
    writer
        .write(&RecordBatchT::new(rows, schema, arrays), None)
        .unwrap();
    writer.finish().unwrap();
    writer.into_inner()
}

pub fn texts<'a>(values: impl Iterator<Item = &'a str>) -> Box<dyn Array> {
    let values = values.map(|text| (!text.is_empty()).then_some(text));
    Utf8Array::<i32>::from_iter(values).boxed()
}

pub fn stream_of(rows: &[&Row]) -> Vec<u8> {
    let column = |place: usize| texts(rows.iter().map(move |row| row[place].as_str()));
    stream(
        COLUMNS
            .iter()
            .enumerate()
            .map(|(place, name)| (*name, column(place)))
            .collect(),
    )
}

/// The pieces of each column of a whole stream, by name.
pub fn read(bytes: &[u8]) -> BTreeMap<String, Vec<Box<dyn Array>>> {
    let mut cursor = Cursor::new(bytes);
    let metadata = read_stream_metadata(&mut cursor).unwrap();
    let names: Vec<String> = metadata
        .schema
        .iter_names()
        .map(ToString::to_string)
        .collect();
    let mut columns: BTreeMap<String, Vec<Box<dyn Array>>> = names
        .iter()
        .map(|name| (name.clone(), Vec::new()))
        .collect();
    for state in StreamReader::new(&mut cursor, metadata, None) {
        let batch = match state.unwrap() {
            StreamState::Some(batch) => Some(batch),
            StreamState::Waiting => None,
        };
        // A stream that waits for more has no end mark.
        let arrays = batch.unwrap().into_arrays();
        for (name, array) in names.iter().zip(arrays) {
            columns.get_mut(name).unwrap().push(array);
        }
    }
    columns
}

pub fn column_of_texts(pieces: &[Box<dyn Array>]) -> Vec<String> {
    pieces
        .iter()
        .flat_map(|piece| {
            let texts = piece.as_any().downcast_ref::<Utf8Array<i32>>().unwrap();
            texts
                .iter()
                .map(|text| text.unwrap_or("").to_string())
                .collect::<Vec<_>>()
        })
        .collect()
}

/// The value of a row as text: the shortest that reads back to a number, nothing where there is none.
pub fn cell(array: &dyn Array, row: usize) -> String {
    if !array.is_valid(row) {
        return String::new();
    }
    let any = array.as_any();
    if let Some(texts) = any.downcast_ref::<Utf8Array<i32>>() {
        return texts.value(row).to_string();
    }
    if let Some(numbers) = any.downcast_ref::<PrimitiveArray<f64>>() {
        return format!("{:?}", numbers.value(row));
    }
    if let Some(whole) = any.downcast_ref::<PrimitiveArray<i64>>() {
        return whole.value(row).to_string();
    }
    if let Some(days) = any.downcast_ref::<PrimitiveArray<i32>>() {
        return days.value(row).to_string();
    }
    let flags = any
        .downcast_ref::<polars_arrow::array::BooleanArray>()
        .unwrap();
    flags.value(row).to_string()
}

/// The rows of the `table` in what workers made, each as name=value, sorted.
pub fn rows_made(made: &[Vec<u8>], table: &str) -> Vec<String> {
    let mut rows = Vec::new();
    for bytes in made {
        let columns = read(bytes);
        for (names, piece) in columns["table"].iter().zip(&columns[table]) {
            let names = names.as_any().downcast_ref::<Utf8Array<i32>>().unwrap();
            let own = piece.as_any().downcast_ref::<StructArray>().unwrap();
            for row in (0..names.len()).filter(|row| names.value(*row) == table) {
                let cells = own.fields().iter().zip(own.values());
                let cells = cells
                    .map(|(field, array)| format!("{}={}", field.name, cell(array.as_ref(), row)));
                rows.push(cells.collect::<Vec<_>>().join("\u{1f}"));
            }
        }
    }
    rows.sort();
    rows
}
