/*! Rows of a table as CSV text (RFC 4180), straight from its columns.

A fleet writes some hundred megabytes of text a run: rows are rendered in blocks on
all cores and put together in order, so that the bytes do not depend on the threads.
*/

use super::table::{Cells, Table};
use crate::words::calendar;
use crate::words::neutralised;
use rayon::prelude::*;
use std::io::{Result, Write};
use std::ops::Range;

/// Rows of one block: some hundred kilobytes of text.
const BLOCK_ROWS: usize = 2048;

/// Bytes to begin with for each row: what most of the tables need.
const ROW_BYTES: usize = 256;

/// Blocks in memory at once, for each thread.
const BLOCKS_A_THREAD: usize = 2;

/// Writes the line of names.
pub(crate) fn write_header(table: &Table<'_>, out: &mut impl Write) -> Result<()> {
    let mut line = Vec::new();
    for (place, name) in table.names().enumerate() {
        if place > 0 {
            line.push(b',');
        }
        push_text(name, &mut line);
    }
    line.push(b'\n');
    out.write_all(&line)
}

pub(crate) fn write_rows(table: &Table<'_>, out: &mut impl Write) -> Result<()> {
    let rows = table.height();
    let blocks: Vec<Range<usize>> = (0..rows)
        .step_by(BLOCK_ROWS)
        .map(|start| start..(start + BLOCK_ROWS).min(rows))
        .collect();
    // A few blocks at a time, so that the text of a large batch is never held whole.
    for some in blocks.chunks(BLOCKS_A_THREAD * rayon::current_num_threads()) {
        let texts: Vec<Vec<u8>> = some
            .par_iter()
            .map(|block| rendered(table, block.clone()))
            .collect();
        texts.iter().try_for_each(|text| out.write_all(text))?;
    }
    Ok(())
}

fn rendered(table: &Table<'_>, rows: Range<usize>) -> Vec<u8> {
    let mut out = Vec::with_capacity(ROW_BYTES * rows.len());
    for row in rows {
        for (place, cells) in table.cells().enumerate() {
            if place > 0 {
                out.push(b',');
            }
            push_cell(cells, row, &mut out);
        }
        out.push(b'\n');
    }
    out
}

fn push_cell(cells: &Cells<'_>, row: usize, out: &mut Vec<u8>) {
    match cells {
        Cells::Text(texts) => push_text(&neutralised(&texts[row]), out),
        Cells::Shared(texts) => push_text(&neutralised(texts[row]), out),
        Cells::Word(words) => push_text(words[row], out),
        Cells::Number(numbers) if numbers[row].is_finite() => {
            out.extend(zmij::Buffer::new().format_finite(numbers[row]).bytes());
        }
        Cells::Whole(numbers) => {
            if let Some(number) = numbers[row] {
                let _ = write!(out, "{number}");
            }
        }
        Cells::Date(days) if days[row].is_finite() => push_date(days[row], out),
        Cells::Number(_) | Cells::Date(_) => {}
        Cells::Flag(flags) => {
            let word: &[u8] = if flags[row] { b"true" } else { b"false" };
            out.extend_from_slice(word);
        }
    }
}

/// Text in quotation marks where it needs them.
fn push_text(text: &str, out: &mut Vec<u8>) {
    let bytes = text.as_bytes();
    let quoted = memchr::memchr3(b',', b'\n', b'\r', bytes).is_some();
    if !quoted && memchr::memchr(b'"', bytes).is_none() {
        return out.extend_from_slice(bytes);
    }
    out.push(b'"');
    for part in text.split_inclusive('"') {
        out.extend_from_slice(part.as_bytes());
        if part.ends_with('"') {
            out.push(b'"');
        }
    }
    out.push(b'"');
}

/// ISO 8601 date of `day` (days since 1970-01-01, finite); nothing outside the calendar.
fn push_date(day: f64, out: &mut Vec<u8>) {
    if let Some(date) = calendar(day) {
        let _ = write!(out, "{date}");
    }
}
