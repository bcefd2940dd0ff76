/*! Where items stand, said among their checks. */

use crate::records::ItemStatus;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::guess::draft::Guess;
use crate::records::guess::sample::Sample;
use crate::words::quoted_list;
use std::collections::BTreeSet;

/// Words of a column that are shown.
const SHOWN: usize = 3;

/// Asks about a column that is not read and says of items that they are lent, stored, retired or lost:
/// only a register states that.
pub(crate) fn about_status(samples: &[Sample], guess: &Guess) -> Option<Doubt> {
    let away = |text: &&str| ItemStatus::of_word(text).is_some_and(ItemStatus::is_away);
    let says = |sample: &&Sample| {
        let known = |text: &str| ItemStatus::of_word(text).is_some();
        sample.mostly(known) && sample.values().any(|v| away(&v))
    };
    let sample = guess.not_read(samples).into_iter().find(says)?;
    let words: BTreeSet<&str> = sample.values().filter(away).collect();
    let words = format!(
        "\"{}\" says where items stand ({}) and is not read among the checks: what is lent, stored or retired is decided on like the others. A register states it ([register] with the columns instrument and status).",
        sample.header,
        quoted_list(words.iter().take(SHOWN))
    );
    let doubt = Doubt::new("status_not_read", words);
    let doubt = doubt.or(
        "all are decided on alike, or a register says it",
        Answer::AsTaken,
    );
    Some(doubt)
}
