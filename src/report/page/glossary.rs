/*! The words of the trade that the pages use, explained once a page and linked where they stand. */

use super::parts::folded;
use crate::report::text::escape;

/// (word, what it means here). Terms as in VIM (JCGM 200:2012) and GUM (JCGM 100:2008) where they have one.
const WORDS: [(&str, &str); 17] = [
    (
        "as found",
        "the error at a check before anything was done to the item; as left is the error after that",
    ),
    (
        "band",
        "the narrow one holds the true error, the wide dotted one the next reading, each with the probability named beside it",
    ),
    (
        "case",
        "a check out of tolerance, or too near a limit to tell, that no named person has closed yet",
    ),
    (
        "class",
        "items of the same group and unit; what they share informs an item with few checks of its own",
    ),
    (
        "drift",
        "the systematic change of the error with time or use, per year",
    ),
    (
        "drift crossing",
        "the method that ends the interval on the day on which the forecast falls below the target",
    ),
    (
        "in force",
        "the interval that counts today: the last one approved, else the register's, else that of the checks",
    ),
    (
        "least cost",
        "the method that weighs the cost of a calibration against that of being out of tolerance",
    ),
    (
        "noise of a reading",
        "the scatter of a reading about the true error, without what the value itself wanders",
    ),
    (
        "probability in tolerance",
        "how likely the true error, not the reading, lies within the tolerance on that day",
    ),
    (
        "residual standard deviation",
        "the scatter of the checks about the fitted drift",
    ),
    (
        "scatter beyond the stated u",
        "what must be added to the stated uncertainties to explain the scatter",
    ),
    (
        "staircase",
        "the method that lengthens after a good check and shortens after a bad one",
    ),
    (
        "standard uncertainty",
        "u, the standard deviation that expresses what is not known of a value; U = 2 u is the expanded one (k = 2)",
    ),
    (
        "state",
        "the drift model that follows level and drift from check to check and lets both wander",
    ),
    (
        "target",
        "the probability in tolerance that is asked for on the due date",
    ),
    (
        "wander",
        "random change of the true error that adds up with the square root of time",
    ),
];

/// The words, folded, at the end of a page.
pub(super) fn glossary() -> String {
    let item = |(word, meaning): &(&str, &str)| {
        format!(
            "<dt id=\"{}\">{word}</dt><dd>{meaning}</dd>\n",
            anchor(word)
        )
    };
    let items: String = WORDS.iter().map(item).collect();
    folded("Words", &format!("<dl>\n{items}</dl>\n"))
}

/// `text` as HTML, linked to the word that it names or begins with.
pub(super) fn explained(text: &str) -> String {
    let known = WORDS.iter().filter(|(word, _)| {
        let rest = text.strip_prefix(word);
        rest.is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
    });
    // The longest: "drift crossing" rather than "drift".
    match known.map(|(word, _)| *word).max_by_key(|word| word.len()) {
        Some(word) => format!(
            "<a href=\"#{}\">{word}</a>{}",
            anchor(word),
            escape(&text[word.len()..])
        ),
        None => escape(text),
    }
}

fn anchor(word: &str) -> String {
    format!("word-{}", word.replace(' ', "-"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_is_linked_by_its_longest_name_and_nothing_else_is() {
        assert!(explained("drift crossing").starts_with("<a href=\"#word-drift-crossing\">"));
        assert!(explained("standard uncertainty of the drift").ends_with("</a> of the drift"));
        assert_eq!(explained("drifting <b>"), "drifting &lt;b&gt;");
        let all = glossary();
        assert!(
            WORDS
                .iter()
                .all(|(word, _)| all.contains(&format!("id=\"{}\"", anchor(word))))
        );
    }
}
