/*! A decision both ways: with the readings that lie far off the others, and without them. */

use crate::drift::Suspect;
use crate::intervals::{Action, Decision};
use crate::records::{History, date};

/// "With the reading of 2025-03-04 the interval is 120 d (shorten); without it the interval would be 400 d (keep)."
pub(super) fn both_ways_words(
    history: &History<'_>,
    suspects: &[Suspect],
    with: &Decision,
    without: &Decision,
) -> String {
    let mut dates: Vec<f64> = suspects
        .iter()
        .map(|suspect| history.date[suspect.row as usize])
        .collect();
    dates.sort_by(f64::total_cmp);
    let dates: Vec<String> = dates.into_iter().map(date::iso).collect();
    let (readings, them) = match dates.len() {
        1 => ("reading", "it"),
        _ => ("readings", "them"),
    };
    format!(
        "With the suspect {readings} of {} {}; without {them} {}.",
        listed(&dates),
        outcome(with, "the interval is"),
        outcome(without, "the interval would be"),
    )
}

fn outcome(decision: &Decision, verb: &str) -> String {
    let days = decision.interval_days.floor();
    match decision.action {
        Action::Withdraw => "the item is to be withdrawn".into(),
        Action::Review if !days.is_finite() => "a person has to decide".into(),
        action => format!("{verb} {days} d ({})", action.word()),
    }
}

/// "a", "a and b", "a, b and c".
fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [only] => only.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

/// The sentence with a full stop at its end.
pub(super) fn full_stop(sentence: &str) -> String {
    let stopped = sentence.ends_with(['.', '!', '?']);
    format!("{sentence}{}", if stopped { "" } else { "." })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_read_well() {
        let words = ["a", "b", "c"].map(String::from);
        assert_eq!(listed(&words), "a, b and c");
        assert_eq!(listed(&words[..1]), "a");
        assert_eq!(full_stop("x"), "x.");
        assert_eq!(full_stop("x."), "x.");
    }
}
