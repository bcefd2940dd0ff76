/*! An invented bench for tests: sessions written as raw readings, and what they say. */

use super::its90::TRIPLE_POINT_SLOPE;
use super::readings::{COLUMNS, RawTable, ReadingFormat, read_table, wanted_columns};
use super::session::SessionStanding;
use super::session_findings::{SessionFindings, ThermometerReport, session_findings};
use super::{Thermometers, ThermometrySettings};
use crate::records::date;
use crate::records::{Delimiter, LoadError, Table};
use std::collections::BTreeMap;

/// Raw readings under our own headers.
pub(crate) fn read_text(text: &str) -> Result<RawTable, LoadError> {
    let headers = BTreeMap::new();
    let columns = wanted_columns(&headers);
    let table = Table::of_text(text, "raw readings", &columns, Delimiter::Auto)?;
    read_table(&table, &ReadingFormat::default())
}

/// Departure of the large cell at the sensor: 0.265 m of head, isotopes of the cell, K.
const LARGE_DEPARTURE_K: f64 = -236.8e-6;
/// Head of 0.12 m in the small cell, K.
const SMALL_DEPARTURE_K: f64 = -87.6e-6;
/// Draws from a standard normal distribution, frozen: mean near 0, deviation near 1.
const DRAWS: [f64; 20] = [
    0.31, -1.12, 0.85, -0.24, 1.41, -0.67, 0.05, -1.53, 0.98, 0.42, -0.35, 1.07, -0.91, 0.18,
    -0.06, 0.73, -1.29, 0.54, 1.66, -1.60,
];

/// A row of the table: column → text.
pub(crate) type Row = BTreeMap<&'static str, String>;

/// Readings, facts and settings of an invented laboratory.
pub(crate) struct Bench {
    rows: Vec<Row>,
    pub facts: String,
    pub settings: ThermometrySettings,
    /// True for the dry well with a slush cell and a readout of 1 mA; false for the bridge.
    small: bool,
    pub noise_mk: f64,
}

impl Bench {
    /// A bridge with a 100 Ω resistor, a large cell whose mantle is four days old, two currents.
    pub(crate) fn large() -> Self {
        Self {
            rows: Vec::new(),
            facts: String::new(),
            settings: ThermometrySettings::default(),
            small: false,
            noise_mk: 0.02,
        }
    }

    /// A small slush cell in a dry well, a readout that shows 0.1 mΩ at 1 mA, noise of 0.5 mK.
    pub(crate) fn slush() -> Self {
        Self {
            small: true,
            noise_mk: 0.5,
            ..Self::large()
        }
    }

    /// A thermometer of the file: name, R at the triple point, further lines.
    pub(crate) fn thermometer(mut self, name: &str, ohm: f64, more: &str) -> Self {
        self.facts += &format!(
            "[[thermometer]]\ninstrument = \"{name}\"\ntriple_point_ohm = {ohm}\n{more}\n"
        );
        self
    }

    /// One session on `day`: each thermometer with its R and the change from it, mK.
    pub(crate) fn session(self, name: &str, day: &str, read: &[(&str, f64, f64)]) -> Self {
        self.session_with(name, day, read, |_| ())
    }

    /// The same with every row changed by `change`.
    pub(crate) fn session_with(
        mut self,
        name: &str,
        day: &str,
        read: &[(&str, f64, f64)],
        change: impl Fn(&mut Row),
    ) -> Self {
        for (place, &(instrument, ohm, mk)) in read.iter().enumerate() {
            let own = self.readings(name, day, place, (instrument, ohm, mk));
            self.rows.extend(own.into_iter().map(|mut row| {
                change(&mut row);
                row
            }));
        }
        self
    }

    fn readings(&self, session: &str, day: &str, place: usize, read: (&str, f64, f64)) -> Vec<Row> {
        let (instrument, ohm, mk) = read;
        let runs: &[f64] = if self.small {
            &[1.0]
        } else {
            &[1.0, std::f64::consts::SQRT_2, 1.0]
        };
        let (departure, heating) = match self.small {
            true => (SMALL_DEPARTURE_K, 1.9),
            false => (LARGE_DEPARTURE_K, 0.3),
        };
        let mut rows = Vec::new();
        for (run, current) in runs.iter().enumerate() {
            for i in 0..12 {
                let draw =
                    DRAWS[(7 * place + 5 * run + i + session.len() + day.len()) % DRAWS.len()];
                let kelvin =
                    departure + 1e-3 * (mk + heating * current * current + self.noise_mk * draw);
                // A readout is certified at the current it reads with: self-heating is in R.
                let kelvin = if self.small {
                    kelvin - 1e-3 * heating
                } else {
                    kelvin
                };
                let r = ohm * (1.0 + TRIPLE_POINT_SLOPE * kelvin);
                let minute = 9 * 60 + 50 * place + 14 * run + i;
                rows.push(self.row(
                    session,
                    day,
                    instrument,
                    (r, *current, minute),
                    run * 14 + i,
                ));
            }
        }
        rows
    }

    fn row(
        &self,
        session: &str,
        day: &str,
        instrument: &str,
        (ohm, current, minute): (f64, f64, usize),
        since: usize,
    ) -> Row {
        let mut row = Row::from([
            ("session", session.to_string()),
            ("instrument", instrument.to_string()),
            (
                "date",
                format!("{day}T{:02}:{:02}", minute / 60, minute % 60),
            ),
            ("current_ma", current.to_string()),
            ("minutes_since_insertion", (20 + since).to_string()),
            ("pre_cooled", "true".into()),
        ]);
        let more: &[(&'static str, String)] = &match self.small {
            true => [
                ("resistance_ohm", format!("{ohm:.4}")),
                ("cell", "C-9".into()),
                ("cell_kind", "small slush".into()),
                ("depth_m", "0.12".into()),
                ("plateau_minutes", (30 + minute - 540).to_string()),
                ("notes", String::new()),
                ("event", String::new()),
                ("point", String::new()),
                ("ratio", String::new()),
                ("delta_deuterium", String::new()),
                ("delta_oxygen_18", String::new()),
                ("resistor_ohm", String::new()),
            ],
            false => [
                ("ratio", format!("{:.10}", ohm / 100.0)),
                ("resistor_ohm", "100".into()),
                ("u_resistor_ohm", "0.00001".into()),
                ("resistor_alpha", "0".into()),
                ("resistor_reference_c", "20".into()),
                ("resistor_temperature_c", "20".into()),
                ("cell", "C-1".into()),
                ("cell_kind", "large".into()),
                ("depth_m", "0.265".into()),
                ("plateau_minutes", "5760".into()),
                ("delta_deuterium", "-0.060".into()),
                ("delta_oxygen_18", "-0.0085".into()),
            ],
        };
        row.extend(more.iter().cloned());
        row
    }

    /// The table as CSV text.
    pub(crate) fn text(&self) -> String {
        let names: Vec<&str> = COLUMNS.iter().map(|column| column.name).collect();
        let line = |row: &Row| {
            let cells = names.iter().map(|n| row.get(n).map_or("", String::as_str));
            cells.collect::<Vec<_>>().join(",")
        };
        let lines = self.rows.iter().map(line);
        std::iter::once(names.join(","))
            .chain(lines)
            .collect::<Vec<_>>()
            .join("\n")
            + "\n"
    }

    /// What the sessions say as of `day`.
    pub(crate) fn findings(&self, day: &str) -> SessionFindings {
        self.findings_of(&self.text(), day)
    }

    /// The reasons of all sessions as of `day`.
    pub(crate) fn reasons(&self, day: &str) -> String {
        let findings = self.findings(day);
        let reasons = findings.results.iter().map(|r| r.reasons());
        reasons.collect()
    }

    /// What another text of readings says with these facts and settings.
    pub(crate) fn findings_of(&self, text: &str, day: &str) -> SessionFindings {
        let table = read_text(text).unwrap();
        let facts = Thermometers::from_text(&self.facts).unwrap();
        let as_of = date::parse_iso(day.as_bytes()).unwrap();
        let mut findings = session_findings(&table.readings, &facts, &self.settings, as_of);
        findings.rejected.extend(table.rejected);
        findings
    }
}

impl SessionFindings {
    /// What is said about a thermometer that was read.
    pub(crate) fn report_on(&self, instrument: &str) -> &ThermometerReport {
        self.of(instrument).unwrap()
    }

    /// Checks that every session stands with the U of a small slush cell, 1 mK to 5 mK (common practice, no source).
    pub(crate) fn stand_as_of_a_slush_cell(&self) {
        for result in &self.results {
            let reasons = result.reasons();
            assert_ne!(result.standing(), SessionStanding::Rejected, "{reasons}");
            let expanded = result.reduced.in_mk(result.reduced.expanded_ohm());
            assert!((1.0..5.0).contains(&expanded), "{expanded}");
        }
    }
}

impl ThermometerReport {
    /// The advice in one line: its word, then its reason.
    pub(crate) fn advised(&self) -> String {
        let advice = self.advice.as_ref();
        advice.map_or("none".into(), |a| {
            format!("{}: {}", a.kind.word(), a.reason)
        })
    }
}
