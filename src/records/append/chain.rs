/*! A CSV file that is only ever appended to: each line carries the SHA-256 of the line before it.

A line that was changed, taken out or put in between breaks the chain, and the reader says where.
*/

use super::held::{Held, replace};
use crate::records::reading::source::sha256;
use std::path::Path;

/// Name of the last column of such a file.
const PREVIOUS: &str = "previous_sha256";

/// A line without its ending, as a CSV file writes it.
fn line_of(fields: &[String]) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory cannot fail.
    let _ = writer.write_record(fields);
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8_lossy(&bytes)
        .trim_end_matches('\n')
        .to_string()
}

/// The rows of a chained file, without their last column; the header is `columns` and that one.
///
/// # Errors
/// Another header, a row of another width, or a break of the chain; names the line.
pub(crate) fn rows(text: &str, columns: &[&str]) -> Result<Vec<Vec<String>>, String> {
    if text.is_empty() {
        return Ok(Vec::new());
    }
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(text.as_bytes());
    let (mut before, mut found) = (String::new(), Vec::new());
    for (place, record) in reader.records().enumerate() {
        let fields: Vec<String> = record
            .map_err(|e| format!("line {}: {e}", place + 1))?
            .iter()
            .map(String::from)
            .collect();
        let line = line_of(&fields);
        if place == 0 {
            let expected: Vec<&str> = columns.iter().copied().chain([PREVIOUS]).collect();
            if fields != expected {
                return Err(format!(
                    "line 1: expected the header {}",
                    expected.join(",")
                ));
            }
        } else {
            let (previous, own) = fields.split_last().ok_or("an empty line")?;
            if *previous != sha256(before.as_bytes()) {
                return Err(format!(
                    "line {}: its {PREVIOUS} is not that of the line before it: a line was changed, taken out or put in; \
                     restore the file from a copy",
                    place + 1
                ));
            }
            found.push(own.to_vec());
        }
        before = line;
    }
    Ok(found)
}

/// Appends one row to the file at `path`, which is made where there is none.
///
/// # Errors
/// A file that cannot be written, or whose chain is broken already.
pub(crate) fn append(path: &Path, columns: &[&str], row: &[String]) -> Result<(), String> {
    let failed = |e: std::io::Error| format!("{}: {e}", path.display());
    let held = Held::open(path).map_err(failed)?;
    let done = std::fs::read(path).map_err(failed).and_then(|old| {
        let text =
            String::from_utf8(old.clone()).map_err(|_| format!("{}: not UTF-8", path.display()))?;
        rows(&text, columns).map_err(|why| format!("{}: {why}", path.display()))?;
        let header: Vec<String> = columns
            .iter()
            .copied()
            .chain([PREVIOUS])
            .map(String::from)
            .collect();
        let last = match text.trim_end_matches('\n').rsplit('\n').next() {
            Some(line) if !line.is_empty() => line.trim_end_matches('\r').to_string(),
            _ => line_of(&header),
        };
        let mut fields = row.to_vec();
        fields.push(sha256(last.as_bytes()));
        let mut added = String::new();
        if text.is_empty() {
            added = line_of(&header) + "\n";
        } else if !text.ends_with('\n') {
            added.push('\n');
        }
        added += &(line_of(&fields) + "\n");
        replace(path, &old, added.as_bytes()).map_err(failed)
    });
    if done.is_err() {
        held.give_up();
    }
    done
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_changed_line_breaks_the_chain() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.csv");
        let columns = ["who", "what"];
        for what in ["one, first", "two", "three"] {
            append(&path, &columns, &["me".into(), what.into()]).unwrap();
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let read = rows(&text, &columns).unwrap();
        assert_eq!(read[0], ["me", "one, first"]);
        assert_eq!(read.len(), 3);
        let why = rows(&text.replace("two", "2"), &columns).unwrap_err();
        assert!(why.starts_with("line 4: its previous_sha256"), "{why}");
        let shorter: String = text
            .lines()
            .filter(|l| !l.contains("two"))
            .map(|l| format!("{l}\n"))
            .collect();
        assert!(rows(&shorter, &columns).is_err());
        std::fs::write(&path, &shorter).unwrap();
        assert!(append(&path, &columns, &["me".into(), "four".into()]).is_err());
    }
}
