/*! Limits that are not read, or of which one alone is. */

use crate::records::cells::column::Column;
use crate::records::cells::digits::has_digit;
use crate::records::cells::marks::Marks;
use crate::records::cells::number::written::written;
use crate::records::cells::unit::Unit;
use crate::records::guess::apart::follows::numbers;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::{
    folded, headed, is_largest, is_share_of_limit, other_quantity,
};
use crate::records::guess::sample::Sample;
use crate::records::words::limit_words;

/// What says that a limit holds on both sides.
pub(crate) const BOTH_SIDES: [&str; 3] = ["±", "+/-", "+-"];

/// Asks about a column that is not read and by its header or its ± values holds limits, where no
/// limits are read.
pub(crate) fn about_unread_limits(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    const LIMITS: [Column; 3] = [Column::Tolerance, Column::Lower, Column::Upper];
    if LIMITS.iter().any(|column| guess.reads(*column)) {
        return None;
    }
    let unread = guess.not_read(samples);
    let marks = guess.marks();
    let named = unread.iter().find(|s| is_limit(s, marks)).copied();
    let in_two = |s: &&&Sample| names_limit(&s.header) && two_numbers(s);
    let in_two = unread.iter().find(in_two).copied();
    let signed = unread.iter().find(|s| has_both_signs(s)).copied();
    let doubt = named.and_then(about_named);
    let two = [
        "they are the limits",
        "they are no limits of what is checked",
    ];
    let both = ["they are the limits of the error", "they are no limits"];
    let doubt = doubt.or_else(|| about_held(in_two?, "two limits in a cell", two));
    doubt.or_else(|| about_held(signed?, "values on both sides", both))
}

/// True where the header names limits of the error, and the cells hold numbers.
fn is_limit(sample: &Sample, marks: Marks) -> bool {
    let header = folded(&sample.header);
    // limit_ppm: a unit behind the name is none of its words.
    let header = match header.rsplit_once(' ') {
        Some((name, last)) if Unit::parse(last).is_some() => name.to_string(),
        _ => header,
    };
    let named = limit_words("names").contains(&header)
        || names_limit(&sample.header)
        || sample.header.contains('±')
        || sample.header.contains("+/-")
        || is_largest(&sample.header)
        || headed(&sample.header, Column::Tolerance) && !is_share_of_limit(&sample.header);
    let numbers = || sample.mostly(|text| written(text, marks).is_ok());
    named && !headed(&sample.header, Column::U) && numbers()
}

/// True where the cells begin with ±, and are no uncertainties.
fn has_both_signs(sample: &Sample) -> bool {
    let both_sides = |text: &str| BOTH_SIDES.iter().any(|sign| text.starts_with(sign));
    !headed(&sample.header, Column::U)
        && sample.values().next().is_some()
        && sample.mostly(both_sides)
}

fn about_named(sample: &Sample) -> Option<Doubt> {
    let (header, text) = (&sample.header, sample.values().next()?);
    let words = format!(
        "\"{header}\" is not read (\"{text}\"), and no limits are read: of the error on both sides, or on one?"
    );
    let map = |column| Answer::Map(column, header.clone());
    let doubt = Doubt::new("limits_not_read", words)
        .or("on both sides (±)", map(Column::Tolerance))
        .or("the upper limit alone", map(Column::Upper))
        .or("it is no limit of the error", Answer::AsTaken);
    Some(doubt)
}

/// Asks whether a column that holds `what` holds the limits, in the words of its two answers.
fn about_held(sample: &Sample, what: &str, [limits, none]: [&str; 2]) -> Option<Doubt> {
    let (header, text) = (&sample.header, sample.values().next()?);
    let words = format!(
        "\"{header}\" is not read and holds {what} (\"{text}\"), and no limits are read. They are by tolerance = \"{header}\" under columns."
    );
    let map = Answer::Map(Column::Tolerance, header.clone());
    let doubt = Doubt::new("limits_not_read", words)
        .or(limits, map)
        .or(none, Answer::AsTaken);
    Some(doubt)
}

/// True for a header one of whose words names a limit: `Grenzwert rel.`.
pub(crate) fn names_limit(header: &str) -> bool {
    folded(header)
        .split(' ')
        .any(|word| limit_words("names").iter().any(|name| name == word))
}

/// True where most cells hold two numbers, whatever stands between them: `0.90 - 1.10`.
fn two_numbers(sample: &Sample) -> bool {
    let digits = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
    let numbers = |text: &str| {
        let runs = text.split(|c: char| !digits(c));
        runs.filter(|run| has_digit(run)).count()
    };
    sample.values().next().is_some() && sample.mostly(|text| numbers(text) == 2)
}

/// Asks about a column of numbers that is not read where one of two limits is, and whose header
/// has a word of that limit's: `Nedre gräns` beside `Övre gräns`.
pub(crate) fn about_other_limit(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let [lower, upper, tolerance] =
        [Column::Lower, Column::Upper, Column::Tolerance].map(|column| header_of(guess, column));
    let (read, other) = match (lower, upper, tolerance) {
        (Some(lower), None, None) => (lower, Column::Upper),
        (None, Some(upper), None) => (upper, Column::Lower),
        _ => return None,
    };
    /// Letters of a word that tells something.
    const TELLING: usize = 3;
    let own = folded(&read);
    let shared = |header: &str| {
        let header = folded(header);
        let mut words = header
            .split(' ')
            .filter(|word| word.chars().count() >= TELLING);
        words.any(|word| own.split(' ').any(|own| own == word))
    };
    let marks = guess.marks();
    let readings = header_of(guess, Column::AsFound).unwrap_or_default();
    let of_error = |header: &str| other_quantity(header, &readings).is_none();
    let named = |s: &&Sample| shared(&s.header) && of_error(&s.header) && s.holds_numbers(marks);
    let unread = guess.not_read(samples);
    let Some(header) = unread.into_iter().find(named).map(|s| s.header.clone()) else {
        return one_limit(samples, guess, (read, other), marks);
    };
    let words = format!(
        "\"{read}\" is read as the {side} limit alone, and \"{header}\" beside it not. It is read by {name} = \"{header}\" under columns.",
        side = if other == Column::Upper {
            "lower"
        } else {
            "upper"
        },
        name = other.name(),
    );
    let doubt = Doubt::new("other_limit", words)
        .or("it is the other limit", Answer::Map(other, header))
        .or("there is one limit alone", Answer::AsTaken);
    Some(doubt)
}

/// True where a limit lies away from 0 and all readings keep it, as a pull force keeps its minimum: on both sides
/// none of them would.
fn all_keep(
    samples: &[Sample],
    guess: &Guess,
    (readings, other): (&Sample, Column),
    marks: Marks,
) -> bool {
    let read = match other {
        Column::Lower => Column::Upper,
        _ => Column::Lower,
    };
    let Some(limits) = guess.sample(samples, read) else {
        return false;
    };
    let (found, limits) = (numbers(readings, marks), numbers(limits, marks));
    let keeps = |(row, limit): (&u32, &f64)| {
        let value = found.get(row)?;
        Some(match read {
            Column::Lower => *limit > 0.0 && value >= limit,
            _ => *limit < 0.0 && value <= limit,
        })
    };
    let kept: Vec<bool> = limits.iter().filter_map(keeps).collect();
    !kept.is_empty() && kept.iter().all(|kept| *kept)
}

/// A doubt where one limit alone is read and readings lie on the other side of 0: it may hold on both.
fn one_limit(
    samples: &[Sample],
    guess: &Guess,
    (read, other): (String, Column),
    marks: Marks,
) -> Option<Doubt> {
    let readings = guess.sample(samples, Column::AsFound)?;
    if all_keep(samples, guess, (readings, other), marks) {
        return None;
    }
    let beyond = |text: &str| match written(text, marks) {
        Ok(cell) if other == Column::Lower => cell.number.value < 0.0,
        Ok(cell) => cell.number.value > 0.0,
        Err(_) => false,
    };
    let example = readings.values().find(|text| beyond(text))?;
    let (side, missing) = match other {
        Column::Lower => ("upper", "lower"),
        _ => ("lower", "upper"),
    };
    let words = format!(
        "\"{read}\" is read as the {side} limit, no {missing} limit is read, and readings lie on that side of 0 ({example}): does it hold on both sides?"
    );
    let doubt = Doubt::new("other_limit", words)
        .or("on both sides (±)", Answer::Map(Column::Tolerance, read))
        .or(format!("there is no {missing} limit"), Answer::AsTaken);
    Some(doubt)
}
