/*! What a row is judged by, and why it cannot be used. */

use super::needed::Needed;
use crate::records::cells::column::{COLUMN_COUNT, Column};
use crate::records::cells::field::Field;
use crate::records::cells::limits::open::OpenCell;
use crate::records::cells::marks::{ColumnMarks, Marks};
use crate::records::cells::shape::Shape;
use crate::records::date::DateFormat;
use crate::records::reading::header::own::OwnHeader;
use crate::records::settings::ChecksSettings;
use crate::records::settings::words::{AsFoundIs, Thousands};
use std::borrow::Cow;
use std::ops::Index;

/// The fields of one row.
pub(crate) struct Fields<'a> {
    /// In the order of [`Column::ALL`].
    pub own: [Field<'a>; COLUMN_COUNT],
    /// Those that repeat the reading in `as_found`.
    pub repeats: Vec<Field<'a>>,
    /// True where its point is of a number near none of the set points.
    pub off_point: bool,
    /// True for a row that states what was left.
    pub is_left: bool,
    /// What the column says by which rows may not count, where the settings name one.
    pub void: Field<'a>,
    /// Year, month and day, where columns of their own state them.
    pub date_parts: Option<[Field<'a>; 3]>,
    /// The time of day, where a column of its own states it.
    pub time: Field<'a>,
}

/// Where a row has its fields, as the file gives them.
pub(crate) struct Places<O, T, N> {
    /// Of a column of ours.
    pub own: O,
    /// At a place in the file, as text.
    pub text: T,
    /// At a place in the file, as what was found is read.
    pub number: N,
}

impl<'a> Fields<'a> {
    /// The fields of a row of this shape; `point` is its point where columns of the file build it, and whether it is
    /// near a set point.
    pub(crate) fn of<O, T, N>(
        places: &Places<O, T, N>,
        point: Option<&'a (String, bool)>,
        shape: &Shape,
        rules: &Rules<'_>,
    ) -> Self
    where
        O: Fn(Column) -> Field<'a>,
        T: Fn(usize) -> Field<'a>,
        N: Fn(usize) -> Field<'a>,
    {
        let filled = |field: Field<'a>| match field {
            Field::Text(text) if rules.means_empty(text) => Field::Empty,
            other => other,
        };
        let stated =
            |place: Option<usize>| place.map_or(Field::Empty, |at| filled((places.text)(at)));
        let repeats = shape.repeated.iter();
        let mut own = [Field::Empty; COLUMN_COUNT];
        for column in &shape.present {
            own[column.index()] = filled((places.own)(*column));
        }
        let mut fields = Self {
            own,
            repeats: repeats
                .map(|own| filled((places.number)(own.place)))
                .collect(),
            off_point: false,
            is_left: shape.is_left(|place| (places.text)(place).text()),
            void: stated(shape.void.place()),
            date_parts: match shape.date_from[..] {
                [year, month, day] => Some([year, month, day].map(|place| stated(Some(place)))),
                _ => None,
            },
            time: stated(shape.time),
        };
        if let Some((point, is_near)) = point {
            fields.own[Column::Point.index()] = Field::Text(point);
            fields.off_point = !is_near;
        }
        fields
    }
}

impl<'a> Index<Column> for Fields<'a> {
    type Output = Field<'a>;

    fn index(&self, column: Column) -> &Field<'a> {
        &self.own[column.index()]
    }
}

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
    /// The instrument of all rows, where the table has its name.
    pub instrument: Option<&'a str>,
    /// The day of rows that state none, where a cell above the table does.
    pub date: Option<f64>,
}

impl<'a> Rules<'a> {
    /// Rules from the settings and the as-of date.
    pub(crate) fn new(settings: &'a ChecksSettings, as_of: f64) -> Self {
        Self {
            settings,
            dates: DateFormat::from_setting(&settings.date_format),
            as_of: as_of.floor(),
            marks: [Marks {
                comma: settings.decimal_comma.unwrap_or(false),
                grouped: matches!(settings.thousands, Thousands::Point | Thousands::Comma),
            }; COLUMN_COUNT],
            needed: None,
            instrument: None,
            date: None,
        }
    }

    /// The same rules for numbers written otherwise.
    pub(crate) fn with_marks(&self, marks: ColumnMarks) -> Self {
        Self {
            dates: self.dates.clone(),
            marks,
            ..*self
        }
    }

    /// The same rules for the rows of some instruments.
    pub(crate) fn only(self, needed: Option<&'a Needed>) -> Self {
        Self { needed, ..self }
    }

    /// The same rules for a table above which a cell states the day.
    pub(crate) fn of_date(&self, date: Option<f64>) -> Rules<'a> {
        Rules {
            date,
            dates: self.dates.clone(),
            ..*self
        }
    }

    /// The same rules for a table of one instrument.
    pub(crate) fn of_instrument<'b>(&'b self, name: &'b str) -> Rules<'b> {
        Rules {
            instrument: Some(name),
            dates: self.dates.clone(),
            ..*self
        }
    }

    /// True where a nominal value is subtracted from what was found.
    pub(crate) fn subtracts_nominal(&self) -> bool {
        let stated = self.settings.as_found_is;
        self.reads_nominal() && matches!(stated, AsFoundIs::Auto | AsFoundIs::Value)
    }

    /// False where the column is switched off: it tells points apart and what a per cent is of,
    /// as far as it can be read, and nothing else.
    pub(crate) fn reads_nominal(&self) -> bool {
        self.settings.columns.nominal != OwnHeader::Off
    }

    /// True where `text` stands for an empty field.
    pub(crate) fn means_empty(&self, text: &str) -> bool {
        text.is_empty() || self.settings.empty.iter().any(|word| word == text.trim())
    }
}

/// Why a row cannot be used.
#[derive(Debug)]
pub(crate) struct Problem {
    pub column: Column,
    pub reason: Cow<'static, str>,
    /// What a person must say before the row is read, where that is all.
    pub open: Option<OpenCell>,
    /// True for a check after the as-of date, which another run will read.
    pub later: bool,
}

impl Problem {
    pub(crate) fn new(column: Column, reason: impl Into<Cow<'static, str>>) -> Self {
        Self {
            column,
            reason: reason.into(),
            open: None,
            later: false,
        }
    }

    /// A cell that a spreadsheet could not work out, where nothing may stand for it.
    pub(crate) fn of_error(column: Column) -> Self {
        Self::new(
            column,
            "an error of a spreadsheet stands there, or a formula without its result: what it would have given is not known",
        )
    }

    /// A cell with two readings.
    pub(crate) fn open(column: Column, open: OpenCell) -> Self {
        Self {
            open: Some(open),
            ..Self::new(column, open.reason())
        }
    }
}
