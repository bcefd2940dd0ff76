/*! Tables of one row a date and one column an instrument: `Date`, `TC-1`, `TC-2`. */

use super::points::states_point;
use super::wide::dated::is_dated;
use super::wide::{Wide, meaning};
use crate::records::cells::column::Column;
use crate::records::cells::unit;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::headers::{folded, headed, item_column};
use crate::records::reading::wide::{WideSettings, without_unit};
use crate::records::words::words;

/// Fewest instruments of a table.
const FEWEST: usize = 2;

/// The instruments that the headers name beside one of dates; `None` where any other header is none.
pub(crate) fn by_instruments(headers: &[String]) -> Option<Wide> {
    let is_date = |header: &&String| words(Column::Date).contains(&folded(header));
    let filled = || headers.iter().filter(|header| !header.trim().is_empty());
    let mut others = filled().filter(|header| !is_date(header));
    let dated = filled().any(|header| is_date(&header));
    if !dated || item_column(headers).is_some() || !others.clone().all(|h| names_an_item(h)) {
        return None;
    }
    let instruments: Vec<String> = others
        .by_ref()
        .map(|header| without_unit(header).trim().to_string())
        .collect();
    if instruments.len() < FEWEST {
        return None;
    }
    let listed = instruments.join(", ");
    let words = format!(
        "No column names the instruments, and the headers {listed} are taken for their names: what stands below each are its checks. Points or repeats of one instrument are stated otherwise: points under wide, repeated_in under [checks]."
    );
    let doubt = Doubt::new("header_instruments", words).or("they are instruments", Answer::AsTaken);
    Some(Wide {
        settings: WideSettings {
            instruments,
            as_found: Some(String::new()),
            ..WideSettings::default()
        },
        to_check: Vec::new(),
        doubts: vec![doubt],
    })
}

/// True for a header that may be the name of an item and nothing else: letters with a number of more than one
/// digit or behind a sign (`TC-1`, `PRT07`), no word of a column, no unit, point or date.
fn names_an_item(header: &str) -> bool {
    let name = without_unit(header).trim();
    let letters = name.contains(char::is_alphabetic);
    let digits = name.chars().filter(char::is_ascii_digit).count();
    let joined = name.contains(['-', '/', '_', '.']) && digits > 0;
    let column = Column::ALL.iter().any(|column| headed(name, *column));
    letters
        && !name.contains(' ')
        && (digits > 1 || joined)
        && !column
        && meaning(name).is_none()
        && !is_dated(name)
        && !states_point(name)
        && unit::of_header(name).is_none()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_that_name_items_beside_dates_are_their_columns() {
        let of = |headers: &[&str]| {
            by_instruments(&headers.iter().map(|h| h.to_string()).collect::<Vec<_>>())
        };
        let found = of(&["Date", "TC-1", "TC-2 [mK]", "PRT07"]).unwrap();
        assert_eq!(found.settings.instruments, ["TC-1", "TC-2", "PRT07"]);
        for other in [
            ["Date", "R1", "R2", "R3"],
            ["Date", "Error 1", "Error 2", "Error 3"],
            ["Date", "0 bar", "5 bar", "10 bar"],
            ["Instrument", "Date", "TC-1", "TC-2"],
            ["Date", "TC-1", "TC-2", "Remark"],
            ["TC-1", "TC-2", "TC-3", "TC-4"],
        ] {
            assert!(of(&other).is_none(), "{other:?}");
        }
    }
}
