/*! The book of approvals: which interval a person put in force, and which proposal was turned down.

One line an item and day. The interval in force is that of the latest line that is valid on the
as-of date and approves one; a rejection leaves it as it is.
*/

mod approval;
mod no_approval;

pub(crate) use approval::{APPROVAL_COLUMNS, Approval, ApprovalVerdict, HeldInterval, Signed};
pub(crate) use no_approval::NoApproval;

use super::book::{self, Entry, NoEntry};
use super::cells::row::needed::Needed;
use super::screening::alike::NearNames;
use super::{FormerNames, Item, LoadError, MOST_DAYS, Warning, date};
use std::collections::{BTreeMap, HashSet};
use std::path::Path;

/// Intervals differ where they differ by half a day or more.
const SAME_DAYS: f64 = 0.5;

impl Approval {
    /// Reads the values of a line behind instrument and point.
    ///
    /// # Errors
    /// What is wrong with them.
    fn of_values(values: &[String]) -> Result<Self, NoApproval> {
        let [proposed, approved, decision, by, on, valid_until, reason] = values else {
            return Err(NoEntry::Values(APPROVAL_COLUMNS.len() + 1).into());
        };
        let (proposed_days, stated) = (
            days("proposed_days", proposed)?,
            days("approved_days", approved)?,
        );
        let verdict = ApprovalVerdict::of_word(decision)
            .ok_or_else(|| NoApproval::Decision(decision.clone()))?;
        if by.is_empty() {
            return Err(NoApproval::Unsigned);
        }
        let approved_days = match (verdict, stated, proposed_days) {
            (ApprovalVerdict::Rejected, None, _) => None,
            (ApprovalVerdict::Rejected, Some(_), _) => {
                return Err(NoApproval::RejectedWithDays);
            }
            (_, None, None) | (ApprovalVerdict::Other, None, _) => {
                return Err(NoApproval::NoInterval);
            }
            (ApprovalVerdict::Approved, Some(own), Some(proposed))
                if (own - proposed).abs() >= SAME_DAYS =>
            {
                return Err(NoApproval::OtherDays { own, proposed });
            }
            (_, stated, proposed) => stated.or(proposed),
        };
        let on = day("on", on)?.ok_or(NoApproval::NoDay)?;
        let valid_until = day("valid_until", valid_until)?;
        if valid_until.is_some_and(|end| end < on) {
            return Err(NoApproval::ValidBefore);
        }
        Ok(Self {
            proposed_days,
            approved_days,
            verdict,
            by: by.clone(),
            on,
            valid_until,
            reason: reason.clone(),
        })
    }

    /// The values of a line behind instrument and point.
    pub(crate) fn values(&self) -> [String; 7] {
        let days = |days: Option<f64>| days.map_or(String::new(), |days| format!("{days}"));
        let day = |day: Option<f64>| day.map_or(String::new(), date::iso);
        [
            days(self.proposed_days),
            days(self.approved_days),
            self.verdict.word().to_string(),
            self.by.clone(),
            date::iso(self.on),
            day(self.valid_until),
            self.reason.clone(),
        ]
    }
}

fn days(name: &'static str, text: &str) -> Result<Option<f64>, NoApproval> {
    if text.is_empty() {
        return Ok(None);
    }
    let number = text.parse::<f64>().ok();
    let usable = number.filter(|days| *days > 0.0 && *days <= MOST_DAYS);
    let text = || text.to_string();
    let wrong = || NoApproval::Days { name, text: text() };
    usable.map(Some).ok_or_else(wrong)
}

fn day(name: &'static str, text: &str) -> Result<Option<f64>, NoEntry> {
    let stated = (!text.is_empty()).then(|| book::day(name, text));
    stated.transpose()
}

/// One line that counts, with its place.
type Line = (Approval, String);

/// Instrument and point.
type Key = (String, String);

/// The lines that count, by instrument and point.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct ApprovalBook {
    lines: BTreeMap<Key, Vec<Line>>,
    /// Places of the lines that do not count.
    uncounted: BTreeMap<Key, Vec<String>>,
    /// Lines that do not count, or were written by hand.
    pub warnings: Vec<Warning>,
}

impl ApprovalBook {
    /// The book at `path`, where it is; `as_of` is the last day that counts.
    ///
    /// # Errors
    /// A file that cannot be read, or with another header.
    pub(crate) fn read(
        path: &Path,
        shown: &str,
        former: &FormerNames,
        as_of: f64,
    ) -> Result<Self, LoadError> {
        let mend = "[approvals] file names the book of approvals, a CSV file";
        let book = book::read_file(path, shown, &APPROVAL_COLUMNS, mend)?;
        let mut approvals = Self::default();
        let mut uncounted: BTreeMap<Key, Vec<String>> = BTreeMap::new();
        let take = |entry: &Entry, place: &str| approvals.take(entry, place, former, as_of);
        let leave = |entry: &Entry, place: &str| {
            if let [instrument, point, ..] = entry.values.as_slice() {
                let key = (former.present(instrument).to_string(), point.clone());
                uncounted.entry(key).or_default().push(place.to_string());
            }
        };
        let warnings = book.taken(shown, "this line", take, leave);
        (approvals.warnings, approvals.uncounted) = (warnings, uncounted);
        approvals.settle_days();
        Ok(approvals)
    }

    /// Keeps the lines of the instruments that are `needed`.
    pub(super) fn only(&mut self, needed: &Needed) {
        self.lines
            .retain(|(instrument, _), _| needed.includes(instrument));
        self.uncounted
            .retain(|(instrument, _), _| needed.includes(instrument));
    }

    /// The latest line of an item.
    pub(crate) fn last(&self, instrument: &str, point: &str) -> Option<&Approval> {
        let key = (instrument.to_string(), point.to_string());
        let lines = self.lines.get(&key)?;
        lines.last().map(|(last, _)| last)
    }

    fn take(
        &mut self,
        entry: &Entry,
        place: &str,
        former: &FormerNames,
        as_of: f64,
    ) -> Result<(), NoApproval> {
        let [instrument, point, rest @ ..] = entry.values.as_slice() else {
            return Err(NoEntry::Values(APPROVAL_COLUMNS.len() + 1).into());
        };
        let approval = Approval::of_values(rest)?;
        if approval.on > as_of {
            let (name, day) = ("on", approval.on);
            return Err(NoEntry::Later { name, day, as_of }.into());
        }
        let key = (former.present(instrument).to_string(), point.clone());
        let lines = self.lines.entry(key).or_default();
        lines.push((approval, place.to_string()));
        Ok(())
    }

    /// Orders the lines of each item by day. Two persons who say different things of an item on
    /// one day contradict each other, and neither counts; a person's later line of the day replaces the earlier.
    fn settle_days(&mut self) {
        for ((instrument, point), lines) in &mut self.lines {
            lines.sort_by(|a, b| a.0.on.total_cmp(&b.0.on));
            let mut kept: Vec<Line> = Vec::new();
            for of_day in lines.chunk_by(|a, b| a.0.on == b.0.on) {
                let Some((last, rest)) = of_day.split_last() else {
                    continue;
                };
                let others = rest.iter().filter(|line| !line.0.says_as(&last.0));
                let contradicts = others.clone().find(|line| line.0.by != last.0.by);
                let named = format!("{instrument} {point}");
                let named = named.trim_end();
                if let Some(other) = contradicts {
                    let words = format!(
                        "contradicts {}: {} and {} decided differently of {named} on {}; no line of that day counts until one of them is withdrawn by a later one",
                        other.1,
                        other.0.by,
                        last.0.by,
                        date::iso(last.0.on)
                    );
                    self.warnings.push(Warning::new(&last.1, words));
                    let key = (instrument.clone(), point.clone());
                    let places = of_day.iter().map(|line| line.1.clone());
                    self.uncounted.entry(key).or_default().extend(places);
                    continue;
                }
                for other in others {
                    let words = format!("replaced by {} of the same day and person", last.1);
                    self.warnings.push(Warning::new(&other.1, words));
                }
                kept.push(last.clone());
            }
            *lines = kept;
        }
        self.lines.retain(|_, lines| !lines.is_empty());
    }

    /// Gives each item the interval in force and what the book says of it; warns of lines of no
    /// item, of approvals that have run out and of intervals above the register's cap.
    pub(crate) fn join(&mut self, items: &mut [Item], as_of: f64) {
        let mut known: HashSet<Key> = HashSet::new();
        for item in items.iter_mut() {
            let key = (item.instrument.clone(), item.point.clone());
            item.uncounted = self.uncounted.get(&key).cloned().unwrap_or_default();
            let Some(lines) = self.lines.get(&key) else {
                continue;
            };
            known.insert(key);
            let approves = |line: &&Line| line.0.approved_days.is_some();
            let in_force = lines
                .iter()
                .rev()
                .filter(approves)
                .find(|line| line.0.holds(as_of));
            let run_out = lines
                .iter()
                .rfind(approves)
                .filter(|line| !line.0.holds(as_of));
            self.warnings
                .extend(run_out.and_then(|line| ran_out(line, item)));
            let earlier = in_force.map_or_else(Vec::new, |(line, _)| {
                held_before(lines, line, item.interval_days)
            });
            if let Some(line) = in_force {
                self.warnings.extend(above_cap(line, item));
                item.interval_days = line.0.approved_days;
            }
            item.signed = lines.last().map(|(last, _)| {
                Box::new(Signed {
                    in_force: in_force.map(|line| line.0.clone()),
                    earlier,
                    last: last.clone(),
                })
            });
        }
        self.warn_of_unknown(items, &known);
        self.warnings
            .sort_by_key(|warning| line_of(&warning.source));
    }

    /// Warns of lines whose item is none of the `known` ones.
    fn warn_of_unknown(&mut self, items: &[Item], known: &HashSet<Key>) {
        let near = NearNames::of(items.iter().map(|item| item.instrument.as_str()));
        for (key, lines) in self.lines.iter().filter(|(key, _)| !known.contains(*key)) {
            let (instrument, point) = key;
            let points: Vec<&str> = items
                .iter()
                .filter(|item| item.instrument == *instrument)
                .map(|item| item.point.as_str())
                .collect();
            let why = match points.is_empty() {
                true => format!("no history is named {instrument}{}", near.words(instrument)),
                false => format!(
                    "{instrument} has no point \"{point}\"; it has \"{}\"",
                    points.join("\", \"")
                ),
            };
            for (_, place) in lines {
                let words = format!("this line puts nothing in force: {why}");
                self.warnings.push(Warning::new(place, words));
            }
        }
    }
}

/// The intervals that held before that of `line`, oldest first: each the one in force the day before
/// the next was put there, and at last the register's.
fn held_before(lines: &[Line], line: &Approval, register: Option<f64>) -> Vec<HeldInterval> {
    let mut held = Vec::new();
    let mut next = line.on;
    let before = |day: f64| {
        let approved = |other: &&Line| other.0.approved_days.is_some() && other.0.holds(day);
        lines.iter().rev().find(approved)
    };
    while let Some((other, _)) = before(next - 1.0) {
        held.extend(other.approved_days.map(|days| HeldInterval {
            since: Some(other.on),
            days,
        }));
        next = other.on;
    }
    held.extend(register.map(|days| HeldInterval { since: None, days }));
    held.reverse();
    held
}

/// The number at the end of "approvals.csv, line 12".
fn line_of(place: &str) -> usize {
    let number = place.rsplit(' ').next();
    number.and_then(|n| n.parse().ok()).unwrap_or(usize::MAX)
}

/// Says that an approval no longer holds.
fn ran_out((line, place): &Line, item: &Item) -> Option<Warning> {
    let end = line.valid_until?;
    let days = line.approved_days;
    let words = format!(
        "the approval of {} for {} ran out on {}",
        days.map_or(String::new(), |days| format!("{days} d")),
        item.name(),
        date::iso(end)
    );
    Some(Warning::new(place, words))
}

/// Says that an approved interval is longer than the register permits.
fn above_cap((line, place): &Line, item: &Item) -> Option<Warning> {
    let (days, cap) = line.approved_days.zip(item.cap_days)?;
    let words = format!(
        "{days} d for {} lie above the register's cap of {cap} d, at which the decision stays",
        item.name()
    );
    (days > cap).then(|| Warning::new(place, words))
}

#[cfg(test)]
mod tests;
