/*! The part of the records that a question about one instrument needs. */

use super::held::{Blocks, GroupPlaces, numbers};
use super::lines::Lines;
use crate::records::reading::plain_file;
use std::collections::{BTreeSet, HashSet};
use std::io::Result;
use std::path::PathBuf;

/// The instruments that count, and the text of each file of checks with the lines that hold their
/// rows; the others are blank.
#[derive(Debug, Clone, Default)]
pub(crate) struct Part {
    pub(crate) instruments: HashSet<String>,
    pub(crate) texts: Vec<String>,
}

impl Part {
    /// Reads what `groups` need of `files`, whose `lines` are known, with the rows `apart`.
    ///
    /// # Errors
    /// A file that cannot be read, or not so far.
    pub(crate) fn read(
        files: &[PathBuf],
        lines: &[Lines],
        groups: &[GroupPlaces],
        apart: &[Blocks],
    ) -> Result<Self> {
        let text = |(index, (path, lines)): (usize, (&PathBuf, &Lines))| {
            let own = groups.iter().filter_map(|group| group.blocks.get(index));
            let blocks = own.chain(apart.get(index));
            let wanted: BTreeSet<u32> = blocks.flat_map(|blocks| numbers(blocks)).collect();
            lines.text(&mut plain_file::open(path)?.into_inner(), &wanted)
        };
        let members = groups.iter().flat_map(|group| &group.instruments);
        let pairs = files.iter().zip(lines).enumerate();
        Ok(Self {
            instruments: members.cloned().collect(),
            texts: pairs.map(text).collect::<Result<_>>()?,
        })
    }
}
