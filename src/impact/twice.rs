/*! Jobs that stand in the table more than once: pasted rows, each of which counts. */

use super::job::Job;
use crate::words::{agreeing, and_others};
use std::collections::HashMap;

/// Jobs named in the sentence.
const NAMED: usize = 5;

/// What is to be said of rows of one job, instrument, point, day and error; `None` where there are none. Rows that name
/// no job cannot be told apart.
pub(super) fn twice(jobs: &[Job]) -> Option<String> {
    let mut rows: HashMap<(&str, &str, &str, u64, u64), usize> = HashMap::new();
    let mut again: Vec<&str> = Vec::new();
    for job in jobs.iter().filter(|job| !job.job.is_empty()) {
        let (day, error) = (job.date.to_bits(), job.measured_error.to_bits());
        let same = (
            job.job.as_str(),
            job.instrument.as_str(),
            job.point.as_str(),
            day,
            error,
        );
        let seen = rows.entry(same).or_default();
        *seen += 1;
        if *seen == 2 {
            again.push(&job.job);
        }
    }
    let named: Vec<&str> = again.iter().take(NAMED).copied().collect();
    (!named.is_empty()).then(|| {
        format!(
            "{} in the table of jobs more than once, with the same instrument, point, day and error, and each row counts: {}{}.",
            agreeing(again.len(), "A job stands", "Some jobs stand"),
            named.join(", "),
            and_others(again.len() - named.len())
        )
    })
}
