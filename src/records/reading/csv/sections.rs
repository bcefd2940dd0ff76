/*! Tables of several instruments or days one below the other, each below a cell that names its own: the rows
below such a cell are of what it names, up to the next. */

use super::records::Next;
use super::text::Split;
use crate::records::LoadError;
use crate::records::cells::row::rules::Rules;
use crate::records::reading::aside::{Aside, aside};
use crate::records::reading::header::above::{self, Above, labels, same_label, titled};
use crate::records::settings::words::InstrumentFrom;
use csv::StringRecord;

/// The rows of one instrument or day.
pub(super) struct Section<'a> {
    /// The text of its rows.
    pub body: &'a str,
    /// The row above the first of them.
    pub row: u32,
    /// The instrument that the cell names.
    pub instrument: Option<String>,
    /// The day that the cell states.
    pub date: Option<f64>,
    /// Rows above it that say so, below the first header.
    pub set_aside: u64,
}

/// Rows below the header that head a section, by their numbers below it.
struct Head {
    /// The first of them.
    row: u32,
    /// The first row of what they head.
    begin: u32,
    above: Vec<Above>,
}

/// The sections of a table.
///
/// # Errors
/// A section without the cell that names its instrument or day.
pub(super) fn sections<'a>(
    split: &Split<'a>,
    rules: &Rules<'_>,
) -> Result<Vec<Section<'a>>, LoadError> {
    let first = Head {
        row: 1,
        begin: 1,
        above: split.above.clone(),
    };
    let mut all = vec![first];
    all.extend(heads(split, rules)?);
    let ends = all.iter().skip(1).map(|head| Some(head.row - 1));
    let ends: Vec<Option<u32>> = ends.chain([None]).collect();
    let mut lines = Lines::of(split.body);
    let mut found: Vec<Section<'a>> = Vec::new();
    for (head, end) in all.iter().zip(ends) {
        let place = match found.last() {
            None => split.shown.to_string(),
            Some(_) => format!("{}, row {}", split.shown, split.row + head.row),
        };
        let own = own_facts(&head.above, &place, rules, found.last())?;
        lines.to(Some(head.begin - 1));
        let set_aside = match found.last() {
            None => 0,
            Some(_) => head.above.len() as u64,
        };
        found.push(Section {
            body: lines.to(end),
            row: split.row + head.begin - 1,
            set_aside,
            ..own
        });
    }
    Ok(found)
}

/// What heads a section below the first: rows with a label, up to the header once more.
fn heads(split: &Split<'_>, rules: &Rules<'_>) -> Result<Vec<Head>, LoadError> {
    let wanted = labels_of(rules);
    let mut heads: Vec<Head> = Vec::new();
    let mut open = false;
    let mut records = split.records(split.body);
    let mut record = StringRecord::new();
    while records.next(&mut record)? != Next::End {
        let fields: Vec<&str> = record.iter().collect();
        if aside(&fields, &split.header, false, |_| false) == Some(Aside::Header) {
            if let Some(head) = heads.last_mut().filter(|_| open) {
                head.begin = records.row;
            }
            open = false;
            continue;
        }
        let above = (split.row + records.row, filled(&fields));
        let row = std::slice::from_ref(&above);
        let labelled =
            labels(row).any(|(label, _)| wanted.iter().any(|own| same_label(label, own)));
        match heads.last_mut().filter(|_| open) {
            Some(head) => head.above.push(above),
            None if labelled => {
                open = true;
                heads.push(Head {
                    row: records.row,
                    begin: records.row + 1,
                    above: vec![above],
                });
            }
            None => {}
        }
    }
    // Without a header of its own, a cell with the label stands among the rows of a table.
    if open && let Some(head) = heads.last_mut() {
        head.above.truncate(1);
    }
    Ok(heads)
}

/// Refuses a table that has the name of its file or sheet, and whose header stands once more below the title of
/// another item than the first: the checks of several items would be those of one.
///
/// # Errors
/// The first such title.
pub(super) fn refuse_other_items(split: &Split<'_>) -> Result<(), LoadError> {
    let lone = |cells: &[String]| match cells {
        [title] => titled(title).map(|(label, name)| (label.to_string(), name.to_string())),
        _ => None,
    };
    let mut titles = split.above.iter().rev();
    let Some((label, first)) = titles.find_map(|(_, cells)| lone(cells)) else {
        return Ok(());
    };
    let mut records = split.records(split.body);
    let mut record = StringRecord::new();
    let mut title = None;
    while records.next(&mut record)? != Next::End {
        let fields: Vec<&str> = record.iter().collect();
        if let Some((row, _, name)) = &title
            && *name != first
            && aside(&fields, &split.header, false, |_| false) == Some(Aside::Header)
        {
            let what = format!(
                "row {row} names {name} above the header once more, and the title above the first table {first}: tables of several instruments, it seems, and all rows would be those of one"
            );
            let mend = format!(
                "State instrument_from = \"cell\" and instrument_cell = \"{label}\" under [checks], or put each table into a file or a sheet of its own."
            );
            return Err(LoadError::new(split.shown, what, mend));
        }
        title = lone(&filled(&fields)).map(|(label, name)| (split.row + records.row, label, name));
    }
    Ok(())
}

/// The cells of a row that hold anything.
fn filled(fields: &[&str]) -> Vec<String> {
    let cells = fields.iter().map(|field| field.trim());
    let cells = cells.filter(|cell| !cell.is_empty());
    cells.map(String::from).collect()
}

/// The labels of the cells that name instruments and days.
fn labels_of<'s>(rules: &Rules<'s>) -> Vec<&'s str> {
    let settings = rules.settings;
    let cell = settings.instrument_from == InstrumentFrom::Cell;
    let instrument = cell.then_some(settings.instrument_cell.as_str());
    let date = Some(settings.date_cell.as_str());
    let all = instrument.into_iter().chain(date);
    all.filter(|label| !label.trim().is_empty()).collect()
}

/// What the cells above a section say; what they do not say again holds on from the one before.
fn own_facts<'a>(
    above: &[Above],
    place: &str,
    rules: &Rules<'_>,
    before: Option<&Section<'a>>,
) -> Result<Section<'a>, LoadError> {
    let settings = rules.settings;
    let says = |label: &str| labels(above).any(|(other, _)| same_label(other, label));
    let instrument = match settings.instrument_from {
        InstrumentFrom::Cell => match before {
            Some(before) if !says(&settings.instrument_cell) => before.instrument.clone(),
            _ => Some(above::instrument(above, &settings.instrument_cell, place)?),
        },
        _ => None,
    };
    let date = match (settings.date_cell.trim(), before) {
        ("", _) => None,
        (label, Some(before)) if !says(label) => before.date,
        (label, _) => {
            let text = above::day(above, label, place)?;
            let date = rules.dates.parse(text);
            let unread = || {
                let what = format!("the cell \"{label}\" says \"{text}\", which reads as no date");
                LoadError::new(place, what, "State its date_format under [checks].")
            };
            Some(date.ok_or_else(unread)?)
        }
    };
    Ok(Section {
        body: "",
        row: 0,
        instrument,
        date,
        set_aside: 0,
    })
}

/// A text that is cut at rows.
struct Lines<'a> {
    rest: &'a str,
    row: u32,
}

impl<'a> Lines<'a> {
    fn of(text: &'a str) -> Self {
        Lines { rest: text, row: 0 }
    }

    /// The lines up to and with this row; all that are left where none is stated.
    fn to(&mut self, row: Option<u32>) -> &'a str {
        let Some(row) = row else {
            return std::mem::take(&mut self.rest);
        };
        let lines = (row - self.row) as usize;
        let mut ends = self.rest.match_indices('\n').map(|(at, _)| at + 1);
        let at = match lines {
            0 => 0,
            lines => ends.nth(lines - 1).unwrap_or(self.rest.len()),
        };
        let (before, after) = self.rest.split_at(at);
        (self.rest, self.row) = (after, row);
        before
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::reading::csv::text::{TableText, split_header};
    use crate::records::settings::ChecksSettings;
    use crate::records::settings::words::Delimiter;

    const BODY: &str =
        "2021-03-01,0.1\n\nGauge:,PG-2\nChecked:,2022-03-02\nDate,Error\n2022-03-01,0.2\n";

    fn split(text: &str) -> Split<'_> {
        let split = split_header(TableText::of_file(text, "f", Delimiter::Comma)).unwrap();
        let cell = |label: &str, value: &str| vec![label.to_string(), value.to_string()];
        Split {
            above: vec![
                (1, cell("Gauge:", "PG-1")),
                (2, cell("Checked:", "2021-03-02")),
            ],
            row: 3,
            ..split
        }
    }

    #[test]
    fn rows_are_of_the_instrument_and_day_that_the_cells_above_them_state() {
        let settings = ChecksSettings {
            instrument_from: InstrumentFrom::Cell,
            instrument_cell: "gauge".into(),
            date_cell: "Checked".into(),
            ..ChecksSettings::default()
        };
        let rules = Rules::new(&settings, 30_000.0);
        let text = format!("Date,Error\n{BODY}");
        let found = sections(&split(&text), &rules).unwrap();
        let told = |section: &Section<'_>| {
            let day = section.date.map(crate::records::date::iso);
            (
                section.instrument.clone(),
                day,
                section.row,
                section.body.to_string(),
            )
        };
        let of = |name: &str, day: &str, row: u32, body: &str| {
            (
                Some(name.to_string()),
                Some(day.to_string()),
                row,
                body.to_string(),
            )
        };
        let expected = [
            of("PG-1", "2021-03-02", 3, "2021-03-01,0.1\n\n"),
            of("PG-2", "2022-03-02", 7, "Date,Error\n2022-03-01,0.2\n"),
        ];
        assert_eq!(found.iter().map(told).collect::<Vec<_>>(), expected);
    }

    #[test]
    fn titles_of_other_items_are_no_rows_of_one() {
        let of = |second: &str| {
            let text =
                format!("Date,Error\n2021-03-01,0.1\n\n{second}\nDate,Error\n2022-03-01,0.2\n");
            let split = split_header(TableText::of_file(&text, "f", Delimiter::Comma)).unwrap();
            let title = vec!["Micrometer MIC-1".to_string()];
            refuse_other_items(&Split {
                above: vec![(1, title)],
                ..split
            })
        };
        assert!(of("Micrometer MIC-2,").is_err());
        assert!(of("Micrometer MIC-1,").is_ok());
        assert!(of("Page 2 of 3,").is_ok());
    }
}
