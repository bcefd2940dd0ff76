/*! Tables in which each row states one thing of a check: its error, its uncertainty, its limit. */

use crate::records::cells::column::Column;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::folded;
use crate::records::guess::sample::Sample;
use crate::records::words::words;
use crate::words::quoted_list;
use std::collections::{BTreeSet, HashSet};

/// What a row may state that is no reading.
const NO_READINGS: [Column; 8] = [
    Column::U,
    Column::Nominal,
    Column::AsLeft,
    Column::Lower,
    Column::Upper,
    Column::Tolerance,
    Column::CoverageFactor,
    Column::InTolerance,
];

/// Share of the rows of a column that is not read which must state no reading: a remark may do so by chance. Common
/// practice, no source.
const SHARE: f64 = 0.2;

/// Bytes of the longest name of what a row states, with its unit; a longer text is a remark.
const LONGEST: usize = 80;

/// Asks about a column that names in each row what it states, of a point or not read: such rows are no checks of
/// their own.
pub(crate) fn about_rows_of_columns(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let words_of = |column: &Column| words(*column).iter().map(String::as_str);
    let no_readings: HashSet<&str> = NO_READINGS.iter().flat_map(words_of).collect();
    // The words that state no reading, and in how many rows they stand.
    let stating = |sample: &Sample| {
        let all = sample.counted().filter(|(name, _)| name.len() <= LONGEST);
        let stating = all.filter(|(name, _)| no_readings.contains(folded(name).as_str()));
        let mut found = (BTreeSet::new(), 0);
        for (name, rows) in stating {
            found.0.insert(name.to_string());
            found.1 += rows;
        }
        found
    };
    let point = guess.sample(samples, Column::Point);
    let of_point = point.map(|sample| (sample, stating(sample).0));
    let unread = || {
        let mut unread = guess.not_read(samples).into_iter();
        unread.find_map(|sample| {
            let (names, rows) = stating(sample);
            let often = rows as f64 >= SHARE * sample.values().count() as f64;
            // One word may be an answer to something else.
            (names.len() > 1 && often).then_some((sample, names))
        })
    };
    let of_point = of_point.filter(|(_, names)| !names.is_empty());
    let (sample, found) = of_point.or_else(unread)?;
    let header = &sample.header;
    let becomes = match point {
        Some(_) => "each would become a history of its own",
        None => "all would be readings of one history",
    };
    let words = format!(
        "\"{header}\" seems to tell what a row states ({}), and no point: {becomes}. Such lists, one row a quantity, are not read: give each quantity its own column, with one row a check (in a spreadsheet a pivot table with \"{header}\" across and the rest of each check down), and take that file.",
        quoted_list(found)
    );
    let doubt = Doubt::new("rows_of_columns", words);
    Some(doubt.or("each row is a reading of its own", Answer::AsTaken))
}
