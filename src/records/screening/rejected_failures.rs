/*! Failures among the rows that cannot be used and state no limits: the tolerance of their item tells them.

One is a failure like any other, with which a run stops, or which counts without its values where the settings say so. */

use crate::records::accounts::Reject;
use crate::records::cells::number::Number;
use crate::records::cells::row::unjudged::Unjudged;
use crate::records::cells::unit::target::Target;
use crate::records::valueless::Valueless;
use crate::records::{Check, FormerNames, Histories, Item, Loaded, Outcome, Warning};
use std::collections::HashMap;

/// Judges the rows that wait for it; a failure counts without its values where that is `allowed`.
pub(crate) fn settle(loaded: &mut Loaded, former: &FormerNames, allowed: bool) {
    let counting = std::mem::take(&mut loaded.unjudged);
    if counting.is_empty() && loaded.rejects.iter().all(|r| r.unjudged.is_none()) {
        return;
    }
    let mut failed = Vec::new();
    let mut counted = Vec::new();
    {
        let judge = Judge::of(&loaded.histories.items, former);
        for (source, row) in &counting {
            counted.extend(judge.failed(row).map(|history| (history, *source)));
        }
        for (place, reject) in loaded.rejects.iter_mut().enumerate() {
            let Some(own) = reject.unjudged.take() else {
                continue;
            };
            if let Some(history) = judge.failed(&own) {
                reject.carried.failure = true;
                failed.push((place, history, own));
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

/// The items by their names.
struct Judge<'a> {
    items: &'a [Item],
    places: HashMap<(&'a str, &'a str), usize>,
    former: &'a FormerNames,
}

impl<'a> Judge<'a> {
    fn of(items: &'a [Item], former: &'a FormerNames) -> Self {
        let named = items.iter().enumerate();
        let places = named.map(|(place, item)| {
            let names = (item.instrument.trim(), item.point.trim());
            (names, place)
        });
        Self {
            items,
            places: places.collect(),
            former,
        }
    }

    /// The history that a row is a failure of; `None` where it is none, or nothing tells.
    fn failed(&self, row: &Unjudged) -> Option<usize> {
        let names = (
            self.former.present(&row.instrument).trim(),
            row.point.trim(),
        );
        let place = *self.places.get(&names)?;
        let item = &self.items[place];
        let number = Number::from_double(row.error)?;
        let target = Target::of_unit(item.unit.as_str());
        let error = target.turned(number, &row.unit, Err("the nominal value"));
        let error = error.ok()?.value;
        let tolerance = item.tolerance?;
        (!tolerance.contains(error)).then_some(place)
    }
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
fn count(loaded: &mut Loaded, failed: Vec<(usize, usize, Box<Unjudged>)>) {
    let mut checks = Vec::new();
    let mut out = Vec::new();
    for (place, history, row) in failed {
        let reject = &loaded.rejects[place];
        let file = loaded.tables.iter().position(|name| *name == reject.file);
        let (Some(date), Some(file)) = (row.date, file) else {
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
