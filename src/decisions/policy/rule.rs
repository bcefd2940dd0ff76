/*! A rule that changed a decision: its sentence, and how much of it a row with little room tells. */

use serde::{Serialize, Serializer};
use std::fmt;

/// A sentence in two parts, so that nobody has to look for the end of the first: names from the
/// records may hold any mark.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    words: String,
    brief: usize,
}

impl Rule {
    /// `brief`, which stands for itself, goes on with `rest`.
    pub(crate) fn new(brief: impl Into<String>, rest: &str) -> Self {
        let brief = brief.into();
        Self {
            brief: brief.len(),
            words: brief + rest,
        }
    }

    /// The whole sentence.
    pub(crate) fn words(&self) -> &str {
        &self.words
    }

    /// Its first part.
    pub(crate) fn brief(&self) -> &str {
        &self.words[..self.brief]
    }

    /// What the first part goes on with.
    pub(crate) fn rest(&self) -> &str {
        &self.words[self.brief..]
    }
}

impl From<String> for Rule {
    fn from(words: String) -> Self {
        Self::new(words, "")
    }
}

impl From<&str> for Rule {
    fn from(words: &str) -> Self {
        Self::new(words, "")
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words)
    }
}

impl Serialize for Rule {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.words)
    }
}

#[cfg(test)]
mod tests {
    use super::Rule;

    #[test]
    fn a_name_with_a_comma_does_not_end_the_first_part() {
        let who = "Doe, J. (invented)";
        let rule = Rule::new(format!("decided by {who}"), ", until the item's next check");
        assert_eq!(rule.brief(), "decided by Doe, J. (invented)");
        assert!(
            rule.words()
                .ends_with("(invented), until the item's next check")
        );
        assert_eq!(
            Rule::from("a failed last check").brief(),
            "a failed last check"
        );
    }
}
