/*! Readings of one day that differ between two files: repeats, or a file beside the one that it corrects. */

use super::findings::DROPPED;
use crate::records::Warning;
use crate::records::cells::batch::Batch;
use crate::records::cells::sparse::value;
use crate::records::date;
use crate::records::load::group::Entry;
use crate::words::{agreeing, count};

/// The days of one history on which files differ.
#[derive(Debug, Default)]
pub(super) struct TwoFiles {
    days: usize,
    /// The first of them: the day, and a reading of each of two files.
    first: Option<(f64, String, String)>,
}

impl TwoFiles {
    /// Takes in the rows of one date, in file order, of which copies were dropped.
    pub(super) fn see(&mut self, run: &[Entry], batches: &[Batch], files: &[String]) {
        // Readings with a time are told where they differ, whatever their files.
        if run[0].date.fract() != 0.0 {
            return;
        }
        let mut kept = run.iter().filter(|entry| entry.batch != DROPPED);
        let file = |entry: &Entry| batches[entry.batch as usize].file;
        let found = |entry: &Entry| {
            let columns = &batches[entry.batch as usize].columns;
            value(&columns.as_found, entry.row, f64::NAN)
        };
        let Some(first) = kept.find(|entry| !found(entry).is_nan()) else {
            return;
        };
        let differs = |other: &&Entry| {
            let own = found(other);
            file(other) != file(first) && !own.is_nan() && own != found(first)
        };
        let Some(other) = kept.find(differs) else {
            return;
        };
        self.days += 1;
        self.first.get_or_insert_with(|| {
            let place = |entry: &Entry| {
                let batch = &batches[entry.batch as usize];
                let row = batch.first_row + batch.row[entry.row as usize];
                let name = files.get(batch.file as usize).map_or("", String::as_str);
                format!("{} in {name}, row {row}", found(entry))
            };
            (first.date, place(first), place(other))
        });
    }

    /// What is to be said of the history `label`; `None` where its files agree.
    pub(super) fn warning(self, label: &str) -> Option<Warning> {
        let (day, one, other) = self.first?;
        let words = format!(
            "files differ on {} ({}: {one}; {other}) and all readings are kept, as repeats of {}: where one file corrects the other, leave that one out",
            count(self.days, "day"),
            date::iso(day),
            agreeing(self.days, "a day", "their days")
        );
        Some(Warning::new(label, words))
    }
}
