/*! What the header of one file says of its columns: which there are, their units, their pairs. */

use super::column::{COLUMN_COUNT, Column};
use super::field::Field;
use super::marks::Marks;
use super::number::written::{Form, written};
use super::repeated::Repeated;
use super::row::said::asked_event;
use super::row::set_point::near;
use super::unit::stated::Stated;
use super::unit::{Sign, Unit, sign_of_header, words_of_header};
use super::void_rows::VoidBy;
use crate::records::Event;
use crate::records::reading::header::own::OwnHeader;
use crate::records::reading::header::{Matched, place_of, places_of};
use crate::records::settings::ChecksSettings;
use crate::records::settings::words::{AsFoundIs, Pairs};
use crate::records::words::{plain, speaks_of};
use std::borrow::Cow;

/// The columns of one file of checks.
#[derive(Debug, Clone)]
pub(crate) struct Shape {
    /// Columns that the file has.
    has: [bool; COLUMN_COUNT],
    /// The same, as a list.
    pub present: Vec<Column>,
    /// Units of their bare numbers, where header or units row state one.
    pub units: [Option<Box<str>>; COLUMN_COUNT],
    /// Powers of ten that they are multiplied by, where no unit takes them.
    pub powers: [i32; COLUMN_COUNT],
    /// What a cell of `as_found` with two numbers holds.
    pub pairs: Pairs,
    /// The event that the header of the column of events asks for ("adjusted?").
    pub asked: Option<Event>,
    /// Places in the file of the columns that tell points apart, with their units; empty where
    /// the column `point` does.
    pub point_from: Vec<(usize, String)>,
    /// The set points for which their numbers are taken; empty where each number is a point.
    pub set_points: Vec<f64>,
    /// The columns that repeat the reading in `as_found`.
    pub repeated: Vec<Repeated>,
    /// The place in the file of the column that tells rows as left, and its words for them.
    pub left_rows: Option<(usize, Vec<String>)>,
    /// Where rows may say that they do not count.
    pub void: VoidBy,
    /// The places in the file of the columns of the year, the month and the day; empty where a column of dates is.
    pub date_from: Vec<usize>,
    /// The place in the file of the column that states times of day.
    pub time: Option<usize>,
    /// Places of columns of remarks that are not read, where no column of events is.
    pub remarks: Vec<usize>,
    /// True where readings at several nominal values may be of several points.
    pub mixes: bool,
    /// True where the header of the lower limit ends with a minus sign: numbers without one lie
    /// below 0 all the same.
    pub lower_is_below: bool,
}

impl Shape {
    /// The shape of a file with these headers.
    pub(crate) fn of(matched: &Matched, settings: &ChecksSettings) -> Self {
        let header = |column: Column| matched.header(column);
        let stated = |column: Column| match (matched.place(column), column.has_unit()) {
            (Some(place), true) => stated_at(matched, settings, place),
            _ => Stated::default(),
        };
        let all = Column::ALL.map(stated);
        Shape {
            has: Column::ALL.map(|column| matched.place(column).is_some()),
            present: Column::ALL
                .into_iter()
                .filter(|column| matched.place(*column).is_some())
                .collect(),
            powers: std::array::from_fn(|i| all[i].power),
            point_from: places_of(&matched.headers, &settings.point_from)
                .map(|place| (place, stated_at(matched, settings, place)))
                .map(|(place, stated)| (place, stated.unit.unwrap_or_default().into_string()))
                .collect(),
            set_points: settings.set_points.clone(),
            repeated: places_of(&matched.headers, &settings.repeated_in)
                .map(|place| {
                    let own = stated_at(matched, settings, place);
                    let found = &all[Column::AsFound.index()];
                    let lent = own.unit.is_none() && own.power == 0;
                    let taken = if lent { found.clone() } else { own };
                    Repeated {
                        place,
                        header: matched.headers[place].as_str().into(),
                        unit: taken.unit.unwrap_or_default(),
                        power: taken.power,
                    }
                })
                .collect(),
            left_rows: place_of(&matched.headers, &settings.left_rows_by).map(|place| {
                let words = settings.left_rows_are.iter();
                (place, words.map(|word| plain(word)).collect())
            }),
            void: VoidBy::of(matched, &settings.void_rows_by, &settings.void_rows_are),
            date_from: match matched.place(Column::Date) {
                Some(_) => Vec::new(),
                None => places_of(&matched.headers, &settings.date_from).collect(),
            },
            time: place_of(&matched.headers, &settings.time_in),
            remarks: match (&settings.columns.event, header(Column::Event)) {
                (OwnHeader::Off, _) | (_, Some(_)) => Vec::new(),
                _ => unread_remarks(matched).collect(),
            },
            units: all.map(|stated| stated.unit),
            mixes: settings.point_from.is_empty()
                && settings.columns.point != OwnHeader::Off
                && header(Column::Nominal).is_some(),
            lower_is_below: header(Column::Lower).is_some_and(ends_with_minus),
            asked: header(Column::Event).and_then(asked_event),
            pairs: match settings.pairs {
                Pairs::Auto => header(Column::AsFound).map_or(Pairs::Auto, pairs_of),
                stated => stated,
            },
        }
    }

    /// The point of a row, from the fields of the columns that tell points apart; false beside it where a
    /// number in them is near none of the set points. `None` where no such columns are named.
    pub(crate) fn point<'a>(
        &self,
        marks: Marks,
        field: impl Fn(usize) -> Field<'a>,
    ) -> Option<(String, bool)> {
        if self.point_from.is_empty() {
            return None;
        }
        let (mut point, mut is_near) = (String::new(), true);
        for (place, unit) in &self.point_from {
            let text = field(*place).text();
            let part = text.trim();
            // 100 and 100.0 are one point, and so are 5.0 V and 5 V.
            let amount = written(part, marks).ok();
            let amount = amount.filter(|amount| amount.form == Form::Plain);
            let number = amount.map(|amount| {
                let value = amount.number.value;
                let known = near(&self.set_points, value);
                is_near &= known.is_some() || self.set_points.is_empty();
                known.unwrap_or(value).to_string()
            });
            let (part, unit) = match (&number, amount) {
                (Some(number), Some(amount)) if amount.unit.is_empty() => {
                    (number.as_str(), unit.as_str())
                }
                (Some(number), Some(amount)) if Unit::parse(amount.unit).is_some() => {
                    (number.as_str(), amount.unit)
                }
                _ => (part, ""),
            };
            for word in [part, unit].into_iter().filter(|word| !word.is_empty()) {
                if !point.is_empty() {
                    point.push(' ');
                }
                point.push_str(word);
            }
        }
        Some((point, is_near))
    }

    /// True for a row as left, from the text of the column that tells.
    pub(crate) fn is_left<'a>(&self, text: impl Fn(usize) -> Cow<'a, str>) -> bool {
        let left = self.left_rows.as_ref();
        left.is_some_and(|(place, words)| words.contains(&plain(&text(*place))))
    }

    /// True where the file has this column.
    pub(crate) fn has(&self, column: Column) -> bool {
        self.has[column.index()]
    }
}

/// What the header in a place says of its numbers.
fn stated_at(matched: &Matched, settings: &ChecksSettings, place: usize) -> Stated {
    let header = matched.headers.get(place).map_or("", String::as_str);
    let below = matched.units.get(place).map(String::as_str);
    let below = below.filter(|unit| !unit.is_empty());
    Stated::of(header, below, settings.power_of_ten)
}

/// Where the columns of remarks stand that are not read.
fn unread_remarks(matched: &Matched) -> impl Iterator<Item = usize> + '_ {
    let headers = matched.headers.iter().enumerate();
    let unread = headers.filter(|(place, _)| !matched.positions.contains(&Some(*place)));
    let remarks = unread.filter(|(_, header)| speaks_of(header, "remarks"));
    remarks.map(|(place, _)| place)
}

/// True for `Tol -` and `Tol (−)`, and not for `+/-`.
pub(crate) fn ends_with_minus(header: &str) -> bool {
    let words = plain(words_of_header(header));
    let mut ends = [words.split(' ').next(), words.split(' ').next_back()].into_iter();
    let signed =
        sign_of_header(header) == Some(Sign::Minus) || ends.any(|word| word == Some("minus"));
    signed && !header.contains(['+', '±']) && !words.contains("plus")
}

/// What two numbers in one cell are, by the words of their header.
pub(crate) fn pairs_of(header: &str) -> Pairs {
    let lower = header.to_lowercase();
    let Some((_, second)) = lower.split_once(['/', '|', ';']) else {
        return Pairs::Auto;
    };
    let bare = second.trim_matches(|c: char| !c.is_alphanumeric());
    let bare_u = bare == "u";
    let left = bare.split(|c: char| !c.is_alphanumeric()).next() == Some("al");
    match (
        left || speaks_of(second, "left"),
        speaks_of(second, "uncertain") || bare_u,
    ) {
        (true, false) => Pairs::FoundLeft,
        (false, true) => Pairs::FoundU,
        _ => Pairs::Auto,
    }
}

/// What a header says that its column holds.
pub(crate) fn meaning_of(header: &str) -> AsFoundIs {
    let deviation = speaks_of(header, "deviation_of_measure");
    if speaks_of(header, "correction") {
        return if deviation {
            AsFoundIs::Error
        } else {
            AsFoundIs::Correction
        };
    }
    match (speaks_of(header, "error"), speaks_of(header, "value")) {
        (true, _) => AsFoundIs::Error,
        (false, true) => AsFoundIs::Value,
        (false, false) => AsFoundIs::Auto,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_tell_what_pairs_are() {
        assert_eq!(pairs_of("As found / as left"), Pairs::FoundLeft);
        assert_eq!(pairs_of("Error AF/AL (kPa)"), Pairs::FoundLeft);
        assert_eq!(pairs_of("Error (Al/alloy)"), Pairs::Auto);
        assert_eq!(pairs_of("Wert vor / nach Justage"), Pairs::FoundLeft);
        assert_eq!(pairs_of("Value / U"), Pairs::FoundU);
        assert_eq!(pairs_of("as_found"), Pairs::Auto);
    }

    /// The limits of a weight are on conventional mass less nominal mass, and its correction is that
    /// difference: common practice, no source.
    #[test]
    fn a_correction_to_a_nominal_value_is_a_deviation() {
        assert_eq!(meaning_of("Correction (mK)"), AsFoundIs::Correction);
        assert_eq!(
            meaning_of("Conventional mass correction / mg"),
            AsFoundIs::Error
        );
        assert_eq!(meaning_of("Nominal - reading"), AsFoundIs::Correction);
    }

    #[test]
    fn a_minus_sign_ends_a_header() {
        for header in [
            "Tol -",
            "Tol. − [mV]",
            "Toleranz (-)",
            "Tol - mV",
            "- Tolerance (mm)",
            "Tol (-) dB",
            "Tol minus (mV)",
        ] {
            assert!(ends_with_minus(header), "{header}");
        }
        for header in [
            "Tol +/-",
            "Tol",
            "Lower",
            "Tol +",
            "Tol + [mV]",
            "Tol +/- mV",
            "",
        ] {
            assert!(!ends_with_minus(header), "{header}");
        }
    }

    #[test]
    fn a_correction_is_no_error() {
        assert_eq!(meaning_of("Korrektur [mK]"), AsFoundIs::Correction);
        assert_eq!(meaning_of("Corrected reading"), AsFoundIs::Value);
        assert_eq!(meaning_of("補正値"), AsFoundIs::Correction);
        assert_eq!(meaning_of("Abweichung"), AsFoundIs::Error);
    }
}
