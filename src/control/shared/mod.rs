/*! A shift that many items share at one time: the reference's or the method's, before any item is
blamed for it.

Every reading is held against what the state model of its item predicted from the readings before
it. Where nothing is shared these residuals are independent and standard normal, and the mean over
the items of one class and unit that were checked in one month is as near to zero as their number
says. Of each item one value counts, the sum of its residuals of the month over the root of their
number, cut at two standard deviations (P. J. Huber, *Robust Statistics*, 1981), so that one item
that steps does not speak for the others.
*/

mod class;
mod month;
mod shift;

pub(crate) use shift::{FALSE_ALARM, SharedBy, SharedShift};

use crate::records::Histories;
use class::{Class, classes, residuals};
use std::collections::BTreeMap;

/// The shared shifts of a run.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct SharedShifts {
    /// In the order of group, unit and time.
    pub shifts: Vec<SharedShift>,
    /// Classes of one unit of which some month could be tested.
    pub tested: usize,
    /// The shift on which each history rests, where there is one.
    resting: BTreeMap<usize, usize>,
}

impl SharedShifts {
    /// The shifts that nobody has judged yet.
    pub(crate) fn of(histories: &Histories, by: &SharedBy<'_>) -> Self {
        let mut found = Self::default();
        for class in classes(histories, by) {
            let (shifts, tested) = class.shifts();
            found.tested += usize::from(tested > 0);
            for shift in shifts {
                if by.judged_until.is_none_or(|day| shift.from > day) {
                    found.rest(&class, &shift);
                    found.shifts.push(shift);
                }
            }
        }
        found
    }

    /// The histories that rest on one of the shifts `known` of the fleet that they are a part of.
    pub(crate) fn known(histories: &Histories, by: &SharedBy<'_>, known: &[SharedShift]) -> Self {
        let mut found = Self {
            shifts: known.to_vec(),
            ..Self::default()
        };
        for (index, item) in histories.items.iter().enumerate() {
            let own = |shift: &SharedShift| shift.group == item.group && shift.unit == item.unit;
            if !known.iter().any(own) {
                continue;
            }
            let residuals = residuals(&histories.get(index), &(by.class)(index), by.axis);
            let Some(last) = residuals.last() else {
                continue;
            };
            let rests = |shift: &SharedShift| own(shift) && last.day >= shift.from;
            if let Some(at) = known.iter().rposition(rests) {
                found.resting.insert(index, at);
            }
        }
        found
    }

    /// Notes the histories of `class` that have a reading since `shift`, the next to be listed. Later
    /// readings show the drift anew and the level never: whether the readings before it or those
    /// since are right no reading tells.
    fn rest(&mut self, class: &Class, shift: &SharedShift) {
        for (index, _, residuals) in &class.members {
            if residuals.last().is_some_and(|last| last.day >= shift.from) {
                self.resting.insert(*index, self.shifts.len());
            }
        }
    }

    /// The shifts of all parts of a fleet that is looked at class by class.
    pub(crate) fn join(parts: Vec<Self>) -> Self {
        let mut all = Self::default();
        let (mut listed, mut histories) = (Vec::new(), 0);
        for part in parts {
            all.tested += part.tested;
            let first = listed.len();
            // Which history it is nobody asks once all is decided; how many rest on a shift stays.
            for at in part.resting.into_values() {
                all.resting.insert(histories, first + at);
                histories += 1;
            }
            listed.extend(part.shifts);
        }
        let mut order: Vec<usize> = (0..listed.len()).collect();
        let class = |at: &usize| (&listed[*at].group, &listed[*at].unit);
        order.sort_by(|a, b| class(a).cmp(&class(b)));
        let place = |at: usize| order.iter().position(|own| *own == at).unwrap_or(at);
        all.resting.values_mut().for_each(|at| *at = place(*at));
        all.shifts = order.into_iter().map(|at| listed[at].clone()).collect();
        all
    }

    /// The shift on which history `index` rests.
    pub(crate) fn of_history(&self, index: usize) -> Option<&SharedShift> {
        self.resting.get(&index).map(|at| &self.shifts[*at])
    }

    /// Histories that rest on shift `at`.
    pub(crate) fn resting_on(&self, at: usize) -> usize {
        self.resting.values().filter(|own| **own == at).count()
    }
}

#[cfg(test)]
#[path = "shared_tests.rs"]
mod tests;
