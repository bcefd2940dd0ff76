/*! From batches and findings to rejects and warnings in the person's own headers. */

use super::accounts::{Loaded, Reject, Warning};
use super::batch::Batch;
use super::column::Column;
use super::load::FileRows;
use super::outcome;
use super::screen::Findings;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Name of a file and its headers by column, for messages.
pub(crate) struct Headers {
    file: Arc<str>,
    columns: Vec<Arc<str>>,
}

impl Headers {
    fn of(&self, column: Option<Column>) -> Arc<str> {
        column.map_or_else(|| Arc::from(""), |c| self.columns[c.index()].clone())
    }
}

pub(crate) fn take_files(files: Vec<FileRows>, loaded: &mut Loaded) -> (Vec<Batch>, Vec<Headers>) {
    let (mut batches, mut headers) = (Vec::new(), Vec::new());
    for (index, file) in files.into_iter().enumerate() {
        let name = &file.input.path;
        let notes = file.matched.notes.iter();
        loaded
            .warnings
            .extend(notes.map(|note| Warning::new(name, note)));
        if file.batches.iter().all(|b| b.read == 0) {
            loaded
                .warnings
                .push(Warning::new(name, "the file has a header but no row"));
        }
        let columns = file
            .matched
            .positions
            .iter()
            .zip(Column::ALL)
            .map(|(place, column)| {
                Arc::from(place.map_or(column.name(), |i| file.matched.headers[i].as_str()))
            });
        headers.push(Headers {
            file: Arc::from(name.as_str()),
            columns: columns.collect(),
        });
        for mut batch in file.batches {
            batch.file = index as u32;
            loaded.rows.read += batch.read;
            batches.push(batch);
        }
        loaded.inputs.push(file.input);
    }
    (batches, headers)
}

/// Moves the batches' rejects and unknown words out into words.
pub(crate) fn collect_rejects(batches: &mut [Batch], headers: &[Headers], loaded: &mut Loaded) {
    let mut unknown: BTreeMap<(u32, &'static str, String), (u32, usize)> = BTreeMap::new();
    for batch in batches {
        let names = &headers[batch.file as usize];
        loaded
            .rejects
            .extend(batch.rejects.drain(..).map(|reject| Reject {
                file: names.file.clone(),
                row: batch.first_row + reject.row,
                column: names.of(reject.column),
                value: reject.value,
                reason: reject.reason,
            }));
        for word in batch.unknown_words.drain(..) {
            let row = batch.first_row + word.row;
            let key = (batch.file, word.column.name(), word.word);
            unknown.entry(key).or_insert((row, 0)).1 += 1;
        }
    }
    for ((file, column, word), (row, count)) in unknown {
        let source = format!("{}, row {row}", headers[file as usize].file);
        let mend = if column == "event" {
            "; give it a meaning under checks.events"
        } else {
            ""
        };
        let words = format!(
            "unknown {column} \"{word}\" is read as none{mend}{}",
            outcome::and_more(count - 1)
        );
        loaded.warnings.push(Warning::new(source, words));
    }
}

pub(crate) fn collect_findings(
    findings: Vec<Findings>,
    batches: &[Batch],
    headers: &[Headers],
    loaded: &mut Loaded,
) {
    for found in findings {
        loaded.rows.merged += found.merged;
        loaded.warnings.extend(found.warnings);
        loaded
            .rejects
            .extend(found.rejects.into_iter().map(|reject| {
                let batch = &batches[reject.batch as usize];
                let names = &headers[batch.file as usize];
                Reject {
                    file: names.file.clone(),
                    row: batch.first_row + batch.row[reject.row as usize],
                    column: names.of(Some(Column::Unit)),
                    value: reject.value,
                    reason: reject.reason.into(),
                }
            }));
    }
    let place: BTreeMap<Arc<str>, usize> = headers
        .iter()
        .enumerate()
        .map(|(i, h)| (h.file.clone(), i))
        .collect();
    loaded
        .rejects
        .sort_by_key(|r| (place.get(&r.file).copied(), r.row));
    loaded.rows.rejected = loaded.rejects.len() as u64;
}
