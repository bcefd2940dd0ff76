/*! Fleets as ordinary records, with a table of the truth beside them.

Instruments are written in batches, so that millions of rows need no memory;
batch by batch the text depends on the settings alone, not on threads.
*/

use super::fleet_tables::Tables;
use super::life::{RECORD, live};
use super::seeds::stream;
use super::settings::SimulationSettings;
use super::writer::Writer;
use chrono::NaiveDate;
use rayon::prelude::*;
use std::ops::Range;

/// Instruments that one thread writes at a time.
const CHUNK: u64 = 128;
/// Instruments in one batch: what is held in memory at once.
pub const BATCH: u64 = 8192;

/// Instruments of all fleets together.
pub fn instruments(settings: &SimulationSettings) -> u64 {
    settings.fleet.iter().map(|fleet| fleet.instruments).sum()
}

/// Instruments `range` (counted through all fleets) as text; all cores, same bytes.
pub fn batch(settings: &SimulationSettings, range: Range<u64>) -> Tables {
    let end = range.end.min(instruments(settings));
    let chunks = (range.start..end)
        .step_by(CHUNK as usize)
        .collect::<Vec<_>>();
    let parts: Vec<Tables> = chunks
        .into_par_iter()
        .map(|start| {
            let mut tables = Tables::default();
            for overall in start..(start + CHUNK).min(end) {
                write_instrument(settings, overall, &mut tables);
            }
            tables
        })
        .collect();
    let mut tables = Tables::default();
    parts.into_iter().for_each(|part| tables.append(part));
    tables
}

fn write_instrument(settings: &SimulationSettings, overall: u64, tables: &mut Tables) {
    let mut number = overall;
    let Some((fleet_number, fleet)) = settings.fleet.iter().enumerate().find(|(_, fleet)| {
        let here = number < fleet.instruments;
        if !here {
            number -= fleet.instruments;
        }
        here
    }) else {
        return;
    };
    let as_of = (settings.as_of - NaiveDate::default()).num_days() as f64;
    let life = live(settings, fleet_number, number, as_of);
    let writer = Writer::new(
        fleet,
        number,
        &life,
        stream(settings.seed, &[fleet_number as u64, number, RECORD]),
    );
    writer.write(settings.true_errors, tables);
}

#[cfg(test)]
#[path = "generate_tests.rs"]
mod tests;
