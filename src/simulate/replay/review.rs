/*! What the groups lent to the methods on past days: found again and again from what was known by then. */

use super::super::group_evidence::group_evidence;
use super::cut::known_by;
use super::past_classes::fit_days;
use super::settings::ReplaySettings;
use crate::decisions::DecisionTables;
use crate::intervals::EvidenceByGroup;
use crate::records::Histories;
use crate::reliability::ReliabilitySettings;

/// What was known of the groups from one day on until the next review.
#[derive(Debug, Clone)]
pub(crate) struct Review {
    /// The checks up to and on this day were known; days since 1970-01-01.
    pub day: f64,
    /// What the groups lend to the methods.
    pub groups: EvidenceByGroup,
}

/// All reviews, oldest first.
pub(crate) fn reviews(
    histories: &Histories,
    tables: &DecisionTables,
    (settings, reliability): (&ReplaySettings, &ReliabilitySettings),
) -> Vec<Review> {
    let review = |day| Review {
        day,
        groups: group_evidence(&known_by(histories, day), tables, reliability),
    };
    fit_days(histories, settings)
        .into_iter()
        .map(review)
        .collect()
}

/// The latest review on or before `day`.
pub(crate) fn review_on(reviews: &[Review], day: f64) -> Option<&Review> {
    reviews[..reviews.partition_point(|review| review.day <= day)].last()
}
