/*! Classes that were learned, and the histories that belong to them. */

use super::WorkerError;
use crate::decisions::small_class::{KnownClasses, SMALL_CLASS, SmallClass};
use crate::drift::Classes;
use crate::drift::class::members::{ClassKey, Members, class_words, classes, place_by_u};
use crate::drift::class::parameters::ClassParameters;
use crate::records::{Histories, History};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What is kept of one class.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(crate) struct LearnedClass {
    key: ClassKey,
    least_u: f64,
    parameters: ClassParameters,
    /// Its members, where it is small: without a suspect reading of one it is fitted anew.
    members: Option<Histories>,
}

/// Classes that were learned.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(crate) struct LearnedClasses(Vec<LearnedClass>);

impl LearnedClasses {
    /// Keeps the `classes` of `histories`.
    pub(crate) fn of(histories: &Histories, parameters: &[ClassParameters]) -> Self {
        let kept = |(class, parameters): (Members, &ClassParameters)| LearnedClass {
            members: (class.members.len() <= SMALL_CLASS).then(|| only(histories, &class.members)),
            key: class.key,
            least_u: class.least_u,
            parameters: parameters.clone(),
        };
        Self(
            classes(histories)
                .into_iter()
                .zip(parameters)
                .map(kept)
                .collect(),
        )
    }

    /// Takes over those of another part of the fleet.
    ///
    /// # Errors
    /// A class that both have.
    pub(crate) fn join(&mut self, other: Self) -> Result<(), WorkerError> {
        let own: std::collections::BTreeSet<&ClassKey> =
            self.0.iter().map(|class| &class.key).collect();
        if let Some(both) = other.0.iter().find(|class| own.contains(&class.key)) {
            return Err(WorkerError::unfit(
                format!(
                    "the class of {} was learned twice, each time from a part of it",
                    both.key.words()
                ),
                "send all checks of a group, and all of those without a group, to one call of driftbook worker learn",
            ));
        }
        self.0.extend(other.0);
        Ok(())
    }

    /// The classes of `histories`.
    ///
    /// # Errors
    /// A history of a class that was not learned.
    pub(crate) fn of_part(&self, histories: &Histories) -> Result<Classes, WorkerError> {
        let mut by_key: BTreeMap<&ClassKey, Vec<(f64, u32)>> = BTreeMap::new();
        for (class, place) in self.0.iter().zip(0..) {
            by_key
                .entry(&class.key)
                .or_default()
                .push((class.least_u, place));
        }
        for found in by_key.values_mut() {
            found.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
        let own = |history: History<'_>| {
            let keys = ClassKey::of(history.item);
            let found = keys.iter().find_map(|key| by_key.get(key))?;
            let least: Vec<f64> = found.iter().map(|(least, _)| *least).collect();
            Some(found[place_by_u(&history, &least)?].1)
        };
        let mut of = Vec::with_capacity(histories.len());
        for history in histories.iter() {
            of.push(own(history).ok_or_else(|| not_learned(&history))?);
        }
        Ok(Classes {
            of,
            parameters: self
                .0
                .iter()
                .map(|class| class.parameters.clone())
                .collect(),
        })
    }
}

fn not_learned(history: &History<'_>) -> WorkerError {
    let name = history.item.name();
    WorkerError::unfit(
        format!(
            "the class of {name} ({}) is not in what was learned",
            class_words(history)
        ),
        "run driftbook worker learn on checks of its group too, and give --learned all of what it wrote",
    )
}

/// The histories at these places.
fn only(histories: &Histories, places: &[u32]) -> Histories {
    let mut kept = Histories::default();
    for place in places {
        kept.push(&histories.get(*place as usize));
    }
    kept
}

/// The learned classes of the histories at hand.
pub(super) struct Known<'a> {
    pub learned: &'a LearnedClasses,
    /// The class of each history.
    pub of: &'a [u32],
}

impl KnownClasses for Known<'_> {
    fn small_class(&self, history: &History<'_>, index: usize) -> Option<Option<SmallClass>> {
        let class = self.learned.0.get(*self.of.get(index)? as usize)?;
        let members = class.members.as_ref();
        Some(members.map(|members| SmallClass::with(members, history)))
    }
}
