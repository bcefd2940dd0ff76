/*! The class of one history fitted again with other readings of it: a small class knows its
steps and its wander from few readings, a large one is as good as unchanged.
*/

use crate::drift::DriftSettings;
use crate::drift::class::classes::class_parameters;
use crate::drift::class::parameters::ClassParameters;
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
        let name = |item: &Item| (item.instrument.clone(), item.point.clone());
        let own = name(history.item);
        let place = of.items.partition_point(|item| name(item) < own);
        let mut kept = Histories::default();
        let others = of.iter().filter(|other| name(other.item) != own);
        let (before, after): (Vec<_>, Vec<_>) = others.partition(|other| name(other.item) < own);
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
