/*! What the classes lent on past days: fitted again and again from what was known by then. */

use super::super::group_evidence::group_evidence;
use super::cut::known_before;
use super::settings::ReplaySettings;
use crate::decisions::DecisionTables;
use crate::drift::DriftSettings;
use crate::drift::class::classes::{Classes, class_parameters};
use crate::intervals::EvidenceByGroup;
use crate::records::Histories;
use crate::reliability::ReliabilitySettings;

/// What was known of the classes from one day on until the next review.
#[derive(Debug, Clone)]
pub struct Review {
    /// Checks dated before this day were known; days since 1970-01-01.
    pub day: f64,
    /// What the classes lend to the state model.
    pub classes: Classes,
    /// What the groups lend to the methods.
    pub groups: EvidenceByGroup,
}

impl Review {
    /// What `known`, the records as they stood on `day`, lend.
    pub fn of(
        known: &Histories,
        day: f64,
        (drift, tables): (&DriftSettings, &DecisionTables),
        reliability: &ReliabilitySettings,
    ) -> Self {
        Review {
            day,
            classes: class_parameters(known, drift),
            groups: group_evidence(known, tables, reliability),
        }
    }
}

/// Days of the reviews: before the first check, then whenever the known checks have
/// grown by the set share or the set time has passed.
pub fn review_days(histories: &Histories, settings: &ReplaySettings) -> Vec<f64> {
    let mut dates = histories.columns.date.clone();
    dates.sort_by(f64::total_cmp);
    let mut days: Vec<f64> = Vec::new();
    let mut known = 0usize;
    for (before, date) in dates.iter().enumerate() {
        let Some(last) = days.last() else {
            days.push(*date);
            continue;
        };
        let grown = before as f64 >= known as f64 * (1.0 + settings.review_growth);
        if date > last && (grown || date - last >= settings.review_days) {
            days.push(*date);
            known = before;
        }
    }
    days
}

/// All reviews, oldest first.
pub fn reviews(
    histories: &Histories,
    (drift, tables): (&DriftSettings, &DecisionTables),
    (settings, reliability): (&ReplaySettings, &ReliabilitySettings),
) -> Vec<Review> {
    review_days(histories, settings)
        .into_iter()
        .map(|day| {
            let known = known_before(histories, day);
            Review::of(&known, day, (drift, tables), reliability)
        })
        .collect()
}

/// The latest review on or before `day`.
pub fn review_on(reviews: &[Review], day: f64) -> Option<&Review> {
    reviews[..reviews.partition_point(|review| review.day <= day)].last()
}
