/*! The policy as a table that a quality manager can read and approve. */

use super::settings::{FirstInterval, PolicySettings, Weighting};
use crate::intervals::MethodName;
use crate::words::{count, days, percent, significant};

impl PolicySettings {
    /// One row a rule: what it is about, and what it says under these settings.
    pub fn in_words(&self) -> Vec<(String, String)> {
        let mut rows = Vec::new();
        let mut row = |about: &str, says: String| rows.push((about.to_string(), says));
        row("who may lead", listed(&self.leaders));
        row(
            "how the lead is found",
            match self.weighting {
                Weighting::First => "the first of these that was run and applies".into(),
                Weighting::Evidence => "all of these that apply, weighted by their evidence".into(),
            },
        );
        row(
            "growth at once",
            format!("at most {} times", self.largest_extension),
        );
        row(
            "shrinking at once",
            if self.largest_shortening > 0.0 {
                format!("at most to {}", percent(self.largest_shortening))
            } else {
                "not limited".into()
            },
        );
        row(
            "growth within what is shown",
            match self.beyond_record {
                false => "no longer than the item's own record, or than the longest interval that its class has shown to hold".into(),
                true => "not bound to a record".into(),
            },
        );
        row(
            "in tolerance on the due date",
            match self.below_target {
                false => {
                    "by the item's own forecast at least the reliability target, whoever leads"
                        .into()
                }
                true => {
                    "may be less likely than the reliability target; the reason then leads with it"
                        .into()
                }
            },
        );
        row("smallest change made", percent(self.smallest_change));
        row(
            "intervals to choose from",
            if self.listed_days.is_empty() {
                "any whole number of days, rounded down".into()
            } else {
                let list: Vec<_> = self.listed_days.iter().map(|d| days(*d)).collect();
                format!("{}, rounded down", list.join(", "))
            },
        );
        row(
            "never extended",
            format!(
                "after a failed last check{}; with fewer than {}{}{}",
                match self.checks_after_failure {
                    0 => String::new(),
                    checks => format!(
                        ", until {} have followed or, where a book of cases is kept, a person has closed the case",
                        count(checks as usize, "good check")
                    ),
                },
                count(self.checks_to_extend as usize, "check"),
                match self.extend_after_surprise {
                    false =>
                        "; after a shock, a repair or a step without event, until a person has judged it",
                    true => "",
                },
                worded("; criticality ", &self.never_extend)
            ),
        );
        row(
            "a longer interval waits",
            format!(
                "for a repeated check, where the last reading is a suspect one or lies {} standard deviations or more off what the earlier ones predict; for a person, where only a suspect reading further back would lengthen it",
                significant(self.far_off, 3)
            ),
        );
        row(
            "a person is asked",
            format!(
                "where no method can lead, and where the decision rule states neither conforming nor nonconforming{}",
                worded("; before any change at criticality ", &self.ask_person)
            ),
        );
        row("first interval of a new item", first(self));
        row(
            "extensions within a year",
            self.extensions_per_year
                .map_or_else(|| "not limited".into(), |n| format!("at most {n}")),
        );
        row(
            "due dates brought forward to level the workload",
            if self.smoothing_days > 0.0 {
                format!("by at most {}, never back", days(self.smoothing_days))
            } else {
                "no".into()
            },
        );
        row(
            "the cap",
            "is never exceeded; a shorter one in the register goes first".into(),
        );
        for (name, group) in &self.group {
            if let Some(leaders) = &group.leaders {
                row(
                    &format!("who may lead in group \"{name}\""),
                    listed(leaders),
                );
            }
        }
        rows
    }
}

fn listed(methods: &[MethodName]) -> String {
    methods
        .iter()
        .map(|m| m.words())
        .collect::<Vec<_>>()
        .join(", ")
}

fn worded(lead: &str, words: &[String]) -> String {
    if words.is_empty() {
        String::new()
    } else {
        format!("{lead}{}", words.join(", "))
    }
}

fn first(settings: &PolicySettings) -> String {
    let names: Vec<String> = settings
        .first_interval
        .iter()
        .map(|kind| match kind {
            FirstInterval::Register => "the register's".to_string(),
            FirstInterval::Group => "its group's typical one".into(),
            FirstInterval::Setting => {
                format!("{} of that of the settings", percent(settings.first_factor))
            }
        })
        .collect();
    format!("{}, else a person decides", names.join(", else "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rule_has_a_row() {
        let settings = PolicySettings {
            listed_days: vec![90.0, 365.0],
            never_extend: vec!["high".into()],
            smoothing_days: 30.0,
            ..Default::default()
        };
        let rows = settings.in_words();
        let says = |about: &str| rows.iter().find(|r| r.0 == about).map(|r| r.1.as_str());
        assert_eq!(
            says("never extended"),
            Some(
                "after a failed last check, until 3 good checks have followed or, where a book of cases is kept, a person has closed the case; with fewer than 3 checks; after a shock, a repair or a step without event, until a person has judged it; criticality high"
            )
        );
        assert_eq!(
            says("intervals to choose from"),
            Some("90 d, 365 d, rounded down")
        );
        assert_eq!(
            says("first interval of a new item"),
            Some("the register's, else its group's typical one, else a person decides")
        );
    }
}
