/*! The table of raw readings: one row a reading of one thermometer in one session.

Every row becomes a [`RawReading`] or a [`RejectedReading`] with its reason; nothing
is dropped silently. Columns that a file does not have are simply not stated.
*/

use super::its90::FixedPoint;
use super::reduction::{Isotopes, ReferenceResistor};
use std::collections::BTreeMap;
use std::io::Read;

/// Columns of the table: name, and what it holds.
pub const COLUMNS: [(&str, &str); 27] = [
    (
        "session",
        "identity of the session (one cell, one plateau, one day); needed",
    ),
    ("instrument", "identity of the thermometer; needed"),
    ("date", "ISO 8601 date and time of the reading; needed"),
    (
        "point",
        "fixed point by name, or a comparison temperature such as 100 °C; empty = triple point of water",
    ),
    (
        "ratio",
        "bridge ratio R/R_s; needed unless resistance_ohm is given",
    ),
    ("resistance_ohm", "resistance, Ω, where no ratio is given"),
    (
        "resistor_ohm",
        "certified value of the reference resistor, Ω; needed with ratio",
    ),
    ("u_resistor_ohm", "its standard uncertainty, Ω"),
    (
        "resistor_drift_ppm",
        "its relative change since its calibration, 1e-6",
    ),
    ("resistor_alpha", "its linear temperature coefficient, 1/K"),
    (
        "resistor_beta",
        "its quadratic temperature coefficient, 1/K²",
    ),
    (
        "resistor_reference_c",
        "temperature of its calibration, °C; empty = 20",
    ),
    (
        "resistor_temperature_c",
        "its temperature at the reading, °C",
    ),
    ("current_ma", "measuring current, mA"),
    (
        "depth_m",
        "depth of the middle of the element below the liquid surface, m",
    ),
    (
        "minutes_since_insertion",
        "time since the thermometer was put in, minutes",
    ),
    (
        "plateau_minutes",
        "time since the mantle or plateau was made, minutes",
    ),
    ("cell", "identity of the cell"),
    (
        "cell_kind",
        "small (dry well) or large (bath); empty = large",
    ),
    ("delta_deuterium", "δD of the cell's water, plain number"),
    ("delta_oxygen_18", "δ18O of the cell's water, plain number"),
    ("delta_oxygen_17", "δ17O where measured"),
    (
        "cell_correction_uk",
        "departure of the cell from the scale by comparison, µK; replaces isotopes and impurities",
    ),
    ("u_cell_correction_uk", "its standard uncertainty, µK"),
    (
        "pre_cooled",
        "true where the thermometer was pre-cooled before insertion",
    ),
    (
        "event",
        "adjusted, repaired, annealed, shocked, replaced; what happened before the session",
    ),
    ("notes", "anything worth keeping"),
];

/// Where a thermometer was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReadingPoint {
    /// A defining fixed point.
    Fixed(FixedPoint),
    /// A temperature of comparison with a standard, °C.
    Comparison(f64),
}

impl ReadingPoint {
    /// Reads a name, a temperature with or without °C, or nothing (triple point of water).
    pub fn from_text(text: &str) -> Option<Self> {
        let text = text.trim();
        if text.is_empty() {
            return Some(Self::Fixed(FixedPoint::Water));
        }
        let number = text.trim_end_matches("°C").trim().parse::<f64>().ok();
        FixedPoint::from_name(text).map(Self::Fixed).or_else(|| {
            number
                .filter(|t| (-259.3467..=961.78).contains(t))
                .map(Self::Comparison)
        })
    }

    /// The name in tables.
    pub fn name(self) -> String {
        match self {
            Self::Fixed(point) => point.name().to_string(),
            Self::Comparison(celsius) => format!("{celsius} °C"),
        }
    }
}

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

/// Reads a CSV table of raw readings. `headers` maps our column names to the file's own.
///
/// # Errors
/// A file without the columns `session`, `instrument`, `date` and `ratio` or
/// `resistance_ohm`, or that is no CSV; the message names the column.
pub fn read_table(
    input: impl Read,
    headers: &BTreeMap<String, String>,
) -> Result<RawTable, String> {
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(input);
    let header = reader.headers().map_err(|e| e.to_string())?.clone();
    let positions = COLUMNS.map(|(name, _)| {
        let wanted = headers.get(name).map_or(name, String::as_str);
        header
            .iter()
            .position(|h| h.trim_start_matches('\u{feff}').trim() == wanted)
    });
    let has = |name: &str| index_of(name).is_some_and(|i| positions[i].is_some());
    for name in ["session", "instrument", "date"] {
        if !has(name) {
            return Err(missing_column(name));
        }
    }
    if !has("ratio") && !has("resistance_ohm") {
        return Err(missing_column("ratio"));
    }
    let mut table = RawTable::default();
    for (index, record) in reader.records().enumerate() {
        let record = record.map_err(|e| e.to_string())?;
        let row = Row {
            number: index as u32 + 1,
            cells: positions.map(|place| place.and_then(|i| record.get(i)).unwrap_or("").trim()),
        };
        match row.reading() {
            Ok(reading) => table.readings.push(reading),
            Err(rejected) => table.rejected.push(rejected),
        }
    }
    Ok(table)
}

fn missing_column(name: &str) -> String {
    format!("no column {name:?}; name yours under [thermometry.columns] as {name} = \"its header\"")
}

fn index_of(name: &str) -> Option<usize> {
    COLUMNS.iter().position(|(column, _)| *column == name)
}

/// One line with its fields in the order of [`COLUMNS`].
struct Row<'a> {
    number: u32,
    cells: [&'a str; COLUMNS.len()],
}

impl Row<'_> {
    fn reading(&self) -> Result<RawReading, RejectedReading> {
        let (session, instrument) = (self.needed("session")?, self.needed("instrument")?);
        let date = date_time(self.text("date")).ok_or_else(|| {
            self.reject(
                "date",
                "no date; expected YYYY-MM-DD with a time as 09:30 or 09:30:00",
            )
        })?;
        let point = ReadingPoint::from_text(self.text("point")).ok_or_else(|| {
            self.reject(
                "point",
                "neither a fixed point nor a temperature of −259 °C to 962 °C",
            )
        })?;
        let ratio = self.positive("ratio")?;
        let resistance_ohm = self.positive("resistance_ohm")?;
        if ratio.is_nan() && resistance_ohm.is_nan() {
            return Err(self.reject("ratio", "neither ratio nor resistance_ohm"));
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
            notes: self.text("notes").to_string(),
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
                "a ratio needs the value of the reference resistor",
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
            name: self.text("cell").to_string(),
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

    fn text(&self, name: &str) -> &str {
        index_of(name).map_or("", |i| self.cells[i])
    }

    fn needed(&self, name: &'static str) -> Result<String, RejectedReading> {
        match self.text(name) {
            "" => Err(self.reject(name, "empty")),
            text => Ok(text.to_string()),
        }
    }

    /// NaN where empty.
    fn number(&self, name: &'static str) -> Result<f64, RejectedReading> {
        match self.text(name) {
            "" => Ok(f64::NAN),
            text => match text.parse::<f64>() {
                Ok(value) if value.is_finite() => Ok(value),
                _ => Err(self.reject(name, "not a finite number with a decimal point")),
            },
        }
    }

    fn positive(&self, name: &'static str) -> Result<f64, RejectedReading> {
        match self.number(name)? {
            value if value <= 0.0 => Err(self.reject(name, "expected a number above 0")),
            value => Ok(value),
        }
    }

    fn not_negative(&self, name: &'static str) -> Result<f64, RejectedReading> {
        match self.number(name)? {
            value if value < 0.0 => Err(self.reject(name, "a negative value is impossible here")),
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
            value: self.text(column).to_string(),
            reason: reason.to_string(),
        }
    }
}

/// Days since 1970-01-01 of an ISO 8601 date with or without a time.
fn date_time(text: &str) -> Option<f64> {
    const SECONDS_PER_DAY: f64 = 86_400.0;
    let with_time = [
        "%Y-%m-%dT%H:%M:%S",
        "%Y-%m-%dT%H:%M",
        "%Y-%m-%d %H:%M:%S",
        "%Y-%m-%d %H:%M",
    ]
    .iter()
    .find_map(|format| chrono::NaiveDateTime::parse_from_str(text, format).ok());
    let moment = with_time.or_else(|| {
        chrono::NaiveDate::parse_from_str(text, "%Y-%m-%d")
            .ok()
            .and_then(|day| day.and_hms_opt(0, 0, 0))
    })?;
    Some(moment.and_utc().timestamp() as f64 / SECONDS_PER_DAY)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> RawTable {
        read_table(text.as_bytes(), &BTreeMap::new()).unwrap()
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

    #[test]
    fn own_headers_are_mapped_and_missing_ones_named() {
        let headers = BTreeMap::from([("session".to_string(), "Run".to_string())]);
        let text = "Run,instrument,date,resistance_ohm\nS1,TH-1,2026-01-05,25.5\n";
        let table = read_table(text.as_bytes(), &headers).unwrap();
        assert_eq!(table.readings[0].session, "S1");
        let error = read_table(text.as_bytes(), &BTreeMap::new()).unwrap_err();
        assert!(error.contains("session"), "{error}");
    }
}
