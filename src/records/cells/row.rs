/*! One row of the checks table: from fields to typed values, or the reason why not. */

use super::amounts::{Amounts, Cells};
use super::column::{COLUMN_COUNT, Column};
use super::field;
use super::field::Field;
use super::marks::{ColumnMarks, Marks};
use super::needed::Needed;
use super::said::{Carried, spoken_of};
use super::shape::Shape;
use crate::records::date;
use crate::records::date::DateFormat;
use crate::records::settings::{ChecksSettings, Thousands};
use crate::records::{CheckKind, Event, Outcome};
use std::borrow::Cow;

/// The fields of one row in the order of [`Column::ALL`].
pub(crate) type Fields<'a> = [Field<'a>; COLUMN_COUNT];

/// What a row is judged by.
#[derive(Debug)]
pub(crate) struct Rules<'a> {
    pub settings: &'a ChecksSettings,
    pub dates: DateFormat,
    /// The as-of date, days since 1970-01-01 (a whole day).
    pub as_of: f64,
    /// How numbers are written, by column.
    pub marks: ColumnMarks,
    /// The instruments whose rows are read; all where `None`.
    pub needed: Option<&'a Needed>,
}

/// A usable row; values not stated are NaN (`nominal` and `u_common` 0).
#[derive(Debug)]
pub(crate) struct Row<'a> {
    pub instrument: Cow<'a, str>,
    pub point: Cow<'a, str>,
    pub date: f64,
    pub amounts: Amounts<'a>,
    pub usage: f64,
    pub outcome: Outcome,
    pub event: Event,
    pub kind: CheckKind,
    /// Column whose word is unknown and was read as nothing.
    pub unknown_word: Option<Column>,
}

/// Why a row cannot be used.
#[derive(Debug)]
pub(crate) struct Problem {
    pub column: Column,
    pub reason: Cow<'static, str>,
    /// True for a check after the as-of date, which another run will read.
    pub later: bool,
}

impl Problem {
    pub fn new(column: Column, reason: impl Into<Cow<'static, str>>) -> Self {
        Self {
            column,
            reason: reason.into(),
            later: false,
        }
    }
}

impl<'a> Rules<'a> {
    /// Rules from the settings and the as-of date.
    pub fn new(settings: &'a ChecksSettings, as_of: f64) -> Self {
        Self {
            settings,
            dates: DateFormat::from_setting(&settings.date_format),
            as_of: as_of.floor(),
            marks: [Marks {
                comma: settings.decimal_comma.unwrap_or(false),
                grouped: matches!(settings.thousands, Thousands::Point | Thousands::Comma),
            }; COLUMN_COUNT],
            needed: None,
        }
    }

    /// The same rules for numbers written otherwise.
    pub fn with_marks(&self, marks: ColumnMarks) -> Self {
        Self {
            dates: self.dates.clone(),
            marks,
            ..*self
        }
    }

    /// The same rules for the rows of some instruments.
    pub fn only(self, needed: Option<&'a Needed>) -> Self {
        Self { needed, ..self }
    }

    /// True where `text` stands for an empty field.
    pub fn means_empty(&self, text: &str) -> bool {
        text.is_empty() || self.settings.empty.iter().any(|word| word == text.trim())
    }

    /// Reads one row.
    pub fn read<'f>(
        &'f self,
        fields: &'f Fields<'f>,
        shape: &'f Shape,
    ) -> Result<Row<'f>, Problem> {
        let of = |column: Column| fields[column.index()];
        let instrument = self.name(of(Column::Instrument));
        if instrument.trim().is_empty() {
            return Err(Problem::new(Column::Instrument, "no instrument"));
        }
        let date = self.date(of(Column::Date))?;
        let cells = self.cells(fields, shape);
        let amounts = cells.amounts()?;
        let usage = cells.count(Column::Usage)?;
        let (outcome, said) = field::outcome(of(Column::InTolerance))
            .ok_or_else(|| Problem::new(Column::InTolerance, "neither true nor false"))?;
        if amounts.as_found.is_nan() && outcome == Outcome::Unknown {
            return Err(Problem::new(Column::AsFound, "no value and no outcome"));
        }
        let (event, kind) = (self.event(of(Column::Event)), kind(of(Column::Kind)));
        let unknown_word = match (event, kind) {
            (None, _) => Some(Column::Event),
            (_, None) => Some(Column::Kind),
            _ => None,
        };
        Ok(Row {
            instrument,
            point: self.name(of(Column::Point)),
            date,
            amounts,
            usage,
            outcome,
            event: match event.unwrap_or_default() {
                Event::None => said,
                event => event,
            },
            kind: kind.unwrap_or_default(),
            unknown_word,
        })
    }

    fn cells<'f>(&'f self, fields: &'f Fields<'f>, shape: &'f Shape) -> Cells<'f> {
        Cells {
            rules: self,
            fields,
            shape,
        }
    }

    /// What a row that cannot be used says of a failure or an event, as far as it can be read.
    pub fn carried<'f>(&'f self, fields: &'f Fields<'f>, shape: &'f Shape) -> Carried {
        let of = |column: Column| fields[column.index()];
        if self.date(of(Column::Date)).is_err_and(|p| p.later) {
            return Carried::default();
        }
        let values = self.cells(fields, shape).carried();
        let failed = |o: (Outcome, Event)| o.0 == Outcome::Out;
        let stated = Carried {
            failure: field::outcome(of(Column::InTolerance)).is_some_and(failed),
            event: self.event(of(Column::Event)).unwrap_or_default(),
        };
        let spoken = [Column::InTolerance, Column::Event, Column::AsFound]
            .map(|column| spoken_of(&of(column).text()));
        spoken.into_iter().fold(stated.or(values), Carried::or)
    }

    /// A row without its values: when, which item, and the failure and event it speaks of.
    pub fn bare<'f>(&self, fields: &Fields<'f>, carried: Carried) -> Option<Row<'f>> {
        let of = |column: Column| fields[column.index()];
        let instrument = self.name(of(Column::Instrument));
        let date = self.date(of(Column::Date)).ok()?;
        (carried.failure && !instrument.trim().is_empty()).then(|| Row {
            instrument,
            point: self.name(of(Column::Point)),
            date,
            amounts: Amounts::unknown(),
            usage: f64::NAN,
            outcome: Outcome::Out,
            event: carried.event,
            kind: kind(of(Column::Kind)).unwrap_or_default(),
            unknown_word: None,
        })
    }

    fn name<'f>(&self, field: Field<'f>) -> Cow<'f, str> {
        match field {
            Field::Text(text) if self.settings.trim_names => Cow::Borrowed(text.trim()),
            other => other.text(),
        }
    }

    fn date(&self, field: Field<'_>) -> Result<f64, Problem> {
        if field.is_blank() {
            return Err(Problem::new(Column::Date, "no date"));
        }
        let Some(date) = field.date(&self.dates) else {
            return Err(Problem::new(
                Column::Date,
                unreadable_date(field, &self.dates),
            ));
        };
        if date.floor() > self.as_of {
            let reason = format!("after the as-of date {}", date::iso(self.as_of));
            return Err(Problem {
                later: true,
                ..Problem::new(Column::Date, reason)
            });
        }
        Ok(date)
    }

    fn event(&self, field: Field<'_>) -> Option<Event> {
        let Field::Text(text) = field else {
            return field.is_blank().then_some(Event::None);
        };
        let word = text.trim();
        field::event(word).or_else(|| self.settings.events.get(word).copied())
    }
}

fn kind(field: Field<'_>) -> Option<CheckKind> {
    match field {
        Field::Text(text) => field::kind(text.trim()),
        other => other.is_blank().then_some(CheckKind::Unstated),
    }
}

fn unreadable_date(field: Field<'_>, format: &DateFormat) -> String {
    let text = field.text();
    let day_number = text.trim().len() == 5 && text.trim().bytes().all(|b| b.is_ascii_digit());
    if day_number {
        "not a date: a spreadsheet's day number? Format that column as a date before the export"
            .into()
    } else {
        format!("not a date: {}", format.words())
    }
}
