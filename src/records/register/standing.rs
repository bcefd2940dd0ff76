/*! Where an item stands, as the register says: in use, lent, stored, retired or lost. */

use crate::records::words::{plain, status_words};
use serde::{Deserialize, Serialize};

crate::words::worded! {
    /// Where an item stands.
    #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
    #[serde(rename_all = "snake_case")]
    pub enum ItemStatus with word {
        /// It serves.
        #[default]
        InUse = "in_use",
        /// Somebody else has it.
        Lent = "lent",
        /// It is put away.
        Stored = "stored",
        /// It serves no more.
        Retired = "retired",
        /// Nobody knows where it is.
        Lost = "lost",
    }
}

impl ItemStatus {
    const ALL: [Self; 5] = [
        Self::InUse,
        Self::Lent,
        Self::Stored,
        Self::Retired,
        Self::Lost,
    ];

    /// The status of such a word, whatever its case and with a blank for the low line, or of one that
    /// laboratories use for it (`data/words/headers.toml`).
    pub(crate) fn of_word(word: &str) -> Option<Self> {
        let word = plain(word);
        let means = |status: &Self| plain(status.word()) == word;
        let usual = |status: &Self| status_words(status.word()).contains(&word);
        let all = || Self::ALL.into_iter();
        all().find(means).or_else(|| all().find(usual))
    }

    /// True where `word` is this status in a laboratory's own word.
    pub(crate) fn is_in_other_words(self, word: &str) -> bool {
        plain(self.word()) != plain(word)
    }

    /// True where nothing is decided for the item.
    pub(crate) fn is_gone(self) -> bool {
        matches!(self, Self::Retired | Self::Lost)
    }

    /// True where a date that has passed makes it no overdue item: it does not serve here.
    pub(crate) fn is_away(self) -> bool {
        self != Self::InUse
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_read_back() {
        for status in ItemStatus::ALL {
            assert_eq!(ItemStatus::of_word(status.word()), Some(status));
        }
        assert_eq!(ItemStatus::of_word(" In use "), Some(ItemStatus::InUse));
        assert_eq!(ItemStatus::of_word("Scrapped"), Some(ItemStatus::Retired));
        assert_eq!(
            ItemStatus::of_word("ausser Betrieb"),
            Some(ItemStatus::Stored)
        );
        assert_eq!(ItemStatus::of_word("calibrated"), None);
    }

    /// A word of two statuses would be read as the first of them.
    #[test]
    fn each_usual_word_is_of_one_status_that_there_is() {
        let mut seen = std::collections::BTreeSet::new();
        for status in ItemStatus::ALL {
            assert!(!status_words(status.word()).is_empty());
            for word in status_words(status.word()) {
                assert!(seen.insert(word), "{word}");
                assert_eq!(ItemStatus::of_word(word), Some(status));
            }
        }
    }
}
