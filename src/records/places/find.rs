/*! The places of the rows that were grouped. */

use super::held::{Blocks, GroupPlaces, Places, distances};
use super::lines::Lines;
use crate::records::cells::batch::Batch;
use crate::records::load::group::Groups;
use crate::records::register::Register;
use std::collections::{BTreeMap, BTreeSet};

/// Rows that no history took beyond which nothing is noted: such records want a mend first.
const MOST_APART: usize = 50_000;

/// Histories from which on it is worth while: fewer are read as soon.
const LEAST_HISTORIES: usize = 2_000;

/// Blocks that hold rows apart from the histories, by file; `None` where there are too many.
pub(crate) fn apart(batches: &[Batch], files: &[Lines]) -> Option<Vec<Blocks>> {
    let mut found = vec![BTreeSet::new(); files.len()];
    let mut rows = 0;
    for batch in batches {
        let Some(lines) = files.get(batch.file as usize) else {
            continue;
        };
        let rejected = batch.rejects.iter().map(|reject| reject.row);
        let aside = batch.set_aside.iter().map(|(_, row)| *row);
        for row in rejected.chain(aside) {
            rows += 1;
            found[batch.file as usize].insert(lines.block_of(batch.first_row + row));
        }
    }
    let coded = found.into_iter().map(|set| distances(set.into_iter()));
    (rows <= MOST_APART).then(|| coded.collect())
}

impl Places {
    /// The places of grouped rows, as the register groups their instruments; `None` where a whole
    /// reading is as quick, or needed.
    pub(crate) fn of(
        groups: &Groups,
        batches: &[Batch],
        register: &Register<'_>,
        files: Vec<Lines>,
        apart: Vec<Blocks>,
    ) -> Option<Self> {
        if groups.order.len() < LEAST_HISTORIES {
            return None;
        }
        let lone = register.lone_standards()?;
        let mut places = Self {
            groups_of: register.groups(),
            apart,
            ..Self::default()
        };
        let mut found: BTreeMap<&str, Vec<Vec<u32>>> = BTreeMap::new();
        for (code, pair) in groups.order.iter().zip(groups.offsets.windows(2)) {
            let (instrument, _) = groups.names.get(*code);
            for group in places.groups_of.get(instrument).into_iter().flatten() {
                let blocks = found
                    .entry(group)
                    .or_insert_with(|| vec![Vec::new(); files.len()]);
                for entry in &groups.entries[pair[0]..pair[1]] {
                    let batch = &batches[entry.batch as usize];
                    let row = batch.first_row + batch.row[entry.row as usize];
                    if let Some(lines) = files.get(batch.file as usize) {
                        blocks[batch.file as usize].push(lines.block_of(row));
                    }
                }
            }
        }
        let coded = |(group, blocks): (&str, Vec<Vec<u32>>)| {
            let coded = blocks.into_iter().map(|mut blocks| {
                blocks.sort_unstable();
                blocks.dedup();
                distances(blocks.into_iter())
            });
            let places = GroupPlaces {
                instruments: BTreeSet::new(),
                blocks: coded.collect(),
            };
            (group.to_string(), places)
        };
        let mut by_name: BTreeMap<String, GroupPlaces> = found.into_iter().map(coded).collect();
        for (instrument, own) in &places.groups_of {
            for group in own {
                let place = by_name.entry(group.clone()).or_default();
                place.instruments.insert(instrument.clone());
            }
        }
        for own in places.groups_of.values_mut() {
            own.extend(lone.iter().cloned());
        }
        (places.groups, places.files) = (by_name, files);
        Some(places)
    }
}
