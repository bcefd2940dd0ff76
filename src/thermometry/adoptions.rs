/*! Values adopted with `driftbook adopt`: rows of a file that is only ever appended to. */

use super::facts::{ThermometerFacts, Thermometers};
use super::facts_error::FactsError;
use super::session::SessionResult;
use super::values::AdoptedValue;
use crate::records::date;

/// Columns of the file of adoptions, before the chain's own.
pub(crate) const ADOPTION_COLUMNS: [&str; 9] = [
    "instrument",
    "session",
    "on",
    "triple_point_ohm",
    "u_triple_point_ohm",
    "measured_in",
    "superseded_ohm",
    "by",
    "reason",
];

/// The row that adopts the value of a session.
pub(crate) fn adoption_row(session: &SessionResult, by: &str, reason: &str) -> Vec<String> {
    vec![
        session.instrument.clone(),
        session.session.clone(),
        date::iso(session.date.floor()),
        session.reduced.resistance_ohm.to_string(),
        session.reduced.budget.u_random_ohm().to_string(),
        session.cell.clone(),
        session.carried_ohm().to_string(),
        by.to_string(),
        reason.to_string(),
    ]
}

impl Thermometers {
    /// Adds the adopted values of `rows` to those that the file of the thermometers states. A
    /// thermometer without an entry there gets one, whose first value is the one superseded first.
    ///
    /// # Errors
    /// A row with an impossible date or value, or out of order; names thermometer and session.
    pub(crate) fn with_adoptions(mut self, rows: &[Vec<String>]) -> Result<Self, FactsError> {
        for row in rows {
            let [instrument, session, on, ohm, u_ohm, cell, before, ..] = &row[..] else {
                return Err(FactsError::ShortRow);
            };
            let wrong = |column| FactsError::Cell {
                instrument: instrument.clone(),
                session: session.clone(),
                column,
            };
            let number = |text: &str, column| text.parse::<f64>().map_err(|_| wrong(column));
            let adopted = AdoptedValue {
                on: date::parse_iso(on.as_bytes()).ok_or_else(|| wrong("on"))?,
                triple_point_ohm: number(ohm, "triple_point_ohm")?,
                u_triple_point_ohm: number(u_ohm, "u_triple_point_ohm")?,
                certificate: false,
                measured_in: cell.clone(),
            };
            let first = number(before, "superseded_ohm")?;
            self.entry(instrument, first).adopted.push(adopted);
        }
        for one in &mut self.thermometer {
            one.adopted.sort_by(|a, b| a.on.total_cmp(&b.on));
            one.check()?;
        }
        Ok(self)
    }

    fn entry(&mut self, instrument: &str, first_ohm: f64) -> &mut ThermometerFacts {
        let known = self
            .thermometer
            .iter()
            .position(|t| t.instrument == instrument);
        let place = known.unwrap_or_else(|| {
            self.thermometer.push(ThermometerFacts {
                from_sessions: true,
                ..ThermometerFacts::new(instrument, first_ohm)
            });
            self.thermometer.len() - 1
        });
        &mut self.thermometer[place]
    }
}
