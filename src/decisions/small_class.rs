/*! The class of one history fitted again with other readings of it: a small class knows its
steps and its wander from few readings, a large one is as good as unchanged.
*/

use crate::drift::DriftSettings;
use crate::drift::class::classes::class_parameters;
use crate::drift::class::parameters::ClassParameters;
use crate::records::name_order::by_history;
use crate::records::{Histories, History, Item};

/// Classes up to this many histories are fitted anew without a suspect reading.
pub(crate) const SMALL_CLASS: usize = 60;

/// Readings of a class among which one does not show: without the farthest of so many, five
/// standard deviations off, their scatter is 2.5 % less. In a smaller class a last reading
/// is judged by the class without it.
const LARGE_CLASS: usize = 500;

/// Classes that earlier runs have fitted.
pub(crate) trait KnownClasses: Sync {
    /// Parameters of the class `histories`, at whose `place` a history stands with other
    /// readings than its record has: what is known of it, or else what `find` finds.
    fn recall(
        &self,
        _settings: &DriftSettings,
        _place: usize,
        _histories: &Histories,
        find: &dyn Fn() -> ClassParameters,
    ) -> ClassParameters {
        find()
    }

    /// The class of `history`, where it is known from elsewhere and not from the histories at hand:
    /// its members where it is a small one, `Some(None)` where it is a large one.
    fn small_class(&self, _: &History<'_>, _: usize) -> Option<Option<SmallClass>> {
        None
    }
}

/// No earlier run, or none that counts.
pub(crate) struct NoneKnown;

impl KnownClasses for NoneKnown {}

/// The histories of a small class, with the place of one among them.
pub(crate) struct SmallClass {
    histories: Histories,
    place: usize,
}

impl SmallClass {
    /// The class of history `index`, by the class `of` each history, as it was known at the end of
    /// `day`; `None` where it is a large one.
    pub(crate) fn of(histories: &Histories, of: &[u32], index: usize, day: f64) -> Option<Self> {
        let places = members_of_small(of, index)?;
        let place = places.iter().position(|i| *i == index)?;
        let mut kept = Histories::default();
        for i in places {
            let history = histories.get(i);
            let rows = history.date.partition_point(|date| *date <= day);
            kept.push(&history.first(rows));
        }
        Some(Self {
            histories: kept,
            place,
        })
    }

    /// The class `of` a history that was known before, with that history in its place.
    pub(crate) fn with(of: &Histories, history: &History<'_>) -> Self {
        let (instrument, point) = (&history.item.instrument, &history.item.point);
        // The order in which a run has them.
        let order = |item: &Item| by_history((&item.instrument, &item.point), (instrument, point));
        let mut kept = Histories::default();
        let others = of.iter().filter(|other| order(other.item).is_ne());
        let (before, after): (Vec<_>, Vec<_>) = others.partition(|other| order(other.item).is_lt());
        let place = before.len();
        for member in before.iter().chain([history]).chain(&after) {
            kept.push(member);
        }
        Self {
            histories: kept,
            place,
        }
    }

    /// True where one reading may sway the class.
    pub(crate) fn one_reading_sways(&self) -> bool {
        self.histories.columns.date.len() < LARGE_CLASS
    }

    /// Parameters of the class with the one history of `other` in the place of its own.
    pub(crate) fn class_with(
        &self,
        other: &Histories,
        settings: &DriftSettings,
        known: &dyn KnownClasses,
    ) -> ClassParameters {
        let mut group = Histories::default();
        for i in 0..self.histories.len() {
            match i == self.place {
                true => group.push(&other.get(0)),
                false => group.push(&self.histories.get(i)),
            }
        }
        known.recall(settings, self.place, &group, &|| {
            let again = class_parameters(&group, settings);
            again.of_history(self.place).clone()
        })
    }
}

/// The histories of the class of history `index`, by the class `of` each; `None` where it is a
/// large one.
pub(crate) fn members_of_small(of: &[u32], index: usize) -> Option<Vec<usize>> {
    let class = *of.get(index)?;
    let places: Vec<usize> = (0..of.len())
        .filter(|i| of[*i] == class)
        .take(SMALL_CLASS + 1)
        .collect();
    (places.len() <= SMALL_CLASS).then_some(places)
}

/// True where one reading among those of the histories `small_class` may sway their class.
pub(crate) fn one_reading_sways(histories: &Histories, small_class: &[usize]) -> bool {
    let readings = small_class
        .iter()
        .map(|&i| histories.get(i).len())
        .sum::<usize>();
    small_class.len() <= SMALL_CLASS && readings < LARGE_CLASS
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::records::testing::{Record, fleet};

    /// Compared as text, A10 stood before A3, and another member was taken for the one that is asked about.
    #[test]
    fn a_history_stands_among_its_class_where_a_run_has_it() {
        let records = |names: &[&str]| {
            let named = names.iter().map(|name| {
                let mut record = Record::new();
                record.item.instrument = name.to_string();
                record.check(0.0, 0.1)
            });
            fleet(named.collect::<Vec<_>>())
        };
        let members = records(&["A2", "A3", "A10", "A20"]);
        for (place, name) in ["A2", "A3", "A10", "A20"].into_iter().enumerate() {
            let own = records(&[name]);
            let class = SmallClass::with(&members, &own.get(0));
            let names = class.histories.items.iter().map(|item| &*item.instrument);
            assert_eq!(names.collect::<Vec<_>>(), ["A2", "A3", "A10", "A20"]);
            assert_eq!(class.place, place, "{name}");
        }
    }
}
