/*! Brings the readings of all sources of an item to the level of its latest one. */

use super::offsets::{Offsets, Seen};
use crate::drift::series::readings::{Axis, Reading, fill_readings};
use crate::records::{Given, Histories, SourceLine};
use rayon::prelude::*;
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

/// Takes who gave each reading out of the records, and moves the readings of earlier sources to the
/// level of the latest one of their item. Where nothing tells an offset from drift the readings stay,
/// and the item says so. `None` where no record names a source or an assigned value.
pub fn settle(histories: &mut Histories, axis: Axis) -> Option<Given> {
    let mut given = Given::taken_from(&mut histories.columns)?;
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
    for (key, members) in &classes {
        settle_class(histories, &mut given, axis, (key, members));
    }
    Some(given)
}

fn settle_class(
    histories: &mut Histories,
    given: &mut Given,
    axis: Axis,
    ((group, unit), members): (&(String, String), &[usize]),
) {
    let members: Vec<Member> = members
        .par_iter()
        .map(|index| Member::of(histories, given, *index, axis))
        .collect();
    let names: BTreeSet<usize> = members
        .iter()
        .flat_map(|m| m.of_check.iter().copied())
        .collect();
    let names: Vec<usize> = names.into_iter().collect();
    if names.len() < 2 {
        return;
    }
    let place = |source: &usize| names.binary_search(source).unwrap_or(0);
    let several = || members.iter().filter(|member| member.saw_several());
    let stated = several()
        .flat_map(|m| &m.readings)
        .all(|reading| reading.u > 0.0);
    let places: Vec<Vec<usize>> = several()
        .map(|member| member.of_reading.iter().map(place).collect())
        .collect();
    let seen = several().zip(&places).map(|(member, sources)| Seen {
        readings: &member.readings,
        sources,
    });
    let offsets = Offsets::of(seen, names.len(), stated);
    let mut moved = vec![0; names.len()];
    for member in &members {
        member.settle(histories, given, offsets.as_ref(), (&place, &mut moved));
    }
    let between = offsets.as_ref().map_or(0.0, |offsets| offsets.between);
    for member in &members {
        // What a certificate calls shared and what its sources show is one thing: the larger holds.
        histories.items[member.index].between_sources = between;
        let rows = histories.offsets[member.index]..histories.offsets[member.index + 1];
        for u_common in &mut histories.columns.u_common[rows] {
            *u_common = u_common.max(between);
        }
    }
    for (at, source) in names.iter().enumerate() {
        let gave = |m: &&Member| m.of_check.contains(source);
        let told = offsets.as_ref().filter(|offsets| {
            (0..names.len()).any(|other| other != at && offsets.change(at, other).is_some())
        });
        given.lines.push(SourceLine {
            group: group.clone(),
            unit: unit.clone(),
            source: given.givers[*source].clone(),
            items: members.iter().filter(gave).count(),
            readings: members
                .iter()
                .flat_map(|m| &m.of_check)
                .filter(|s| *s == source)
                .count(),
            offset: told.map_or(f64::NAN, |offsets| offsets.offset[at]),
            u_offset: told.map_or(f64::NAN, |offsets| offsets.u_of(at)),
            between: told.map_or(f64::NAN, |offsets| offsets.between),
            moved: moved[at],
        });
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
        (place, moved): (&impl Fn(&usize) -> usize, &mut [usize]),
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
            let change = offsets.and_then(|offsets| offsets.change(place(&source), place(latest)));
            let Some((change, variance)) = change else {
                untold.push(given.name(source));
                continue;
            };
            let rows: Vec<usize> = (0..self.of_check.len())
                .filter(|row| self.of_check[*row] == source)
                .map(|row| first + row)
                .collect();
            moved[place(&source)] += rows.len();
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
