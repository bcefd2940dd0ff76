/*! Rows of a large fleet's table as data in the page, a seventh as large, of which the script makes rows. */

use super::fleet_row::{RowWords, in_blocks, sorting, tell};
use crate::report::view::{FleetRow, FleetView};
use rayon::prelude::*;
use std::collections::HashMap;
use std::fmt::Write as _;

/// Rows that the script makes when they are turned to: a list of the texts that many share, then a line each.
pub(super) fn as_data(view: &FleetView, order: &[usize]) -> String {
    let told: Vec<(&FleetRow, RowWords)> = order
        .par_iter()
        .map(|i| (&view.rows[*i], tell(view.as_of, &view.rows[*i])))
        .collect();
    let (list, shared) = shared_texts(&told);
    let mut json = String::from("<script type=\"application/json\" id=\"rest\">[\n[");
    for (number, text) in list.into_iter().enumerate() {
        json.push_str(if number > 0 { "," } else { "" });
        push_json(text, &mut json);
    }
    json.push(']');
    let lines = in_blocks(&told, |(row, cells), json| {
        json.push_str(",\n");
        push_data(row, cells, &shared, json);
    });
    json + &lines + "\n]</script>\n"
}

/// Why a row is as it is, as the data of a row tell it: the whole reason is on its page.
fn why(row: &FleetRow) -> &str {
    match row.cause.as_str() {
        "" => &row.reason,
        cause => cause,
    }
}

/// The texts of a row, in the order in which its data have them.
fn texts<'a>(row: &'a FleetRow, cells: &'a RowWords) -> [&'a str; 14] {
    [
        &row.status,
        if row.has_page { &row.slug } else { "" },
        &row.instrument,
        &row.point,
        &row.group,
        row.action.word(),
        &cells.due,
        cells.late,
        &cells.proposed,
        &cells.interval,
        &cells.drift,
        &cells.in_tolerance,
        why(row),
        &cells.status,
    ]
}

/// Places of the texts that many rows share: written once, and named by their number.
const SHARED: [usize; 9] = [0, 3, 4, 5, 7, 9, 11, 12, 13];

/// The texts that many rows share, in the order in which they first stand, and the number of each.
fn shared_texts<'a>(told: &'a [(&FleetRow, RowWords)]) -> (Vec<&'a str>, HashMap<&'a str, usize>) {
    let (mut list, mut numbers) = (Vec::new(), HashMap::new());
    for (row, cells) in told {
        let texts = texts(row, cells);
        for text in SHARED.map(|place| texts[place]) {
            numbers.entry(text).or_insert_with(|| {
                list.push(text);
                list.len() - 1
            });
        }
    }
    (list, numbers)
}

/// A row as data: its texts, a shared one as its number, then the keys by which it sorts.
fn push_data(row: &FleetRow, cells: &RowWords, shared: &HashMap<&str, usize>, json: &mut String) {
    json.push('[');
    for (place, text) in texts(row, cells).into_iter().enumerate() {
        match shared.get(text).filter(|_| SHARED.contains(&place)) {
            Some(number) => json.push_str(&number.to_string()),
            None => push_json(text, json),
        }
        json.push(',');
    }
    let keys = cells.keys.map(|key| key.map_or("null".into(), sorting));
    let _ = write!(json, "{}]", keys.join(","));
}

/// A JSON string that cannot end the element it stands in (RFC 8259, section 7).
fn push_json(text: &str, json: &mut String) {
    json.push('"');
    for letter in text.chars() {
        match letter {
            '"' | '\\' | '<' | '>' | '&' | '\u{0}'..='\u{1f}' | '\u{2028}' | '\u{2029}' => {
                let _ = write!(json, "\\u{:04x}", u32::from(letter));
            }
            plain => json.push(plain),
        }
    }
    json.push('"');
}
