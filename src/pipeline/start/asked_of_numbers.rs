/*! What only the numbers that a trial read put in doubt. */

use super::look::{Form, OFFERED};
use super::open_cells::is_asked;
use super::{open_cells, tables};
use crate::intervals::in_use::stated_far_shorter;
use crate::records::AsFoundIs;
use crate::records::Loaded;
use crate::records::cells::column::Column;
use crate::records::cells::shape::meaning_of;
use crate::records::date::iso;
use crate::records::guess::dates::length_of_time::means_interval;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::screening::beyond_limits::far_beyond;
use crate::records::screening::set_points::set_points_of;
use crate::settings::toml_text::quoted;
use crate::words::{agreeing, count, days};
use rayon::prelude::*;
use std::collections::BTreeSet;

impl Form {
    /// What only the numbers that were read can put in doubt.
    pub(super) fn ask_of_numbers(&mut self, loaded: &Loaded) {
        let found = [
            values_for_errors(&self.guess, loaded)
                .or_else(|| far_beyond_limits(&self.guess, loaded)),
            several_a_day(&self.guess, loaded),
            several_set_points(&self.guess, loaded),
            points_of_one_check(&self.guess, loaded),
            values_not_read(loaded),
            outcomes_contradict(loaded),
            interval_not_read(&self.guess, loaded),
            due_too_soon(&self.guess, loaded),
            tables::register_of_others(loaded),
            tables::quantities_in_tables(loaded),
        ];
        let found = found.into_iter().flatten();
        for doubt in found.chain(open_cells::open_cells(loaded)) {
            if !self
                .guess
                .doubts
                .iter()
                .any(|other| other.name == doubt.name)
            {
                let doubt = open_cells::of_column(self.offering(doubt), &self.guess);
                self.guess.doubts.push(doubt);
            }
        }
    }

    /// The doubt with the headers that are not read as answers.
    fn offering(&self, doubt: Doubt) -> Doubt {
        let headers = self.guess.ignored.iter().take(OFFERED);
        match doubt.name {
            "values" => headers.fold(doubt, |doubt, header| {
                let words = format!("values; the nominal value stands in \"{header}\"");
                doubt.or(words, Answer::Map(Column::Nominal, header.clone()))
            }),
            "points" => {
                let stated = self.guess.to_state.get("point_from");
                let stated = stated.and_then(|list| list.strip_prefix('['));
                let own = stated.unwrap_or("\"nominal\"]");
                headers.fold(doubt, |doubt, header| {
                    let value = format!("[{}, {own}", quoted(header));
                    let words = format!("points that \"{header}\" tells apart too");
                    doubt.or(words, Answer::State("point_from", value))
                })
            }
            _ => doubt,
        }
    }
}

/// A doubt where readings lie far from zero and hardly move: values, where errors are expected.
fn values_for_errors(guess: &Guess, loaded: &Loaded) -> Option<Doubt> {
    /// Errors of a working standard move by more than this share of their size. Common
    /// practice, no source.
    const STILL: f64 = 0.01;
    const FEWEST: usize = 3;
    /// The same where the header names a reading.
    const STILL_READING: f64 = 0.1;
    const FEWEST_READINGS: usize = 2;
    let mut found = guess.columns.iter().filter(|g| g.column == Column::AsFound);
    let reading = found.any(|g| meaning_of(&g.header) == AsFoundIs::Value);
    let (share, fewest) = match reading {
        true => (STILL_READING, FEWEST_READINGS),
        false => (STILL, FEWEST),
    };
    // Whether they are values is asked by itself where a column that they follow may be their nominal value.
    if guess.reads(Column::Nominal) || guess.asks("nominal_not_read") {
        return None;
    }
    loaded.histories.par_iter().find_map_first(|history| {
        let finite = history.as_found.iter().copied().filter(|v| v.is_finite());
        let (low, high) = finite.clone().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
            (low.min(v), high.max(v))
        });
        let still = high - low < share * low.abs().min(high.abs()) && low.signum() == high.signum();
        // Limits about the readings are limits of values.
        let limited = history.item.tolerance.is_some_and(|limits| {
            let (lower, upper) = (limits.lower(), limits.upper());
            let width = upper - lower;
            lower.signum() == low.signum() && lower.is_finite() && upper.is_finite()
                && upper.signum() == low.signum() && low > lower - width && high < upper + width
        });
        (still && low < high && !limited && finite.count() >= fewest).then(|| {
            let words = format!(
                "The readings of {} lie between {low} and {high}: values, it seems, not errors. Map nominal to the column of nominal values (it is subtracted), or state the limits as values too.",
                history.item.name()
            );
            Doubt::new("values", words).of_form().or("taken as they are, limits included", Answer::AsTaken)
        })
    })
}

/// A doubt where all readings of a history lie far beyond its limits: values, or numbers in another unit.
fn far_beyond_limits(guess: &Guess, loaded: &Loaded) -> Option<Doubt> {
    if guess.asks("nominal_not_read") {
        return None;
    }
    loaded.histories.par_iter().find_map_first(|history| {
        let (least, most) = far_beyond(&history)?;
        let words = format!(
            "All readings of {}, {least} to {most}, lie far beyond its limits, and each counts as a failure: are they values rather than errors (map nominal to what is subtracted), or in another unit than the limits?",
            history.item.name()
        );
        let doubt = Doubt::new("values", words).of_form();
        Some(doubt.or("taken as they are, limits included", Answer::AsTaken))
    })
}

/// A doubt where points are told apart by nominal values alone, and one has several readings a day.
fn several_a_day(guess: &Guess, loaded: &Loaded) -> Option<Doubt> {
    guess.to_state.get("point_from")?;
    loaded.histories.par_iter().find_map_first(|history| {
        let same = history.date.windows(2).find(|pair| pair[0].floor() == pair[1].floor())?;
        let words = format!(
            "{} has several readings on {}: repeats of one point, or points that another column tells apart (point_from)?",
            history.item.name(),
            iso(same[0].floor())
        );
        let doubt = Doubt::new("points", words).settled_by("point_from");
        Some(doubt.or("repeats of one point", Answer::AsTaken))
    })
}

/// A doubt where a history has checks at several nominal values that come back, on days of their own.
fn several_set_points(guess: &Guess, loaded: &Loaded) -> Option<Doubt> {
    let found = loaded.histories.par_iter().find_map_first(|history| {
        let points = set_points_of(&history);
        let (first, last) = (*points.first()?, *points.last()?);
        Some((history.item.name(), points.len(), first, last))
    });
    let (name, number, first, last) = found?;
    let words = format!(
        "{name} has checks at {number} nominal values, from {first} to {last}, as one history: one point, or points that a column tells apart (point_from)?"
    );
    let header = |column| guess.header(column).map(quoted);
    let headers = [Column::Point, Column::Nominal].map(header);
    let listed = headers.into_iter().flatten().collect::<Vec<_>>().join(", ");
    let doubt = Doubt::new("points", words).settled_by("point_from");
    let doubt = doubt.or("one point", Answer::AsTaken);
    Some(doubt.or(
        "the nominal value tells them apart",
        Answer::State("point_from", format!("[{listed}]")),
    ))
}

/// A doubt where a column of numbers is read as the point, and most of its points have one check alone: the
/// spread of a reading, or what a reference read, rather than points.
fn points_of_one_check(guess: &Guess, loaded: &Loaded) -> Option<Doubt> {
    let header = guess.header(Column::Point)?;
    if guess.off.contains(&Column::Point) || guess.wide.is_some() {
        return None;
    }
    let number = |text: &str| text.replace(',', ".").parse::<f64>().is_ok();
    let histories = || loaded.histories.iter();
    let numbers = histories().all(|history| number(&history.item.point));
    let lone = histories().filter(|history| history.len() == 1).count();
    let items: BTreeSet<&str> = loaded
        .histories
        .items
        .iter()
        .map(|i| i.instrument.as_str())
        .collect();
    let (points, checks) = (loaded.histories.len(), loaded.histories.columns.date.len());
    // Items that were checked once so far tell nothing.
    let often = checks >= 3 * items.len();
    (numbers && often && 2 * lone > points).then(|| {
        let words = format!(
            "\"{header}\" is read as the point, and {lone} of {points} points have one check alone: does it name points, or is it something else that was read?",
        );
        Doubt::new("points_of_one_check", words)
            .or("it names points", Answer::AsTaken)
            .or("it names none", Answer::Off(Column::Point))
    })
}

/// Rows that count by their outcome alone though a column of values is read: most of them, so that
/// its cells are not understood.
fn values_not_read(loaded: &Loaded) -> Option<Doubt> {
    let values = &loaded.histories.columns.as_found;
    let valueless = values.iter().filter(|value| value.is_nan()).count();
    let first = loaded.valueless.first()?;
    // That is asked by itself.
    if first.open.is_some_and(is_asked) {
        return None;
    }
    let first = format!("{}: {}", first.place(), first.words());
    (2 * valueless > values.len()).then(|| {
        let words = format!(
            "{valueless} of {} {}. The first: {first}.",
            count(values.len(), "check"),
            agreeing(
                valueless,
                "counts by its outcome alone, since its value cannot be read",
                "count by their outcome alone, since their values cannot be read"
            )
        );
        Doubt::new("values_not_read", words).or("the outcomes alone shall count", Answer::AsTaken)
    })
}

/// A doubt where the outcomes of most histories contradict their numbers: readings, limits or units are then
/// hardly what they are taken for.
fn outcomes_contradict(loaded: &Loaded) -> Option<Doubt> {
    let items = &loaded.histories.items;
    let mut contradicted = items.iter().filter(|item| item.contradiction.is_some());
    let count_of = contradicted.clone().count();
    let first = contradicted.next()?;
    (2 * count_of > items.len()).then(|| {
        let words = format!(
            "In {count_of} of {} the outcomes that are stated contradict the numbers (the first, {}: {}): readings, nominal values, limits or units are hardly what they are taken for.",
            count(items.len(), "history"),
            first.name(),
            first.contradiction.as_deref().unwrap_or_default()
        );
        Doubt::new("outcomes_contradict", words).or("the numbers are read right, and count", Answer::AsTaken)
    })
}

/// A doubt where a column that is not read tells the interval in use, which nothing else states.
fn interval_not_read(guess: &Guess, loaded: &Loaded) -> Option<Doubt> {
    let header = guess.ignored.iter().find(|header| means_interval(header))?;
    let mut items = loaded.histories.items.iter();
    items.any(|item| item.interval_days.is_none()).then(|| {
        let words = format!(
            "\"{header}\" is not read and tells the interval in use, which nothing else states: what is due, overdue, kept or extended counts from it. State interval_days in a register, or one interval for all by current_interval_days under [intervals]."
        );
        Doubt::new("interval_not_read", words)
            .or("the interval under [intervals] is that of all items", Answer::AsTaken)
    })
}

/// A doubt where the dates read as the next due ones follow their checks far sooner than the next check does.
fn due_too_soon(guess: &Guess, loaded: &Loaded) -> Option<Doubt> {
    if guess.reads(Column::IntervalDays) || guess.off.contains(&Column::NextDue) {
        return None;
    }
    let header = guess.header(Column::NextDue)?;
    let (item, stated, usual) = stated_far_shorter(&loaded.histories)?;
    let told = match stated {
        None => "no interval".to_string(),
        Some(stated) => format!("an interval of {}", days(stated)),
    };
    let words = format!(
        "\"{header}\" tells {told} ({item}), although its checks usually lie {} apart: is it the date on which the next one is due?",
        days(usual)
    );
    let doubt = Doubt::new("next_due", words)
        .of_form()
        .or("on which the next one is due", Answer::AsTaken)
        .or("on which this one was due", Answer::Off(Column::NextDue));
    Some(doubt)
}
