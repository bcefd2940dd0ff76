/*! Dates that are not taken for those of the checks: a second one beside them (received, tested, issued), those of
further checks in the same row, and what is headed as a date and reads as none. */

use crate::records::cells::column::Column;
use crate::records::guess::dates::looks_like_date;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::{counted, folded, headed};
use crate::records::guess::sample::Sample;
use crate::records::words::words;
use crate::words::quoted_list;

/// Asks which date is that of the checks, where no word is the whole header of the one that is taken (`Date in`)
/// and another column of dates has such a word too. `is_date` tells of each column whether it holds dates.
pub(crate) fn about_other_date(samples: &[Sample], is_date: &[bool], guess: &mut Guess) {
    let Some(taken) = header_of(guess, Column::Date) else {
        return;
    };
    if words(Column::Date).contains(&folded(&taken)) {
        return;
    }
    let unread = |sample: &Sample| guess.ignored.contains(&sample.header);
    let stem = counted(&taken).filter(|stem| !stem.is_empty());
    let mut dates = samples.iter().zip(is_date).filter(|(_, is_date)| **is_date);
    let counts_on = |sample: &Sample| unread(sample) && counted(&sample.header) == stem;
    if let Some((next, _)) = dates.find(|(sample, _)| stem.is_some() && counts_on(sample)) {
        let words = format!(
            "\"{taken}\" and \"{}\" date several checks of one row, of which the first alone is read: write one row a check.",
            next.header
        );
        // Readings of other days are no repeats of the first.
        guess.doubts.retain(|doubt| doubt.name != "more_readings");
        let doubt = Doubt::new("checks_in_columns", words);
        let doubt = doubt.or("the first of each row alone counts", Answer::AsTaken);
        guess.doubts.push(doubt);
        return;
    }
    let mut others = samples.iter().zip(is_date).filter(|(sample, is_date)| {
        **is_date && unread(sample) && headed(&sample.header, Column::Date)
    });
    let Some((other, _)) = others.next() else {
        return;
    };
    let words = format!(
        "\"{taken}\" is taken for the date of the checks, and \"{}\" holds dates too: which is the day of the measurement? The other is read by date = \"{}\" under columns.",
        other.header, other.header
    );
    let doubt = Doubt::new("other_date", words);
    let taken = format!("\"{taken}\" is the day of the measurement");
    guess.doubts.push(doubt.or(taken, Answer::AsTaken));
}

/// Says of a column that is headed as a date, where no other is one, that its cells read as none.
pub(crate) fn about_unread_dates(samples: &[Sample], guess: &mut Guess) {
    if guess.reads(Column::Date) {
        return;
    }
    let named = |sample: &&Sample| headed(&sample.header, Column::Date);
    let Some((sample, cell)) = samples
        .iter()
        .filter(named)
        .find_map(|sample| Some((sample, sample.values().next()?)))
    else {
        return;
    };
    let header = &sample.header;
    let forms = forms(sample);
    let words = match forms.len() {
        0 | 1 => format!(
            "\"{header}\" is headed as a date, and its cells (\"{cell}\") read as none{}: write the one day of each measurement, such as 2024-03-05.",
            of_another_calendar(cell)
        ),
        _ => format!(
            "\"{header}\" is headed as a date, and its cells are written in several ways ({}), which no one format reads: write all in one, such as 2024-03-05.",
            quoted_list(&forms)
        ),
    };
    guess.to_check.push(words);
}

/// Ways to write a date that are shown.
const SHOWN: usize = 4;

/// The ways in which the cells of a column write dates, each by its first cell; none where a cell is no date.
fn forms(sample: &Sample) -> Vec<String> {
    let mut forms: Vec<(String, String)> = Vec::new();
    for cell in sample.values() {
        if !looks_like_date(cell) {
            return Vec::new();
        }
        let signs = |c: char| if c.is_alphanumeric() { '0' } else { c };
        let mut form: Vec<char> = cell.chars().map(signs).collect();
        form.dedup();
        let form: String = form.into_iter().collect();
        if forms.iter().all(|(known, _)| *known != form) && forms.len() < SHOWN {
            forms.push((form, cell.to_string()));
        }
    }
    forms.into_iter().map(|(_, cell)| cell).collect()
}

/// What is said of a cell whose year is none of the common calendar in which checks were made, but one of our time in
/// another: the Buddhist era counts 543 years more, the solar and the lunar Hijri calendar some 621 and 579 less.
fn of_another_calendar(cell: &str) -> &'static str {
    let mut numbers = cell.split(|c: char| !c.is_ascii_digit());
    let year = |text: &str| match text.parse::<u32>() {
        Ok(year) => (1340..=1499).contains(&year) || (2480..=2699).contains(&year),
        Err(_) => false,
    };
    match numbers.any(|number| number.len() == 4 && year(number)) {
        true => ", since their years are of another calendar than the common one",
        false => "",
    }
}
