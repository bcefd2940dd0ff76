/*! Headers that are not read, and by their words or spelling may be columns of ours. */

use super::matched::{Matched, Wanted, fold};
use super::own::OFF;
use crate::records::cells::column::Column;
use crate::records::cells::unit::length_of_time::names;
use crate::records::settings::words::TimeUnit;
use crate::records::words::{plain, register_words, speaks_of, words};

/// Distance up to which an unread header is taken for a misspelt column.
const NEAR_MISS: usize = 2;

/// Columns of the register that change what is decided, and that checks do not have.
pub(crate) const REGISTER_ONLY: [&str; 10] = [
    "cap_days",
    "floor_days",
    "last_calibration",
    "reliability_target",
    "cost",
    "cost_out_of_tolerance",
    "criticality",
    "role",
    "control_chart",
    "control_from",
];

/// Says of headers that are not read what they may be meant for.
pub(super) fn note_near_misses(matched: &mut Matched, wanted: &[Wanted<'_>]) {
    let limits = |(column, place): (&Wanted<'_>, &Option<usize>)| {
        matches!(column.name, "lower" | "upper").then_some(place.is_none())
    };
    let unmapped: Vec<bool> = wanted
        .iter()
        .zip(&matched.positions)
        .filter_map(limits)
        .collect();
    let limits_missing = !unmapped.is_empty() && unmapped.iter().all(|missing| *missing);
    let checks = wanted.iter().any(|column| column.name == "as_found");
    let off = |header: &String| {
        let mut off = wanted.iter().filter(|column| column.own == Some(OFF));
        off.any(|column| fold(header) == column.name)
    };
    for (index, header) in matched.headers.iter().enumerate() {
        if matched.positions.contains(&Some(index)) || off(header) {
            continue;
        }
        let folded = fold(header);
        let of_register = |name: &&&str| folded == **name;
        if checks && let Some(name) = REGISTER_ONLY.iter().find(of_register) {
            matched.notes.push(format!(
                "column \"{header}\" is not read from checks: {name} belongs in the register, one row an instrument"
            ));
            continue;
        }
        if checks && let Some(column) = named_by_words(header, wanted, &matched.positions) {
            matched.notes.push(format!(
                "column \"{header}\" is not read; by its name it may be {column}: map it by {column} = \"{header}\" under columns, or give it that name"
            ));
            continue;
        }
        if let Some(unit) = unit_of_interval(header).filter(|_| lacks(matched, wanted, INTERVAL)) {
            matched.notes.push(format!(
                "column \"{header}\" is not read; it states intervals in {0}: map it by {INTERVAL} = \"{header}\" under columns, with interval_in = \"{0}\" beside files",
                unit.word()
            ));
            continue;
        }
        let near = wanted
            .iter()
            .zip(&matched.positions)
            .find(|(column, place)| {
                let limit = NEAR_MISS.min(column.name.len() / 3);
                place.is_none()
                    && column.own != Some(OFF)
                    && folded.len().abs_diff(column.name.len()) <= limit
                    && strsim::damerau_levenshtein(&folded, column.name) <= limit
            });
        if let Some((column, _)) = near {
            matched.notes.push(format!(
                "column \"{header}\" is not read; if it is {0}, map it by {0} = \"{header}\" under columns",
                column.name
            ));
        } else if limits_missing && means_tolerance(header) {
            matched.notes.push(format!(
                "column \"{header}\" is not read: state its limits in two columns, lower and upper, as errors (±5 is -5 and 5)"
            ));
        }
    }
}

/// The column of intervals in use.
const INTERVAL: &str = "interval_days";

/// True where a column that is looked for by its own name was not found.
fn lacks(matched: &Matched, wanted: &[Wanted<'_>], name: &str) -> bool {
    let mut all = wanted.iter().zip(&matched.positions);
    all.any(|(own, place)| own.name == name && own.own.is_none() && place.is_none())
}

/// The unit of an interval that a header states: the months of `interval (months)`.
fn unit_of_interval(header: &str) -> Option<TimeUnit> {
    let header = plain(header);
    let (before, word) = header.rsplit_once(' ')?;
    let interval = register_words(INTERVAL).iter().any(|own| own == before);
    let mut units = TimeUnit::ALL.into_iter();
    units.find(|unit| interval && names(*unit, word))
}

/// The column that the words of an unread header name, where without it a failure or an adjustment is
/// not seen, or an uncertainty is not divided: whether it was in tolerance, what was done, what was left, the
/// coverage factor.
fn named_by_words(
    header: &str,
    wanted: &[Wanted<'_>],
    places: &[Option<usize>],
) -> Option<&'static str> {
    let telling = [
        Column::InTolerance,
        Column::Event,
        Column::AsLeft,
        Column::CoverageFactor,
    ];
    let absent = |column: &Column| {
        let mut all = wanted.iter().zip(places);
        all.any(|(other, place)| {
            other.name == column.name() && other.own.is_none() && place.is_none()
        })
    };
    let whole = plain(header);
    // What was left has a unit, which an outcome has not; "Deviation after adjustment" is "after adjustment".
    let bare = header.find(['[', '(']).filter(|end| *end > 0);
    let bare = plain(&header[..bare.unwrap_or(header.len())]);
    let left =
        |word: &String| bare == *word || word.contains(' ') && bare.ends_with(&format!(" {word}"));
    let named = |column: &Column| match column {
        Column::AsLeft => words(Column::AsLeft).iter().any(left),
        column => words(*column).contains(&whole),
    };
    let mut found = telling.into_iter().filter(absent);
    found.find(named).map(Column::name)
}

/// True where a header speaks of a tolerance in one number, which has no column of its own.
pub(crate) fn means_tolerance(header: &str) -> bool {
    let header = fold(header);
    let short = ["tol", "mpe", "emt", "fehlergrenze"];
    speaks_of(&header, "tolerance")
        || header
            .split(|c: char| !c.is_alphabetic())
            .any(|word| short.contains(&word))
}
