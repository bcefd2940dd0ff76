/*! What the columns of a table mean, and what they leave open. */

use crate::records::cells::column::Column;
use crate::records::cells::digits::has_digit;
use crate::records::cells::marks::Seen;
use crate::records::encoding::Encoding;
use crate::records::guess::apart::follows::about_followed;
use crate::records::guess::apart::levels::about_levels;
use crate::records::guess::apart::told_apart::about_told_apart;
use crate::records::guess::columns::columns;
use crate::records::guess::dates::other_date::{about_other_date, about_unread_dates};
use crate::records::guess::dates::parts::DateParts;
use crate::records::guess::dates::{Clock, Headed, date_format, headed_as_date};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::{headed, is_alone};
use crate::records::guess::layout::days_of_month::about_days_of_month;
use crate::records::guess::layout::rows_of_columns::about_rows_of_columns;
use crate::records::guess::layout::side_by_side::{about_tables_beside, first_table};
use crate::records::guess::said::events::about_events_in_remarks;
use crate::records::guess::said::marks::about_marks;
use crate::records::guess::said::own_facts::{about_next_due_format, about_own_facts};
use crate::records::guess::said::renamed::about_renamed;
use crate::records::guess::said::rows_as_left::about_rows_as_left;
use crate::records::guess::said::several_items::about_several_items;
use crate::records::guess::said::status::about_status;
use crate::records::guess::said::time_of_day::about_time_of_day;
use crate::records::guess::said::void_rows::about_void_rows;
use crate::records::guess::sample::Sample;
use crate::records::guess::values::absolute::about_absolute;
use crate::records::guess::values::difference::about_sign;
use crate::records::guess::values::ratio::about_ratio;
use crate::records::guess::values::second_quantity::about_second_quantity;
use crate::records::guess::values::uncertainty::about_unread_uncertainty;
use crate::records::guess::values::units::about_second_unit;
use crate::records::guess::values::units::beside::{
    about_kelvin, about_parts, about_unit_of_limits, about_unit_of_nominal,
};
use crate::records::guess::values::units::letters::about_letters;
use crate::records::guess::values::unread::class::about_unread_class;
use crate::records::guess::values::unread::limits::{about_other_limit, about_unread_limits};
use crate::records::guess::values::unread::outcomes::{
    about_crosses, about_outcome_words, about_unread_outcomes,
};
use crate::records::guess::values::unread::{
    about_more_readings, about_unread_left, about_unread_numbers,
};
use crate::records::settings::words::Delimiter;
use rayon::prelude::*;

pub(super) fn from_samples(
    samples: &[Sample],
    form: (Delimiter, Encoding),
    clock: Clock,
    notes: Vec<String>,
) -> Guess {
    let Some(parts) = DateParts::of(samples) else {
        return of_columns(samples, form, clock, notes);
    };
    let mut guess = of_columns(&parts.joined(samples), form, clock, notes);
    parts.state(samples, &mut guess);
    guess
}

fn of_columns(
    samples: &[Sample],
    form: (Delimiter, Encoding),
    clock: Clock,
    notes: Vec<String>,
) -> Guess {
    let mut guess = Guess::blank(form, notes);
    decimal_mark(samples, &mut guess);
    let dates = samples
        .par_iter()
        .map(|s| {
            let named = |c: &Column| headed(&s.header, *c) || is_alone(&s.header, *c);
            match (named(&Column::Date), named(&Column::NextDue)) {
                (true, false) => headed_as_date(&Headed::past(s, clock), clock),
                (_, true) => headed_as_date(&Headed::ahead(s), clock),
                (false, false) => date_format(&Headed::past(s, clock)),
            }
        })
        .collect::<Vec<_>>();
    let is_date: Vec<bool> = dates.iter().map(Option::is_some).collect();
    let (samples, others) = samples.split_at(first_table(samples, &is_date));
    columns(samples, &dates, &mut guess);
    let date = guess.header(Column::Date);
    let place = date.and_then(|header| samples.iter().position(|s| s.header == header));
    if let Some(found) = place.and_then(|i| dates[i].clone()) {
        guess.notes.push(format!("Dates: {}.", found.why));
        guess.doubts.extend(found.doubt);
        guess.date_format = found.format;
    }
    guess.doubts.extend(about_tables_beside(others));
    about_unread_dates(samples, &mut guess);
    about_next_due_format(samples, &dates, &mut guess);
    let names = guess.sample(samples, Column::Instrument);
    let names = names.into_iter().flat_map(Sample::counted);
    guess.instruments = names.map(|(name, _)| name.to_string()).collect();
    let used = |header: &String| guess.columns.iter().any(|g| &g.header == header);
    guess.ignored = samples
        .iter()
        .map(|s| s.header.clone())
        .filter(|h| !used(h) && !h.trim().is_empty())
        .collect();
    trim_padded_names(samples, &mut guess);
    ask_about(samples, &is_date, &mut guess);
    let beside = others.iter().map(|s| s.header.clone());
    let beside: Vec<String> = beside
        .filter(|header| {
            !header.trim().is_empty() && guess.columns.iter().all(|g| g.header != *header)
        })
        .collect();
    guess.ignored.extend(beside);
    guess
}

/// What one column, or what is missing, leaves open; `None` where it leaves nothing.
type Question = fn(&[Sample], &Guess) -> Option<Doubt>;

fn ask(questions: &[Question], samples: &[Sample], guess: &mut Guess) {
    for question in questions {
        let doubt = question(samples, guess);
        guess.doubts.extend(doubt);
    }
}

/// Questions about columns of words and outcomes, and about further columns of readings.
const OF_WORDS_AND_READINGS: [Question; 12] = [
    about_renamed,
    about_several_items,
    about_status,
    about_absolute,
    about_outcome_words,
    about_crosses,
    about_second_unit,
    about_unread_outcomes,
    about_unread_left,
    about_unread_numbers,
    about_more_readings,
    about_ratio,
];

/// Asks about all that the columns leave open, in the order in which the answers build upon each other.
fn ask_about(samples: &[Sample], is_date: &[bool], guess: &mut Guess) {
    about_unread_uncertainty(guess);
    about_own_facts(samples, guess);
    ask(&[about_rows_of_columns], samples, guess);
    about_rows_as_left(samples, guess);
    about_events_in_remarks(samples, guess);
    ask(&[about_marks, about_void_rows], samples, guess);
    about_time_of_day(samples, guess);
    ask(&OF_WORDS_AND_READINGS, samples, guess);
    about_sign(samples, guess);
    about_followed(samples, guess);
    about_told_apart(samples, guess);
    ask(&[about_levels, about_second_quantity], samples, guess);
    about_other_date(samples, is_date, guess);
    let of_limits: [Question; 3] = [about_unread_limits, about_other_limit, about_unread_class];
    ask(&of_limits, samples, guess);
    about_kelvin(samples, guess);
    about_parts(samples, guess);
    about_unit_of_nominal(samples, guess);
    about_unit_of_limits(samples, guess);
    ask(&[|_, guess| about_letters(guess)], samples, guess);
    about_days_of_month(samples, guess);
}

/// Columns of one width have blanks behind their names, which are none of them.
fn trim_padded_names(samples: &[Sample], guess: &mut Guess) {
    let padded = |column| guess.sample(samples, column).is_some_and(Sample::is_padded);
    if [Column::Instrument, Column::Point].into_iter().any(padded) {
        guess.take(&Answer::State("trim_names", "true".into()));
        guess.to_check.push(
            "Blanks stand at the ends of names, and are no part of them (trim_names).".to_string(),
        );
    }
}

/// Comma or point, by the numbers that can be read one way alone.
fn decimal_mark(samples: &[Sample], guess: &mut Guess) {
    // What a value says it says wherever it stands.
    let of_column = |sample: &Sample| {
        let (mut commas, mut points) = (0, 0);
        let mut seen = Seen::of_cells(1, std::iter::empty());
        for (value, count) in sample.counted() {
            let one = Seen::of_cells(1, std::iter::once((0, 0, value)));
            if has_digit(value) {
                commas += count * usize::from(one.decimal_comma() == Some(true));
                points += count * usize::from(one.decimal_comma() == Some(false));
            }
            seen.join(&one, 0);
        }
        (seen, commas, points)
    };
    let mut columns = samples
        .par_iter()
        .map(of_column)
        .collect::<Vec<_>>()
        .into_iter();
    let (mut seen, mut commas, mut points) = columns.next().unwrap_or_default();
    for (other, more_commas, more_points) in columns {
        seen.join(&other, 0);
        (commas, points) = (commas + more_commas, points + more_points);
    }
    guess.decimal_comma = seen.decimal_comma().unwrap_or(commas > points);
    guess.shows_decimals = seen.decimal_comma().is_some() || commas != points;
    guess.notes.push(match (commas, points) {
        (0, 0) => "Decimal sign: no number shows it; a point is expected.".to_string(),
        (0, n) => format!("Decimal sign: point, in {n} numbers."),
        (n, 0) => format!("Decimal sign: comma, in {n} numbers."),
        (c, p) => {
            guess.to_check.push(format!(
                "{c} numbers have a comma and {p} a point; rows with the rarer sign will be rejected."
            ));
            format!("Decimal sign: {}, the more frequent.", if c > p { "comma" } else { "point" })
        }
    });
}
