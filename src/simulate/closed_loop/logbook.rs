/*! What the laboratory knows of a class: its checks so far, as the program's own records. */

use super::super::settings::FleetSettings;
use super::settings::LoopSettings;
use crate::records::{
    Check, CheckKind, Columns, DAYS_PER_YEAR, Event, Histories, History, Item, Outcome, Tolerance,
};

/// Day the loop starts: 2000-01-01, in days since 1970-01-01.
const START_DAY: f64 = 10_957.0;

/// Checks of all instruments of a class, each with columns of its own that grow.
#[derive(Debug, Clone)]
pub struct Logbook {
    items: Vec<Item>,
    columns: Vec<Columns>,
}

/// Day since 1970-01-01 of a time in the loop, years.
pub(crate) fn day_of(years: f64) -> f64 {
    START_DAY + years * DAYS_PER_YEAR
}

impl Logbook {
    /// An empty logbook of `instruments` of one fleet; limits are −1 and +1.
    pub(crate) fn new(settings: &LoopSettings, fleet: &FleetSettings, instruments: usize) -> Self {
        let item = |number| Item {
            instrument: format!("{}-{number:05}", fleet.prefix),
            group: fleet.name.clone(),
            tolerance: Tolerance::new(-1.0, 1.0),
            interval_days: Some(settings.first_interval_years * DAYS_PER_YEAR),
            cap_days: Some(settings.longest_years * DAYS_PER_YEAR),
            floor_days: Some(settings.shortest_years * DAYS_PER_YEAR),
            reliability_target: Some(settings.reliability_target),
            cost: Some(fleet.cost),
            cost_out_of_tolerance: Some(fleet.cost_out_of_tolerance),
            ..Item::default()
        };
        Logbook {
            items: (0..instruments).map(item).collect(),
            columns: vec![Columns::default(); instruments],
        }
    }

    /// Writes down one calibration.
    pub(crate) fn note(
        &mut self,
        instrument: usize,
        years: f64,
        found: f64,
        left: Option<f64>,
        u: f64,
    ) {
        let columns = &mut self.columns[instrument];
        let inside = found.abs() <= 1.0;
        columns.push(Check {
            date: day_of(years),
            as_found: found,
            as_left: left.unwrap_or(f64::NAN),
            u,
            outcome: if inside { Outcome::In } else { Outcome::Out },
            event: left.map_or(Event::None, |_| Event::Adjusted),
            kind: CheckKind::Calibration,
            source: (0, columns.len() as u32 + 1),
            ..Check::UNSTATED
        });
    }

    /// The interval now in force, years.
    pub(crate) fn set_interval(&mut self, instrument: usize, years: f64) {
        self.items[instrument].interval_days = Some(years * DAYS_PER_YEAR);
    }

    /// The interval now in force, years.
    pub(crate) fn interval(&self, instrument: usize) -> f64 {
        self.items[instrument].interval_days.unwrap_or(f64::NAN) / DAYS_PER_YEAR
    }

    /// One instrument's history so far.
    pub(crate) fn history(&self, instrument: usize) -> History<'_> {
        let columns = &self.columns[instrument];
        columns.history(&self.items[instrument], 0..columns.len())
    }

    /// The whole class as one table, for what looks at groups.
    pub(crate) fn histories(&self) -> Histories {
        let mut all = Histories::default();
        for instrument in 0..self.items.len() {
            all.push(&self.history(instrument));
        }
        all
    }
}
