/*! The words of the trade that the pages use, explained once a page and linked where they stand. */

use super::parts::folded;
use crate::report::text::escape;
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// Each word with what it means here, as they were when the program was built.
const FILE: &str = include_str!("../../../data/words/glossary.toml");

// A test explains some of them, so that what is built has words.
static WORDS: LazyLock<BTreeMap<String, String>> =
    LazyLock::new(|| toml::from_str(FILE).unwrap_or_default());

/// The words, folded, at the end of a page.
pub(super) fn glossary() -> String {
    let item = |(word, meaning): (&String, &String)| {
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
    let known = WORDS.keys().filter(|word| {
        let rest = text.strip_prefix(word.as_str());
        rest.is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
    });
    // The longest: "drift crossing" rather than "drift".
    match known.max_by_key(|word| word.len()) {
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
