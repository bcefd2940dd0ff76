/*! From one row an item or a date to one row a check, as a text that is read like any other. */

use super::WideSettings;
use super::columns::{Columns, Key};
use super::nominal::{bare_nominal, nominal};
use crate::records::LoadError;
use crate::records::cells::batch::Batch;
use crate::records::cells::column::Column;
use crate::records::cells::stated_unit::apart_from;
use crate::records::cells::unit;
use crate::records::cells::written::is_nothing;
use crate::records::date;
use crate::records::reading::above::Above;
use crate::records::reading::aside::{Aside, aside};
use crate::records::reading::csv_records::{Next, Records};
use crate::records::reading::csv_text::Split;
use crate::records::reading::fill_down::{self, Anew, FillDown};
use crate::records::reading::find_table::{Sought, find_table};
use crate::records::reading::header::Matched;
use crate::records::setting_words::Delimiter;
use csv::{StringRecord, Writer};

/// A wide table as one row a check.
pub(crate) struct Long {
    /// CSV with commas: date or point, what stands once for each, then the other columns.
    pub text: String,
    /// The row of each check in the wide table, and its date's or point's number among the columns.
    origins: Vec<(u32, usize)>,
    columns: Columns,
    /// What each date or point puts into the first columns of the text.
    leads: Vec<Vec<String>>,
    by_points: bool,
    headers: Vec<String>,
    /// Units of the columns of the text, where headers state them.
    units: Vec<String>,
    set_aside: Vec<(Aside, u32)>,
    /// What is to be said of the table.
    notes: Vec<String>,
    /// The last row of the header, and how many rows around it are set aside.
    header_row: u32,
    around: u64,
    /// The rows above it.
    above: Vec<Above>,
}

/// How the text of a wide table is written.
#[derive(Clone, Copy)]
pub(crate) struct Written {
    pub delimiter: Delimiter,
    /// True where the text was made from a sheet.
    pub of_sheet: bool,
}

/// What tells the columns of a wide table, beside those that its settings state.
pub(crate) struct Door<'a> {
    pub settings: &'a WideSettings,
    /// Finds the column of the items.
    pub name: &'a dyn Fn(&[String]) -> Option<usize>,
    /// Finds the column of the dates, which a table by points has.
    pub date: &'a dyn Fn(&[String]) -> Option<usize>,
    /// Headers of the columns whose blank cells take what stands above.
    pub fill_down: &'a [String],
    /// True for a cell that is a date.
    pub is_date: &'a dyn Fn(&str) -> bool,
}

impl Door<'_> {
    /// What `headers` lack of the needed columns.
    fn lacking(&self, headers: &[String]) -> Vec<&'static str> {
        let checks = Columns::of(headers, self.settings).checks;
        let item = (self.name)(headers).is_none().then_some("instrument");
        let by_points = self.settings.by_points();
        let no_date = match by_points {
            true => (self.date)(headers).is_none(),
            false => checks.is_empty(),
        };
        let found = checks.is_empty().then_some("as_found");
        let lacking = item.into_iter().chain(no_date.then_some("date"));
        lacking.chain(found).collect()
    }

    fn header<'a>(
        &self,
        text: &'a str,
        shown: &str,
        delimiter: Delimiter,
    ) -> Result<Split<'a>, LoadError> {
        let sought = Sought {
            lacking: &|headers| self.lacking(headers).len(),
            name: self.name,
        };
        find_table(text, delimiter, shown, &sought)
    }
}

/// The needed columns that the text of a sheet lacks.
///
/// # Errors
/// A text without a header.
pub(crate) fn lacking(text: &str, shown: &str, door: &Door<'_>) -> Result<Vec<String>, LoadError> {
    let split = door.header(text, shown, Delimiter::Comma)?;
    let lacking = door.lacking(&split.header);
    Ok(lacking.into_iter().map(String::from).collect())
}

/// Reads a wide table; `own` gives the header under which one of our columns will be looked for
/// in the text.
///
/// # Errors
/// No column of a date or point, two that state the same, units that differ.
pub(crate) fn unpivot<'a>(
    text: &str,
    shown: &str,
    written: Written,
    door: &Door<'_>,
    own: impl Fn(Column) -> &'a str,
) -> Result<Long, LoadError> {
    let settings = door.settings;
    let split = door.header(text, shown, written.delimiter)?;
    let columns = Columns::of(&split.header, settings);
    refuse(&columns, settings, &split, shown)?;
    let made = columns.columns();
    let (lead, leads) = leads(&columns, settings);
    let mut units = vec![String::new(); lead.len()];
    for column in &made {
        units.push(unit_of(*column, &columns, &split, (settings, shown))?);
    }
    let stated = columns.places();
    let kept: Vec<usize> = (0..split.header.len())
        .filter(|place| !stated.contains(place))
        .collect();
    units.extend(kept.iter().map(|place| stated_unit(&split, *place)));
    let mut matched = Matched::default();
    matched.found_in(&split);
    let unread = columns.unread.iter().map(|header| {
        format!("column \"{header}\" states a date or point beside words that [checks.wide] does not name, and is not read")
    });
    let mut long = Long {
        text: String::new(),
        origins: Vec::new(),
        headers: split.header.clone(),
        units,
        set_aside: Vec::new(),
        notes: matched.notes.into_iter().chain(unread).collect(),
        header_row: split.row,
        above: split.above.clone(),
        around: matched.set_aside,
        columns,
        leads,
        by_points: settings.by_points(),
    };
    let mut out = Writer::from_writer(Vec::new());
    let mut header: Vec<&str> = lead.iter().map(|column| own(*column)).collect();
    header.extend(made.iter().map(|column| own(*column)));
    header.extend(kept.iter().map(|place| split.header[*place].as_str()));
    let failed = |why: csv::Error| LoadError::new(shown, why.to_string(), "Check the file.");
    out.write_record(&header).map_err(failed)?;
    let width = split.header.len();
    let filled = filled(&split, shown, written, door, &kept)?;
    long.set_aside_headings(filled.as_ref());
    let body = filled.as_ref().map_or(split.body, |filled| &filled.text);
    let records = Records::new(body, split.delimiter, width, shown);
    let mut records = records.below(split.row).of_sheet(written.of_sheet);
    let mut record = StringRecord::new();
    loop {
        let next = records.next(&mut record)?;
        if next == Next::End {
            break;
        }
        let fields: Vec<&str> = record.iter().collect();
        // Beside columns of dates a sum or a note would get a date from its column.
        let is_date = |text: &str| long.by_points && (door.is_date)(text);
        if let Some(what) = aside(&fields, &long.headers, false, is_date) {
            long.set_aside.push((what, records.row));
        } else if next == Next::Row && (written.of_sheet || fields.len() == width) {
            long.push(&fields, &kept, &made, records.row, &mut out)
                .map_err(failed)?;
        } else {
            // One field more than the header has: no row of the table.
            let whole = record.iter().collect::<Vec<_>>().join(" ");
            let more = header.iter().map(|_| "");
            let ragged = std::iter::once(whole.as_str()).chain(more);
            out.write_record(ragged).map_err(failed)?;
            long.origins.push((records.row, usize::MAX));
        }
    }
    let bytes = out
        .into_inner()
        .map_err(|why| LoadError::new(shown, why.to_string(), "Check the file."))?;
    long.text = String::from_utf8_lossy(&bytes).into_owned();
    Ok(long)
}

/// The rows of a wide table whose blank cells take what stands above; `None` where none are stated.
fn filled(
    split: &Split<'_>,
    shown: &str,
    written: Written,
    door: &Door<'_>,
    kept: &[usize],
) -> Result<Option<Anew>, LoadError> {
    if door.fill_down.is_empty() {
        return Ok(None);
    }
    let places = fill_down::places_of(&split.header, door.fill_down);
    // Beside columns of dates a sum or a note would get a date from its column.
    let is_date = |text: &str| door.settings.by_points() && (door.is_date)(text);
    let name = (door.name)(&split.header);
    let mut fill = FillDown::new(&split.header, places, kept.to_vec(), name, &is_date);
    fill_down::written_anew(split, shown, written.of_sheet, &mut fill).map(Some)
}

/// What the row of units states of a column; empty where there is none.
fn stated_unit(split: &Split<'_>, place: usize) -> String {
    let units = split.units.as_ref();
    let unit = units.and_then(|units| units.get(place));
    unit.cloned().unwrap_or_default()
}

impl Long {
    /// Takes over what was said of blank cells that were filled.
    fn set_aside_headings(&mut self, filled: Option<&Anew>) {
        self.around += filled.map_or(0, |filled| filled.headings);
        self.notes
            .extend(filled.and_then(|filled| filled.note.clone()));
    }

    /// Adds the checks of one row: one for each date or point of which it states anything.
    fn push(
        &mut self,
        fields: &[&str],
        kept: &[usize],
        made: &[Column],
        row: u32,
        out: &mut Writer<Vec<u8>>,
    ) -> Result<(), csv::Error> {
        let field = |place: usize| fields.get(place).copied().unwrap_or("");
        let mut stated = false;
        for (number, of) in self.columns.checks.iter().enumerate() {
            let of_column = |column: &Column| {
                let place = of.places.iter().find(|(own, _)| own == column);
                place.map_or("", |(_, place)| field(*place))
            };
            let values: Vec<&str> = made.iter().map(of_column).collect();
            let nothing = |value: &&str| value.trim().is_empty() || is_nothing(value.trim());
            if values.iter().all(nothing) {
                continue;
            }
            stated = true;
            let record = self.leads[number].iter().map(String::as_str).chain(values);
            out.write_record(record.chain(kept.iter().map(|place| field(*place))))?;
            self.origins.push((row, number));
        }
        // A date without a value is a row all the same: it may tell of a failure.
        if self.by_points && !stated {
            let empty = self.leads.first().map_or(0, Vec::len) + made.len();
            let record = std::iter::repeat_n("", empty);
            out.write_record(record.chain(kept.iter().map(|place| field(*place))))?;
            self.origins.push((row, usize::MAX));
        }
        Ok(())
    }

    /// Gives rows and headers of what was read from the text those of the wide table.
    pub(crate) fn settle(self, batches: &mut [Batch], matched: &mut Matched) {
        let first = |row: u32| (row as usize).saturating_sub(2);
        let origin = |row: u32| {
            self.origins
                .get(first(row))
                .copied()
                .unwrap_or((row, usize::MAX))
        };
        let header = |row: u32, column: Option<Column>| {
            let of = self.columns.checks.get(origin(row).1)?;
            let (_, place) = of.places.iter().find(|(own, _)| Some(*own) == column)?;
            self.headers.get(*place)
        };
        for batch in batches.iter_mut() {
            let above = std::mem::take(&mut batch.first_row);
            let line = |row: &mut u32| *row = origin(above + *row).0;
            for reject in batch.rejects.iter_mut().chain(&mut batch.bare) {
                if let Some(header) = header(above + reject.row, reject.column) {
                    reject.reason =
                        format!("{} (in the column \"{header}\")", reject.reason).into();
                }
                line(&mut reject.row);
            }
            batch.row.iter_mut().for_each(line);
            batch.lent.iter_mut().for_each(|(_, row, _)| line(row));
            batch
                .unknown_words
                .iter_mut()
                .for_each(|word| line(&mut word.row));
            batch.seen.renumber(line);
        }
        if let Some(batch) = batches.first_mut() {
            batch.set_aside.extend(self.set_aside);
        }
        matched.header_row = self.header_row;
        matched.set_aside = self.around;
        matched.notes.splice(0..0, self.notes);
    }

    /// The units of the columns of the text, where headers state any.
    pub(crate) fn units(&self) -> &[String] {
        &self.units
    }

    /// Columns of the text that the headers of the wide table state: date or point, then what stands
    /// once for each.
    pub(crate) fn stated(&self) -> usize {
        self.lead() + self.columns.columns().len()
    }

    /// Columns of the text before what stands once a date or point.
    pub(crate) fn lead(&self) -> usize {
        self.leads.first().map_or(0, Vec::len)
    }

    /// The dates or points, and which columns state them.
    pub(crate) fn columns(&self) -> &Columns {
        &self.columns
    }

    /// The headers of the wide table that stand once a date or point.
    pub(crate) fn wide_headers(&self) -> impl Iterator<Item = &str> {
        let places = self.columns.places().into_iter();
        places.filter_map(|place| self.headers.get(place).map(String::as_str))
    }

    /// The rows above the table.
    pub(crate) fn above(&self) -> &[Above] {
        &self.above
    }

    /// Columns of the wide table.
    pub(crate) fn width(&self) -> usize {
        self.headers.len()
    }

    /// What is to be said of the table.
    pub(crate) fn notes(&self) -> &[String] {
        &self.notes
    }
}

/// The first columns of the text, and what each date or point puts into them: the date, or the
/// point and the nominal value that it states.
fn leads(columns: &Columns, settings: &WideSettings) -> (Vec<Column>, Vec<Vec<String>>) {
    let point = |number: usize| settings.points.get(number).map_or("", String::as_str);
    // A number without a unit is one only where every point is.
    let bare = settings
        .points
        .iter()
        .all(|point| bare_nominal(point).is_some());
    let value = |point: &str| {
        let bare = || bare_nominal(point).filter(|_| bare);
        nominal(point).or_else(bare).map(|(value, _)| value)
    };
    let leads = columns.checks.iter().map(|of| match of.key {
        Key::Date(day) => vec![date::iso(day)],
        Key::Point(number) => {
            let point = point(number);
            vec![point.to_string(), value(point).unwrap_or_default()]
        }
    });
    let first = match settings.by_points() {
        true => vec![Column::Point, Column::Nominal],
        false => vec![Column::Date],
    };
    (first, leads.collect())
}

fn refuse(
    columns: &Columns,
    settings: &WideSettings,
    split: &Split<'_>,
    shown: &str,
) -> Result<(), LoadError> {
    if let Some((one, two)) = &columns.twice {
        return Err(LoadError::new(
            shown,
            format!("the columns \"{one}\" and \"{two}\" state the same of the same date or point"),
            "Rename or take out one of them.",
        ));
    }
    if !columns.checks.is_empty() {
        return Ok(());
    }
    let format = match settings.date_format.as_str() {
        "" => "ISO 8601 (2021-03-04)".to_string(),
        format => format!("date_format = \"{format}\""),
    };
    let what = match settings.by_points() {
        true => format!(
            "no header states a point of [checks.wide] ({}) beside what it names",
            settings.points.join(", ")
        ),
        false => format!("no header states a date as [checks.wide] says, by {format}"),
    };
    let headers: Vec<String> = split
        .header
        .iter()
        .take(30)
        .map(|h| format!("\"{h}\""))
        .collect();
    Err(LoadError::new(
        shown,
        what,
        format!("The headers are {}.", headers.join(", ")),
    ))
}

/// The one unit that the headers of a column state; empty where none does.
fn unit_of(
    column: Column,
    columns: &Columns,
    split: &Split<'_>,
    (settings, shown): (&WideSettings, &str),
) -> Result<String, LoadError> {
    let places = columns.checks.iter().flat_map(|of| &of.places);
    let own = places
        .filter(|(own, _)| *own == column)
        .map(|(_, place)| *place);
    let mut known: Option<(usize, &str)> = None;
    let points = settings.numbered();
    for place in own {
        let below = split.units.as_ref().and_then(|units| units.get(place));
        let below = below.map(String::as_str).filter(|unit| !unit.is_empty());
        let header = &split.header[place];
        let is_point = |unit: &&str| points.number(unit).is_some();
        let own = unit::of_header(header).filter(|unit| !is_point(unit));
        let stated = own.or(below).unwrap_or("");
        if let Some(power) = apart_from(header, own).filter(|_| own.is_some()) {
            return Err(LoadError::new(
                shown,
                format!("\"{header}\" states a power of ten ({power}) apart from its unit"),
                "Write it before the unit, as in [10^-3 V], where the unit is so many times larger; else take it out.",
            ));
        }
        match known {
            None => known = Some((place, stated)),
            Some((_, unit)) if unit == stated => {}
            Some((first, unit)) => {
                return Err(LoadError::new(
                    shown,
                    format!(
                        "\"{}\" states the unit \"{unit}\" and \"{}\" the unit \"{stated}\"",
                        split.header[first], split.header[place]
                    ),
                    "State one unit in all columns of a kind.",
                ));
            }
        }
    }
    Ok(known.map_or(String::new(), |(_, unit)| unit.to_string()))
}
