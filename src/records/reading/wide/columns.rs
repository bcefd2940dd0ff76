/*! Which columns of a wide table state what, and of which date. */

use super::WideSettings;
use crate::records::cells::column::Column;
use crate::records::cells::unit;
use crate::records::words::plain;

/// The columns of one date.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct OfDate {
    /// Days since 1970-01-01.
    pub date: f64,
    /// Our columns with their places in the table.
    pub places: Vec<(Column, usize)>,
}

/// The columns of a wide table.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Columns {
    /// By date, in the order of time.
    pub dates: Vec<OfDate>,
    /// Headers that state a date beside words that no setting names.
    pub unread: Vec<String>,
    /// Two headers that state the same of the same date.
    pub twice: Option<(String, String)>,
}

impl Columns {
    /// The columns that the headers state.
    pub fn of(headers: &[String], settings: &WideSettings) -> Self {
        let mut columns = Columns::default();
        for (place, header) in headers.iter().enumerate() {
            let Some((date, beside)) = parts_of(header, settings) else {
                continue;
            };
            let column = settings
                .words()
                .find(|(_, word)| plain(word) == plain(&beside));
            match column {
                Some((column, _)) => columns.add(date, column, place, headers),
                None => columns.unread.push(header.clone()),
            }
        }
        columns.dates.sort_by(|a, b| a.date.total_cmp(&b.date));
        columns
    }

    fn add(&mut self, date: f64, column: Column, place: usize, headers: &[String]) {
        let at = match self.dates.iter().position(|of| of.date == date) {
            Some(at) => at,
            None => {
                let places = Vec::new();
                self.dates.push(OfDate { date, places });
                self.dates.len() - 1
            }
        };
        let places = &mut self.dates[at].places;
        match places.iter().find(|(known, _)| *known == column) {
            None => places.push((column, place)),
            Some((_, first)) => {
                let both = (headers[*first].clone(), headers[place].clone());
                self.twice.get_or_insert(both);
            }
        }
    }

    /// True where the column at this place belongs to a date.
    pub fn has(&self, place: usize) -> bool {
        let places = self.dates.iter().flat_map(|of| &of.places);
        places.into_iter().any(|(_, own)| *own == place)
    }

    /// Our columns that stand once a date, in our order.
    pub fn columns(&self) -> Vec<Column> {
        let all = || self.dates.iter().flat_map(|of| &of.places);
        let has = |column: &Column| all().any(|(own, _)| own == column);
        Column::ALL.into_iter().filter(has).collect()
    }
}

/// The date that a header states and what stands beside it, without a unit in brackets.
pub(crate) fn parts_of(header: &str, settings: &WideSettings) -> Option<(f64, String)> {
    let header = without_unit(header);
    let words: Vec<&str> = header
        .split([' ', '_', '\n', ':'])
        .filter(|w| !w.is_empty())
        .collect();
    // The longest run of words that is a date: "3 Mar 2021 found".
    let runs = (1..=words.len())
        .rev()
        .flat_map(|length| (0..=words.len() - length).map(move |start| start..start + length));
    runs.into_iter().find_map(|run| {
        let date = settings.date(&words[run.clone()].join(" "))?;
        let beside = [&words[..run.start], &words[run.end..]].concat().join(" ");
        Some((date, beside))
    })
}

/// A header without a unit that stands in brackets at its end.
fn without_unit(header: &str) -> &str {
    let header = header.trim();
    let bracketed = header.ends_with([']', ')']) && unit::of_header(header).is_some();
    match header.rfind(['[', '(']) {
        Some(open) if bracketed => header[..open].trim_end(),
        _ => header,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(list: &[&str]) -> Vec<String> {
        list.iter().map(|h| h.to_string()).collect()
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
        let dates: Vec<usize> = columns.dates.iter().map(|of| of.places.len()).collect();
        assert_eq!(dates, [1, 2]);
        assert_eq!(columns.unread, ["2021 by"]);
        assert_eq!(columns.columns(), [Column::AsFound, Column::AsLeft]);
        assert!(columns.has(3) && !columns.has(0));
        let twice = headers(&["2021 found", "found 2021"]);
        assert!(Columns::of(&twice, &settings).twice.is_some());
    }

    #[test]
    fn dates_of_several_words_are_read_whole() {
        let settings = WideSettings {
            date_format: "%d %b %Y".into(),
            ..WideSettings::default()
        };
        let (date, beside) = parts_of("U 3 Mar 2021 (mK)", &settings).unwrap();
        assert_eq!(
            (crate::records::date::iso(date), beside),
            ("2021-03-03".into(), "U".into())
        );
        assert_eq!(parts_of("3 Mars", &settings), None);
    }
}
