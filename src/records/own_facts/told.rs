/*! What is said of facts that checks, register and approvals state differently, or in a way that tells nothing. */

use super::super::{Item, Warning};
use super::facts::{Facts, differ, of_register, until_due};
use crate::words::{count, date, days};

/// All that is said of the `facts` of these items.
pub(super) fn of(facts: &[Facts], items: &[Item]) -> Vec<Warning> {
    let said = [
        register_apart(facts, items),
        register_no_due(facts, items),
        register_from_checks(facts, items),
        several_groups(facts, items),
        other_group(facts, items),
        other_interval(facts, items),
        dates_apart(facts, items),
        no_due(facts, items),
    ];
    said.into_iter().flatten().collect()
}

/// What is said of checks that state another interval, each with the day of the check, than the one which a
/// person had put in force before them.
pub(super) fn beside_approvals(stated: &[Option<(f64, f64)>], items: &[Item]) -> Option<Warning> {
    let pairs = stated.iter().zip(items);
    let found: Vec<(&Item, String)> = pairs
        .filter_map(|(stated, item)| Some((item, other_than_approved(*stated, item)?)))
        .collect();
    let which = named(&found)?;
    let words = format!(
        "checks made after an approval state another interval than the approved one, which stays in force: {which}. If the checks are right, put theirs in force with driftbook approve"
    );
    Some(Warning::new("interval in use", words))
}

fn other_than_approved(stated: Option<(f64, f64)>, item: &Item) -> Option<String> {
    let (on, own) = stated?;
    let line = item.signed.as_ref()?.in_force.as_ref()?;
    let approved = line.approved_days?;
    (on > line.on && differ(own, approved)).then(|| {
        format!(
            "{} approved on {}, {} in its check of {}",
            days(approved),
            date(line.on),
            days(own),
            date(on)
        )
    })
}

/// The first of the histories with what is said of it, and how many they are.
fn named(found: &[(&Item, String)]) -> Option<String> {
    let (item, what) = found.first()?;
    let first = format!("{}: {what}", item.name());
    Some(match found.len() {
        1 => first,
        several => format!("{}, {first}", count(several, "history")),
    })
}

fn found<'i>(
    facts: &[Facts],
    items: &'i [Item],
    what: impl Fn(&Facts, &Item) -> Option<String>,
) -> Vec<(&'i Item, String)> {
    let pairs = facts.iter().zip(items);
    pairs
        .filter_map(|(facts, item)| Some((item, what(facts, item)?)))
        .collect()
}

fn several_groups(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let several = |facts: &Facts, item: &Item| {
        let unstated = item.group.is_empty() && facts.groups.len() > 1;
        unstated.then(|| facts.groups.join(", "))
    };
    let which = named(&found(facts, items, several))?;
    let words =
        format!("checks of one item state several groups, and the newest one counts: {which}");
    Some(Warning::new("group of the checks", words))
}

fn other_group(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let other = |facts: &Facts, item: &Item| {
        let newest = facts.groups.first()?;
        let differs = !item.group.is_empty() && *newest != item.group;
        differs.then(|| format!("{} in the register, {newest} in its checks", item.group))
    };
    let which = named(&found(facts, items, other))?;
    let words =
        format!("register and checks state different groups; the register's counts: {which}");
    Some(Warning::new("group of the checks", words))
}

fn other_interval(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let other = |facts: &Facts, item: &Item| {
        let (own, register) = (facts.interval_days?, of_register(facts, item)?);
        differ(own, register).then(|| {
            format!(
                "{} in the register, {} in its checks",
                days(register),
                days(own)
            )
        })
    };
    let which = named(&found(facts, items, other))?;
    let words = format!(
        "register and checks state different intervals in use; the register's counts: {which}"
    );
    Some(Warning::new("interval in use", words))
}

fn register_apart(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let apart = |facts: &Facts, item: &Item| {
        let (own, until_due) = (item.interval_days?, until_due(facts, item)?);
        differ(own, until_due).then(|| format!("{}, due after {}", days(own), days(until_due)))
    };
    let which = named(&found(facts, items, apart))?;
    let words = format!(
        "the register states an interval and a next due date that is not at its end; the interval counts: {which}"
    );
    Some(Warning::new("interval in use", words))
}

/// A check between two calibrations would be taken for the beginning of the interval.
fn register_from_checks(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let from = |facts: &Facts, item: &Item| {
        let unstated = item.last_calibration.is_none() && !facts.kind_stated;
        let own = item.interval_days.is_none() && unstated;
        let length = until_due(facts, item).filter(|_| own)?;
        Some(format!("{} from {}", days(length), date(facts.calibrated)))
    };
    let which = named(&found(facts, items, from))?;
    let words = format!(
        "the register states when the next calibration is due and neither when the last was nor the interval: it counts from the newest check, which may have been none: {which}. State last_calibration or interval_days in the register, or kind in the checks"
    );
    Some(Warning::new("interval in use", words))
}

fn register_no_due(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let without = |facts: &Facts, item: &Item| {
        let due = item.next_due?;
        let unusable = of_register(facts, item).is_none();
        unusable.then(|| format!("due on {}", date(due)))
    };
    let which = named(&found(facts, items, without))?;
    let words = format!(
        "the register's next due date is not after the last calibration, or more than a century after it, and tells no interval: {which}"
    );
    Some(Warning::new("interval in use", words))
}

fn dates_apart(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let apart = |facts: &Facts, item: &Item| {
        let (interval, until_due) = facts.apart.filter(|_| of_register(facts, item).is_none())?;
        Some(format!("{}, due after {}", days(interval), days(until_due)))
    };
    let which = named(&found(facts, items, apart))?;
    let words = format!(
        "the newest check states an interval and a next due date that is not at its end; the interval counts: {which}"
    );
    Some(Warning::new("interval in use", words))
}

fn no_due(facts: &[Facts], items: &[Item]) -> Option<Warning> {
    let without = |facts: &Facts, _: &Item| {
        let rows = facts.no_due;
        (rows > 0).then(|| count(rows, "row"))
    };
    let which = named(&found(facts, items, without))?;
    let words = format!(
        "a next due date that is not after its check, or more than a century after it, tells no interval and is not looked at: {which}. If it is the date on which that check was due, write next_due = false under [checks.columns]"
    );
    Some(Warning::new("interval in use", words))
}
