/*! Which columns of a wide table state what, and of which date or point. */

use super::WideSettings;
use super::header_parts::{dated_parts, numbered_parts, parts};
use crate::records::cells::column::Column;
use crate::records::cells::digits::has_digit;
use crate::records::words::plain;
use crate::words::series::series;
use std::collections::{BTreeSet, HashMap};

/// What the columns of one check have in common.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Key {
    /// Days since 1970-01-01.
    Date(f64),
    /// Its number among the points or instruments of the settings.
    Point(usize),
    /// The number in its headers.
    Number(usize),
}

impl Key {
    /// What tells it from the others of a table.
    fn bits(self) -> u64 {
        match self {
            Key::Date(day) => day.to_bits(),
            Key::Point(number) | Key::Number(number) => number as u64,
        }
    }
}

/// The columns of one date or point.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Of {
    pub key: Key,
    /// Our columns with their places in the table.
    pub places: Vec<(Column, usize)>,
}

impl Of {
    /// The place of a column in the table.
    pub(crate) fn place(&self, column: Column) -> Option<usize> {
        let found = self.places.iter().find(|(own, _)| *own == column);
        found.map(|(_, place)| *place)
    }
}

/// The columns of a wide table.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Columns {
    /// By date, in the order of time; or by point, in that of the settings.
    pub checks: Vec<Of>,
    /// Places of headers that state a date or point beside words that no setting names.
    pub unread: Vec<usize>,
    /// Places of headers that are called like those of points or instruments and that no setting names.
    pub alike: Vec<usize>,
    /// Two headers that state the same of the same date or point.
    pub twice: Option<(String, String)>,
}

impl Columns {
    /// The columns that the headers state.
    pub(crate) fn of(headers: &[String], settings: &WideSettings) -> Self {
        let mut columns = Columns::default();
        let mut known: HashMap<u64, usize> = HashMap::new();
        let points = settings.numbered();
        let (mut series, mut others) = (BTreeSet::new(), Vec::new());
        for (place, header) in headers.iter().enumerate() {
            let found = match settings.by_points() {
                true => parts(header, |text| points.number(text).map(Key::Point)),
                false if settings.by_numbers() => {
                    numbered_parts(header).map(|(number, beside)| (Key::Number(number), beside))
                }
                false => dated_parts(header, |text| settings.date(text).map(Key::Date)),
            };
            let Some((key, beside)) = found else {
                others.push(place);
                continue;
            };
            series.extend(series_of(header));
            let column = settings
                .words()
                .find(|(_, word)| plain(word) == plain(&beside));
            match column {
                Some((column, _)) => {
                    let at = *known.entry(key.bits()).or_insert_with(|| {
                        let places = Vec::new();
                        columns.checks.push(Of { key, places });
                        columns.checks.len() - 1
                    });
                    columns.add(at, column, place, headers);
                }
                None => columns.unread.push(place),
            }
        }
        if settings.by_points() {
            let of_series = |own: String| series.contains(&own);
            others.retain(|place| series_of(&headers[*place]).is_some_and(of_series));
            columns.alike = others;
        }
        columns.checks.sort_by(|a, b| match (a.key, b.key) {
            (Key::Date(a), Key::Date(b)) => a.total_cmp(&b),
            (Key::Point(a), Key::Point(b)) | (Key::Number(a), Key::Number(b)) => a.cmp(&b),
            _ => std::cmp::Ordering::Equal,
        });
        columns
    }

    fn add(&mut self, at: usize, column: Column, place: usize, headers: &[String]) {
        let places = &mut self.checks[at].places;
        match places.iter().find(|(known, _)| *known == column) {
            None => places.push((column, place)),
            Some((_, first)) => {
                let both = (headers[*first].clone(), headers[place].clone());
                self.twice.get_or_insert(both);
            }
        }
    }

    /// The places of the columns that belong to a date or point, in order.
    pub(crate) fn places(&self) -> BTreeSet<usize> {
        let places = self.checks.iter().flat_map(|of| &of.places);
        places.map(|(_, place)| *place).collect()
    }

    /// The places of the others in a table of so many columns, in order.
    pub(super) fn others(&self, width: usize) -> Vec<usize> {
        let stated = self.places();
        (0..width).filter(|place| !stated.contains(place)).collect()
    }

    /// Our columns that stand once a date or point, in our order.
    pub(crate) fn columns(&self) -> Vec<Column> {
        let all = || self.checks.iter().flat_map(|of| &of.places);
        let has = |column: &Column| all().any(|(own, _)| own == column);
        Column::ALL.into_iter().filter(has).collect()
    }
}

/// What the headers of one series have in common, such as `5 bar` and `10 bar`, or `Oven A` and `Oven B`; `None` of one
/// that counts nothing.
fn series_of(header: &str) -> Option<String> {
    let words = plain(header);
    let (first, last) = words.rsplit_once(' ').unwrap_or(("", &words));
    if !first.is_empty() && last.chars().count() == 1 && !has_digit(&words) {
        return Some(format!("{first} #"));
    }
    series(&words)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(list: &[&str]) -> Vec<String> {
        list.iter().map(|h| h.to_string()).collect()
    }

    #[test]
    fn headers_of_a_series_are_told_by_what_counts() {
        let series = |header: &str| series_of(header);
        assert_eq!(series("5 bar"), series("10 bar"));
        assert_eq!(series("TC-1 [K]"), series("TC-12 [K]"));
        assert_eq!(series("Oven A"), series("Oven C"));
        assert_ne!(series("5 bar"), series("5 mbar"));
        assert_eq!(series("Remarks"), None);
        assert_eq!(series("Checked by"), None);
    }

    #[test]
    fn columns_go_by_date_and_by_what_stands_beside_it() {
        let settings = WideSettings {
            date_format: "%Y".into(),
            as_found: Some("found".into()),
            as_left: Some("Left".into()),
            ..WideSettings::default()
        };
        let all = headers(&[
            "id",
            "2022 found [mK]",
            "left 2022",
            "2021_found",
            "2021 by",
        ]);
        let columns = Columns::of(&all, &settings);
        let dates: Vec<usize> = columns.checks.iter().map(|of| of.places.len()).collect();
        assert_eq!(dates, [1, 2]);
        assert_eq!(columns.unread, [4]);
        assert_eq!(columns.columns(), [Column::AsFound, Column::AsLeft]);
        let places = columns.places();
        assert!(places.contains(&3) && !places.contains(&0));
        let bracketed = headers(&["id", "found [mK] (2021)", "Left (2021) [mK]", "by (2021)"]);
        let columns = Columns::of(&bracketed, &settings);
        let places = columns.checks.iter().map(|of| of.places.clone());
        let both = vec![(Column::AsFound, 1), (Column::AsLeft, 2)];
        assert_eq!(places.collect::<Vec<_>>(), [both]);
        assert_eq!(columns.unread, [3]);
        let twice = headers(&["2021 found", "found 2021"]);
        assert!(Columns::of(&twice, &settings).twice.is_some());
    }

    #[test]
    fn checks_of_one_row_go_by_their_numbers() {
        let settings = WideSettings {
            date: Some("date".into()),
            as_found: Some("error".into()),
            ..WideSettings::default()
        };
        let all = headers(&[
            "id",
            "Date 1",
            "Error 1 [mV]",
            "2nd date",
            "Error2",
            "Note 1",
        ]);
        let columns = Columns::of(&all, &settings);
        let places: Vec<_> = columns.checks.iter().map(|of| of.places.clone()).collect();
        let of = |date, found| vec![(Column::Date, date), (Column::AsFound, found)];
        assert_eq!(places, [of(1, 2), of(3, 4)]);
        assert_eq!(columns.unread, [5]);
    }

    #[test]
    fn points_are_told_apart_by_whole_words() {
        let settings = WideSettings {
            points: vec!["0 bar".into(), "10 bar".into(), "-10 bar".into()],
            as_found: Some(String::new()),
            u: Some("U".into()),
            ..WideSettings::default()
        };
        let all = headers(&[
            "Date",
            "10 bar [mbar]",
            "-10  bar",
            "0 bar",
            "U 0 bar",
            "110 bar",
        ]);
        let columns = Columns::of(&all, &settings);
        let places: Vec<_> = columns.checks.iter().map(|of| of.places.clone()).collect();
        let found = Column::AsFound;
        assert_eq!(
            places,
            [
                vec![(found, 3), (Column::U, 4)],
                vec![(found, 1)],
                vec![(found, 2)]
            ]
        );
    }
}
