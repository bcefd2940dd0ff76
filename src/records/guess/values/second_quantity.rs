/*! A second quantity in the rows of a table: errors of humidity, and of temperature beside them. */

use super::unread::limits::names_limit;
use crate::records::cells::column::Column;
use crate::records::cells::unit::{self, Unit};
use crate::records::guess::apart::follows::numbers;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::{Guess, header_of};
use crate::records::guess::headers::{folded, headed, is_largest, is_share_of_limit};
use crate::records::guess::sample::Sample;
use crate::records::words::{speaks_of, words};

/// Asks about a column of errors that is not read and holds those of another quantity than the readings, by its unit
/// or by its numbers: its histories would be missing, with their failures. The same error in two units has one name.
pub(crate) fn about_second_quantity(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let own = header_of(guess, Column::AsFound)?;
    let readings = samples.iter().find(|sample| sample.header == own)?;
    let asked = |header: &str| {
        let quoted = format!("\"{header}\"");
        guess
            .doubts
            .iter()
            .any(|doubt| doubt.words.contains(&quoted))
    };
    let marks = guess.marks();
    let second = |sample: &&Sample| {
        let header = &sample.header;
        let other = [Column::Tolerance, Column::U, Column::AsLeft];
        (speaks_of(header, "error") && speaks_of(&own, "error") || differ_by_a_word(header, &own))
            && !other.iter().any(|column| headed(header, *column))
            && !is_largest(header)
            && !is_share_of_limit(header)
            && !names_limit(header)
            && !speaks_of(header, "left")
            && folded(header) != folded(&own)
            && sample.holds_numbers(marks)
            && !asked(header)
            && (is_of_other(header, &own) || !is_multiple(sample, readings, guess))
    };
    let sample = guess.not_read(samples).into_iter().find(second)?;
    let words = format!(
        "\"{}\" is not read, and seems to hold what was found of another quantity than \"{own}\": there are no histories of it. Each quantity needs a table of its own; where both are one error in two units, one of them is enough.",
        sample.header
    );
    let doubt = Doubt::new("second_quantity", words);
    Some(doubt.or(format!("\"{own}\" is enough"), Answer::AsTaken))
}

/// True where two headers of several words differ in one of them: `UUT T`, `UUT RH`.
fn differ_by_a_word(header: &str, own: &str) -> bool {
    /// Letters of a word that tells something: "in" does not.
    const TELLING: usize = 3;
    let [header, own] = [header, own].map(folded);
    let split = |text: &'_ str| -> Vec<String> { text.split(' ').map(String::from).collect() };
    let (header, own) = (split(&header), split(&own));
    let differ = header.iter().zip(&own).filter(|(a, b)| a != b).count();
    let is_reference = [Column::Nominal, Column::Point]
        .iter()
        .any(|column| words(*column).iter().any(|word| header.contains(word)))
        || speaks_of(&header.join(" "), "reference");
    let telling = |(a, b): (&String, &String)| a == b && a.chars().count() >= TELLING;
    let shared = header.iter().zip(&own).any(telling);
    !is_reference && shared && header.len() == own.len() && differ == 1
}

/// True where the headers state units of two quantities.
fn is_of_other(header: &str, own: &str) -> bool {
    let quantity = |unit: &str| Unit::parse(unit).map(|unit| unit.quantity);
    match (unit::of_header(header), unit::of_header(own)) {
        (Some(unit), Some(own_unit)) => {
            !unit::same_unit(unit, own_unit)
                && quantity(unit).is_none_or(|q| quantity(own_unit) != Some(q))
        }
        _ => false,
    }
}

/// True where one column says in another unit, or with the other sign, what the other says: in each row they have
/// one ratio, to about a digit.
fn is_multiple(sample: &Sample, readings: &Sample, guess: &Guess) -> bool {
    /// Parts by which ratios of rounded errors differ; common practice, no source.
    const ROUNDED: f64 = 0.2;
    const NEARLY_ALL: f64 = 0.8;
    let [other, own] = [sample, readings].map(|sample| numbers(sample, guess.marks()));
    let both = own
        .iter()
        .filter_map(|(row, a)| Some((*a, *other.get(row)?)));
    let told = both.filter(|(a, b)| *a != 0.0 && *b != 0.0);
    let mut ratios: Vec<f64> = told.map(|(a, b)| b / a).collect();
    ratios.sort_by(f64::total_cmp);
    let Some(middle) = ratios.get(ratios.len() / 2) else {
        return true;
    };
    let near = |ratio: &&f64| (*ratio - middle).abs() <= ROUNDED * middle.abs();
    ratios.iter().filter(near).count() as f64 >= NEARLY_ALL * ratios.len() as f64
}
