/*! The work at risk: what was done with the item since it was last known good. */

use crate::conformity::{DecisionRule, LastGood};
use crate::drift::Fit;
use crate::impact::jobs::Jobs;
use crate::impact::{Job, Matches, assess, summary, suspect_window};
use crate::records::screening::alike::NearNames;
use crate::records::{Histories, History, date};
use crate::words::{and_others, count};
use std::borrow::Cow;
use std::collections::HashSet;

/// Jobs named in a line; the others are counted.
const NAMED: usize = 10;

/// The work in doubt after a last check out of tolerance; `None` where it was not.
pub(super) fn after_failure(
    history: &History<'_>,
    fit: &Fit,
    rule: &DecisionRule,
    (jobs, known): (&Jobs, &Histories),
) -> Option<String> {
    let window = suspect_window(history, fit, rule)?;
    let since = since_words(window.good_since);
    let unclear = unclear(history, jobs, known);
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
    (jobs, known): (&Jobs, &Histories),
) -> String {
    let good = LastGood::of(before, rule).map(|row| before.date[row]);
    let since = since_words(good);
    if jobs.jobs.is_empty() && jobs.unreadable.is_empty() {
        return format!("work since {since}; no jobs table to name it");
    }
    let mut found = own_jobs(before, jobs);
    found.retain(|job| job.date <= day && good.is_none_or(|good| job.date >= good));
    found.sort_by(|a, b| b.date.total_cmp(&a.date).then(a.job.cmp(&b.job)));
    let unclear = unclear(before, jobs, known);
    if found.is_empty() {
        return format!("work since {since}; no job of the table falls into that time{unclear}");
    }
    let named: Vec<String> = found
        .iter()
        .take(NAMED)
        .map(|job| format!("{} ({})", job.job, date::iso(job.date)))
        .collect();
    let more = and_others(found.len() - named.len());
    format!(
        "work since {since}: {} at risk, {}{more}{unclear}",
        count(found.len(), "job"),
        named.join(", ")
    )
}

/// The jobs of one history by date.
fn own_jobs<'a>(history: &History<'_>, jobs: &'a Jobs) -> Vec<Cow<'a, Job>> {
    let item = std::slice::from_ref(history.item);
    let matches = Matches::of(&jobs.jobs, item, f64::INFINITY);
    matches.by_history.into_iter().flatten().collect()
}

fn since_words(good: Option<f64>) -> String {
    good.map_or("ever (never known good)".into(), date::iso)
}

/// True of the names of two items of one series, or of two series: another number, or two other letters.
/// A verdict does not read the names of all items, which would tell.
fn is_sibling(name: &str, own: &str) -> bool {
    let number = |name: &str| -> String {
        let digits = name.chars().filter(char::is_ascii_digit);
        digits.skip_while(|digit| *digit == '0').collect()
    };
    let letters = |name: &str| -> String {
        let letters = name.chars().filter(|c| c.is_alphabetic());
        letters.flat_map(char::to_lowercase).collect()
    };
    number(name) != number(own) || strsim::damerau_levenshtein(&letters(name), &letters(own)) > 1
}

/// Rows of the jobs table that may concern the item and cannot be judged: those that cannot be read,
/// and names much like its own that none of the `known` items has.
fn unclear(history: &History<'_>, jobs: &Jobs, known: &Histories) -> String {
    let own = history.item.instrument.as_str();
    let names: HashSet<&str> = known.items.iter().map(|i| i.instrument.as_str()).collect();
    let like = NearNames::of(std::iter::once(own));
    let near = |job: &&Job| {
        let name = &*job.instrument;
        !names.contains(name) && !is_sibling(name, own) && like.find(name).is_some()
    };
    let near = match jobs.jobs.iter().filter(near).count() {
        0 => String::new(),
        1 => format!("; 1 row of the table has a name much like {own}: look at it"),
        n => format!("; {n} rows of the table have names much like {own}: look at them"),
    };
    let unread = match jobs.unreadable.len() {
        0 => String::new(),
        1 => "; 1 row of the table cannot be read: look at it".into(),
        n => format!("; {n} rows of the table cannot be read: look at them"),
    };
    near + &unread
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn items_of_a_series_are_no_near_misses() {
        for name in ["TH-002", "TH-101", "MA-001", "TH-001/2"] {
            assert!(is_sibling(name, "TH-001"), "{name}");
        }
        for name in ["TH001", "th-1", "TH 001", "HT-001", "TJ-001"] {
            assert!(!is_sibling(name, "TH-001"), "{name}");
        }
    }
}
