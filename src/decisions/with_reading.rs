/*! Histories of one group, alone and with one more check: what a verdict compares. */

use crate::records::append::check::NewCheck;
use crate::records::{Check, Histories, Item};
use std::borrow::Cow;

/// The histories of the group of history `index` (of its unit, where it states no group), with
/// the place of that history among them. What the class and the group lend depends on these alone.
pub(crate) fn group_of(histories: &Histories, index: usize) -> (Cow<'_, Histories>, usize) {
    let item = &histories.items[index];
    let belongs = |other: &Item| {
        other.group == item.group && (!item.group.is_empty() || other.unit == item.unit)
    };
    if histories.items.iter().all(belongs) {
        return (Cow::Borrowed(histories), index);
    }
    let members: Vec<usize> = (0..histories.len())
        .filter(|&i| belongs(&histories.items[i]))
        .collect();
    let place = members.iter().position(|&i| i == index).unwrap_or(0);
    (Cow::Owned(selected(histories, &members)), place)
}

/// The histories at `places`, in that order.
pub(crate) fn selected(histories: &Histories, places: &[usize]) -> Histories {
    let mut kept = Histories::default();
    for &i in places {
        kept.push(&histories.get(i));
    }
    kept
}

/// `check` as the readings of `item` are taken: the part of its display's grid in u, and a value that
/// was cut off as the middle of what it stands for.
pub(crate) fn as_read(check: &NewCheck, item: &Item) -> NewCheck {
    let Some(grid) = &item.grid else {
        return check.clone();
    };
    let nominal = or_zero(check.nominal);
    let found = error(check.as_found, nominal);
    let (u, u_common) = grid.widened((found, nominal), check.u, or_zero(check.u_common));
    let value = |shown: f64| match error(shown, nominal) {
        found if grid.middle(found, nominal) == found => shown,
        found => error(grid.middle(found, nominal), -nominal),
    };
    NewCheck {
        as_found: value(check.as_found),
        as_left: value(check.as_left),
        u,
        u_common,
        ..check.clone()
    }
}

/// What a row does not state of these is 0.
fn or_zero(value: f64) -> f64 {
    if value.is_finite() { value } else { 0.0 }
}

/// Adds `check`, as it is read, as the newest row of history `index`.
pub(crate) fn add_check(all: &mut Histories, index: usize, check: &NewCheck) {
    let at = all.offsets[index + 1];
    let nominal = or_zero(check.nominal);
    let u_common = or_zero(check.u_common).max(all.items[index].between_sources);
    let read = Check {
        date: check.date,
        as_found: error(check.as_found, nominal),
        as_left: error(check.as_left, nominal),
        nominal,
        u: check.u,
        u_common,
        usage: check.usage,
        event: check.event,
        kind: check.kind,
        source: (u32::MAX, 0),
        ..Check::UNSTATED
    };
    all.columns.insert(at, read);
    for offset in &mut all.offsets[index + 1..] {
        *offset += 1;
    }
    // Then the check that cannot be used is not the newest any more.
    let unused = &mut all.items[index].newest_unused;
    unused.take_if(|unused| unused.day.floor() <= check.date.floor());
}

/// Adds new checks to `all`, each as it is read and with the place of its history.
pub(crate) fn join_checks<'c>(
    all: &mut Histories,
    checks: impl IntoIterator<Item = (usize, &'c NewCheck)>,
) {
    for (index, check) in checks {
        let read = as_read(check, &all.items[index]);
        add_check(all, index, &read);
    }
}

/// Error of a value: value minus nominal, in decimal where both are short decimals.
pub(crate) fn error(value: f64, nominal: f64) -> f64 {
    use crate::records::cells::number::Number;
    match (Number::from_double(value), Number::from_double(nominal)) {
        (Some(value), Some(nominal)) => value.minus(nominal),
        _ => f64::NAN,
    }
}
