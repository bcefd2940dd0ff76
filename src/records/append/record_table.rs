/*! A person's CSV file of checks as rows are added to it: their columns, their way of writing. */

use super::check::{AppendError, NewCheck, NoPlace, same_time};
use crate::records::LoadError;
use crate::records::cells::column::{COLUMN_COUNT, Column};
use crate::records::cells::marks::{ColumnMarks, Seen, grouped};
use crate::records::cells::number::Number;
use crate::records::cells::shape::Shape;
use crate::records::cells::unit::power_between;
use crate::records::date::{DateFormat, written};
use crate::records::reading::csv::records::{Next, Records, refuse_open};
use crate::records::reading::csv::text::{TableText, split_header};
use crate::records::reading::header::own::OFF;
use crate::records::reading::header::own::OwnHeader;
use crate::records::reading::header::{Matched, Wanted, match_headers};
use crate::records::settings::ChecksSettings;
use crate::records::settings::words::{AsFoundIs, InstrumentFrom};
use csv::StringRecord;
use std::path::Path;

/// Where each of our columns stands.
type Places = [Option<usize>; COLUMN_COUNT];

/// A CSV text with the places of our columns.
pub(crate) struct RecordTable<'a> {
    text: &'a str,
    delimiter: u8,
    line_end: &'static str,
    header: Vec<String>,
    places: Places,
    /// Units that the headers state.
    units: [Option<Box<str>>; COLUMN_COUNT],
    marks: ColumnMarks,
    /// The instrument of all rows, where the file has its name.
    named: Option<String>,
}

/// The header of a table that is begun; without the instruments where the file is `named` as its own.
fn header_of_own(wanted: &[Wanted<'_>], named: bool) -> Vec<String> {
    // One number in place of two limits is a habit of other files.
    let usual = |c: &&Wanted<'_>| c.own.is_some() || !["tolerance", "range"].contains(&c.name);
    wanted
        .iter()
        .filter(|column| column.own != Some(OFF))
        .filter(|column| !named || column.name != Column::Instrument.name())
        .filter(usual)
        .map(|column| column.own.unwrap_or(column.name).to_string())
        .collect()
}

impl<'a> RecordTable<'a> {
    /// Finds the columns in the header of `text`; our own names for an empty one.
    pub(crate) fn read(
        text: &'a str,
        settings: &ChecksSettings,
        file: &str,
    ) -> Result<Self, NoPlace> {
        let by_cell = settings.instrument_from == InstrumentFrom::Cell;
        if by_cell || !settings.date_cell.trim().is_empty() {
            return Err(NoPlace::NamedAbove);
        }
        let named = (settings.instrument_from == InstrumentFrom::File).then(|| stem(file));
        let own = settings.columns.headers();
        let wanted = Column::ALL.map(|column| Wanted {
            name: column.name(),
            own: own[column.index()],
        });
        let (delimiter, header) = if text.is_empty() {
            let delimiter = settings.delimiter.byte().unwrap_or(b',');
            (delimiter, header_of_own(&wanted, named.is_some()))
        } else {
            let split = split_header(TableText::of_file(text, file, settings.delimiter))
                .map_err(|e| NoPlace::Unreadable(e.what))?;
            refuse_open(text, split.delimiter)?;
            (split.delimiter, split.header)
        };
        // As the records are read: exact, then by case and blanks.
        let matched =
            match_headers(file, header, &wanted).map_err(|e| NoPlace::Unreadable(e.what))?;
        let mut places: Places = std::array::from_fn(|i| matched.positions[i]);
        // Nothing is written into a column that is switched off.
        if settings.columns.nominal == OwnHeader::Off {
            places[Column::Nominal.index()] = None;
        }
        let units = Shape::of(&matched, settings).units;
        let marks = marks_of(text, settings, &matched, file)?;
        if named.is_some() {
            places[Column::Instrument.index()] = None;
        }
        for needed in [Column::Instrument, Column::Date, Column::AsFound] {
            let told = needed == Column::Instrument && named.is_some();
            if places[needed.index()].is_none() && !told {
                return Err(NoPlace::NoColumn(needed.name()));
            }
        }
        Ok(Self {
            text,
            delimiter,
            line_end: if text.contains("\r\n") { "\r\n" } else { "\n" },
            header: matched.headers,
            places,
            units,
            marks,
            named,
        })
    }

    /// Refuses a check that the table has already, or that is given twice.
    pub(crate) fn refuse_duplicates(
        &self,
        checks: &[NewCheck],
        settings: &ChecksSettings,
        file: &str,
    ) -> Result<(), AppendError> {
        let duplicate = |check: &NewCheck, date: &str, row: usize| AppendError::Duplicate {
            file: file.to_string(),
            instrument: check.instrument.clone(),
            point: check.point.clone(),
            date: date.to_string(),
            row,
        };
        let dates = DateFormat::from_setting(&settings.date_format);
        let unusable = |e: LoadError| AppendError::unusable(file, e.what);
        let (body, header_row) = match self.text {
            "" => ("", 1),
            text => {
                let split = split_header(TableText::of_file(text, file, settings.delimiter));
                let split = split.map_err(unusable)?;
                (split.body, split.row)
            }
        };
        let twice = given_twice(checks);
        let records = Records::new(body, self.delimiter, self.header.len(), file);
        let mut records = records.below(header_row);
        let mut record = StringRecord::new();
        // A line with an open quotation mark may be the very check: it is compared like any other.
        while records.next(&mut record).map_err(unusable)? != Next::End {
            let of = |column: Column| {
                self.places[column.index()]
                    .and_then(|i| record.get(i))
                    .unwrap_or("")
                    .trim()
            };
            let Some(date) = dates.parse(of(Column::Date)) else {
                continue;
            };
            let item = self.named.as_deref();
            let item = item.unwrap_or_else(|| of(Column::Instrument));
            let names = (item, of(Column::Point));
            let same = |check: &&NewCheck| {
                names == (check.instrument.trim(), check.point.trim())
                    && same_time(date, check.date)
            };
            if let Some(check) = checks.iter().find(same) {
                return Err(duplicate(check, of(Column::Date), records.row as usize));
            }
        }
        twice.map_or(Ok(()), |index| {
            let check = &checks[index];
            let day = crate::records::date::iso(check.date);
            Err(duplicate(check, &day, records.row as usize + index + 1))
        })
    }

    /// What is appended: a line end where the file lacks one, the header for a new file,
    /// and the rows.
    pub(crate) fn lines(
        &self,
        checks: &[NewCheck],
        settings: &ChecksSettings,
    ) -> Result<String, NoPlace> {
        let mut text = String::new();
        if self.text.is_empty() {
            text += &(joined(&self.header, self.delimiter)? + self.line_end);
        } else if !self.text.ends_with('\n') {
            text += self.line_end;
        }
        for check in checks {
            text += &(self.row(check, settings)? + self.line_end);
        }
        Ok(text)
    }

    fn row(&self, check: &NewCheck, settings: &ChecksSettings) -> Result<String, NoPlace> {
        if let Some(named) = self
            .named
            .as_ref()
            .filter(|named| **named != check.instrument)
        {
            return Err(NoPlace::OtherInstrument {
                own: named.clone(),
                stated: check.instrument.clone(),
            });
        }
        let mut row = vec![String::new(); self.header.len()];
        for column in Column::ALL {
            let cell = self.cell(check, column, settings)?;
            match self.places[column.index()] {
                Some(place) => row[place] = cell,
                // A file without these has them from the settings, the register or not at all.
                None if cell.is_empty() || matches!(column, Column::Kind | Column::Unit) => {}
                // The name of the file is the name of the instrument.
                None if column == Column::Instrument && self.named.is_some() => {}
                None => {
                    return Err(NoPlace::ColumnOfCheck(column.name()));
                }
            }
        }
        Ok(joined(&row, self.delimiter)?)
    }

    /// The power of ten that turns a number in the `stated` unit into the unit of a column.
    fn power_into(&self, column: Column, stated: &str) -> Result<i32, NoPlace> {
        let own = self.units[column.index()].as_deref().unwrap_or_default();
        power_between(stated, own).ok_or_else(|| NoPlace::Unit {
            column: column.name(),
            own: own.to_string(),
            stated: stated.to_string(),
        })
    }

    /// The text of 10^`power` times a number, as the column writes numbers; empty of one that is not stated.
    fn number(&self, column: Column, value: f64, power: i32, settings: &ChecksSettings) -> String {
        let Some(number) = Number::from_double(value) else {
            return String::new();
        };
        let mut text = number.scaled(power).value.to_string();
        // 1.234 alone in a file could be a thousand and more.
        let begun = self.text.is_empty() && settings.decimal_comma.is_none();
        if begun && text.contains('.') && grouped(text.trim_start_matches('-'), '.') {
            text.push('0');
        }
        match self.marks[column.index()].comma {
            true => text.replace('.', ","),
            false => text,
        }
    }

    /// The text of a check in a column, in the column's unit and way of writing.
    fn cell(
        &self,
        check: &NewCheck,
        column: Column,
        settings: &ChecksSettings,
    ) -> Result<String, NoPlace> {
        let power = self.power_into(column, &check.unit)?;
        let number = |value: f64| self.number(column, value, power, settings);
        // A file of corrections keeps minus the error.
        let reading = |value: f64| match settings.as_found_is {
            AsFoundIs::Correction => number(0.0 - value),
            _ => number(value),
        };
        Ok(match column {
            Column::Instrument => check.instrument.clone(),
            Column::Point => check.point.clone(),
            Column::Date => written(check.date, &settings.date_format)?,
            Column::AsFound => reading(check.as_found),
            Column::AsLeft => reading(check.as_left),
            Column::Nominal => number(check.nominal),
            // The file may keep expanded uncertainties.
            Column::U => match self.places[Column::CoverageFactor.index()] {
                Some(_) => number(check.u),
                None => number(check.u * settings.coverage_factor),
            },
            Column::CoverageFactor
                if self.places[column.index()].is_some() && check.u.is_finite() =>
            {
                "1".into()
            }
            // None is what a row without it has: a file without that column keeps such a check as well.
            Column::UCommon if check.u_common == 0.0 => String::new(),
            Column::UCommon => number(check.u_common),
            Column::Usage => number(check.usage),
            Column::Event => check.event.word().to_string(),
            Column::Kind => check.kind.word().into(),
            Column::Unit => check.unit.clone(),
            Column::Lower
            | Column::Upper
            | Column::InTolerance
            | Column::Tolerance
            | Column::Range
            | Column::Source
            | Column::Assigned
            | Column::UAssigned
            | Column::CoverageFactor
            | Column::Group
            | Column::IntervalDays
            | Column::NextDue => String::new(),
        })
    }
}

/// The name of a file without its ending.
fn stem(file: &str) -> String {
    let stem = Path::new(file).file_stem();
    stem.map_or(String::new(), |stem| stem.to_string_lossy().into_owned())
}

/// How the numbers of a file are written, as its reader finds it.
fn marks_of(
    text: &str,
    settings: &ChecksSettings,
    matched: &Matched,
    file: &str,
) -> Result<ColumnMarks, NoPlace> {
    let unreadable = |e: LoadError| NoPlace::Unreadable(format!("{}. {}", e.what, e.mend));
    let mut cells: Vec<(usize, u32, String)> = Vec::new();
    if !text.is_empty() {
        let split =
            split_header(TableText::of_file(text, file, settings.delimiter)).map_err(unreadable)?;
        let mut records = split.records(split.body).below(split.row);
        let mut record = StringRecord::new();
        while records.next(&mut record).map_err(unreadable)? != Next::End {
            for column in Column::ALL.into_iter().filter(|column| column.has_unit()) {
                let place = matched.place(column);
                if let Some(cell) = place.and_then(|place| record.get(place)) {
                    cells.push((column.index(), records.row, cell.to_string()));
                }
            }
        }
    }
    let cells = cells
        .iter()
        .map(|(column, row, text)| (*column, *row, text.as_str()));
    let header = |column: usize| Column::ALL[column].name().to_string();
    Seen::of_cells(COLUMN_COUNT, cells)
        .column_marks(settings.decimal_comma, settings.thousands, file, header)
        .map_err(unreadable)
}

pub(crate) fn joined(row: &[String], delimiter: u8) -> Result<String, csv::Error> {
    let mut writer = csv::WriterBuilder::new()
        .delimiter(delimiter)
        .from_writer(Vec::new());
    writer.write_record(row)?;
    let bytes = writer.into_inner().map_err(|why| why.into_error())?;
    let text = String::from_utf8_lossy(&bytes);
    Ok(text.trim_end_matches('\n').to_string())
}

/// The first check that another before it repeats.
fn given_twice(checks: &[NewCheck]) -> Option<usize> {
    let repeats = |index: &usize| {
        let check = &checks[*index];
        let same = |other: &NewCheck| {
            (&other.instrument, &other.point) == (&check.instrument, &check.point)
                && same_time(other.date, check.date)
        };
        checks[..*index].iter().any(same)
    };
    (0..checks.len()).find(repeats)
}
