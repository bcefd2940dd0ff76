/*! What the columns of a text hold, and the guess that is made of them. */

use super::beside::{Beside, beside};
use super::columns::header_words;
use super::dates::day_above::about_day_above;
use super::dates::{Clock, looks_like_date};
use super::draft::Guess;
use super::headers::{date_column, folded, is_alone, item_column};
use super::layout::counted_points::by_counted_points;
use super::layout::instruments::by_instruments;
use super::layout::names_once::{Once, Row};
use super::layout::numbers::by_numbers;
use super::layout::points::by_points;
use super::layout::quantities::by_quantities;
use super::layout::turned::{about_turned, dates_in_a_row};
use super::layout::wide::dated::wide_items;
use super::layout::wide::{Wide, wide};
use super::layout::zero_and_span::by_ends;
use super::meanings::from_samples;
use super::sample::Sample;
use super::values::unit_above::{self, about_unit_above};
use crate::records::LoadError;
use crate::records::Outcome;
use crate::records::cells::batch::shortened;
use crate::records::cells::column::Column;
use crate::records::cells::field::{self, Field};
use crate::records::encoding::Encoding;
use crate::records::reading::aside::aside;
use crate::records::reading::csv::records::{Next, Records};
use crate::records::reading::csv::text::{Split, TableText, split_header};
use crate::records::reading::header::above::{self, Above, as_text};
use crate::records::reading::header::find_table::find_by_words;
use crate::records::reading::header::units_row::with_unit_texts;
use crate::records::reading::wide::{Door, Long, WideSettings, unpivot};
use crate::records::settings::words::Delimiter;
use crate::records::words::words;
use csv::StringRecord;

/// What a file holds.
#[derive(Debug, Clone)]
pub(crate) struct Held {
    /// What it is as checks: the file, or the sheets that are not set apart.
    pub checks: Guess,
    /// What it may be beside checks: of a workbook its sheets, of another file itself.
    pub beside: Vec<Beside>,
}

/// The columns of a text, with what was found of where its table stands.
pub(super) struct Looked {
    pub delimiter: u8,
    /// Columns of the text.
    pub width: usize,
    samples: Vec<Sample>,
    pub notes: Vec<String>,
    wide: Option<Wide>,
    /// The names under which the columns are looked at that the headers of a wide table state.
    stated: Vec<String>,
    once: Once,
    /// Labels above the table that may name its one instrument, with the names.
    labels: Vec<(String, String)>,
    /// Labels above the table that may state the day of its checks, with what stands behind them.
    days: Vec<(String, String)>,
    /// A row that states dates from left to right, where there is one.
    turned: Option<(usize, Vec<String>)>,
    /// The cell above the table that states a unit, with that unit.
    unit: Option<(String, String)>,
}

impl Looked {
    pub(crate) fn held(
        &self,
        form: (Delimiter, Encoding),
        clock: Clock,
        notes: Vec<String>,
    ) -> Held {
        let checks = self.guess(form, clock, notes);
        let beside = match self.wide {
            None => beside(&self.samples, &checks, clock).into_iter().collect(),
            Some(_) => Vec::new(),
        };
        Held { checks, beside }
    }

    fn guess(&self, form: (Delimiter, Encoding), clock: Clock, notes: Vec<String>) -> Guess {
        let mut guess = from_samples(&self.samples, form, clock, notes);
        if let Some(wide) = &self.wide {
            guess.to_check.splice(0..0, wide.to_check.iter().cloned());
            guess.doubts.extend(wide.doubts.iter().cloned());
            guess.wide = Some(wide.settings.clone());
            guess.settle_wide(&self.stated);
            // What stands once in a row of several dates was found on none of them.
            let by_dates = guess.is_wide(Column::Date);
            if by_dates && !guess.is_wide(Column::AsFound) && guess.by_content() {
                guess.let_go(Column::AsFound);
            }
        }
        if let Some((cell, unit)) = &self.unit {
            about_unit_above(&mut guess, cell, unit);
        }
        about_day_above(&self.days, clock.today, &mut guess);
        if let Some(turned) = &self.turned {
            about_turned(&mut guess, turned);
        }
        self.once.state(&mut guess);
        guess.labels.clone_from(&self.labels);
        guess
    }
}

pub(super) fn samples(
    table: TableText<'_>,
    (clock, most): (Clock, usize),
) -> Result<Looked, LoadError> {
    let split = find_by_words(table, &header_words, &item_column)?;
    let headers = match &split.units {
        Some(units) => with_unit_texts(&split.header, units),
        None => split.header.clone(),
    };
    let mut rows = rows_of(&split, most)?;
    let once = Once::of(&headers, rows.iter().filter(|row| is_record(row, &headers)));
    if let Some(wide) = by_numbers(&split.header)
        .or_else(|| by_instruments(&split.header))
        .or_else(|| wide(&split.header, clock))
        .or_else(|| by_points(&split.header))
        .or_else(|| by_quantities(&split.header))
        .or_else(|| by_counted_points(&split.header))
        .or_else(|| by_ends(&split.header))
    {
        let once = once.of_items();
        return wide_samples((table, once), (split.delimiter, most), wide);
    }
    let width = headers.len();
    let mut samples: Vec<Sample> = headers.iter().map(|h| Sample::new(h)).collect();
    once.fill(&mut rows, &looks_like_date);
    for (_, fields) in rows.iter().filter(|row| is_record(row, &headers)) {
        for (sample, field) in samples.iter_mut().zip(fields) {
            sample.add(field);
        }
    }
    let mut notes = Vec::new();
    if split.row > 1 || split.units.is_some() {
        notes.push(found_words(&split));
    }
    Ok(Looked {
        delimiter: split.delimiter,
        width,
        samples,
        notes,
        wide: None,
        stated: Vec::new(),
        once,
        turned: dates_in_a_row(table.text),
        labels: labels(&split.above, Column::Instrument),
        days: labels(&split.above, Column::Date),
        unit: unit_above::stated(&split.above),
    })
}

/// The labels above a table whose words name a column.
fn labels(above: &[Above], column: Column) -> Vec<(String, String)> {
    let names = |label: &str| words(column).contains(&folded(label)) || is_alone(label, column);
    let own = |(label, value): (&str, &str)| (label.to_string(), value.to_string());
    let found = above::labels(above).filter(|(label, _)| names(label));
    found.map(own).collect()
}

/// The first rows below a header that have its width.
fn rows_of(split: &Split<'_>, most: usize) -> Result<Vec<Row>, LoadError> {
    let mut records = split.records(split.body);
    let mut record = StringRecord::new();
    let mut rows: Vec<Row> = Vec::new();
    for _ in 0..most {
        let next = records.next(&mut record)?;
        if next == Next::End {
            break;
        }
        if next == Next::Row && records.is_whole(record.len()) {
            rows.push((records.row, record.iter().map(String::from).collect()));
        }
    }
    Ok(rows)
}

/// False for a row without a date that sums up or remarks.
fn is_record((_, fields): &Row, headers: &[String]) -> bool {
    let fields: Vec<&str> = fields.iter().map(String::as_str).collect();
    aside(&fields, headers, false, looks_like_date).is_none()
}

/// True where a column holds outcomes, and no numbers.
fn says_outcomes(sample: &Sample) -> bool {
    let says = |text: &&str| {
        let outcome = field::outcome(Field::Text(text)).map(|(outcome, _)| outcome);
        outcome.is_some_and(|outcome| outcome != Outcome::Unknown)
    };
    let (all, outcomes) = (
        sample.values().count(),
        sample.values().filter(says).count(),
    );
    let numbers = sample.values().filter(|text| text.parse::<f64>().is_ok());
    2 * outcomes > all && numbers.count() == 0
}

/// The columns of a wide table as those of one row a check.
fn wide_samples(
    (table, once): (TableText<'_>, Once),
    (delimiter, most): (u8, usize),
    mut wide: Wide,
) -> Result<Looked, LoadError> {
    let settings = wide.settings.clone();
    let filled = once.filled();
    let door = Door {
        settings: &settings,
        name: &wide_items,
        date: &date_column,
        fill_down: &filled,
        is_date: &looks_like_date,
    };
    let long = unpivot(table, &door, Column::name)?;
    let text = TableText::of_file(&long.text, table.shown, Delimiter::Comma);
    let split = split_header(text)?;
    let headers = split.header.iter().enumerate();
    let mut samples: Vec<Sample> = headers
        .map(|(i, header)| long_sample(&long, &settings, i, header))
        .collect();
    let stated: Vec<String> = samples
        .iter()
        .take(long.stated())
        .map(|s| s.header.clone())
        .collect();
    let example = fill(
        &mut samples,
        split.body,
        table.shown,
        (long.lead() + 1, most),
    )?;
    if wide.settings.as_found.is_some() && samples.get(long.lead()).is_some_and(says_outcomes) {
        let beside = wide.settings.as_found.take().unwrap_or_default();
        wide.settings.state(Column::InTolerance, &beside);
        return wide_samples((table, once), (delimiter, most), wide);
    }
    let mut notes = vec![shape_words(&long, &settings, &example)];
    notes.extend(long.notes().iter().map(|note| format!("{}.", note.words)));
    Ok(Looked {
        delimiter,
        width: long.width(),
        samples,
        notes,
        wide: Some(wide),
        stated,
        once,
        turned: None,
        labels: labels(long.above(), Column::Instrument),
        days: Vec::new(),
        unit: unit_above::stated(long.above()),
    })
}

/// Adds the first rows of a text with commas to its columns; returns `shown_fields` of the first row.
fn fill(
    samples: &mut [Sample],
    body: &str,
    shown: &str,
    (shown_fields, most): (usize, usize),
) -> Result<String, LoadError> {
    let mut records = Records::new(body, b',', samples.len(), shown);
    let mut record = StringRecord::new();
    let mut example = None;
    for _ in 0..most {
        if records.next(&mut record)? == Next::End {
            break;
        }
        example.get_or_insert_with(|| {
            let fields: Vec<&str> = record.iter().take(shown_fields).collect();
            fields.join(": ")
        });
        for (sample, field) in samples.iter_mut().zip(&record) {
            sample.add(field);
        }
    }
    Ok(example.unwrap_or_default())
}

/// Column `i` of the table of one row a check, under the name by which a wide table states it.
fn long_sample(long: &Long, settings: &WideSettings, i: usize, header: &str) -> Sample {
    let beside = settings.words().find(|(column, _)| column.name() == header);
    let name = match beside {
        Some((_, beside)) if !beside.is_empty() => beside,
        _ => header,
    };
    // Columns of the item keep the headers by which the run will find them.
    let own = i < long.stated();
    let unit = long.units().get(i).filter(|_| own);
    match unit.map_or("", String::as_str) {
        "" => Sample::new(name),
        unit => Sample::new(&format!("{name} [{unit}]")),
    }
}

/// How a wide table is read, as a sentence.
fn shape_words(long: &Long, settings: &WideSettings, example: &str) -> String {
    let (row, column) = match settings.by_points() {
        true if settings.by_instruments() => ("a date", "instruments"),
        true => ("a date", "points"),
        false if settings.by_numbers() => ("an item", "checks"),
        false => ("an item", "dates"),
    };
    let headers: Vec<&str> = long.wide_headers().collect();
    let (first, last) = (
        headers.first().unwrap_or(&""),
        headers.last().unwrap_or(&""),
    );
    format!(
        "Wide table: one row {row}, {} {column} in the headers (\"{first}\" to \"{last}\"); the first check read so: {example}.",
        long.columns().checks.len(),
    )
}

/// Where the table stands, as a sentence.
fn found_words(split: &Split<'_>) -> String {
    let above = match split.above.first() {
        Some(row) => format!(
            " Above it, and set aside: \"{}\".",
            shortened(&as_text(row))
        ),
        None => String::new(),
    };
    let units = if split.units.is_some() {
        ", with its row of units,"
    } else {
        ""
    };
    format!("Table: its header{units} ends in row {}.{above}", split.row)
}
