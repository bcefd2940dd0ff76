/*! Groups of which the settings state something: a name that no history has is most likely misspelt. */

use crate::drift::DriftSettings;
use crate::records::{Histories, Warning};
use crate::words::{and_others, quoted_list};
use std::collections::BTreeSet;

/// Groups of the records that a warning lists.
const LISTED: usize = 6;

/// The groups of the histories that were seen.
#[derive(Debug, Clone, Default)]
pub(crate) struct GroupsSeen(BTreeSet<String>);

impl GroupsSeen {
    /// Takes in the groups of some histories, where the settings state anything of groups.
    pub(crate) fn see(&mut self, histories: &Histories, settings: &DriftSettings) {
        if settings.group.is_empty() {
            return;
        }
        for item in &histories.items {
            if !self.0.contains(&item.group) {
                self.0.insert(item.group.clone());
            }
        }
    }

    /// Says which groups of the settings no history has.
    pub(crate) fn warning(&self, settings: &DriftSettings) -> Option<Warning> {
        let stated = settings.group.keys();
        let missing: Vec<&String> = stated.filter(|name| !self.0.contains(*name)).collect();
        if missing.is_empty() {
            return None;
        }
        let own: Vec<&String> = self.0.iter().filter(|name| !name.is_empty()).collect();
        let groups = match own.is_empty() {
            true => "no history states a group".to_string(),
            false => format!(
                "the groups are {}{}",
                quoted_list(own.iter().take(LISTED)),
                and_others(own.len().saturating_sub(LISTED))
            ),
        };
        let words = format!(
            "no history is of {}, and what is stated there holds for none: {groups}",
            quoted_list(&missing)
        );
        Some(Warning::new("[drift.group]", words))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drift::settings::GroupDrift;
    use crate::records::testing::{Record, fleet};

    #[test]
    fn a_group_that_no_history_has_is_named_with_those_that_there_are() {
        let mut record = Record::new();
        record.item.group = "gauges".into();
        let histories = fleet([record.check(0.0, 0.1)]);
        let warned = |name: &str| {
            let mut settings = DriftSettings::default();
            settings.group.insert(name.into(), GroupDrift::default());
            let mut seen = GroupsSeen::default();
            seen.see(&histories, &settings);
            seen.warning(&settings)
        };
        assert_eq!(warned("gauges"), None);
        let words = warned("Gauges").unwrap().words;
        assert!(words.starts_with("no history is of \"Gauges\""), "{words}");
        assert!(words.ends_with("the groups are \"gauges\""), "{words}");
        let none = GroupsSeen::default().warning(&DriftSettings::default());
        assert_eq!(none, None);
    }
}
