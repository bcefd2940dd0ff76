/*! What changed between two runs, history by history. */

use crate::ledger::data_changes::{data_change, sentences};
use crate::ledger::state::KeptHistory;
use crate::records::{ApprovalVerdict, Histories, Item, date};
use crate::report::ChangeView;
use crate::report::text::{rate, with_minus_signs};
use crate::words::count;
use std::collections::{HashMap, HashSet};

/// An interval that moves by less than this share of itself is counted, not listed: a digest
/// tells what a person must do.
const SMALL_CHANGE: f64 = 0.05;

/// A drift is clear where it exceeds this many of its standard uncertainties.
const CLEAR: f64 = 2.0;

/// What changed, and what was only counted.
#[derive(Debug, Clone, Default)]
pub(crate) struct Comparison {
    /// Changes, in the histories' order, vanished ones last.
    pub changes: Vec<ChangeView>,
    /// Sentences beside them.
    pub notes: Vec<String>,
}

/// One run as the comparison sees it.
#[derive(Clone, Copy)]
pub(crate) struct Side<'a> {
    /// Its as-of date.
    pub day: f64,
    pub histories: &'a [KeptHistory],
    /// What has changed since, in words, where it is the earlier one.
    pub differs: &'a str,
}

/// Compares this run with an earlier one. `slugs` names the pages of this run's histories,
/// empty where there is none.
pub(crate) fn compare(
    before: Side<'_>,
    now: Side<'_>,
    records: &Histories,
    reasons: &[&str],
    slugs: &[&str],
) -> Comparison {
    let known: HashMap<_, &KeptHistory> = before.histories.iter().map(|h| (h.key(), h)).collect();
    let mut result = Comparison::default();
    let (mut small, mut checks) = (0, 0);
    for (index, state) in now.histories.iter().enumerate() {
        let mut add = |kind: &str, sentence: String, red_flag: bool| {
            result.changes.push(ChangeView {
                kind: kind.into(),
                name: state.name(),
                slug: slugs[index].into(),
                sentence,
                red_flag,
            });
        };
        let Some(kept) = known.get(&state.key()) else {
            add(
                "New history",
                format!("not in the last run; {}", reasons[index]),
                false,
            );
            continue;
        };
        let data = data_change(kept, &records.get(index));
        checks += data.new;
        for (kind, sentence, red_flag) in sentences(&data, kept, ("the last run", before.differs)) {
            add(kind, sentence, red_flag);
        }
        if let Some(sentence) = new_limits(kept, state) {
            add("New limits", sentence, true);
        }
        if let Some(sentence) = new_group(kept, state) {
            add("New group", sentence, false);
        }
        if let Some(sentence) = new_action(kept, state, reasons[index]) {
            add("New action", sentence, false);
        } else if let Some((sentence, listed)) = new_interval(kept, state) {
            match listed {
                true => add("New interval", sentence, false),
                false => small += 1,
            }
        }
        if let Some(sentence) = new_in_force(kept, state, records.items.get(index)) {
            add("In force", sentence, false);
        }
        if let Some(sentence) = new_stated(kept, state) {
            add("New in the register", sentence, true);
        }
        for (kind, sentence) in of_standing(kept, state, (before.day, now.day)) {
            add(kind, sentence, false);
        }
    }
    result.changes.extend(vanished(before, now));
    result.notes.extend(notes(checks, small));
    result
}

/// How many checks are new, and how many intervals moved too little to be listed.
fn notes(checks: usize, small: usize) -> impl Iterator<Item = String> {
    let checks = match checks {
        0 => "No history has a new check.".into(),
        1 => "1 new check since then.".into(),
        n => format!("{n} new checks since then."),
    };
    let small = (small > 0).then(|| {
        format!(
            "{small} intervals moved by less than {:.0} % and are not listed.",
            100.0 * SMALL_CHANGE
        )
    });
    std::iter::once(checks).chain(small)
}

/// What became another between two days beside the decision: status, overdue, control, drift.
fn of_standing(
    kept: &KeptHistory,
    state: &KeptHistory,
    (before, now): (f64, f64),
) -> Vec<(&'static str, String)> {
    let mut found = Vec::new();
    if kept.status != state.status {
        let words = format!("{} became {}", kept.status, state.status);
        found.push(("New status", words));
    }
    let was_overdue = kept.due() < before;
    if state.due() < now && !was_overdue {
        let late = count((now - state.due()).round() as usize, "day");
        let words = format!("was due {}, {late} ago", state.due_date);
        found.push(("Newly overdue", words));
    }
    if kept.control != "out" && state.control == "out" {
        let words = "the readings since the last event are no longer in control";
        found.push(("Newly out of control", words.into()));
    }
    found.extend(new_drift(kept, state).map(|words| ("New drift", words)));
    found
}

/// What was edited or taken away since the first run of the same date: new checks are none of it.
pub(crate) fn edits(
    first: Side<'_>,
    now: Side<'_>,
    records: &Histories,
    slugs: &[&str],
) -> Vec<ChangeView> {
    let known: HashMap<_, &KeptHistory> = first.histories.iter().map(|h| (h.key(), h)).collect();
    let mut changes = Vec::new();
    for (index, state) in now.histories.iter().enumerate() {
        let Some(kept) = known.get(&state.key()) else {
            continue;
        };
        let edited = sentences(
            &data_change(kept, &records.get(index)),
            kept,
            ("the first run of this date", first.differs),
        );
        let edits = edited.into_iter().filter(|(.., red_flag)| *red_flag);
        changes.extend(edits.map(|(kind, sentence, red_flag)| ChangeView {
            kind: kind.into(),
            name: state.name(),
            slug: slugs[index].into(),
            sentence,
            red_flag,
        }));
    }
    changes.extend(vanished(first, now));
    changes
}

fn new_action(kept: &KeptHistory, now: &KeptHistory, reason: &str) -> Option<String> {
    (kept.action != now.action).then(|| format!("{} became {}: {reason}", kept.action, now.action))
}

/// Limits that are others than those by which the earlier run judged: what was in tolerance may not be now.
fn new_limits(kept: &KeptHistory, now: &KeptHistory) -> Option<String> {
    let limits = |state: &KeptHistory| (state.limited, state.lower, state.upper);
    let known = kept.limited.is_some() && limits(kept) != limits(now);
    known.then(|| format!("{} became {}", limits_of(kept), limits_of(now)))
}

/// Every digit of the limits: what moved may be the last one.
fn limits_of(state: &KeptHistory) -> String {
    let words = match (state.lower, state.upper) {
        (Some(lower), Some(upper)) => format!("{lower} to {upper} {}", state.unit),
        (Some(lower), None) => format!("at least {lower} {}", state.unit),
        (None, Some(upper)) => format!("at most {upper} {}", state.unit),
        (None, None) => "no limits".to_string(),
    };
    with_minus_signs(words.trim_end())
}

/// Another class than that from which the earlier run borrowed.
fn new_group(kept: &KeptHistory, now: &KeptHistory) -> Option<String> {
    // A run that kept no limits kept no class either.
    let known = kept.limited.is_some() && kept.group != now.group;
    let name = |group: &Option<String>| group.clone().unwrap_or_else(|| "no group".to_string());
    known.then(|| format!("{} became {}", name(&kept.group), name(&now.group)))
}

fn new_interval(kept: &KeptHistory, now: &KeptHistory) -> Option<(String, bool)> {
    let days =
        |interval: Option<f64>| interval.map_or("no interval".into(), |d| format!("{d} days"));
    let (before, after) = (kept.interval_days, now.interval_days);
    let listed = match (before, after) {
        (Some(a), Some(b)) => (b - a).abs() >= SMALL_CHANGE * a.max(b),
        _ => true,
    };
    (before != after).then(|| {
        let due = if now.due_date.is_empty() {
            String::new()
        } else {
            format!(", due {}", now.due_date)
        };
        (
            format!("{} became {}{due}", days(before), days(after)),
            listed,
        )
    })
}

/// "in force 365 → 730 d, approved by A. Person on 2026-03-01".
fn new_in_force(kept: &KeptHistory, now: &KeptHistory, item: Option<&Item>) -> Option<String> {
    let (before, after) = (kept.current_interval_days?, now.current_interval_days?);
    let signed = item.and_then(|item| item.signed.as_ref());
    let by = match signed.and_then(|signed| signed.in_force.as_ref()) {
        Some(line) => {
            let verb = match line.verdict {
                ApprovalVerdict::Other => "set",
                _ => "approved",
            };
            format!("{verb} by {} on {}", line.by, date::iso(line.on))
        }
        None => "by the register or the settings".to_string(),
    };
    (before != after).then(|| format!("in force {before} → {after} d, {by}"))
}

/// Another interval that the register or the records state, where the book of approvals has put a third one in force:
/// whoever wrote it there may think that it holds.
fn new_stated(kept: &KeptHistory, now: &KeptHistory) -> Option<String> {
    let (before, after) = (kept.stated_interval_days?, now.stated_interval_days?);
    let in_force = now.current_interval_days?;
    (before != after && after != in_force).then(|| {
        format!(
            "the interval stated for it became {after} d, from {before} d; by the book of approvals {in_force} d \
             stay in force: driftbook approve sets another"
        )
    })
}

/// A drift that is clear now and was not, or went the other way.
fn new_drift(kept: &KeptHistory, now: &KeptHistory) -> Option<String> {
    let clear = |h: &KeptHistory| {
        let (drift, u) = (h.drift_per_year?, h.u_drift_per_year?);
        (drift.abs() > CLEAR * u).then_some((drift, u))
    };
    let (drift, u) = clear(now)?;
    let before = clear(kept);
    if before.is_some_and(|(known, _)| known.signum() == drift.signum()) {
        return None;
    }
    let then = match before {
        Some((drift, u)) => rate(drift, u, &now.unit),
        None => "no clear drift".into(),
    };
    Some(format!("{then} became {}", rate(drift, u, &now.unit)))
}

fn vanished(before: Side<'_>, now: Side<'_>) -> Vec<ChangeView> {
    let here: HashSet<_> = now.histories.iter().map(KeptHistory::key).collect();
    let gone = before.histories.iter().filter(|h| !here.contains(&h.key()));
    let change = |kept: &KeptHistory| ChangeView {
        kind: "Vanished".into(),
        name: kept.name(),
        slug: String::new(),
        sentence: format!(
            "all {} checks are gone from the records; on {} the decision was {}",
            kept.checks().len(),
            date::iso(before.day),
            kept.action
        ),
        red_flag: true,
    };
    gone.map(change).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn state(name: &str) -> KeptHistory {
        KeptHistory {
            instrument: name.into(),
            action: "keep".into(),
            status: "estimated".into(),
            current_interval_days: Some(730.0),
            stated_interval_days: Some(365.0),
            interval_days: Some(365.0),
            due_date: "2026-06-10".into(),
            drift_per_year: Some(0.1),
            u_drift_per_year: Some(0.1),
            control: "in".into(),
            unit: "mK".into(),
            limited: Some(true),
            lower: Some(-5.0),
            upper: Some(5.0),
            ..KeptHistory::default()
        }
    }

    #[test]
    fn a_register_that_follows_what_is_in_force_is_no_change() {
        let before = state("A");
        let stated = |days| KeptHistory {
            stated_interval_days: days,
            ..before.clone()
        };
        assert_eq!(new_stated(&before, &stated(Some(730.0))), None);
        assert_eq!(new_stated(&before, &stated(None)), None);
        let other = new_stated(&before, &stated(Some(400.0))).unwrap();
        says!(other, "became 400 d, from 365 d", "730 d stay in force");
    }

    #[test]
    fn every_kind_of_change_is_told_once() {
        let day = |iso: &str| date::parse_iso(iso.as_bytes()).unwrap();
        let before = [state("A"), state("B"), state("gone")];
        let mut changed = state("A");
        changed.control = "out".into();
        changed.drift_per_year = Some(-0.5);
        changed.interval_days = Some(300.0);
        changed.status = "no drift: too few readings".into();
        let mut other = state("B");
        other.action = "shorten".into();
        // Three digits would not tell it.
        other.upper = Some(5.002);
        other.group = Some("probe".into());
        other.stated_interval_days = Some(180.0);
        other.due_date = "2026-07-10".into();
        let now = [changed, other, state("new")];
        let item = |name: &str| Item {
            instrument: name.into(),
            ..Item::default()
        };
        let records = Histories {
            items: vec![item("A"), item("B"), item("new")],
            offsets: vec![0; 4],
            ..Histories::default()
        };
        let side = |iso, histories| Side {
            day: day(iso),
            histories,
            differs: "changed since then: a.csv",
        };
        let comparison = compare(
            side("2026-05-31", &before),
            side("2026-06-30", &now),
            &records,
            &["r1", "r2", "r3"],
            &["a", "", "new"],
        );
        let kinds: Vec<(&str, &str, bool)> = comparison
            .changes
            .iter()
            .map(|c| (c.kind.as_str(), c.name.as_str(), c.red_flag))
            .collect();
        assert_eq!(
            kinds,
            [
                ("New interval", "A", false),
                ("New status", "A", false),
                ("Newly overdue", "A", false),
                ("Newly out of control", "A", false),
                ("New drift", "A", false),
                ("New limits", "B", true),
                ("New group", "B", false),
                ("New action", "B", false),
                ("New in the register", "B", true),
                ("New history", "new", false),
                ("Vanished", "gone", true),
            ]
        );
        assert_eq!(
            comparison.changes[2].sentence,
            "was due 2026-06-10, 20 days ago"
        );
        let limits = "\u{2212}5 to 5 mK became \u{2212}5 to 5.002 mK";
        assert_eq!(comparison.changes[5].sentence, limits);
        assert_eq!(comparison.changes[6].sentence, "no group became probe");
        assert_eq!(comparison.changes[7].sentence, "keep became shorten: r2");
    }
}
