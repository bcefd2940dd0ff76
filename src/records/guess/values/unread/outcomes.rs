/*! Outcomes that are not read, or in words that no list knows. */

use crate::records::cells::column::Column;
use crate::records::cells::field::{self, Field};
use crate::records::cells::number::written::is_nothing;
use crate::records::cells::row::said::answer;
use crate::records::cells::void_rows::{Asks, VOID_ROWS};
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::headers::headed;
use crate::records::guess::sample::{Sample, is_unknown_outcome};
use crate::records::{ItemStatus, Outcome};
use crate::settings::toml_text::quoted;
use crate::words::quoted_list;
use std::collections::BTreeSet;

/// Asks about a column that is not read and holds outcomes in words, where no outcome is read.
pub(crate) fn about_unread_outcomes(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    if guess.reads(Column::InTolerance) || guess.is_wide(Column::InTolerance) {
        return None;
    }
    // Answers such as "yes" and "1" may be answers to anything.
    let says = |text: &str| match answer(text) {
        Some(_) => Outcome::Unknown,
        None => field::outcome(Field::Text(text)).map_or(Outcome::Unknown, |(outcome, _)| outcome),
    };
    let unread = guess.not_read(samples);
    let found = unread
        .iter()
        .find(|s| s.values().next().is_some() && s.mostly(|text| says(text) != Outcome::Unknown));
    let limits = [Column::Tolerance, Column::Lower, Column::Upper];
    let judged = limits.iter().any(|column| guess.reads(*column));
    // Where no limits judge, both answers in one column may be the only word of a failure.
    let both = |s: &&&Sample| {
        let answers = |wanted| s.values().any(|text| answer(text) == Some(wanted));
        let worded = |text: &str| answer(text).is_some() && text.contains(char::is_alphabetic);
        answers(true) && answers(false) && s.mostly(worded)
    };
    let found = found.or_else(|| unread.iter().find(both).filter(|_| !judged));
    if found.is_none() {
        return about_named(&unread, guess);
    }
    let says = |text: &str| match answer(text) {
        Some(false) => Outcome::Out,
        _ => says(text),
    };
    let sample = found?;
    let (header, mut values) = (sample.header.clone(), sample.values());
    let failure = sample.values().find(|text| says(text) == Outcome::Out);
    let text = failure.or(values.next()).unwrap_or("").to_string();
    let words = format!(
        "\"{header}\" is not read and holds outcomes (\"{text}\"). They are read by in_tolerance = \"{header}\" under columns."
    );
    Some(not_read(
        words,
        header,
        "they are outcomes of something else",
    ))
}

/// Words that are listed, and most that one column may have.
const LISTED: usize = 12;

/// Asks about a column that names outcomes by its header, in words or signs that no list knows.
fn about_named(unread: &[&Sample], guess: &Guess) -> Option<Doubt> {
    let worded = |s: &Sample| {
        let words = 1..=LISTED;
        let standing = |text: &str| ItemStatus::of_word(text).is_some();
        words.contains(&s.distinct()) && !s.holds_numbers(guess.marks()) && !s.mostly(standing)
    };
    let named = |s: &&&Sample| headed(&s.header, Column::InTolerance) && worded(s);
    let sample = unread.iter().find(named)?;
    let header = sample.header.clone();
    let unknown: BTreeSet<&str> = sample.values().filter(|v| is_unknown_outcome(v)).collect();
    let words = format!(
        "\"{header}\" is not read, though its header names outcomes: no list knows {}. It is read by in_tolerance = \"{header}\" under columns, with what each word means: outcomes = {{ \"word\" = \"pass\" }} under [checks] (or \"fail\", \"unknown\").",
        quoted_list(unknown.iter().take(LISTED))
    );
    Some(not_read(words, header, "they are no outcomes of checks"))
}

fn not_read(words: String, header: String, otherwise: &str) -> Doubt {
    Doubt::new("outcomes_not_read", words)
        .or(
            "they are the outcomes as found",
            Answer::Map(Column::InTolerance, header),
        )
        .or(otherwise, Answer::AsTaken)
}

/// Asks what a cross means beside another word for what is in order: it ticks a box in one form, and marks a
/// failure in another.
pub(crate) fn about_crosses(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let sample = guess.sample(samples, Column::InTolerance)?;
    let cross = sample.values().find(|v| v.eq_ignore_ascii_case("x"))?;
    let in_order = |v: &&str| {
        let outcome = field::outcome(Field::Text(v)).map(|(outcome, _)| outcome);
        !v.eq_ignore_ascii_case("x") && outcome == Some(Outcome::In)
    };
    let other = sample.values().find(in_order)?;
    let failure = format!("{{ {} = \"fail\" }}", quoted(cross));
    let words = format!(
        "\"{cross}\" stands in \"{}\" beside \"{other}\", and is read as a pass, as where a cross ticks a box. Where it marks a failure, state outcomes = {failure} under [checks].",
        sample.header
    );
    let doubt = Doubt::new("crosses", words)
        .settled_by("outcomes")
        .or("it ticks what is in order", Answer::AsTaken)
        .or("it marks a failure", Answer::State("outcomes", failure));
    Some(doubt)
}

/// Asks what the words of a column of outcomes mean that no list knows.
pub(crate) fn about_outcome_words(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let sample = guess.sample(samples, Column::InTolerance)?;
    // What says that its row does not count is asked about as such.
    let void = guess.doubts.iter().any(|doubt| doubt.name == VOID_ROWS);
    let says_void = |word: &str| void && Asks::of(&sample.header).void_word(word).is_some();
    let unknown: BTreeSet<&str> = sample
        .values()
        .filter(|v| is_unknown_outcome(v) && !is_nothing(v) && !says_void(v))
        .collect();
    if unknown.is_empty() {
        return None;
    }
    let all = unknown
        .iter()
        .map(|word| format!("{} = \"unknown\"", quoted(word)));
    let all = format!("{{ {} }}", all.collect::<Vec<_>>().join(", "));
    let words = format!(
        "Words of outcomes that no list knows: {}. Their rows are rejected until each means \"pass\", \"fail\" or \"unknown\" (outcomes = {{ \"word\" = \"pass\" }}).",
        quoted_list(unknown.iter().take(LISTED))
    );
    let doubt = Doubt::new("outcome_words", words)
        .settled_by("outcomes")
        .or("leave their rows rejected", Answer::AsTaken)
        .or("they tell of no outcome", Answer::State("outcomes", all));
    Some(doubt)
}
