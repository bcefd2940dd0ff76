/*! Several points in one row, each with its nominal value beside its reading: Nominal 1, Actual 1, Nominal 2, Actual 2. */

use super::wide::Wide;
use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::headers::{date_column, folded, is_alone};
use crate::records::reading::wide::{WideSettings, numbered_parts};
use crate::records::words::words;
use crate::words::quoted_list;
use std::collections::{BTreeMap, BTreeSet};

/// Columns that may stand once a point.
const COLUMNS: [Column; 7] = [
    Column::Nominal,
    Column::U,
    Column::Lower,
    Column::Upper,
    Column::Tolerance,
    Column::AsLeft,
    Column::AsFound,
];

/// The points, named by their numbers, and what stands beside these; `None` where no nominal value stands beside each
/// reading, or where something beside the numbers has no meaning: it would be left out.
pub(crate) fn by_counted_points(headers: &[String]) -> Option<Wide> {
    date_column(headers)?;
    let mut beside: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
    for header in headers {
        if let Some((number, words)) = numbered_parts(header) {
            beside.entry(words).or_default().insert(number);
        }
    }
    let mut settings = WideSettings::default();
    let several = beside.iter().filter(|(_, numbers)| numbers.len() > 1);
    let mut points: Option<&BTreeSet<usize>> = None;
    for (text, numbers) in several {
        let column = meaning(text)?;
        let taken = settings.words().any(|(known, _)| known == column);
        if taken || *points.get_or_insert(numbers) != numbers {
            return None;
        }
        settings.state(column, text);
    }
    let has = |column| settings.words().any(|(known, _)| known == column);
    if !has(Column::Nominal) || !has(Column::AsFound) {
        return None;
    }
    settings.points = points?.iter().map(usize::to_string).collect();
    let words = format!(
        "The numbers in the headers are taken for points ({}), each with the nominal value that stands beside its reading.",
        quoted_list(&settings.points)
    );
    Some(Wide {
        settings,
        to_check: Vec::new(),
        doubts: vec![Doubt::new("header_points", words).or("they are", Answer::AsTaken)],
    })
}

/// The column that the words beside a number are.
fn meaning(text: &str) -> Option<Column> {
    let text = folded(text);
    let named = |column: &Column| words(*column).contains(&text) || is_alone(&text, *column);
    COLUMNS.into_iter().find(named)
}
