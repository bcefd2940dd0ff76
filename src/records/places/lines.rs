/*! Where the lines of a text lie, so that some of them can be read without the others. */

use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs::File;
use std::io::{Error, Read, Result, Seek, SeekFrom};

/// Lines of one block.
const BLOCK_LINES: u32 = 8;

/// Blocks at the beginning that are always read: by their rows the delimiter and the header are told.
const FIRST_BLOCKS: u32 = 128;

/// The lines below a header, in blocks of [`BLOCK_LINES`].
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Lines {
    /// Bytes of the file before them.
    body: u64,
    /// Number of the row before them.
    first_row: u32,
    /// Bytes of each block.
    blocks: Vec<u32>,
}

impl Lines {
    /// The lines of the last `body` bytes of a file, whose rows are counted from `first_row`; each
    /// ends at "\n" or "\r\n". `None` where one ends at "\r": with a blank line below it, it would
    /// be one.
    pub(crate) fn of(bytes: &[u8], body: usize, first_row: u32) -> Option<Self> {
        let start = bytes.len() - body;
        let (mut blocks, mut lines, mut begin) = (Vec::new(), 0, start);
        for end in memchr::memchr2_iter(b'\n', b'\r', &bytes[start..]) {
            let end = start + end;
            if bytes[end] == b'\r' {
                match bytes.get(end + 1) {
                    Some(b'\n') => continue,
                    _ => return None,
                }
            }
            lines += 1;
            if lines % BLOCK_LINES == 0 {
                blocks.push((end + 1 - begin) as u32);
                begin = end + 1;
            }
        }
        if begin < bytes.len() {
            blocks.push((bytes.len() - begin) as u32);
        }
        Some(Self {
            body: start as u64,
            first_row,
            blocks,
        })
    }

    pub(crate) fn block_of(&self, row: u32) -> u32 {
        row.saturating_sub(self.first_row + 1) / BLOCK_LINES
    }

    /// The text of `file` with blank lines in the place of the blocks that are not `wanted`.
    ///
    /// # Errors
    /// A file that is shorter or no UTF-8.
    pub(crate) fn text(&self, file: &mut File, wanted: &BTreeSet<u32>) -> Result<String> {
        let mut text = Vec::new();
        take(file, 0, self.body, &mut text)?;
        let mut at = self.body;
        // Blocks that follow each other are read at once.
        let (mut from, mut bytes) = (at, 0);
        for (block, length) in (0u32..).zip(&self.blocks) {
            let length = u64::from(*length);
            if block < FIRST_BLOCKS || wanted.contains(&block) {
                bytes += length;
            } else {
                take(file, from, bytes, &mut text)?;
                text.extend([b'\n'; BLOCK_LINES as usize]);
                (from, bytes) = (at + length, 0);
            }
            at += length;
        }
        take(file, from, bytes, &mut text)?;
        String::from_utf8(text).map_err(|_| Error::other("not UTF-8"))
    }
}

/// Appends `bytes` bytes of `file` from `start` on.
fn take(file: &mut File, start: u64, bytes: u64, to: &mut Vec<u8>) -> Result<()> {
    if bytes == 0 {
        return Ok(());
    }
    file.seek(SeekFrom::Start(start))?;
    let before = to.len();
    file.take(bytes).read_to_end(to)?;
    match (to.len() - before) as u64 == bytes {
        true => Ok(()),
        false => Err(Error::other("the file is shorter than it was")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::property_cases::usual;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(usual())]

        /// Every row keeps its number, whatever ends the lines and whichever blocks are read.
        #[test]
        fn rows_stand_where_they_stood(
            rows in prop::collection::vec(("[a-zé,]{0,6}", 0usize..2), 1..4_000),
            wanted in prop::collection::btree_set(0u32..500, 0..9),
        ) {
            let ends = ["\n", "\r\n"];
            let body: String = rows.iter().map(|(row, end)| format!("{row}x{}", ends[*end])).collect();
            let text = format!("head\n{body}");
            let mut file = tempfile::tempfile().unwrap();
            std::io::Write::write_all(&mut file, text.as_bytes()).unwrap();
            let lines = Lines::of(text.as_bytes(), body.len(), 1).unwrap();
            let part = lines.text(&mut file, &wanted).unwrap();
            let each = |text: &str| -> Vec<String> {
                text.replace("\r\n", "\n").split('\n').map(String::from).collect()
            };
            let (all, part) = (each(&text), each(&part));
            for (number, row) in part.iter().enumerate().filter(|(_, row)| !row.is_empty()) {
                prop_assert_eq!(row, &all[number]);
            }
            for (number, row) in all.iter().enumerate().skip(1) {
                let block = lines.block_of(number as u32 + 1);
                if block < FIRST_BLOCKS || wanted.contains(&block) {
                    prop_assert_eq!(Some(row), part.get(number));
                }
            }
        }
    }
}
