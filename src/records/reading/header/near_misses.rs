/*! Headers that are not read, and by their words or spelling may be columns of ours. */

use super::matched::{Matched, Wanted, fold};
use super::own::OFF;
use crate::records::cells::column::Column;
use crate::records::cells::unit::length_of_time::names;
use crate::records::settings::words::TimeUnit;
use crate::records::words::{before_bracket, plain, register_words, speaks_of, words};

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
    let off = |header: &String| {
        let mut off = wanted.iter().filter(|column| column.own == Some(OFF));
        off.any(|column| fold(header) == column.name)
    };
    let told: Vec<(usize, String)> = matched
        .unread()
        .filter(|place| !off(&matched.headers[*place]))
        .filter_map(|place| Some((place, meant(&matched.headers[place], matched, wanted)?)))
        .collect();
    for (place, words) in told {
        matched.note_unread(place, words);
    }
}

/// What a header that is not read may be meant for, in words with the mend.
fn meant(header: &str, matched: &Matched, wanted: &[Wanted<'_>]) -> Option<String> {
    let checks = wanted.iter().any(|column| column.name == "as_found");
    let folded = fold(header);
    let of_register = |name: &&&str| folded == **name;
    if checks && let Some(name) = REGISTER_ONLY.iter().find(of_register) {
        return Some(format!(
            "column \"{header}\" is not read from checks: {name} belongs in the register, one row an instrument"
        ));
    }
    if checks && let Some(column) = named_by_words(header, matched, wanted) {
        return Some(format!(
            "column \"{header}\" is not read; by its name it may be {column}: map it by {column} = \"{header}\" under columns, or give it that name"
        ));
    }
    if let Some(unit) = unit_of_interval(header).filter(|_| lacks(matched, wanted, INTERVAL)) {
        return Some(format!(
            "column \"{header}\" is not read; it states intervals in {0}: map it by {INTERVAL} = \"{header}\" under columns, with interval_in = \"{0}\" beside files",
            unit.word()
        ));
    }
    if let Some(name) = nearest(&folded, matched, wanted) {
        return Some(format!(
            "column \"{header}\" is not read; if it is {name}, map it by {name} = \"{header}\" under columns"
        ));
    }
    (lacks_limits(matched, wanted) && means_tolerance(header)).then(|| {
        format!(
            "column \"{header}\" is not read: state its limits in two columns, lower and upper, as errors (±5 is -5 and 5)"
        )
    })
}

/// The column without a place whose name is spelt nearly as a header is.
fn nearest(folded: &str, matched: &Matched, wanted: &[Wanted<'_>]) -> Option<&'static str> {
    let near = |(column, place): &(&Wanted<'_>, &Option<usize>)| {
        let limit = NEAR_MISS.min(column.name.len() / 3);
        place.is_none()
            && column.own != Some(OFF)
            && folded.len().abs_diff(column.name.len()) <= limit
            && strsim::damerau_levenshtein(folded, column.name) <= limit
    };
    let found = wanted.iter().zip(&matched.positions).find(near);
    found.map(|(column, _)| column.name)
}

/// True where limits are looked for and neither was found.
fn lacks_limits(matched: &Matched, wanted: &[Wanted<'_>]) -> bool {
    let all = wanted.iter().zip(&matched.positions);
    let limits = all.filter(|(column, _)| matches!(column.name, "lower" | "upper"));
    let mut places = limits.map(|(_, place)| place).peekable();
    places.peek().is_some() && places.all(Option::is_none)
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
fn named_by_words(header: &str, matched: &Matched, wanted: &[Wanted<'_>]) -> Option<&'static str> {
    let telling = [
        Column::InTolerance,
        Column::Event,
        Column::AsLeft,
        Column::CoverageFactor,
    ];
    let whole = plain(header);
    // What was left has a unit, which an outcome has not; "Deviation after adjustment" is "after adjustment".
    let bare = plain(before_bracket(header));
    let left =
        |word: &String| bare == *word || word.contains(' ') && bare.ends_with(&format!(" {word}"));
    let named = |column: &Column| match column {
        Column::AsLeft => words(Column::AsLeft).iter().any(left),
        column => words(*column).contains(&whole),
    };
    let absent = |column: &Column| lacks(matched, wanted, column.name());
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
