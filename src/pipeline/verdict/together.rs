/*! Checks that are judged together: each beside those at the other points of its instrument, as a run finds them once all
are recorded. */

use super::stored::Stored;
use crate::decisions::with_reading::join_checks;
use crate::records::append::check::NewCheck;

/// A new check, and the instrument of its history.
pub(crate) struct Visit {
    instrument: String,
    check: NewCheck,
}

impl Visit {
    /// A check of history `index`.
    pub(crate) fn of(stored: &Stored, index: usize, check: &NewCheck) -> Self {
        Visit {
            instrument: stored.histories.items[index].instrument.clone(),
            check: check.clone(),
        }
    }
}

/// What `judge` says of a check of history `index` on what is stored, with those of the `visits` in place that other points
/// of its instrument got on that day or before.
pub(crate) fn beside_visits<T>(
    stored: &mut Stored,
    (index, check): (usize, &NewCheck),
    visits: &[Visit],
    judge: impl FnOnce(&Stored) -> T,
) -> T {
    let instrument = &stored.histories.items[index].instrument;
    let others = visits.iter().filter(|visit| {
        visit.instrument == *instrument
            && visit.check.point != check.point
            && visit.check.date.floor() <= check.date.floor()
    });
    let place = |visit: &Visit| {
        let mut items = stored.histories.items.iter();
        let names = (visit.instrument.as_str(), visit.check.point.as_str());
        let place = items.position(|item| item.names() == names)?;
        let last = stored.histories.get(place).date.last().copied();
        // One that is older than what is stored says nothing new.
        last.is_none_or(|last| last <= visit.check.date)
            .then_some(place)
    };
    let placed: Vec<(usize, &NewCheck)> = others
        .filter_map(|visit| Some((place(visit)?, &visit.check)))
        .collect();
    if placed.is_empty() {
        return judge(stored);
    }
    let held = stored.histories.clone();
    join_checks(&mut stored.histories, placed);
    let said = judge(stored);
    stored.histories = held;
    said
}
