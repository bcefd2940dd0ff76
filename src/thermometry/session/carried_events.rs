/*! What was done to a thermometer before a session that makes no check of a history: it holds for the next one that
does. An anneal noted in a rejected session, or beside the reading at another point, would be lost with it, and its
step counted as drift. */

use super::result::SessionResult;
use crate::records::{self, Event, date};
use std::collections::BTreeMap;

/// Gives each accepted session of a thermometer at a point, where it states nothing itself, what was done since the
/// accepted one before it there. `results` are by date.
pub(super) fn carry(results: &mut [SessionResult]) {
    let mut told: BTreeMap<String, Vec<Told>> = BTreeMap::new();
    for result in results.iter() {
        let event = records::event(&result.event).unwrap_or_default();
        if event != Event::None {
            told.entry(result.instrument.clone())
                .or_default()
                .push(Told {
                    event,
                    date: result.date,
                    session: result.session.clone(),
                });
        }
    }
    let mut before: BTreeMap<(String, String), f64> = BTreeMap::new();
    for result in results.iter_mut() {
        if !result.is_accepted() {
            continue;
        }
        let key = (result.instrument.clone(), result.point.name());
        let last = before.insert(key, result.date);
        let own = told.get(&result.instrument).map_or(&[][..], Vec::as_slice);
        let since =
            |told: &&Told| last.is_some_and(|last| told.date > last) && told.date <= result.date;
        let states_none = records::event(&result.event).unwrap_or_default() == Event::None;
        if let Some(told) = own.iter().filter(since).max_by_key(|told| told.weight())
            && states_none
        {
            told.note_in(result);
        }
    }
}

/// What was done to a thermometer, as a session tells.
struct Told {
    event: Event,
    date: f64,
    session: String,
}

impl Told {
    /// What ends the drift goes before what resets the value alone; `max_by_key` takes the last of equals.
    fn weight(&self) -> bool {
        self.event.restarts_drift()
    }

    fn note_in(&self, result: &mut SessionResult) {
        result.event = self.event.word().to_string();
        let words = format!(
            "{} before session {} of {}",
            self.event.word(),
            self.session,
            date::iso(self.date.floor())
        );
        result.notes = match result.notes.is_empty() {
            true => words,
            false => format!("{}; {words}", result.notes),
        };
    }
}
