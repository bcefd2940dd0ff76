/*! What is not read and may matter, and what the units alone decide. */

use super::doubt::{Answer, Doubt};
use super::draft::{Guess, header_of};
use super::headers::{
    approached, counted, folded, headed, is_largest, is_share_of_limit, lettered,
};
use super::sample::{NO_UNIT, Sample, is_number, is_unknown_outcome};
use crate::records::cells::column::Column;
use crate::records::cells::field::{self, Field};
use crate::records::cells::marks::Marks;
use crate::records::cells::said::{answer, spoken_of};
use crate::records::cells::unit::{self, Quantity, Unit};
use crate::records::cells::written::{is_nothing, written};
use crate::records::words::speaks_of;
use crate::records::{Event, Outcome};
use std::collections::BTreeSet;

/// Names the columns that speak of an uncertainty and are not read.
pub(crate) fn about_unread_uncertainty(guess: &mut Guess) {
    let speaks = |header: &&String| headed(header, Column::U) || speaks_of(header, "expanded");
    let why = match header_of(guess, Column::U) {
        Some(header) => format!("\"{header}\" is taken as u"),
        None => "its content does not read as numbers".to_string(),
    };
    let unread: Vec<String> = guess.ignored.iter().filter(speaks).cloned().collect();
    for header in unread {
        guess.to_check.push(format!(
            "\"{header}\" speaks of an uncertainty and is not read: {why}. Map the one that belongs to the readings by u, with coverage_factor where it is expanded."
        ));
    }
}

/// Asks about a column that is not read and tells of adjustments or the like, where no column of
/// events is read.
pub(crate) fn about_events_in_remarks(samples: &[Sample], guess: &mut Guess) {
    if header_of(guess, Column::Event).is_some() || guess.is_wide(Column::Event) {
        return;
    }
    let event = |value: &&str| spoken_of(value).event != Event::None;
    let ignored: BTreeSet<&String> = guess.ignored.iter().collect();
    let unread = samples.iter().filter(|s| ignored.contains(&s.header));
    let mut found =
        unread.filter_map(|s| Some((s.header.clone(), s.values().find(event)?.to_string())));
    let first = found.next();
    if let Some((header, text)) = first {
        let words = format!(
            "\"{header}\" is not read and tells of events (\"{text}\"): an adjustment changes what the values after it mean. It is read by event = \"{header}\" under columns."
        );
        let doubt = Doubt::new("events_in_remarks", words)
            .or("read it as the events", Answer::Map(Column::Event, header))
            .or("remarks alone, nothing was done", Answer::AsTaken);
        guess.doubts.push(doubt);
    }
}

/// Asks about a second column of units where it states others than the one that is read: a row's
/// numbers are all taken in its one unit.
pub(crate) fn about_second_unit(samples: &[Sample], guess: &mut Guess) {
    let Some(own) = header_of(guess, Column::Unit) else {
        return;
    };
    let units = |header: &String| -> BTreeSet<String> {
        let sample = samples.iter().find(|s| s.header == *header);
        let values = sample.into_iter().flat_map(Sample::values);
        let known = values.filter(|text| Unit::parse(text).is_some());
        known.map(str::to_string).collect()
    };
    let read = units(&own);
    // Row by row where both have a unit in each; else by what they state at all.
    let values = |header: &String| {
        let sample = samples.iter().find(|s| s.header == *header);
        sample.map_or(Vec::new(), |sample| sample.values().collect::<Vec<&str>>())
    };
    let own_values = values(&own);
    let differs = |header: &String| {
        let values = values(header);
        match values.len() == own_values.len() {
            true => values
                .iter()
                .zip(&own_values)
                .any(|(a, b)| !unit::same_unit(a, b)),
            false => !units(header).is_subset(&read) || read.len() > 1,
        }
    };
    let other = |header: &&String| {
        headed(header, Column::Unit) && !units(header).is_empty() && differs(header)
    };
    let Some(header) = guess.ignored.iter().find(other).cloned() else {
        return;
    };
    let listed = |units: BTreeSet<String>| units.into_iter().collect::<Vec<_>>().join(", ");
    let words = format!(
        "\"{header}\" is not read and states other units ({}) than \"{own}\" ({}): all numbers of a row are taken in the unit of \"{own}\". Where some are in the other, turn them in the file, or write the unit behind each number.",
        listed(units(&header)),
        listed(read)
    );
    let doubt = Doubt::new("second_unit", words);
    let taken = format!("all numbers of a row are in the unit of \"{own}\"");
    guess.doubts.push(doubt.or(taken, Answer::AsTaken));
}

/// Asks about a column that is not read and holds outcomes in words, where no outcome is read.
pub(crate) fn about_unread_outcomes(samples: &[Sample], guess: &mut Guess) {
    if header_of(guess, Column::InTolerance).is_some() || guess.is_wide(Column::InTolerance) {
        return;
    }
    // Answers such as "yes" and "1" may be answers to anything.
    let says = |text: &str| match answer(text) {
        Some(_) => Outcome::Unknown,
        None => field::outcome(Field::Text(text)).map_or(Outcome::Unknown, |(outcome, _)| outcome),
    };
    let ignored: BTreeSet<&String> = guess.ignored.iter().collect();
    let unread = || samples.iter().filter(|s| ignored.contains(&s.header));
    let found = unread()
        .find(|s| s.values().next().is_some() && s.mostly(|text| says(text) != Outcome::Unknown));
    let limits = [Column::Tolerance, Column::Lower, Column::Upper];
    let judged = limits
        .iter()
        .any(|column| header_of(guess, *column).is_some());
    // Where no limits judge, both answers in one column may be the only word of a failure.
    let both = |s: &&Sample| {
        let answers = |wanted| s.values().any(|text| answer(text) == Some(wanted));
        let worded = |text: &str| answer(text).is_some() && text.contains(char::is_alphabetic);
        answers(true) && answers(false) && s.mostly(worded)
    };
    let found = found.or_else(|| unread().find(both).filter(|_| !judged));
    let says = |text: &str| match answer(text) {
        Some(false) => Outcome::Out,
        _ => says(text),
    };
    let Some(sample) = found else {
        return;
    };
    let (header, mut values) = (sample.header.clone(), sample.values());
    let failure = sample.values().find(|text| says(text) == Outcome::Out);
    let text = failure.or(values.next()).unwrap_or("").to_string();
    let words = format!(
        "\"{header}\" is not read and holds outcomes (\"{text}\"). They are read by in_tolerance = \"{header}\" under columns."
    );
    let doubt = Doubt::new("outcomes_not_read", words)
        .or(
            "they are the outcomes as found",
            Answer::Map(Column::InTolerance, header),
        )
        .or("they are outcomes of something else", Answer::AsTaken);
    guess.doubts.push(doubt);
}

/// Asks about a column of numbers that is not read and speaks of what was left, where none is read
/// as that: an adjustment would be lost with it.
pub(crate) fn about_unread_left(samples: &[Sample], guess: &mut Guess) {
    let read = |column| header_of(guess, column).is_some() || guess.is_wide(column);
    if read(Column::AsLeft) || !read(Column::AsFound) {
        return;
    }
    let marks = guess.marks();
    let ignored: BTreeSet<&String> = guess.ignored.iter().collect();
    let left = |s: &&Sample| {
        let numbers = || s.values().next().is_some() && s.mostly(|v| is_number(v, marks));
        ignored.contains(&s.header) && speaks_of(&s.header, "left") && numbers()
    };
    let Some(sample) = samples.iter().find(left) else {
        return;
    };
    let header = sample.header.clone();
    let words = format!(
        "\"{header}\" is not read and speaks of what was left. It is read by as_left = \"{header}\" under columns; without it nobody knows where the values after an adjustment begin."
    );
    let doubt = Doubt::new("left_not_read", words)
        .or("it is what was left", Answer::Map(Column::AsLeft, header))
        .or("it is something else", Answer::AsTaken);
    guess.doubts.push(doubt);
}

/// Asks about a column of numbers that is not read where one of two limits is, and whose header
/// has a word of that limit's: `Nedre gräns` beside `Övre gräns`.
pub(crate) fn about_other_limit(samples: &[Sample], guess: &mut Guess) {
    let [lower, upper, tolerance] =
        [Column::Lower, Column::Upper, Column::Tolerance].map(|column| header_of(guess, column));
    let (read, other) = match (lower, upper, tolerance) {
        (Some(lower), None, None) => (lower, Column::Upper),
        (None, Some(upper), None) => (upper, Column::Lower),
        _ => return,
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
    let ignored: BTreeSet<&String> = guess.ignored.iter().collect();
    let unread = |s: &&Sample| {
        let numbers = || s.values().next().is_some() && s.mostly(|v| is_number(v, marks));
        ignored.contains(&s.header) && shared(&s.header) && numbers()
    };
    let Some(header) = samples.iter().find(unread).map(|s| s.header.clone()) else {
        let one = one_limit(samples, guess, (read, other), marks);
        guess.doubts.extend(one);
        return;
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
    guess.doubts.push(doubt);
}

/// A doubt where one limit alone is read and readings lie on the other side of 0: it may hold on both.
fn one_limit(
    samples: &[Sample],
    guess: &Guess,
    (read, other): (String, Column),
    marks: Marks,
) -> Option<Doubt> {
    let header = header_of(guess, Column::AsFound)?;
    let readings = samples.iter().find(|sample| sample.header == header)?;
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

/// Asks what the words of a column of outcomes mean that no list knows.
pub(crate) fn about_outcome_words(samples: &[Sample], guess: &mut Guess) {
    /// Words that are listed, and most that one column may have.
    const LISTED: usize = 12;
    let header = header_of(guess, Column::InTolerance);
    let Some(sample) = samples.iter().find(|s| Some(&s.header) == header.as_ref()) else {
        return;
    };
    let unknown: BTreeSet<&str> = sample
        .values()
        .filter(|v| is_unknown_outcome(v) && !is_nothing(v))
        .collect();
    if unknown.is_empty() {
        return;
    }
    let listed = |to: fn(&str) -> String| {
        let words: Vec<String> = unknown.iter().take(LISTED).map(|word| to(word)).collect();
        words.join(", ")
    };
    let quoted = |word: &str| toml::Value::String(word.to_string()).to_string();
    let all = unknown
        .iter()
        .map(|word| format!("{} = \"unknown\"", quoted(word)));
    let all = format!("{{ {} }}", all.collect::<Vec<_>>().join(", "));
    let words = format!(
        "Words of outcomes that no list knows: {}. Their rows are rejected until each means \"pass\", \"fail\" or \"unknown\" (outcomes = {{ \"word\" = \"pass\" }}).",
        listed(|word| format!("\"{word}\""))
    );
    let doubt = Doubt::new("outcome_words", words)
        .settled_by("outcomes")
        .or("leave their rows rejected", Answer::AsTaken)
        .or("they tell of no outcome", Answer::State("outcomes", all));
    guess.doubts.push(doubt);
}

/// Asks about columns that only count on from the one that is read, or are approached on another way: Error 1,
/// Error 2; Reading up, Reading down.
pub(crate) fn about_more_readings(samples: &[Sample], guess: &mut Guess) {
    let Some(header) = header_of(guess, Column::AsFound) else {
        return;
    };
    let stem = |header: &str| {
        let counted = counted(header).or_else(|| lettered(header));
        counted.or_else(|| approached(header))
    };
    let Some(word) = stem(&header).filter(|word| !word.is_empty()) else {
        return;
    };
    let marks = guess.marks();
    let ignored: BTreeSet<&String> = guess.ignored.iter().collect();
    let others = samples.iter().filter(|s| {
        let same = ignored.contains(&s.header) && stem(&s.header).as_ref() == Some(&word);
        same && s.values().next().is_some() && s.mostly(|v| is_number(v, marks))
    });
    let others: Vec<String> = others.map(|s| s.header.clone()).collect();
    if others.is_empty() {
        return;
    }
    let quoted: Vec<String> = others.iter().map(|other| format!("\"{other}\"")).collect();
    let listed = quoted.join(", ");
    let words = format!(
        "\"{header}\" is read, and {listed} beside it not: are they repeats of one reading (repeated_in = [{listed}] takes the mean of all), or points (then state them under wide)?"
    );
    let doubt = Doubt::new("more_readings", words)
        .settled_by("repeated_in")
        .or("the first alone counts", Answer::AsTaken)
        .or(
            "repeats: their mean is what was found",
            Answer::Repeats(others),
        );
    guess.doubts.push(doubt);
}

/// Headers of a limit that do not say on which side; common practice, no source.
pub(super) const LIMIT_NAMES: [&str; 28] = [
    "zul",
    "accept",
    "limit",
    "accept limit",
    "accept limits",
    "acceptance limit",
    "acceptance limits",
    "limits",
    "max error",
    "max deviation",
    "action limit",
    "grenze",
    "grenzwert",
    "limite",
    "limites",
    "límite",
    "limiet",
    "granica",
    "gräns",
    "limit błędu",
    "seuil",
    "gränsvärde",
    "grenseverdi",
    "valor límite",
    "mez",
    "管理値",
    "限界",
    "限度",
];

/// What says that a limit holds on both sides.
pub(super) const BOTH_SIDES: [&str; 3] = ["±", "+/-", "+-"];

/// Asks about a column that is not read and by its header or its ± values holds limits, where no
/// limits are read.
pub(crate) fn about_unread_limits(samples: &[Sample], guess: &mut Guess) {
    const LIMITS: [Column; 3] = [Column::Tolerance, Column::Lower, Column::Upper];
    if LIMITS
        .iter()
        .any(|column| header_of(guess, *column).is_some())
    {
        return;
    }
    let ignored: BTreeSet<&String> = guess.ignored.iter().collect();
    let both_sides = |text: &str| BOTH_SIDES.iter().any(|sign| text.starts_with(sign));
    let mut unread = samples.iter().filter(|s| {
        ignored.contains(&s.header) && !headed(&s.header, Column::U) && s.values().next().is_some()
    });
    let named = |s: &&Sample| {
        let header = folded(&s.header);
        // limit_ppm: a unit behind the name is none of its words.
        let header = match header.rsplit_once(' ') {
            Some((name, last)) if Unit::parse(last).is_some() => name.to_string(),
            _ => header,
        };
        let marks = guess.marks();
        let named = LIMIT_NAMES.contains(&header.as_str())
            || s.header.contains('±')
            || s.header.contains("+/-")
            || is_largest(&s.header)
            || headed(&s.header, Column::Tolerance) && !is_share_of_limit(&s.header);
        named && !headed(&s.header, Column::U) && s.mostly(|text| written(text, marks).is_ok())
    };
    let mut named_so = samples.iter().filter(|s| ignored.contains(&s.header));
    if let Some((header, text)) = named_so
        .find(named)
        .and_then(|s| Some((s.header.clone(), s.values().next()?)))
    {
        let words = format!(
            "\"{header}\" is not read (\"{text}\"), and no limits are read: of the error on both sides, or on one?"
        );
        let map = |column| Answer::Map(column, header.clone());
        let doubt = Doubt::new("limits_not_read", words)
            .or("on both sides (±)", map(Column::Tolerance))
            .or("the upper limit alone", map(Column::Upper))
            .or("it is no limit of the error", Answer::AsTaken);
        guess.doubts.push(doubt);
        return;
    }
    let found = unread.find(|s| s.mostly(both_sides));
    let Some((header, text)) = found.and_then(|s| Some((s.header.clone(), s.values().next()?)))
    else {
        return;
    };
    let words = format!(
        "\"{header}\" is not read and holds values on both sides (\"{text}\"), and no limits are read. They are by tolerance = \"{header}\" under columns."
    );
    let doubt = Doubt::new("limits_not_read", words)
        .or(
            "they are the limits of the error",
            Answer::Map(Column::Tolerance, header),
        )
        .or("they are no limits", Answer::AsTaken);
    guess.doubts.push(doubt);
}

/// One number in so many cells makes a column whose header says so one of values.
const SOME: usize = 4;

/// Asks about columns of numbers that are not read where no value is: outcomes alone would be left.
pub(crate) fn about_unread_numbers(samples: &[Sample], guess: &mut Guess) {
    if header_of(guess, Column::AsFound).is_some()
        || header_of(guess, Column::InTolerance).is_none()
    {
        return;
    }
    let marks = guess.marks();
    // Where the header says that it is what was found, fewer numbers among its cells are enough.
    let named = |s: &Sample| {
        let is = |v: &&str| v.contains(|c: char| c.is_ascii_digit()) && is_number(v, marks);
        let count = s.values().filter(is).count();
        headed(&s.header, Column::AsFound) && SOME * count >= s.values().count()
    };
    let numbers = |s: &&Sample| {
        s.values().next().is_some() && (s.mostly(|v| is_number(v, marks)) || named(s))
    };
    // What was left alone tells nothing of what was found.
    let left = header_of(guess, Column::AsLeft);
    let ignored: BTreeSet<&String> = guess.ignored.iter().collect();
    let unread = |s: &&Sample| ignored.contains(&s.header) || left.as_ref() == Some(&s.header);
    let unread = samples.iter().filter(unread);
    let unread: Vec<String> = unread.filter(numbers).map(|s| s.header.clone()).collect();
    if unread.is_empty() {
        return;
    }
    let words = format!(
        "Only outcomes are read, no value, and these columns hold numbers: {}. State as_found under columns, or points and as_found under wide where each column is a point.",
        unread.join(", ")
    );
    let doubt = unread.iter().fold(
        Doubt::new("numbers_not_read", words).or("they are no values of checks", Answer::AsTaken),
        |doubt, header| {
            let words = format!("\"{header}\" is what was found");
            doubt.or(words, Answer::Map(Column::AsFound, header.clone()))
        },
    );
    guess.doubts.push(doubt);
}

/// The units of a column, by its header and its cells, and its smallest and largest number; `None`
/// for a column without a number.
fn numbers(samples: &[Sample], guess: &Guess, column: Column) -> Option<Numbers> {
    let header = header_of(guess, column)?;
    let sample = samples.iter().find(|s| s.header == header)?;
    let marks = guess.marks();
    let stated = unit::of_header(&header).unwrap_or("");
    let mut found = Numbers {
        units: BTreeSet::new(),
        least: f64::INFINITY,
        most: f64::NEG_INFINITY,
    };
    for text in sample.values() {
        let Ok(cell) = written(text, marks) else {
            continue;
        };
        let unit = if cell.unit.is_empty() {
            stated
        } else {
            cell.unit
        };
        found.units.insert(unit.to_string());
        found.least = found.least.min(cell.number.value);
        found.most = found.most.max(cell.number.value);
    }
    (found.least <= found.most).then_some(found)
}

/// What the numbers of a column are.
struct Numbers {
    units: BTreeSet<String>,
    least: f64,
    most: f64,
}

impl Numbers {
    /// The one unit of all.
    fn unit(&self) -> Option<&str> {
        let only = self.units.len() == 1;
        self.units.first().filter(|_| only).map(String::as_str)
    }

    /// The largest size.
    fn size(&self) -> f64 {
        self.least.abs().max(self.most.abs())
    }
}

/// Takes the unit of the nominal values for readings that state none, and asks unless their sizes
/// are alike.
pub(crate) fn about_unit_of_nominal(samples: &[Sample], guess: &mut Guess) {
    let stated = !guess.unit.is_empty() || header_of(guess, Column::Unit).is_some();
    let of = |column| numbers(samples, guess, column);
    let (Some(found), Some(nominal)) = (of(Column::AsFound), of(Column::Nominal)) else {
        return;
    };
    let Some(unit) = nominal.unit().filter(|unit| !unit.is_empty()) else {
        return;
    };
    if stated || found.unit() != Some("") {
        return;
    }
    /// Sizes alike: readings lie near their nominal values, errors far below them.
    const ALIKE: std::ops::Range<f64> = 0.5..2.0;
    let words =
        format!("unit = \"{unit}\": the readings state none, and the nominal values are in it.");
    let alike = ALIKE.contains(&(found.size() / nominal.size()));
    let unit = unit.to_string();
    guess.to_check.retain(|line| line != NO_UNIT);
    match alike {
        true => guess.to_check.push(words),
        false => guess.doubts.push(
            Doubt::new("unit_of_readings", words)
                .settled_by("unit")
                .or(format!("they are in {unit}"), Answer::AsTaken),
        ),
    }
    guess.unit = unit;
}

/// Asks whether readings that state no unit are in that of the limits or the uncertainty beside
/// them.
pub(crate) fn about_unit_of_limits(samples: &[Sample], guess: &mut Guess) {
    const BESIDE: [Column; 4] = [Column::Tolerance, Column::Lower, Column::Upper, Column::U];
    let Some(header) = header_of(guess, Column::AsFound) else {
        return;
    };
    let wordless = |sample: &Sample| !sample.values().any(|v| v.contains(char::is_alphabetic));
    let bare = unit::of_header(&header).is_none()
        && samples.iter().any(|s| s.header == header && wordless(s));
    if !bare || !guess.unit.is_empty() || header_of(guess, Column::Unit).is_some() {
        return;
    }
    let known = |unit: &str| Unit::parse(unit).is_some_and(|unit| unit.quantity != Quantity::Part);
    let found = BESIDE.into_iter().find_map(|column| {
        let unit = numbers(samples, guess, column)?.unit()?.to_string();
        known(&unit).then(|| (header_of(guess, column).unwrap_or_default(), unit))
    });
    if let Some((beside, unit)) = found {
        let words =
            format!("unit = \"{unit}\": the readings state none, and \"{beside}\" is in it.");
        let doubt = Doubt::new("unit_of_readings", words).settled_by("unit");
        guess
            .doubts
            .push(doubt.or(format!("they are in {unit}"), Answer::AsTaken));
        guess.to_check.retain(|line| line != NO_UNIT);
        guess.unit = unit;
    }
}

/// Parts of the nominal values (10⁻⁶, %) beside nominal values in a unit of their own: errors, from
/// which nothing can be subtracted. So can nothing from readings of another quantity.
pub(crate) fn about_parts(samples: &[Sample], guess: &mut Guess) {
    let of = |column| numbers(samples, guess, column);
    let (Some(found), Some(nominal)) = (of(Column::AsFound), of(Column::Nominal)) else {
        return;
    };
    let quantity = |numbers: &Numbers| {
        let one = |unit: &String| Unit::parse(unit).map(|unit| unit.quantity);
        let first = one(numbers.units.first()?)?;
        let same = |unit: &String| one(unit) == Some(first);
        numbers.units.iter().all(same).then_some(first)
    };
    // What "% span" is a part of is no unit.
    let of_else = found.unit().filter(|unit| {
        Unit::parse(unit).is_none() && ["%", "‰", "ppm"].iter().any(|sign| unit.starts_with(sign))
    });
    let is_part = of_else.is_some() || quantity(&found) == Some(Quantity::Part);
    let of_own_unit = quantity(&nominal).is_some_and(|quantity| quantity != Quantity::Part);
    if is_part && of_own_unit {
        let of = of_else.map_or("of the nominal values".to_string(), |unit| {
            format!("({unit})")
        });
        guess.off.push(Column::Nominal);
        guess.to_check.push(format!(
            "nominal = false: the readings are parts {of}, so they are errors. The nominal values are not subtracted."
        ));
        return;
    }
    let units = [&found, &nominal].map(|numbers| Unit::parse(numbers.units.first()?));
    if let ([Some(own), Some(other)], Some(_), Some(_)) =
        (units, quantity(&found), quantity(&nominal))
        && own.power_to(other).is_none()
        && other.quantity != Quantity::Part
    {
        guess.off.push(Column::Nominal);
        let [own, other] = [&found, &nominal].map(|n| n.units.first().map_or("", String::as_str));
        guess.to_check.push(format!(
            "nominal = false: the readings are in {own} and the nominal values in {other}, which are not subtracted."
        ));
    }
}

/// Errors in kelvin beside nominal values in degrees Celsius: far below the temperatures that the
/// nominal values are, the readings can be errors alone.
pub(crate) fn about_kelvin(samples: &[Sample], guess: &mut Guess) {
    /// From degrees Celsius to kelvin (SI brochure, 2.3.1).
    const ZERO_CELSIUS: f64 = 273.15;
    /// Largest share of the temperature that an error is.
    const SHARE: f64 = 0.1;
    // The power of ten of the one unit, where it is of this quantity.
    let power = |numbers: &Numbers, quantity: Quantity| {
        let unit = numbers.unit().and_then(Unit::parse)?;
        (unit.quantity == quantity).then_some(10_f64.powi(unit.power))
    };
    let of = |column| numbers(samples, guess, column);
    let (Some(found), Some(nominal)) = (of(Column::AsFound), of(Column::Nominal)) else {
        return;
    };
    let powers = (
        power(&found, Quantity::Kelvin),
        power(&nominal, Quantity::Celsius),
    );
    let (Some(kelvin), Some(celsius)) = powers else {
        return;
    };
    if found.size() * kelvin < SHARE * (nominal.least * celsius + ZERO_CELSIUS) {
        guess.off.push(Column::Nominal);
        guess.to_check.push(
            "nominal = false: the readings are in kelvin and far below the nominal values in degrees Celsius, so they are errors. The nominal values are not subtracted.".into(),
        );
    }
}
