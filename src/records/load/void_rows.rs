/*! What is told of rows that do not count, as a column of theirs says. */

use crate::records::Warning;
use crate::records::cells::batch::Batch;
use crate::records::reading::header::Matched;
use crate::words::{agreeing, and_more, count};
use std::collections::{BTreeMap, BTreeSet};

/// Rows that are named.
const NAMED: usize = 20;

/// What is told of the void rows of the file `shown`: those that were left out, with what they tell of failures and events, and
/// those that count all the same, where nobody has `answered` for them.
pub(super) fn told(
    shown: &str,
    (batches, matched): (&[Batch], &Matched),
    answered: bool,
) -> Vec<Warning> {
    let left_out = left_out(batches);
    let counted = counted(batches, matched).filter(|_| !answered);
    let words = left_out.into_iter().chain(counted);
    words.map(|words| Warning::new(shown, words)).collect()
}

fn left_out(batches: &[Batch]) -> Option<String> {
    let mut rows: BTreeMap<u32, String> = BTreeMap::new();
    for batch in batches {
        for (row, carried) in &batch.void.out {
            // A row of a table with a column a date is several checks.
            let words = rows.entry(batch.first_row + row).or_default();
            if words.is_empty() {
                *words = carried.words();
            }
        }
    }
    if rows.is_empty() {
        return None;
    }
    let named = rows.keys().take(NAMED).map(u32::to_string);
    let named: Vec<String> = named.collect();
    let more = and_more(rows.len() - named.len());
    let mut words = format!(
        "{} {} left out, since void_rows_by says that {} not count: row {}{more}",
        count(rows.len(), "row"),
        agreeing(rows.len(), "is", "are"),
        agreeing(rows.len(), "it does", "they do"),
        named.join(", ")
    );
    // Each of these is named, however many there are.
    let telling = rows.iter().filter(|(_, words)| !words.is_empty());
    let telling: Vec<String> = telling
        .map(|(row, words)| format!("row {row} ({words})"))
        .collect();
    if !telling.is_empty() {
        words += &format!(
            ". A failure or an adjustment goes with {}: where it happened, a row that counts must state it",
            telling.join(", ")
        );
    }
    Some(words)
}

fn counted(batches: &[Batch], matched: &Matched) -> Option<String> {
    let rows = batches.iter().flat_map(|batch| {
        let rows = batch.void.counted.iter();
        rows.map(|row| batch.first_row + row)
    });
    let rows: BTreeSet<u32> = rows.collect();
    let row = rows.first()?;
    let mut firsts = batches.iter().filter_map(|b| b.void.first.as_ref());
    let (place, text) = firsts.next()?;
    let header = matched
        .headers
        .get(*place)
        .map_or("", |header| header.trim());
    Some(format!(
        "\"{header}\" says of {} that {} not count (row {row}: \"{text}\"), and {} taken like the others: void_rows_by = \"{header}\" with such words in void_rows_are leaves {} out",
        count(rows.len(), "row"),
        agreeing(rows.len(), "it does", "they do"),
        agreeing(rows.len(), "its reading is", "their readings are"),
        agreeing(rows.len(), "it", "them"),
    ))
}

#[cfg(test)]
mod tests {
    use crate::records::testing::load_files;
    use crate::records::{ChecksSettings, Loaded, RegisterSettings};
    use polars::prelude::*;

    const ROWS: [(&str, f64, &str, Option<&str>); 4] = [
        ("2021-03-04", 0.4, "ok", None),
        (
            "2022-03-04",
            7.3,
            "VOID - wrong reference",
            Some("adjusted"),
        ),
        ("2022-03-05", 0.5, "ok", None),
        ("2023-03-04", 9.5, "cancelled", None),
    ];

    fn load_by((name, bytes): &(&str, Vec<u8>), settings: &ChecksSettings) -> Loaded {
        let register = RegisterSettings::default();
        load_files(&[(*name, bytes)], (settings, &register)).unwrap()
    }

    /// The rows in a text and in Parquet.
    fn files() -> [(&'static str, Vec<u8>); 2] {
        let mut csv = "instrument,date,as_found,Status of record,event\n".to_string();
        for (date, found, state, event) in ROWS {
            csv += &format!("A,{date},{found},{state},{}\n", event.unwrap_or(""));
        }
        let mut frame = df!(
            "instrument" => ["A"; 4],
            "date" => ROWS.map(|row| row.0),
            "as_found" => ROWS.map(|row| row.1),
            "Status of record" => ROWS.map(|row| row.2),
            "event" => ROWS.map(|row| row.3),
        )
        .unwrap();
        let mut parquet = Vec::new();
        ParquetWriter::new(&mut parquet).finish(&mut frame).unwrap();
        [("c.csv", csv.into_bytes()), ("p.parquet", parquet)]
    }

    fn told(loaded: &Loaded, words: &str) -> Vec<String> {
        let warnings = loaded.warnings.iter().map(ToString::to_string);
        warnings.filter(|warning| warning.contains(words)).collect()
    }

    #[test]
    fn void_rows_are_rejected_with_that_and_an_adjustment_in_one_is_named() {
        let settings = ChecksSettings {
            void_rows_by: "status of record".into(),
            void_rows_are: vec!["Void".into()],
            ..ChecksSettings::default()
        };
        for file in files() {
            let loaded = load_by(&file, &settings);
            assert_eq!(loaded.histories.columns.as_found, [0.4, 0.5, 9.5]);
            let rows = loaded.rows;
            assert_eq!((rows.read, rows.used, rows.rejected), (4, 3, 1));
            let reject = &loaded.rejects[0];
            assert_eq!((reject.row, &*reject.value), (3, ROWS[1].2));
            says!(reject.reason, "says that it does not count");
            // It is left out knowingly, and stops nothing.
            assert!(loaded.refuse_lost_failures(false).is_ok());
            says!(told(&loaded, "left out")[0], "1 row", "row 3 (adjusted)");
            // A word that the settings do not name.
            says!(
                told(&loaded, "taken like the others")[0],
                "cancelled",
                "row 5"
            );
        }
    }

    #[test]
    fn void_rows_that_no_setting_leaves_out_are_told() {
        let answered = ChecksSettings {
            doubts: [("void_rows".to_string(), "they count".to_string())].into(),
            ..ChecksSettings::default()
        };
        for file in files() {
            let loaded = load_by(&file, &ChecksSettings::default());
            assert_eq!(loaded.rows.used, 4);
            says!(told(&loaded, "void_rows_by")[0], "2 rows", "row 3", "VOID");
            let loaded = load_by(&file, &answered);
            assert_eq!(told(&loaded, "void_rows_by"), Vec::<String>::new());
        }
    }
}
