/*! Brings the readings of all sources of an item to the level of its latest one. */

use super::offsets::{Offsets, Seen};
use crate::drift::series::readings::{Axis, Reading, fill_readings};
use crate::records::{Given, Histories, SourceLine, named};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// One history of a class: its readings in order, and the source of each check.
struct Member {
    index: usize,
    readings: Vec<Reading>,
    /// Source of each reading.
    of_reading: Vec<usize>,
    /// Source of each check.
    of_check: Vec<usize>,
}

/// The sources of a fleet, by the group and the unit of what they gave readings of.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub(crate) struct Sources(BTreeMap<(String, String), ClassSources>);

/// The sources of one class and unit, and what is known of them.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct ClassSources {
    /// Their names, sorted.
    names: Vec<String>,
    offsets: Option<Offsets>,
}

/// A source of which nothing was learned.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "a reading of {item} comes from the source {name}, which is not among those of its group that were learned"
)]
pub(crate) struct UnknownSource {
    item: String,
    name: String,
}

impl Sources {
    /// Takes over those of another part of the fleet, which shares no group with this one.
    pub(crate) fn join(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    /// The first of the sources of `histories` that is not among these.
    fn unknown(&self, histories: &Histories) -> Option<UnknownSource> {
        let columns = &histories.columns;
        let unknown = |index: usize| {
            let item = &histories.items[index];
            let known = self.0.get(&(item.group.clone(), item.unit.clone()));
            let has = |name: &String| known.is_some_and(|known| known.names.contains(name));
            let rows = histories.offsets[index]..histories.offsets[index + 1];
            let of_rows = columns.given_by.get(rows)?;
            let mut names = of_rows.iter().map(|giver| &columns.givers[*giver as usize]);
            let name = names.find(|name| !has(name))?;
            Some(UnknownSource {
                item: item.name(),
                name: named(name),
            })
        };
        (0..histories.len()).find_map(unknown)
    }

    fn several(&self) -> bool {
        self.0.values().any(|class| class.names.len() > 1)
    }
}

/// Takes who gave each reading out of the records, and moves the readings of earlier sources to the
/// level of the latest one of their item. Where nothing tells an offset from drift the readings stay,
/// and the item says so. `None` where no record names a source or an assigned value.
pub(crate) fn settle(histories: &mut Histories, axis: Axis) -> Option<Given> {
    let given = Given::taken_from(&mut histories.columns)?;
    Some(settle_all(histories, axis, given, None).0)
}

/// As [`settle`], with the sources and what is known of them.
pub(crate) fn learn(histories: &mut Histories, axis: Axis) -> (Option<Given>, Sources) {
    match Given::taken_from(&mut histories.columns) {
        None => Default::default(),
        Some(given) => {
            let (given, sources) = settle_all(histories, axis, given, None);
            (Some(given), sources)
        }
    }
}

/// As [`settle`], for histories of a fleet of whose sources `known` tells.
///
/// # Errors
/// In words, a source that it does not tell of.
pub(crate) fn settle_known(
    histories: &mut Histories,
    axis: Axis,
    known: &Sources,
) -> Result<Option<Given>, UnknownSource> {
    let columns = &mut histories.columns;
    if known.several() && columns.given_by.is_empty() {
        // None of these readings names its source, and others of the fleet do.
        (columns.givers, columns.given_by) = (vec![String::new()], vec![0; columns.date.len()]);
    }
    if let Some(unknown) = known.unknown(histories) {
        return Err(unknown);
    }
    let given = Given::taken_from(&mut histories.columns);
    Ok(given.map(|given| settle_all(histories, axis, given, Some(known)).0))
}

fn settle_all(
    histories: &mut Histories,
    axis: Axis,
    mut given: Given,
    known: Option<&Sources>,
) -> (Given, Sources) {
    let mut classes: BTreeMap<(String, String), Vec<usize>> = BTreeMap::new();
    for (index, item) in histories.items.iter().enumerate() {
        let key = (item.group.clone(), item.unit.clone());
        classes.entry(key).or_default().push(index);
    }
    for (index, item) in histories.items.iter_mut().enumerate() {
        let rows = histories.offsets[index]..histories.offsets[index + 1];
        let values = given.assigned.get(rows);
        item.assigned = values.is_some_and(|values| values.iter().any(|value| value.is_finite()));
    }
    let mut sources = Sources::default();
    for (key, indices) in classes {
        let members: Vec<Member> = indices
            .par_iter()
            .map(|index| Member::of(histories, &given, *index, axis))
            .collect();
        let class = match known.and_then(|known| known.0.get(&key)) {
            Some(known) => known.clone(),
            None => ClassSources::of(&members, &given),
        };
        if class.names.len() > 1 {
            class.settle(histories, &mut given, &key, &members);
        }
        sources.0.insert(key, class);
    }
    (given, sources)
}

impl ClassSources {
    fn of(members: &[Member], given: &Given) -> Self {
        let sources: BTreeSet<usize> = members
            .iter()
            .flat_map(|m| m.of_check.iter().copied())
            .collect();
        let name = |source: &usize| given.givers.get(*source).cloned().unwrap_or_default();
        let mut class = Self {
            names: sources.iter().map(name).collect(),
            offsets: None,
        };
        if class.names.len() < 2 {
            return class;
        }
        let places = class.places(given);
        let several = || members.iter().filter(|member| member.saw_several());
        let stated = several()
            .flat_map(|m| &m.readings)
            .all(|reading| reading.u > 0.0);
        let own = |member: &Member| {
            member
                .of_reading
                .iter()
                .map(|source| places[*source])
                .collect()
        };
        let of_readings: Vec<Vec<usize>> = several().map(own).collect();
        let seen = several().zip(&of_readings).map(|(member, sources)| Seen {
            readings: &member.readings,
            sources,
        });
        class.offsets = Offsets::of(seen, class.names.len(), stated);
        class
    }

    /// The place of each giver among the names; 0 of one that gave nothing here.
    fn places(&self, given: &Given) -> Vec<usize> {
        let place = |name: &String| self.names.binary_search(name).unwrap_or(0);
        given.givers.iter().map(place).collect()
    }

    /// Moves the readings of the members, and tells of each source.
    fn settle(
        &self,
        histories: &mut Histories,
        given: &mut Given,
        (group, unit): &(String, String),
        members: &[Member],
    ) {
        let places = self.places(given);
        let offsets = self.offsets.as_ref();
        let mut moved = vec![0; self.names.len()];
        for member in members {
            member.settle(histories, given, offsets, (&places, &mut moved));
        }
        let between = offsets.map_or(0.0, |offsets| offsets.between);
        for member in members {
            // What a certificate calls shared and what its sources show is one thing: the larger holds.
            histories.items[member.index].between_sources = between;
            let rows = histories.offsets[member.index]..histories.offsets[member.index + 1];
            for u_common in &mut histories.columns.u_common[rows] {
                *u_common = u_common.max(between);
            }
        }
        for (at, source) in self.names.iter().enumerate() {
            let gave = |m: &&Member| m.of_check.iter().any(|source| places[*source] == at);
            let all = 0..self.names.len();
            let known = offsets.filter(|offsets| {
                all.clone()
                    .any(|other| other != at && offsets.change(at, other).is_some())
            });
            given.lines.push(SourceLine {
                group: group.clone(),
                unit: unit.clone(),
                source: source.clone(),
                items: members.iter().filter(gave).count(),
                readings: members
                    .iter()
                    .flat_map(|m| &m.of_check)
                    .filter(|source| places[**source] == at)
                    .count(),
                offset: known.map_or(f64::NAN, |offsets| offsets.offset[at]),
                u_offset: known.map_or(f64::NAN, |offsets| offsets.u_of(at)),
                between: known.map_or(f64::NAN, |offsets| offsets.between),
                moved: moved[at],
            });
        }
    }
}

impl Member {
    fn of(histories: &Histories, given: &Given, index: usize, axis: Axis) -> Self {
        let history = histories.get(index);
        let first = histories.offsets[index];
        let of_check = (0..history.len())
            .map(|row| given.giver(first + row))
            .collect::<Vec<_>>();
        let mut readings = Vec::with_capacity(history.len() + 1);
        fill_readings(&history, axis, &mut readings);
        Self {
            index,
            of_reading: readings
                .iter()
                .map(|r| of_check[r.check as usize])
                .collect(),
            readings,
            of_check,
        }
    }

    fn saw_several(&self) -> bool {
        self.of_reading.windows(2).any(|pair| pair[0] != pair[1])
    }

    /// Moves the readings of this item to the level of its latest source.
    fn settle(
        &self,
        histories: &mut Histories,
        given: &mut Given,
        offsets: Option<&Offsets>,
        (places, moved): (&[usize], &mut [usize]),
    ) {
        let Some(latest) = self.of_reading.last().filter(|_| self.saw_several()) else {
            return;
        };
        let earlier: BTreeSet<usize> = self
            .of_reading
            .iter()
            .copied()
            .filter(|s| s != latest)
            .collect();
        let first = histories.offsets[self.index];
        let mut untold = Vec::new();
        for source in earlier {
            let change =
                offsets.and_then(|offsets| offsets.change(places[source], places[*latest]));
            let Some((change, variance)) = change else {
                untold.push(given.name(source));
                continue;
            };
            let rows: Vec<usize> = (0..self.of_check.len())
                .filter(|row| self.of_check[*row] == source)
                .map(|row| first + row)
                .collect();
            moved[places[source]] += rows.len();
            // The mean of these readings must keep the variance of the change, which averaging
            // does not take away.
            let own = rows.len() as f64 * variance;
            for row in rows {
                let columns = &mut histories.columns;
                columns.as_found[row] += change;
                columns.as_left[row] += change;
                columns.u[row] = (columns.u[row].powi(2) + own).sqrt();
                given.moved[row] += change;
            }
        }
        if !untold.is_empty() {
            let item = &mut histories.items[self.index];
            item.untold_source = Some(format!(
                "its readings come from {} and now from {}, and no item saw both often enough to tell their difference from drift",
                untold.join(", "),
                given.name(*latest)
            ));
        }
    }
}
