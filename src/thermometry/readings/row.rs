/*! One row of raw readings, judged: every number possible, every word known, or the reason why not. */

use super::columns::{COLUMNS, index_of};
use super::point::ReadingPoint;
use super::reading::{Cell, RawReading, ReadingFormat, RejectedReading};
use crate::records::cells::field::Field;
use crate::thermometry::reduction::{Isotopes, ReferenceResistor};

/// One row with its fields in the order of [`COLUMNS`].
pub(super) struct Row<'a> {
    pub number: u32,
    pub cells: [Field<'a>; COLUMNS.len()],
    pub format: &'a ReadingFormat,
}

impl Row<'_> {
    /// The reading, or why there is none.
    pub fn reading(&self) -> Result<RawReading, RejectedReading> {
        let (session, instrument) = (self.needed("session")?, self.needed("instrument")?);
        let date = self.field("date").date(&self.format.dates).ok_or_else(|| {
            self.reject(
                "date",
                "no date; expected YYYY-MM-DD with a time as 09:30 or 09:30:00, or set date_format",
            )
        })?;
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
        Ok(RawReading {
            file: 0,
            row: self.number,
            session,
            instrument,
            date,
            point,
            ratio,
            resistance_ohm,
            resistor: self.resistor(ratio)?,
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
        let or = |value: f64, otherwise: f64| if value.is_nan() { otherwise } else { value };
        Ok(Some(ReferenceResistor {
            ohm,
            u_ohm: self.not_negative("u_resistor_ohm")?,
            drift: or(self.number("resistor_drift_ppm")?, 0.0) * 1e-6,
            alpha: self.number("resistor_alpha")?,
            beta: or(self.number("resistor_beta")?, 0.0),
            reference_c: or(self.number("resistor_reference_c")?, 20.0),
            temperature_c: self.number("resistor_temperature_c")?,
        }))
    }

    fn cell(&self) -> Result<Cell, RejectedReading> {
        let small = match self.text("cell_kind").to_lowercase().as_str() {
            "" | "large" => false,
            "small" => true,
            _ => return Err(self.reject("cell_kind", "expected small or large")),
        };
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
        let correction = self.number("cell_correction_uk")?;
        let u_correction = self.not_negative("u_cell_correction_uk")?;
        Ok(Cell {
            name: self.text("cell"),
            small,
            isotopes: (deuterium.is_finite() && oxygen_18.is_finite()).then_some(Isotopes {
                deuterium,
                oxygen_18,
                oxygen_17,
            }),
            correction_uk: (correction.is_finite() && u_correction.is_finite())
                .then_some((correction, u_correction)),
        })
    }

    fn event(&self) -> Result<String, RejectedReading> {
        let word = self.text("event").to_lowercase();
        let known = [
            "", "adjusted", "repaired", "annealed", "shocked", "replaced",
        ];
        if known.contains(&word.as_str()) {
            return Ok(word);
        }
        Err(self.reject(
            "event",
            "expected adjusted, repaired, annealed, shocked, replaced or nothing",
        ))
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

    /// NaN where empty.
    fn number(&self, name: &'static str) -> Result<f64, RejectedReading> {
        match self.field(name).number(self.format.decimal_comma) {
            Ok(number) => Ok(number.map_or(f64::NAN, |n| n.value)),
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
        }
    }
}
