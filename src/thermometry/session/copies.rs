/*! Readings that stand twice in the files: rows pasted again, or two exports that overlap.

A reading is its time of day, its value and its current. Two files give the same one twice; one file does
where each reading of the session stands as often, since a display that shows a value again within
the resolution of its clock does so for some readings and not for all. */

use crate::records;
use crate::thermometry::readings::{RawReading, RejectedReading};
use crate::thermometry::reduction::value;
use std::collections::{BTreeMap, HashSet};

/// Fewest different readings of which each stands twice.
const FEWEST: usize = 3;

/// Takes the copies out of the readings of one thermometer at one point in one session.
pub(super) fn take_copies(group: &mut Vec<&RawReading>) -> Vec<RejectedReading> {
    let mut same: BTreeMap<[u64; 3], Vec<&RawReading>> = BTreeMap::new();
    for reading in group.iter().filter(|reading| reading.date.fract() != 0.0) {
        let key = [reading.date, value(reading), reading.current_ma].map(f64::to_bits);
        same.entry(key).or_default().push(reading);
    }
    let pasted = times_pasted(group, &same);
    let mut copies: Vec<&RawReading> = Vec::new();
    for run in same.values() {
        let first = run[0].file;
        let (own, others): (Vec<&RawReading>, Vec<&RawReading>) =
            run.iter().partition(|reading| reading.file == first);
        copies.extend(others.into_iter().take(own.len()));
        copies.extend(own.iter().skip(own.len() / pasted));
    }
    let place = |reading: &RawReading| (reading.file, reading.row);
    let places: HashSet<(u32, u32)> = copies.iter().map(|copy| place(copy)).collect();
    group.retain(|reading| !places.contains(&place(reading)));
    copies.into_iter().map(rejected).collect()
}

/// How often the readings of one file were pasted; 1 where not each of them stands as often.
fn times_pasted(group: &[&RawReading], same: &BTreeMap<[u64; 3], Vec<&RawReading>>) -> usize {
    let timed: usize = same.values().map(Vec::len).sum();
    let of_one_file = group.iter().all(|reading| reading.file == group[0].file);
    let least = same.values().map(Vec::len).min();
    match of_one_file && timed == group.len() && same.len() >= FEWEST {
        true => least.unwrap_or(1),
        false => 1,
    }
}

fn rejected(copy: &RawReading) -> RejectedReading {
    RejectedReading {
        file: copy.file,
        row: copy.row,
        column: "",
        value: String::new(),
        reason: "the same reading, to its time of day, stands in another row: it counts once"
            .into(),
        session_cause: None,
        event: records::event(&copy.event).unwrap_or_default(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::thermometry::testing::read_text;

    /// How many of these readings count, each a minute and the last digits of its resistance.
    fn kept(rows: &[(&str, &str)], second_file_from: usize) -> usize {
        let row =
            |(time, digits): &(&str, &str)| format!("S1,TH-1,2026-01-05T09:{time},25.47{digits}\n");
        let rows_text: String = rows.iter().map(row).collect();
        let text = format!("session,instrument,date,resistance_ohm\n{rows_text}");
        let mut readings = read_text(&text).unwrap().readings;
        for reading in &mut readings[second_file_from..] {
            reading.file = 1;
        }
        let mut group: Vec<&RawReading> = readings.iter().collect();
        let rejected = take_copies(&mut group);
        assert_eq!(group.len() + rejected.len(), rows.len());
        group.len()
    }

    #[test]
    fn rows_pasted_again_and_overlapping_files_count_once() {
        let session = [("01", "951"), ("02", "953"), ("03", "951"), ("04", "955")];
        let pasted = [session, session].concat();
        assert_eq!(kept(&pasted, 8), 4);
        let overlapping = [&session[..], &session[2..]].concat();
        assert_eq!(kept(&overlapping, 4), 4);
        // In one file two rows alike may be two readings.
        assert_eq!(kept(&overlapping, 6), 6);
    }

    #[test]
    fn a_display_that_shows_a_value_again_in_a_minute_is_read_as_often() {
        let quick = [("01", "951"), ("01", "951"), ("01", "953"), ("02", "951")];
        assert_eq!(kept(&quick, 4), 4);
    }
}
