/*! A reason without the probabilities of its item, which are not stated while the item's level is in doubt. */

/// How a sentence with a probability of the item is known, beside its per cent.
const OF_THE_ITEM: &str = "in tolerance";

/// How a bracket with one begins.
const BRACKET: &str = " (probability in tolerance ";

/// The sentences of `reason` without those probabilities: a bracket is left out; of another sentence stays what stands before
/// its last colon ahead of the probability ("Extend from 180 d to 360 d"), and nothing where there is none.
pub(super) fn untold(reason: &str) -> String {
    let kept: String = reason.split_inclusive(". ").map(kept).collect();
    kept.trim_end().to_string()
}

fn kept(sentence: &str) -> String {
    let sentence = without_bracket(sentence);
    let share = sentence
        .find('%')
        .filter(|_| sentence.contains(OF_THE_ITEM));
    match share.map(|at| sentence[..at].rfind(": ")) {
        None => sentence,
        Some(Some(end)) => format!("{}. ", &sentence[..end]),
        Some(None) => String::new(),
    }
}

fn without_bracket(sentence: &str) -> String {
    let parts = sentence.split_once(BRACKET);
    match parts.and_then(|(head, rest)| Some((head, rest.split_once(')')?.1))) {
        Some((head, rest)) => format!("{head}{rest}"),
        None => sentence.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_a_probability_of_the_item_stays() {
        for (told, left) in [
            (
                "Extend from 180 d to 353 d: by drift crossing, the probability in tolerance stays at or above 95 % for 353 d; \
                 the error is then expected at 3.8 mK.",
                "Extend from 180 d to 353 d.",
            ),
            (
                "Review by a person: the reading of 2026-01-02 lies far off. By the interval alone: Keep 365 d: the probability in \
                 tolerance is still 97.4 % after it.",
                "Review by a person: the reading of 2026-01-02 lies far off. By the interval alone: Keep 365 d.",
            ),
            (
                "Withdraw: the true error is more likely outside tolerance than inside (probability in tolerance 31 %).",
                "Withdraw: the true error is more likely outside tolerance than inside.",
            ),
            (
                "Keep 30 d: 4.2 % as found on 2026-01-02 is out of tolerance.",
                "Keep 30 d: 4.2 % as found on 2026-01-02 is out of tolerance.",
            ),
            (
                "Below the target of 95 %, as the pipeline allows: 90 % in tolerance on the due date. Keep 9 d.",
                "Keep 9 d.",
            ),
        ] {
            assert_eq!(untold(told), left);
        }
    }
}
