/*! Histories of one group, alone and with one more check: what a verdict compares. */

use crate::records::append::check::NewCheck;
use crate::records::{Histories, History, Item, Outcome};
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
    let mut kept = Histories {
        offsets: vec![0],
        ..Default::default()
    };
    for &i in places {
        push_history(&histories.get(i), &mut kept);
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
    let columns = &mut all.columns;
    columns.date.insert(at, check.date);
    columns.as_found.insert(at, error(check.as_found, nominal));
    columns.as_left.insert(at, error(check.as_left, nominal));
    columns.nominal.insert(at, nominal);
    columns.u.insert(at, check.u);
    columns.u_common.insert(at, u_common);
    columns.lower.insert(at, f64::NAN);
    columns.upper.insert(at, f64::NAN);
    columns.usage.insert(at, check.usage);
    columns.outcome.insert(at, Outcome::Unknown);
    columns.event.insert(at, check.event);
    columns.kind.insert(at, check.kind);
    columns.source.insert(at, (u32::MAX, 0));
    for offset in &mut all.offsets[index + 1..] {
        *offset += 1;
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

/// `history` as a table of its own.
pub(crate) fn as_histories(history: &History<'_>) -> Histories {
    let mut own = Histories {
        offsets: vec![0],
        ..Default::default()
    };
    push_history(history, &mut own);
    own
}

/// Adds `history` at the end of `to`, whose offsets begin with 0.
pub(crate) fn push_history(history: &History<'_>, to: &mut Histories) {
    to.items.push(history.item.clone());
    let columns = &mut to.columns;
    macro_rules! copy {
        ($($column:ident),*) => { $( columns.$column.extend_from_slice(history.$column); )* };
    }
    copy!(
        date, as_found, as_left, nominal, u, u_common, lower, upper, usage, outcome, event, kind,
        source
    );
    to.offsets.push(to.columns.date.len());
}
