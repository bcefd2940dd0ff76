/*! A simulated fleet as histories in memory, without a detour through files. */

use super::life::{RECORD, TrueLife, chance, live};
use super::seeds::stream;
use super::settings::{FleetSettings, SimulationSettings};
use crate::records::{Check, CheckKind, Event, Histories, Item, Outcome, Tolerance};
use chrono::NaiveDate;
use rayon::prelude::*;

/// Every instrument of every fleet, errors in half widths of the tolerance (limits −1
/// and +1), faults of the record left out.
pub fn histories(settings: &SimulationSettings) -> Histories {
    let as_of = (settings.as_of - NaiveDate::default()).num_days() as f64;
    let mut all = Histories::default();
    for (number, fleet) in settings.fleet.iter().enumerate() {
        let lives: Vec<TrueLife> = (0..fleet.instruments)
            .into_par_iter()
            .map(|instrument| live(settings, number, instrument, as_of))
            .collect();
        for (instrument, life) in lives.iter().enumerate() {
            let path = [number as u64, instrument as u64, RECORD];
            let without_u = chance(fleet.reading.without_u, &mut stream(settings.seed, &path));
            let u = if without_u { f64::NAN } else { life.stated_u };
            push(&mut all, fleet, instrument, (life, u));
        }
    }
    all
}

fn push(
    all: &mut Histories,
    fleet: &FleetSettings,
    instrument: usize,
    (life, u): (&TrueLife, f64),
) {
    for check in &life.checks {
        let inside = check.found.abs() <= 1.0;
        let kind = match check.calibration {
            true => CheckKind::Calibration,
            false => CheckKind::Check,
        };
        all.columns.push(Check {
            date: check.day,
            as_found: check.found,
            as_left: check.left.unwrap_or(f64::NAN),
            u,
            u_common: fleet.reading.u_common,
            outcome: if inside { Outcome::In } else { Outcome::Out },
            event: check.left.map_or(Event::None, |_| Event::Adjusted),
            kind,
            source: (0, all.columns.len() as u32 + 1),
            ..Check::UNSTATED
        });
    }
    let given = |cost: f64| (cost > 0.0).then_some(cost);
    all.end_item(Item {
        instrument: format!("{}-{:05}", fleet.prefix, instrument + 1),
        group: fleet.name.clone(),
        tolerance: Tolerance::new(-1.0, 1.0),
        cost: given(fleet.cost),
        cost_out_of_tolerance: given(fleet.cost_out_of_tolerance),
        ..Item::default()
    });
}
