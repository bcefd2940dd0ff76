/*! Lines of readings as a person types them or a readout sends them, each as a row of the laboratory's
own table of readings. */

use crate::commands::refused::{Refused, refused};
use crate::records::append::record_table::joined;
use crate::records::date::{days_of, written};
use crate::records::reading::table::Table;
use crate::records::{Delimiter, Encoding, LoadError};
use crate::thermometry::ThermometrySettings;
use crate::thermometry::readings::{COLUMNS, RawReading, RawTable, read_table, wanted_columns};
use chrono::{NaiveDateTime, Timelike};

/// The word that takes the newest reading back.
const UNDO: &str = "undo";

/// What one line is.
pub(super) enum Line {
    /// An empty line, or the header of a table.
    Nothing,
    /// The newest reading is taken back.
    Undo,
    /// A reading.
    Reading(Box<RawReading>),
    /// No reading, and why.
    Refused(String),
}

/// Readings without a header: whose they are, and what holds for all of them.
pub(super) struct Bare<'a> {
    /// Thermometer.
    pub instrument: &'a str,
    /// Our columns with what each reading has in them.
    pub every: Vec<(&'static str, String)>,
    /// Clock of a line without a time of its own; `None` where such a line is refused.
    pub clock: Option<fn() -> NaiveDateTime>,
}

/// The lines so far.
pub(super) struct Lines<'a> {
    settings: &'a ThermometrySettings,
    bare: Option<Bare<'a>>,
    header: Option<String>,
    rows: Vec<String>,
    last_arrival: Option<NaiveDateTime>,
}

impl<'a> Lines<'a> {
    /// No line yet; `bare` where a thermometer was named, whose readings stand without a header.
    pub(crate) fn new(settings: &'a ThermometrySettings, bare: Option<Bare<'a>>) -> Self {
        Self {
            settings,
            bare,
            header: None,
            rows: Vec::new(),
            last_arrival: None,
        }
    }

    /// All accepted rows under their header.
    pub(crate) fn table(&self) -> String {
        let lines = self.header.iter().chain(&self.rows);
        lines.map(|line| format!("{line}\n")).collect()
    }

    /// Takes the next line.
    ///
    /// # Errors
    /// A first line that is no header of readings, where no thermometer is named.
    pub(crate) fn read(&mut self, line: &str) -> Result<Line, Refused> {
        let line = line.trim();
        if line.is_empty() {
            return Ok(Line::Nothing);
        }
        if line.eq_ignore_ascii_case(UNDO) {
            return Ok(match self.rows.pop() {
                Some(_) => Line::Undo,
                None => Line::Refused("there is no reading to take back".into()),
            });
        }
        let row = match self.bare {
            Some(_) => self.bare_row(line),
            None if self.header.is_none() => return self.take_header(line),
            None => Ok(line.to_string()),
        };
        Ok(match row.and_then(|row| self.taken(row)) {
            Ok(reading) => Line::Reading(Box::new(reading)),
            Err(why) => Line::Refused(why.to_string()),
        })
    }

    fn take_header(&mut self, line: &str) -> Result<Line, Refused> {
        let word = |c: char| c.is_alphabetic();
        if !line.contains(word) {
            return Err(refused!(
                "{line:?} is no header of a table of readings; name the thermometer whose readings come without one, as in \
                 driftbook verdict P-1 --watch -"
            ));
        }
        self.parsed(line, "")?;
        self.header = Some(line.to_string());
        Ok(Line::Nothing)
    }

    /// The row of a line `[time] number`, under the laboratory's own headers.
    fn bare_row(&mut self, line: &str) -> Result<String, Refused> {
        let (time, number) = match line.rsplit_once(char::is_whitespace) {
            Some((time, number)) => (time.trim().to_string(), number),
            None => (self.arrival()?, line),
        };
        let Some(bare) = &self.bare else {
            return Ok(String::new());
        };
        let by_ratio = bare.every.iter().any(|(name, _)| *name == "resistor_ohm");
        let quantity = match by_ratio {
            true => "ratio",
            false => "resistance_ohm",
        };
        let stated = |column: &'static str, value: &str| (column, value.to_string());
        let day = time.split(['T', ' ']).next().unwrap_or_default();
        let mut cells = vec![
            stated("session", day),
            stated("instrument", bare.instrument),
            stated("date", &time),
            stated(quantity, number),
        ];
        for (column, value) in &bare.every {
            match cells.iter_mut().find(|(name, _)| name == column) {
                Some(cell) => cell.1.clone_from(value),
                None => cells.push((column, value.clone())),
            }
        }
        // One session: what the first reading says holds for all.
        if let Some(first) = self.first_session()
            && !bare.every.iter().any(|(name, _)| *name == "session")
        {
            cells[0].1 = first;
        }
        let delimiter = match self.settings.delimiter {
            Delimiter::Auto if self.settings.decimal_comma => b';',
            other => other.byte().unwrap_or(b','),
        };
        let own = |name: &str| {
            self.settings
                .columns
                .get(name)
                .map_or(name, String::as_str)
                .to_string()
        };
        let header: Vec<String> = cells.iter().map(|(name, _)| own(name)).collect();
        let values: Vec<String> = cells.into_iter().map(|(_, value)| value).collect();
        let text = |row: &[String]| {
            let text = joined(row, delimiter)?;
            Ok::<_, Refused>(text.trim_end().to_string())
        };
        if self.header.is_none() {
            self.header = Some(text(&header)?);
        }
        text(&values)
    }

    /// Session of the first row.
    fn first_session(&self) -> Option<String> {
        let first = self.rows.first()?;
        let header = self.header.as_deref()?;
        let reading = self.parsed(header, first).ok()?.readings.pop()?;
        Some(reading.session)
    }

    /// Time at which a line came, as the laboratory writes times.
    fn arrival(&mut self) -> Result<String, Refused> {
        let Some(clock) = self.bare.as_ref().and_then(|bare| bare.clock) else {
            return Err(refused!(
                "no time; write it before the number, as in 2026-09-05T09:31 100.0123"
            ));
        };
        let now = clock();
        let now = now.with_nanosecond(0).unwrap_or(now);
        if self.last_arrival == Some(now) {
            return Err(refused!(
                "it came within the second of the one before, whose time is not its own; send one a second at \
                 most, or write the time before the number"
            ));
        }
        self.last_arrival = Some(now);
        let days = days_of(now.date()) + f64::from(now.num_seconds_from_midnight()) / 86_400.0;
        Ok(written(days, &self.settings.date_format)?)
    }

    /// The reading of a row, which is kept where there is one.
    fn taken(&mut self, row: String) -> Result<RawReading, Refused> {
        let header = self.header.clone().unwrap_or_default();
        let mut table = self.parsed(&header, &row)?;
        if let Some(refused) = table.rejected.first() {
            return Err(match refused.column {
                "" => Refused::new(refused.reason.clone()),
                column => refused!(
                    "column {column}, value {:?}: {}",
                    refused.value,
                    refused.reason
                ),
            });
        }
        let reading = table.readings.pop().ok_or_else(|| refused!("no reading"))?;
        self.rows.push(row);
        Ok(reading)
    }

    fn parsed(&self, header: &str, row: &str) -> Result<RawTable, LoadError> {
        let columns = wanted_columns(&self.settings.columns);
        let format = self.settings.reading_format();
        let text = format!("{header}\n{row}\n");
        let table = Table::of_text(&text, "the readings", &columns, self.settings.delimiter)?;
        read_table(&table, &format)
    }
}

/// `COLUMN=VALUE` of the command line.
///
/// # Errors
/// Another form, a column that readings do not have, or one that each line has of its own.
pub(super) fn stated(text: &str, encoding: Encoding) -> Result<(&'static str, String), Refused> {
    let (name, value) = text
        .split_once('=')
        .ok_or_else(|| refused!("{text:?}: expected COLUMN=VALUE, as in cell=C-9"))?;
    let column = COLUMNS
        .iter()
        .map(|column| column.name)
        .find(|column| *column == name.trim())
        .ok_or_else(|| refused!("{text:?}: readings have no column {name:?}"))?;
    if encoding.encoded(value).is_err() {
        return Err(refused!(
            "{text:?}: the laboratory's encoding, {}, cannot write it",
            encoding.word()
        ));
    }
    match column {
        "instrument" | "date" | "ratio" | "resistance_ohm" => {
            Err(refused!("{text:?}: each reading has its own {column}"))
        }
        _ => Ok((column, value.trim().to_string())),
    }
}
