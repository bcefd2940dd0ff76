/*! One row of raw readings, judged: every number possible, every word known, or the reason why not. */

use super::columns::{COLUMNS, index_of};
use super::events;
use super::point::ReadingPoint;
use super::reading::{Cell, CellKind, RawReading, ReadingFormat, RejectedReading};
use super::units::Scale;
use crate::records::cells::field::Field;
use crate::records::date::iso;
use crate::thermometry::reduction::{Isotopes, ReferenceResistor, relative_slope};

/// Ratio and resistance of one reading may differ, relatively, by what the temperature of the
/// resistor does to a value that is shown without it (our own choice, no source: 2.5 mK).
const CONTRADICTION: f64 = 1e-5;

/// One row with its fields in the order of [`COLUMNS`].
pub(super) struct Row<'a> {
    pub number: u32,
    /// True where the file has a column of sessions.
    pub names_sessions: bool,
    /// What turns the numbers of each column into the unit of its name.
    pub scales: &'a [Scale; COLUMNS.len()],
    pub cells: [Field<'a>; COLUMNS.len()],
    pub format: &'a ReadingFormat,
}

impl Row<'_> {
    /// The reading, or why there is none.
    pub(crate) fn reading(&self) -> Result<RawReading, RejectedReading> {
        let instrument = self.needed("instrument")?;
        let date = self.field("date").date(&self.format.dates).ok_or_else(|| {
            self.reject(
                "date",
                "no date; expected YYYY-MM-DD with a time as 09:30 or 09:30:00, or set date_format",
            )
        })?;
        let session = match self.names_sessions {
            true => self.needed("session")?,
            false => format!("{} {}", iso(date.floor()), self.text("cell")),
        };
        let point = ReadingPoint::from_text(&self.text("point")).ok_or_else(|| {
            self.reject(
                "point",
                "neither a fixed point by name nor a temperature of −259 °C to 962 °C, such as zinc or 100 °C",
            )
        })?;
        let ratio = self.positive("ratio")?;
        let resistance_ohm = self.positive("resistance_ohm")?;
        if ratio.is_nan() && resistance_ohm.is_nan() {
            return Err(self.reject(
                "ratio",
                "neither ratio nor resistance_ohm; state one of them",
            ));
        }
        let resistor = self.resistor(ratio)?;
        self.agreeing(ratio, resistance_ohm, resistor)?;
        let (count, deviation) = self.averaged()?;
        let ohm = resistor.map_or(resistance_ohm, |resistor| ratio * resistor.value());
        let (u_ohm, u_common_ohm) = self.own_uncertainty(ohm * relative_slope(point))?;
        Ok(RawReading {
            file: 0,
            row: self.number,
            session: session.trim_end().to_string(),
            instrument,
            date,
            point,
            ratio,
            resistance_ohm,
            resistor,
            count,
            deviation,
            u_ohm,
            u_common_ohm,
            bridge: self.text("bridge"),
            resistor_name: self.text("resistor"),
            current_ma: self.positive("current_ma")?,
            depth_m: self.not_negative("depth_m")?,
            minutes_since_insertion: self.not_negative("minutes_since_insertion")?,
            plateau_minutes: self.not_negative("plateau_minutes")?,
            cell: self.cell()?,
            pre_cooled: self.flag("pre_cooled")?,
            event: self.event()?,
            notes: self.text("notes"),
        })
    }

    fn resistor(&self, ratio: f64) -> Result<Option<ReferenceResistor>, RejectedReading> {
        if ratio.is_nan() {
            return Ok(None);
        }
        let ohm = self.positive("resistor_ohm")?;
        if ohm.is_nan() {
            return Err(self.reject(
                "resistor_ohm",
                "a ratio needs the value of the reference resistor; state it, Ω",
            ));
        }
        Ok(Some(ReferenceResistor {
            ohm,
            u_ohm: self.not_negative("u_resistor_ohm")?,
            drift: self.number("resistor_drift_ppm")? * 1e-6,
            alpha: self.number("resistor_alpha")?,
            beta: self.number("resistor_beta")?,
            reference_c: self.number("resistor_reference_c")?,
            temperature_c: self.number("resistor_temperature_c")?,
        }))
    }

    /// Number of readings in the row and their standard deviation.
    fn averaged(&self) -> Result<(usize, f64), RejectedReading> {
        let count = self.positive("readings")?;
        let deviation = self.not_negative("standard_deviation")?;
        if count.fract() > 0.0 || count > f64::from(u32::MAX) {
            return Err(self.reject("readings", "expected a whole number of readings"));
        }
        match count {
            many if many > 1.0 && deviation.is_nan() => Err(self.reject(
                "standard_deviation",
                "a mean of several readings needs their standard deviation",
            )),
            many if many > 1.0 => Ok((many as usize, deviation)),
            _ => Ok((1, f64::NAN)),
        }
    }

    /// The uncertainty of a value that the laboratory reduced itself, and the part of it that is shared.
    /// `ohm_per_kelvin` turns those of a temperature into resistances.
    fn own_uncertainty(&self, ohm_per_kelvin: f64) -> Result<(f64, f64), RejectedReading> {
        let in_ohm = |name: &str, stated: f64| {
            let factor = match self.scale(name) {
                Scale::Kelvin(power) => ohm_per_kelvin * 10f64.powi(power),
                Scale::Power(_) => 1.0,
            };
            stated * factor / self.format.coverage_factor
        };
        let whole = in_ohm("u_ohm", self.positive("u_ohm")?);
        let shared = in_ohm("u_common_ohm", self.not_negative("u_common_ohm")?);
        if shared > whole || shared.is_finite() && whole.is_nan() {
            return Err(self.reject(
                "u_common_ohm",
                "expected a part of u_ohm, which is the whole; correct one of them",
            ));
        }
        Ok((whole, shared))
    }

    /// A ratio and a resistance of one reading that contradict each other leave open which is right.
    fn agreeing(
        &self,
        ratio: f64,
        ohm: f64,
        resistor: Option<ReferenceResistor>,
    ) -> Result<(), RejectedReading> {
        let by_ratio = resistor.map_or(f64::NAN, |r| ratio * r.value());
        let apart = (ohm / by_ratio - 1.0).abs();
        if apart > CONTRADICTION {
            let words = format!(
                "ratio times resistor gives {by_ratio:.6} Ω, which contradicts it; correct one of them, or leave it empty"
            );
            return Err(self.reject("resistance_ohm", &words));
        }
        Ok(())
    }

    fn cell(&self) -> Result<Cell, RejectedReading> {
        let kind = CellKind::from_text(&self.text("cell_kind")).ok_or_else(|| {
            self.reject(
                "cell_kind",
                "expected small slush, small frozen or large mantle",
            )
        })?;
        let (deuterium, oxygen_18) = (
            self.number("delta_deuterium")?,
            self.number("delta_oxygen_18")?,
        );
        let oxygen_17 = Some(self.number("delta_oxygen_17")?).filter(|d| d.is_finite());
        for (name, delta) in [
            ("delta_deuterium", deuterium),
            ("delta_oxygen_18", oxygen_18),
        ] {
            if delta.abs() > 1.0 {
                return Err(self.reject(name, "expected a plain number: −60 ‰ is −0.060"));
            }
        }
        if !self.text("cell_correction_uk").is_empty() {
            return Err(self.reject(
                "cell_correction_uk",
                "its sign can be read both ways; state cell_departure_uk, the temperature of the cell minus that of \
                 the scale in µK (negative for a cell that is colder), and u_cell_departure_uk",
            ));
        }
        Ok(Cell {
            name: self.text("cell"),
            kind,
            isotopes: (deuterium.is_finite() && oxygen_18.is_finite()).then_some(Isotopes {
                deuterium,
                oxygen_18,
                oxygen_17,
            }),
            departure_uk: self.number("cell_departure_uk")?,
            u_departure_uk: self.not_negative("u_cell_departure_uk")?,
        })
    }

    /// The word of what was done before the reading; empty for nothing.
    fn event(&self) -> Result<String, RejectedReading> {
        let text = self.text("event");
        match events::read(&text, self.format) {
            Some(event) => Ok(event.word().to_string()),
            None if events::speaks(&text) => Err(self.reject(
                "event",
                "speaks of an event in words that no list knows; give the text a meaning under thermometry.events: \"none\", \"annealed\" or another",
            )),
            None => Ok(String::new()),
        }
    }

    fn field(&self, name: &str) -> Field<'_> {
        index_of(name).map_or(Field::Empty, |i| self.cells[i])
    }

    /// Its text without blanks at the ends; empty where there is none.
    fn text(&self, name: &str) -> String {
        self.field(name).text().trim().to_string()
    }

    fn needed(&self, name: &'static str) -> Result<String, RejectedReading> {
        let text = self.text(name);
        match text.is_empty() {
            true => Err(self.reject(name, "empty; every reading needs it")),
            false => Ok(text),
        }
    }

    /// What turns the numbers of a column into the unit of its name.
    fn scale(&self, name: &str) -> Scale {
        index_of(name).map_or(Scale::Power(0), |column| self.scales[column])
    }

    /// NaN where empty.
    fn number(&self, name: &'static str) -> Result<f64, RejectedReading> {
        match self.field(name).number(self.format.decimal_comma) {
            Ok(number) => Ok(number.map_or(f64::NAN, |n| match self.scale(name) {
                Scale::Power(power) => n.scaled(power).value,
                Scale::Kelvin(_) => n.value,
            })),
            Err(problem) => Err(self.reject(name, problem.words())),
        }
    }

    fn positive(&self, name: &'static str) -> Result<f64, RejectedReading> {
        match self.number(name)? {
            value if value <= 0.0 => Err(self.reject(
                name,
                "expected a number above 0; correct it, or take the row out",
            )),
            value => Ok(value),
        }
    }

    fn not_negative(&self, name: &'static str) -> Result<f64, RejectedReading> {
        match self.number(name)? {
            value if value < 0.0 => Err(self.reject(name, "below 0, which is impossible here; correct it, or leave it empty where it is not known")),
            value => Ok(value),
        }
    }

    fn flag(&self, name: &'static str) -> Result<Option<bool>, RejectedReading> {
        match self.text(name).to_lowercase().as_str() {
            "" => Ok(None),
            "true" | "yes" | "1" => Ok(Some(true)),
            "false" | "no" | "0" => Ok(Some(false)),
            _ => Err(self.reject(name, "expected true or false")),
        }
    }

    fn reject(&self, column: &'static str, reason: &str) -> RejectedReading {
        RejectedReading {
            file: 0,
            row: self.number,
            column,
            value: self.text(column),
            reason: reason.to_string(),
            session_cause: None,
            event: events::spoken(&self.text("event"), self.format),
        }
    }
}
