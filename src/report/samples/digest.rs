/*! A month's digest of the invented fleet. */

use super::fleet::fleet;
use crate::report::view::*;

/// A month's digest with every kind of change.
pub(crate) fn digest() -> DigestView {
    let fleet = fleet(60);
    DigestView {
        open_cases: 0,
        open_signals: 0,
        title: "Monthly digest, May 2026".into(),
        as_of: fleet.as_of,
        previous: Some(fleet.as_of - 31.0),
        histories: 60,
        action_counts: fleet.action_counts(),
        changes: changes(),
        due: DueCounts {
            overdue: 6,
            within_30: 3,
            within_60: 5,
            within_90: 7,
        },
        workload: fleet.workload.clone(),
        urgent: fleet
            .by_urgency()
            .into_iter()
            .take(10)
            .map(|i| fleet.rows[i].clone())
            .collect(),
        notes: vec![
            "The last run was made by version 0.0.9; statuses are compared, drift is not.".into(),
        ],
    }
}

/// Changes of every kind, one with text that a page must escape.
fn changes() -> Vec<ChangeView> {
    let change = |kind: &str, name: &str, sentence: &str, red_flag: bool| ChangeView {
        kind: kind.into(),
        name: name.into(),
        slug: String::new(),
        sentence: sentence.into(),
        red_flag,
    };
    vec![
        change(
            "New action",
            "TH-014, triple point of water",
            "keep became shorten: the drift rose from 1.2 to 1.9 mK a year",
            false,
        ),
        change(
            "Newly overdue",
            "PG-003, 400 kPa",
            "due 2026-05-02, 25 days ago",
            false,
        ),
        change(
            "Data edited in the past",
            "SR-001, 10 Ω",
            "the check of 2022-03-04 read 1.2 µΩ in the last run and reads 0.2 µΩ now",
            true,
        ),
        change(
            "New action",
            "<script>alert(1)</script>",
            "extend became keep",
            false,
        ),
    ]
}
