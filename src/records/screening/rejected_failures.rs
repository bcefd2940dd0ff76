/*! Failures among the rows that cannot be used and state no limits, or one: the tolerance of their item tells them.

One is a failure like any other, with which a run stops, or which counts without its values where the settings say so. */

use super::named::Named;
use crate::records::accounts::Reject;
use crate::records::cells::digits::begins_with_digit;
use crate::records::cells::number::Number;
use crate::records::cells::number::written::is_error;
use crate::records::cells::row::unused::Unused;
use crate::records::cells::unit::target::{NoUnit, Target};
use crate::records::valueless::Valueless;
use crate::records::{Check, FormerNames, Histories, Item, Loaded, Outcome, Warning};

/// Judges the rows that wait for it; a failure counts without its values where that is `allowed`.
pub(crate) fn settle(loaded: &mut Loaded, former: &FormerNames, allowed: bool) {
    let counting = std::mem::take(&mut loaded.unused);
    if counting.is_empty() && loaded.rejects.iter().all(|r| r.unused.is_none()) {
        return;
    }
    let mut failed = Vec::new();
    let mut counted = Vec::new();
    {
        let items = &loaded.histories.items;
        let named = Named::of(items, former);
        let failure = |row: &Unused| failed_at(items, named.place(row), row);
        for (source, row) in &counting {
            counted.extend(failure(row).map(|history| (history, *source)));
        }
        for (place, reject) in loaded.rejects.iter_mut().enumerate() {
            if let Some(history) = reject.unused.as_ref().and_then(|own| failure(own)) {
                reject.carried.failure = true;
                failed.push((place, history));
            }
        }
    }
    for (history, source) in counted {
        fail(&mut loaded.histories, history, source);
    }
    if allowed {
        count(loaded, failed);
    }
    loaded.order_rejects();
}

/// The history at `place` where `row` is a failure of it; `None` where it is none, or nothing tells.
fn failed_at(items: &[Item], place: Option<usize>, row: &Unused) -> Option<usize> {
    let item = &items[place?];
    let number = Number::from_double(row.error)?;
    let target = Target::of_unit(item.unit.as_str());
    let error = match target.turned(number, &row.unit, Err("the nominal value")) {
        Ok(error) => error,
        Err(NoUnit::Unknown(text)) if is_no_unit(&text) => number,
        Err(_) => return None,
    };
    let tolerance = item.tolerance?;
    if tolerance.contains(error.value) {
        None
    } else {
        place
    }
}

/// True for what stands in the place of a unit and is none, so that the number may well be in that of the item.
fn is_no_unit(text: &str) -> bool {
    is_error(text) || begins_with_digit(text) || !text.contains(char::is_alphabetic)
}

/// A row that counts by what was done is a failure too.
fn fail(histories: &mut Histories, history: usize, source: (u32, u32)) {
    let rows = histories.offsets[history]..histories.offsets[history + 1];
    let sources = &histories.columns.source[rows.clone()];
    if let Some(at) = sources.iter().position(|own| *own == source) {
        histories.columns.outcome[rows.start + at] = Outcome::Out;
    }
}

/// Lets the failures count whose day can be read, and takes them out of the rejected rows.
fn count(loaded: &mut Loaded, failed: Vec<(usize, usize)>) {
    let mut checks = Vec::new();
    let mut out = Vec::new();
    for (place, history) in failed {
        let reject = &loaded.rejects[place];
        let date = reject.unused.as_ref().and_then(|row| row.date);
        let file = loaded.tables.iter().position(|name| *name == reject.file);
        let (Some(date), Some(file)) = (date, file) else {
            continue;
        };
        let check = Check {
            date,
            outcome: Outcome::Out,
            event: reject.carried.event,
            source: (file as u32, reject.row),
            ..Check::UNSTATED
        };
        checks.push((history, check));
        out.push(place);
    }
    loaded.histories.add(checks);
    for place in out.into_iter().rev() {
        let valueless = valueless(loaded.rejects.remove(place));
        loaded
            .warnings
            .push(Warning::new(valueless.place(), valueless.words()));
        loaded.valueless.push(valueless);
    }
}

fn valueless(reject: Reject) -> Valueless {
    Valueless {
        open: reject.open(),
        what: reject.carried.words(),
        file: reject.file,
        row: reject.row,
        column: reject.column,
        value: reject.value,
        reason: reject.reason,
        rows: 1,
    }
}
