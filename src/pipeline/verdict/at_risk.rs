/*! The work at risk: what was done with the item since it was last known good. */

use crate::conformity::{DecisionRule, LastGood};
use crate::drift::Fit;
use crate::impact::jobs::Jobs;
use crate::impact::{Job, Matches, assess, summary, suspect_window};
use crate::records::screening::alike::NearNames;
use crate::records::{History, date};
use crate::words::count;

/// Jobs named in a line; the others are counted.
const NAMED: usize = 10;

/// The work in doubt after a last check out of tolerance; `None` where it was not.
pub(super) fn after_failure(
    history: &History<'_>,
    fit: &Fit,
    rule: &DecisionRule,
    jobs: &Jobs,
) -> Option<String> {
    let window = suspect_window(history, fit, rule)?;
    let since = since_words(window.good_since);
    let unclear = unclear(history, jobs);
    if jobs.jobs.is_empty() && jobs.unreadable.is_empty() {
        return Some(format!("work since {since}; no jobs table to name it"));
    }
    let own = own_jobs(history, jobs);
    let unit = &history.item.unit;
    let doubts = assess(std::slice::from_ref(&window), unit, &own);
    Some(match doubts.is_empty() {
        true => format!("work since {since}; no job of the table falls into that time{unclear}"),
        false => format!("work since {since}: {}{unclear}", summary(&doubts)),
    })
}

/// The work since the last check of `before` that showed it good and up to `day`: at risk
/// until a person has decided about a reading that decides nothing by itself.
pub(super) fn until_decided(
    before: &History<'_>,
    day: f64,
    rule: &DecisionRule,
    jobs: &Jobs,
) -> String {
    let good = LastGood::of(before, rule).map(|row| before.date[row]);
    let since = since_words(good);
    if jobs.jobs.is_empty() && jobs.unreadable.is_empty() {
        return format!("work since {since}; no jobs table to name it");
    }
    let mut found = own_jobs(before, jobs);
    found.retain(|job| job.date <= day && good.is_none_or(|good| job.date >= good));
    found.sort_by(|a, b| b.date.total_cmp(&a.date).then(a.job.cmp(&b.job)));
    let unclear = unclear(before, jobs);
    if found.is_empty() {
        return format!("work since {since}; no job of the table falls into that time{unclear}");
    }
    let named: Vec<String> = found
        .iter()
        .take(NAMED)
        .map(|job| format!("{} ({})", job.job, date::iso(job.date)))
        .collect();
    let more = match found.len() - named.len() {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    format!(
        "work since {since}: {} at risk, {}{more}{unclear}",
        count(found.len(), "job"),
        named.join(", ")
    )
}

/// The jobs of one history by date.
fn own_jobs<'a>(history: &History<'_>, jobs: &'a Jobs) -> Vec<&'a Job> {
    let item = std::slice::from_ref(history.item);
    let matches = Matches::of(&jobs.jobs, item, f64::INFINITY);
    matches.by_history.into_iter().flatten().collect()
}

fn since_words(good: Option<f64>) -> String {
    good.map_or("ever (never known good)".into(), date::iso)
}

/// Rows of the jobs table that may concern the item and cannot be judged.
fn unclear(history: &History<'_>, jobs: &Jobs) -> String {
    let own = history.item.instrument.as_str();
    let known = NearNames::of(std::iter::once(own));
    let near = |job: &&Job| job.instrument != own && !known.words(&job.instrument).is_empty();
    match jobs.unreadable.len() + jobs.jobs.iter().filter(near).count() {
        0 => String::new(),
        n => format!(
            "; {} of the table cannot be read or has a name much like {own}: look at it",
            count(n, "row")
        ),
    }
}
