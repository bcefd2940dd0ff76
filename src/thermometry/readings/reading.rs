/*! What one row of the table of raw readings says, and what becomes of a whole table. */

use super::point::ReadingPoint;
use crate::records::Event;
use crate::records::date::DateFormat;
use crate::thermometry::reduction::{Isotopes, ReferenceResistor};
use std::collections::BTreeMap;

/// What kind of cell realises the triple point of water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CellKind {
    /// The readings do not say.
    #[default]
    NotStated,
    /// Small, in a dry well, frozen to slush by shaking it while supercooled.
    SmallSlush,
    /// Small, with a frozen mantle.
    SmallFrozen,
    /// Large, in a bath, with a mantle.
    Large,
}

impl CellKind {
    /// From the word of a table; `None` for another word.
    pub(crate) fn from_text(text: &str) -> Option<Self> {
        Some(match text.trim().to_lowercase().as_str() {
            "" => Self::NotStated,
            "small" | "slush" | "small slush" => Self::SmallSlush,
            "frozen" | "small frozen" => Self::SmallFrozen,
            "large" | "mantle" | "large mantle" => Self::Large,
            _ => return None,
        })
    }

    /// True for a small cell.
    pub(crate) fn is_small(self) -> bool {
        matches!(self, Self::SmallSlush | Self::SmallFrozen)
    }
}

/// What the readings say about the cell.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Cell {
    /// Identity; empty where unknown.
    pub name: String,
    /// What kind it is.
    pub kind: CellKind,
    /// Isotopic composition of its water.
    pub isotopes: Option<Isotopes>,
    /// Departure from the scale by comparison, µK; NaN where it was not compared.
    pub departure_uk: f64,
    /// Its standard uncertainty, µK; NaN where not stated.
    pub u_departure_uk: f64,
}

/// One reading. Numbers that the row does not state are NaN.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct RawReading {
    /// Place of the file among those that were read; set by the reader of several.
    pub file: u32,
    /// Row of the table; 1 is the first line after the header.
    pub row: u32,
    pub session: String,
    /// Thermometer.
    pub instrument: String,
    /// Date and time, days since 1970-01-01.
    pub date: f64,
    /// Where.
    pub point: ReadingPoint,
    /// Bridge ratio.
    pub ratio: f64,
    /// Resistance, Ω, where there is no ratio.
    pub resistance_ohm: f64,
    /// Reference resistor, where there is a ratio.
    pub resistor: Option<ReferenceResistor>,
    /// Number of readings that the row is the mean of; 1 for a single reading.
    pub count: usize,
    /// Their standard deviation, in the unit of the reading; NaN for a single reading.
    pub deviation: f64,
    /// Standard uncertainty of a value that the laboratory reduced itself, Ω; NaN where it is to be reduced.
    pub u_ohm: f64,
    /// The part of it that all checks of the thermometer share, Ω; NaN where not stated.
    pub u_common_ohm: f64,
    /// Identity of the bridge or readout; empty where unknown.
    pub bridge: String,
    /// Identity of the reference resistor; empty where unknown.
    pub resistor_name: String,
    pub current_ma: f64,
    pub depth_m: f64,
    pub minutes_since_insertion: f64,
    /// Minutes since the plateau began.
    pub plateau_minutes: f64,
    pub cell: Cell,
    /// True where pre-cooled; `None` where not stated.
    pub pre_cooled: Option<bool>,
    /// Event word; empty for none.
    pub event: String,
    pub notes: String,
}

/// A row that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RejectedReading {
    /// Place of the file among those that were read; set by the reader of several.
    pub file: u32,
    /// Row of the table; 1 is the first line after the header.
    pub row: u32,
    /// Our name of the column at fault; empty where the whole row is.
    pub column: &'static str,
    /// What stands there.
    pub value: String,
    /// Why.
    pub reason: String,
    /// Where it stands for a session that was rejected: which, and by what first, without the thermometer's name.
    pub session_cause: Option<String>,
    /// What it says of work done to the thermometer that no other row takes over.
    pub event: Event,
}

/// The table, read.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct RawTable {
    /// Usable readings in file order.
    pub readings: Vec<RawReading>,
    /// The others.
    pub rejected: Vec<RejectedReading>,
    /// What is told of the events: words that are read as none, and notes that speak of some.
    pub told: Vec<String>,
}

impl RawTable {
    /// Adds the rows of another file, the `file`-th.
    pub(crate) fn add(&mut self, file: u32, mut other: RawTable) {
        other.readings.iter_mut().for_each(|r| r.file = file);
        other.rejected.iter_mut().for_each(|r| r.file = file);
        self.readings.append(&mut other.readings);
        self.rejected.append(&mut other.rejected);
        self.told.append(&mut other.told);
    }
}

/// How the numbers and dates of a file are written.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ReadingFormat {
    /// Numbers are written 0,5 rather than 0.5.
    pub decimal_comma: bool,
    /// What divides uncertainties that the laboratory states of its own values.
    pub coverage_factor: f64,
    pub dates: DateFormat,
    /// Own words for events.
    pub events: BTreeMap<String, Event>,
}

impl Default for ReadingFormat {
    fn default() -> Self {
        Self {
            decimal_comma: false,
            coverage_factor: 1.0,
            dates: DateFormat::Iso,
            events: BTreeMap::new(),
        }
    }
}
