/*! A decision twice: with the readings that lie far off the others, and without them. */

use super::policy::{Action, Decision};
use crate::drift::Suspect;
use crate::intervals::Evidence;
use crate::records::{History, date};

/// "With the suspect reading of 2025-03-04 the interval is 120 d (shorten); without it the
/// interval would be 400 d (keep)."; `None` where the two come to the same.
pub(crate) fn with_and_without(
    evidence: &Evidence<'_>,
    with: &Decision,
    without: &Decision,
) -> Option<String> {
    let same_days = with.interval_days.floor() == without.interval_days.floor();
    let withdrawn = with.action == Action::Withdraw;
    if with.action == without.action && (same_days || withdrawn) {
        return None;
    }
    let suspects = Suspects::of(&evidence.history, &evidence.fit.suspects);
    Some(format!(
        "With the suspect {} {}; without {} {}.",
        suspects.named,
        outcome(with, "the interval is"),
        suspects.pronoun,
        outcome(without, "the interval would be"),
    ))
}

/// Suspect readings as a sentence names them.
pub(crate) struct Suspects {
    /// "reading of 2025-03-04", "readings of 2025-03-04 and 2025-09-04".
    pub named: String,
    /// "it", "them".
    pub pronoun: &'static str,
}

impl Suspects {
    /// The readings by their dates, oldest first.
    pub(crate) fn of(history: &History<'_>, suspects: &[Suspect]) -> Self {
        let mut dates: Vec<f64> = suspects
            .iter()
            .map(|suspect| history.date[suspect.row as usize])
            .collect();
        dates.sort_by(f64::total_cmp);
        let dates: Vec<String> = dates.into_iter().map(date::iso).collect();
        let (readings, pronoun) = match dates.len() {
            1 => ("reading", "it"),
            _ => ("readings", "them"),
        };
        Self {
            named: format!("{readings} of {}", listed(&dates)),
            pronoun,
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_read_well() {
        let words = ["a", "b", "c"].map(String::from);
        assert_eq!(listed(&words), "a, b and c");
        assert_eq!(listed(&words[..1]), "a");
    }
}
