/*! Rows of the front page that wait on the disk until all parts of a fleet are decided: there are as
many as there are histories, and a part has the memory to itself. */

use crate::report::FleetRow;
use crate::report::page::ROWS_TOLD;
use std::fs::File;
use std::io::{BufReader, Error, Seek, Write};
use std::path::Path;

/// Rows that are written together.
const TOGETHER: usize = 1_024;

/// The rows of the parts so far.
pub(super) struct KeptRows {
    /// Every row with its place among all, without its words; gone with the run.
    file: File,
    number: usize,
    /// Those that may be shown, as far as is known, in words: the most urgent, in order.
    told: Vec<(u32, FleetRow)>,
}

impl KeptRows {
    /// None yet; the file is made in `folder`.
    pub(super) fn in_folder(folder: &Path) -> Result<Self, Error> {
        Ok(Self {
            file: tempfile::tempfile_in(folder)?,
            number: 0,
            told: Vec::new(),
        })
    }

    /// Adds the rows of one part, each with its place among all. Words are kept of those that a list
    /// may show: a part by itself would keep those of most of its rows.
    pub(super) fn add(&mut self, mut rows: Vec<(u32, FleetRow)>) -> Result<(), Error> {
        let urgency = |(place, row): &(u32, FleetRow)| (row.urgency(), *place);
        rows.sort_unstable_by_key(urgency);
        self.told.extend(rows.iter().take(ROWS_TOLD).cloned());
        self.told.sort_unstable_by_key(urgency);
        self.told.truncate(ROWS_TOLD);
        self.number += rows.len();
        let mut bytes = Vec::new();
        for together in rows.chunks_mut(TOGETHER) {
            bytes.clear();
            for own in together {
                own.1.forget_words();
                rmp_serde::encode::write(&mut bytes, own).map_err(Error::other)?;
            }
            self.file.write_all(&bytes)?;
        }
        Ok(())
    }

    /// All rows in the order of their places.
    pub(super) fn all(mut self) -> Result<Vec<FleetRow>, Error> {
        self.file.rewind()?;
        let mut file = BufReader::new(self.file);
        let mut rows = Vec::new();
        rows.resize_with(self.number, FleetRow::default);
        let mut put = |(place, row): (u32, FleetRow)| match rows.get_mut(place as usize) {
            Some(own) => {
                *own = row;
                Ok(())
            }
            None => Err(Error::other(format!("there is no row {place}"))),
        };
        for _ in 0..self.number {
            put(rmp_serde::decode::from_read(&mut file).map_err(Error::other)?)?;
        }
        self.told.into_iter().try_for_each(put)?;
        Ok(rows)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decisions::policy::Action;
    use crate::report::SparkPoint;

    #[test]
    fn rows_of_parts_come_back_in_order_and_the_most_urgent_in_words() {
        let row = |place: u32| FleetRow {
            instrument: format!("I-{place}"),
            action: if place.is_multiple_of(3) {
                Action::Review
            } else {
                Action::Keep
            },
            due_day: (!place.is_multiple_of(7)).then_some(f64::from(place) / 7.0),
            cause: format!("cause {place}"),
            reason: format!("words {place}"),
            bar: if place.is_multiple_of(2) {
                ""
            } else {
                "barred"
            }
            .into(),
            spark: vec![SparkPoint {
                day: 0.1 * f64::from(place),
                error: -1e-300,
                begins: place.is_multiple_of(2),
            }],
            ..FleetRow::default()
        };
        let folder = tempfile::tempdir().unwrap();
        let mut kept = KeptRows::in_folder(folder.path()).unwrap();
        let all = 3 * ROWS_TOLD as u32;
        for part in 0..4 {
            let own = (0..all).filter(|place| place % 4 == part);
            kept.add(own.map(|place| (place, row(place))).collect())
                .unwrap();
        }
        let mut order: Vec<u32> = (0..all).collect();
        order.sort_by_key(|place| (row(*place).urgency(), *place));
        let mut expected: Vec<FleetRow> = (0..all).map(row).collect();
        for place in &order[ROWS_TOLD..] {
            expected[*place as usize].forget_words();
        }
        assert!(kept.all().unwrap() == expected);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }
}
