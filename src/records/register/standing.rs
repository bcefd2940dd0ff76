/*! Where an item stands, as the register says: in use, lent, stored, retired or lost. */

use serde::{Deserialize, Serialize};

/// Where an item stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ItemStatus {
    /// It serves.
    #[default]
    InUse,
    /// Somebody else has it.
    Lent,
    /// It is put away.
    Stored,
    /// It serves no more.
    Retired,
    /// Nobody knows where it is.
    Lost,
}

impl ItemStatus {
    const ALL: [Self; 5] = [
        Self::InUse,
        Self::Lent,
        Self::Stored,
        Self::Retired,
        Self::Lost,
    ];

    /// The word of the register and of the tables.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::InUse => "in_use",
            Self::Lent => "lent",
            Self::Stored => "stored",
            Self::Retired => "retired",
            Self::Lost => "lost",
        }
    }

    /// The status of such a word, whatever its case and with a blank for the low line.
    pub(crate) fn of_word(word: &str) -> Option<Self> {
        let plain = word.trim().to_lowercase().replace([' ', '-'], "_");
        Self::ALL.into_iter().find(|status| status.word() == plain)
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
        assert_eq!(ItemStatus::of_word("scrapped"), None);
    }
}
