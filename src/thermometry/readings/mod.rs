/*! The table of raw readings: one row a reading of one thermometer in one session.

Every row becomes a [`RawReading`] or a [`RejectedReading`] with its reason; nothing
is dropped silently. Columns that a file does not have are simply not stated. Files are
read as all tables are: CSV of any usual delimiter, decimal sign and encoding, or Parquet.
*/

mod columns;
mod point;
mod row;

pub use columns::{COLUMNS, wanted_columns};
pub use point::ReadingPoint;

use super::reduction::{Isotopes, ReferenceResistor};
use crate::records::date::DateFormat;
use crate::records::{Delimiter, LoadError, Table};
use row::Row;
use std::collections::BTreeMap;

/// What the readings say about the cell.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cell {
    /// Identity; empty where unknown.
    pub name: String,
    /// True for a small cell in a dry well.
    pub small: bool,
    /// Isotopic composition of its water.
    pub isotopes: Option<Isotopes>,
    /// Departure from the scale by comparison and its standard uncertainty, µK.
    pub correction_uk: Option<(f64, f64)>,
}

/// One reading. Numbers that the row does not state are NaN.
#[derive(Debug, Clone, PartialEq)]
pub struct RawReading {
    /// Place of the file among those that were read; set by the reader of several.
    pub file: u32,
    /// Row of the table; 1 is the first line after the header.
    pub row: u32,
    /// Session.
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
    /// Current, mA.
    pub current_ma: f64,
    /// Depth, m.
    pub depth_m: f64,
    /// Minutes since insertion.
    pub minutes_since_insertion: f64,
    /// Minutes since the plateau began.
    pub plateau_minutes: f64,
    /// The cell.
    pub cell: Cell,
    /// True where pre-cooled; `None` where not stated.
    pub pre_cooled: Option<bool>,
    /// Event word; empty for none.
    pub event: String,
    /// Notes.
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
}

/// The table, read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RawTable {
    /// Usable readings in file order.
    pub readings: Vec<RawReading>,
    /// The others.
    pub rejected: Vec<RejectedReading>,
}

impl RawTable {
    /// Adds the rows of another file, the `file`-th.
    pub fn add(&mut self, file: u32, mut other: RawTable) {
        other.readings.iter_mut().for_each(|r| r.file = file);
        other.rejected.iter_mut().for_each(|r| r.file = file);
        self.readings.append(&mut other.readings);
        self.rejected.append(&mut other.rejected);
    }
}

/// How the numbers and dates of a file are written.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingFormat {
    /// Numbers are written 0,5 rather than 0.5.
    pub decimal_comma: bool,
    /// Dates.
    pub dates: DateFormat,
}

impl Default for ReadingFormat {
    fn default() -> Self {
        Self {
            decimal_comma: false,
            dates: DateFormat::Iso,
        }
    }
}

/// The readings of a table that was read with [`wanted_columns`].
///
/// # Errors
/// A table with neither `ratio` nor `resistance_ohm`.
pub fn read_table(table: &Table, format: &ReadingFormat) -> Result<RawTable, LoadError> {
    let has = |name: &str| columns::index_of(name).is_some_and(|i| table.has(i));
    if !has("ratio") && !has("resistance_ohm") {
        return Err(LoadError::new(
            &table.input.path,
            "no column \"ratio\" or \"resistance_ohm\"",
            "Name yours under [thermometry.columns], as ratio = \"its header\".",
        ));
    }
    let ragged = table.ragged.iter().map(|(row, why)| RejectedReading {
        file: 0,
        row: *row,
        column: "",
        value: String::new(),
        reason: why.clone(),
    });
    let mut readings = RawTable {
        readings: Vec::with_capacity(table.len()),
        rejected: ragged.collect(),
    };
    for index in 0..table.len() {
        let row = Row {
            number: table.number(index),
            cells: std::array::from_fn(|column| table.field(index, column)),
            format,
        };
        match row.reading() {
            Ok(reading) => readings.readings.push(reading),
            Err(rejected) => readings.rejected.push(rejected),
        }
    }
    Ok(readings)
}

/// The readings of a CSV text with the columns' own names.
///
/// # Errors
/// A needed column missing.
pub fn read_text(text: &str) -> Result<RawTable, LoadError> {
    let headers = BTreeMap::new();
    let columns = wanted_columns(&headers);
    let table = Table::of_text(text, "raw readings", &columns, Delimiter::Auto)?;
    read_table(&table, &ReadingFormat::default())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> RawTable {
        read_text(text).unwrap()
    }

    #[test]
    fn a_row_with_everything_and_one_with_little() {
        let table = read(
            "session,instrument,date,ratio,resistor_ohm,current_ma,cell,cell_kind\n\
             S1,TH-1,2026-01-05T09:30,0.254796,100.0002,1,C1,small\n\
             S1,TH-1,2026-01-05,0.254796,100.0002,,,\n",
        );
        assert_eq!(table.readings.len(), 2);
        assert!(table.readings[0].cell.small);
        assert!(table.readings[1].current_ma.is_nan());
        assert!((table.readings[0].date - 20_458.395_833_333).abs() < 1e-6);
    }

    #[test]
    fn every_bad_row_has_a_reason() {
        let table = read(
            "session,instrument,date,point,ratio,resistor_ohm,minutes_since_insertion,event,delta_deuterium\n\
             S1,TH-1,2026-01-05,,0,100,,,\n\
             S1,TH-1,2026-01-05,,0.25,100,-3,,\n\
             S1,TH-1,2026-01-05,lead,0.25,100,,,\n\
             S1,TH-1,2026-01-05,,0.25,,,,\n\
             S1,,2026-01-05,,0.25,100,,,\n\
             S1,TH-1,5.1.26,,0.25,100,,,\n\
             S1,TH-1,2026-01-05,,,100,,,\n\
             S1,TH-1,2026-01-05,,0.25,100,,dropped,\n\
             S1,TH-1,2026-01-05,,0.25,100,,,-60\n\
             S1,TH-1,2026-01-05,,NaN,100,,,\n",
        );
        let columns: Vec<_> = table.rejected.iter().map(|r| r.column).collect();
        assert_eq!(
            columns,
            [
                "ratio",
                "minutes_since_insertion",
                "point",
                "resistor_ohm",
                "instrument",
                "date",
                "ratio",
                "event",
                "delta_deuterium",
                "ratio"
            ]
        );
        assert!(table.readings.is_empty());
        assert!(table.rejected.iter().all(|r| !r.reason.is_empty()));
    }

    fn read_as(
        text: &str,
        own: (&str, &str),
        format: &ReadingFormat,
    ) -> Result<RawTable, LoadError> {
        let headers = BTreeMap::from([(own.0.to_string(), own.1.to_string())]);
        let columns = wanted_columns(&headers);
        let table = Table::of_text(text, "f.csv", &columns, Delimiter::Auto)?;
        read_table(&table, format)
    }

    #[test]
    fn own_headers_are_mapped_and_missing_ones_named() {
        let text = "Run,instrument,date,resistance_ohm\nS1,TH-1,2026-01-05,25.5\n";
        let plain = ReadingFormat::default();
        let table = read_as(text, ("session", "Run"), &plain).unwrap();
        assert_eq!(table.readings[0].session, "S1");
        let error = read_text(text).unwrap_err().to_string();
        assert!(error.contains("session"), "{error}");
        let error = read_as(
            "session,instrument,date\na,b,2026-01-05\n",
            ("cell", "date"),
            &plain,
        );
        assert!(error.unwrap_err().to_string().contains("resistance_ohm"));
    }

    #[test]
    fn semicolons_decimal_commas_and_own_dates() {
        let format = ReadingFormat {
            decimal_comma: true,
            dates: DateFormat::from_setting("%d.%m.%Y %H:%M"),
        };
        let text = "session;instrument;date;Wert\nS1;TH-1;05.01.2026 09:30;25,5\nS1;TH-1;05.01.2026 09:31;25.5\n";
        let table = read_as(text, ("resistance_ohm", "Wert"), &format).unwrap();
        assert_eq!(table.readings[0].resistance_ohm, 25.5);
        assert!((table.readings[0].date - 20_458.395_833_333).abs() < 1e-6);
        assert!(
            table.rejected[0].reason.contains("decimal"),
            "{:?}",
            table.rejected
        );
    }
}
