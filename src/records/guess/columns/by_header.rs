/*! Which column means what by its header, where the content fits. */

use super::both_sides::both_sides;
use super::content::{content_fits, counts_rows, holds_amounts, holds_decimals};
use crate::records::cells::column::Column;
use crate::records::cells::shape::meaning_of;
use crate::records::guess::dates::FoundFormat;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, Guessed};
use crate::records::guess::headers::{
    Headers, counted, folded, headed, holds, is_most_allowed, is_ratio, is_share_of_limit,
    other_quantity,
};
use crate::records::guess::said::own_facts::{groups_items, is_named};
use crate::records::guess::sample::Sample;
use crate::records::guess::values::units::measures_another;
use crate::records::words::{speaks_of, words};

/// Columns with the more telling words come first: "reference value" is taken before
/// anything that is only a "value".
pub(super) const ORDER: [Column; 24] = [
    Column::Assigned,
    Column::UAssigned,
    Column::UCommon,
    Column::CoverageFactor,
    Column::U,
    Column::Lower,
    Column::Upper,
    Column::Tolerance,
    Column::Range,
    Column::Nominal,
    Column::AsLeft,
    Column::InTolerance,
    Column::NextDue,
    Column::IntervalDays,
    Column::Date,
    Column::Unit,
    Column::Point,
    Column::Instrument,
    Column::AsFound,
    Column::Usage,
    Column::Event,
    Column::Kind,
    Column::Source,
    Column::Group,
];

/// The columns of a table as they are given their meanings, one meaning after the other.
struct Columns<'a> {
    samples: &'a [Sample],
    dates: &'a [Option<FoundFormat>],
    headers: Headers,
    /// The header of what was found; empty where none says so.
    readings: &'a str,
    /// True for those that have their meaning.
    taken: Vec<bool>,
}

/// Gives every column its meaning that has one by its header; which have one, or can have none.
pub(super) fn by_header(
    samples: &[Sample],
    dates: &[Option<FoundFormat>],
    guess: &mut Guess,
) -> Vec<bool> {
    // A column without a header cannot be named in a pipeline file.
    let unnamed = |sample: &Sample| sample.header.trim().is_empty();
    let taken: Vec<bool> = samples.iter().map(unnamed).collect();
    let headers = Headers::of(samples.iter().map(|sample| sample.header.as_str()));
    let readings = headers.find(Column::AsFound, |i| !taken[i]);
    let readings = readings.map_or("", |(place, _)| samples[place].header.as_str());
    let mut columns = Columns {
        samples,
        dates,
        headers,
        readings,
        taken,
    };
    for column in ORDER {
        let found = columns.find(column, guess);
        if let Some((place, word)) = found.filter(|(place, _)| columns.holds(*place, column, guess))
        {
            columns.taken[place] = true;
            let why = format!("the header says \"{word}\" and the content fits");
            if column == Column::Instrument {
                guess.doubts.extend(about_names(&samples[place]));
            }
            if column == Column::AsFound {
                guess.doubts.extend(columns.about_correction(place, guess));
            }
            take(column, &samples[place].header, why, guess);
        }
    }
    columns.taken
}

impl Columns<'_> {
    /// True where a column may be `column` by what its header does not say, and by its content.
    fn fits(&self, place: usize, column: Column, guess: &Guess) -> bool {
        let (sample, readings) = (&self.samples[place], self.readings);
        let header = sample.header.as_str();
        let limits = matches!(column, Column::Tolerance | Column::Lower | Column::Upper);
        let lower = || guess.reads(Column::Lower);
        let of_others = limits
            && (!readings.is_empty() && other_quantity(header, readings).is_some()
                || is_share_of_limit(header)
                || column == Column::Upper && !lower() && is_most_allowed(header));
        let of_another = column == Column::U && measures_another(header, readings);
        // What was applied while something was left is not what was left.
        let applied = column == Column::AsLeft && headed(header, Column::Nominal);
        // What a reading is divided by is no nominal value.
        let divided = column == Column::Nominal && is_ratio(header);
        !self.taken[place]
            && !of_another
            && !divided
            && !applied
            && !of_others
            && content_fits(sample, column, self.dates[place].is_some(), guess.marks())
    }

    /// The column that `column` is by its header, and the word that says so.
    fn find(&self, column: Column, guess: &Guess) -> Option<(usize, &'static str)> {
        let (samples, headers) = (self.samples, &self.headers);
        let fits = |i: usize| self.fits(i, column, guess);
        let found = headers.find(column, fits);
        let found = match (column, found) {
            // Names are seldom numbers with decimals or amounts: readings of the item are ("UUT", "Standard").
            (Column::Instrument, found) => {
                let named = |i: usize| {
                    fits(i) && !holds_decimals(&samples[i]) && !holds_amounts(&samples[i])
                };
                let named = headers
                    .find(column, named)
                    .or_else(|| headers.find_alone(column, named));
                let named = named.or(found);
                // What only counts the rows names no item, where another column does.
                let item = |i: usize| fits(i) && !counts_rows(&samples[i]);
                match named {
                    Some((place, _)) if counts_rows(&samples[place]) => headers
                        .find(column, item)
                        .or_else(|| headers.find_alone(column, item))
                        .or(named),
                    _ => named,
                }
            }
            (Column::Tolerance, None) => both_sides(samples, headers, |i| fits(*i)),
            // The mean says more than the first of the readings that it is of.
            (Column::AsFound, Some((place, _))) if counted(&samples[place].header).is_some() => {
                headers.find_alone(column, fits).or(found)
            }
            // Beside errors as found, the errors as left and not the readings.
            (Column::AsLeft, Some(_)) => {
                let own = meaning_of(self.readings);
                let alike = |i: usize| fits(i) && meaning_of(&samples[i].header) == own;
                headers.find(column, alike).or(found)
            }
            (_, None) => headers.find_alone(column, fits),
            (_, found) => found,
        };
        match column {
            // Without a nominal value a reading says less than the error beside it.
            Column::AsFound if !guess.reads(Column::Nominal) => {
                let speaks = |i: usize, of: &str| speaks_of(&samples[i].header, of);
                let is_reading = found.is_some_and(|(place, _)| {
                    !speaks(place, "error") && !speaks(place, "correction")
                });
                let beside = |of: &str| headers.find(column, |i| speaks(i, of) && fits(i));
                let better = || beside("error").or_else(|| beside("correction"));
                is_reading.then(better).flatten().or(found)
            }
            _ => found,
        }
    }

    /// Asks about a correction that is taken instead of the reading beside it.
    fn about_correction(&self, place: usize, guess: &Guess) -> Option<Doubt> {
        let correction = &self.samples[place].header;
        let (reading, _) = self.headers.find(Column::AsFound, |i| {
            i != place && self.fits(i, Column::AsFound, guess)
        })?;
        let reading = &self.samples[reading].header;
        let is_one = |header: &str| speaks_of(header, "correction");
        // What the reading was held against tells by its numbers.
        let held = |i: usize| {
            i != place && !self.taken[i] && speaks_of(&self.samples[i].header, "reference")
        };
        let compared = (0..self.samples.len()).any(held);
        if guess.reads(Column::Nominal) || compared || !is_one(correction) || is_one(reading) {
            return None;
        }
        let words = format!(
            "\"{correction}\" is taken for what was found, and \"{reading}\" for where: is the correction that of the reading beside it?"
        );
        let doubt = Doubt::about_column(Column::AsFound, words).or("it is", Answer::AsTaken);
        let reads = format!("no: what was found is \"{reading}\"");
        Some(doubt.or(reads, Answer::Map(Column::AsFound, reading.clone())))
    }

    /// True where what stands beside the column lets it be `column`.
    fn holds(&self, place: usize, column: Column, guess: &Guess) -> bool {
        let (sample, headers) = (&self.samples[place], &self.headers);
        let free = |i: usize| {
            let other = beside_readings(column).is_some_and(|needed| needed != Column::AsFound);
            other && !self.taken[i] || self.fits(i, column, guess)
        };
        let other = |needed| {
            let own = |i: usize| i != place && free(i);
            let found = headers.find(needed, own);
            found.or_else(|| headers.find_alone(needed, own))
        };
        let expanded = column == Column::UAssigned && sample.header.contains('U');
        // "U k 2" is an uncertainty, and "k" alone its factor.
        let whole = matches!(column, Column::Group | Column::IntervalDays);
        let in_part = match column {
            Column::CoverageFactor => !names_factor(&sample.header),
            _ => whole && !is_named(&sample.header, column),
        };
        let items = guess.sample(self.samples, Column::Instrument);
        let grouped = || items.is_some_and(|items| groups_items(sample, items));
        !expanded
            && !in_part
            && (column != Column::Group || grouped())
            && (column != Column::Range || states_per_cent(self.samples, guess))
            && beside_readings(column).is_none_or(|needed| other(needed).is_some())
    }
}

/// What another column must hold for `column` to be more than the reading: a file whose only value
/// is the certified one has that for its reading.
fn beside_readings(column: Column) -> Option<Column> {
    match column {
        Column::Assigned => Some(Column::AsFound),
        Column::UAssigned | Column::CoverageFactor => Some(Column::U),
        Column::NextDue => Some(Column::Date),
        _ => None,
    }
}

/// True where a header names a coverage factor, and no uncertainty that is expanded by one: `Coverage factor k`,
/// `k (95 %)`, and not `U k=2`.
fn names_factor(header: &str) -> bool {
    let of_uncertainty = || headed(header, Column::U) || speaks_of(header, "uncertain");
    let own = folded(header);
    // A lone k may stand for much.
    let mut telling = words(Column::CoverageFactor)
        .iter()
        .filter(|word| word.chars().count() > 1);
    is_named(header, Column::CoverageFactor)
        || telling.any(|word| holds(&own, word)) && !of_uncertainty()
}

/// True where a limit is a per cent, which may be one of the range.
fn states_per_cent(samples: &[Sample], guess: &Guess) -> bool {
    let limits = [Column::Tolerance, Column::Lower, Column::Upper];
    let limits = limits
        .iter()
        .filter_map(|column| guess.sample(samples, *column));
    let per_cent = |text: &str| text.contains(['%', '‰']) || text.to_lowercase().contains("fs");
    limits
        .into_iter()
        .any(|sample| per_cent(&sample.header) || sample.values().any(per_cent))
}

/// Asks about names of instruments that may be something else by their numbers.
fn about_names(sample: &Sample) -> Option<Doubt> {
    let header = &sample.header;
    let example = sample.values().next().unwrap_or("");
    let what = if holds_decimals(sample) {
        format!("holds numbers with decimals (\"{example}\"): are they readings?")
    } else if holds_amounts(sample) {
        format!("holds amounts (\"{example}\"): are they set points or readings?")
    } else if counts_rows(sample) {
        format!(
            "only counts on from row to row (\"{example}\"), so that each check would be of an instrument of its own: does it number the rows?"
        )
    } else {
        return None;
    };
    let words = format!("\"{header}\" is taken for the names of the instruments and {what}");
    Some(Doubt::about_column(Column::Instrument, words).or("they are names", Answer::AsTaken))
}

pub(super) fn take(column: Column, header: &str, why: String, guess: &mut Guess) {
    guess.columns.push(Guessed {
        column,
        header: header.to_string(),
        why,
    });
}
