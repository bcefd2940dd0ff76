/*! Records beyond the memory: cut by class, so that everything that learns together stays together.

The rows of all files are read, judged and screened at once: a row takes about a sixth there of what
it takes in a run. What grows with every later stage is cut: the columns of the histories go to
temporary Parquet files in the folder in which the report is being made, one a part, and come back one part at a time. Who is in a part with whom
follows from what a history is compared with: those of its group (of its unit, where no group is
stated), and the other points of its instrument. Nothing that is decided of a history asks for
another part, so that the parts together say the very bytes that all at once would say.
*/

mod apart;
mod spill;

pub(crate) use apart::need;

use super::cells::batch::Batch;
use super::load::build::{After, gather, kept};
use super::load::group::Entry;
use super::load::request::{Request, read_files, register_of};
use super::load::screened::{Screened, refuse_nothing, screened, settle, suspicious, whole};
use super::screening::alike::alike;
use super::{Histories, Item, LoadError, Loaded, Warning};
use crate::records::load::collect::warn_lost;
use apart::not_apart;
use spill::{read, write};
use std::path::{Path, PathBuf};

/// Parts are made so small that this many would fit at once: beside the one at work stand the
/// rows of the page, and what was read of all.
const PARTS_A_MEMORY: u64 = 4;

/// Most parts: each has a file of its own for every table.
const MOST_PARTS: u64 = 64;

/// The records of a run.
pub(crate) enum Records {
    /// All at once; with the reason why, where that is more than the memory that was allowed.
    Whole(Loaded, Option<&'static str>),
    /// In parts.
    Parts(Parts),
}

/// Reads, screens and groups the records, in parts where all at once would take more than
/// `memory` bytes, whose files then stand in a folder of their own in `place`; see [`Parts`].
///
/// # Errors
/// As `load`.
pub(crate) fn load_within(
    request: &Request<'_>,
    memory: u64,
    place: &Path,
) -> Result<Records, LoadError> {
    let (register, files) = rayon::join(
        || register_of(request, None),
        || read_files(request, &[], None),
    );
    let screened = screened(request, &[], register?, files?, None)?;
    let need = need(
        screened.batches.iter().map(|b| b.row.len()).sum(),
        screened.items.len(),
    );
    let held = match need <= memory {
        true => None,
        false => match not_apart(&screened, request) {
            None => return Parts::of(screened, request, (memory, place)).map(Records::Parts),
            why => why,
        },
    };
    let loaded = whole(screened, request, None)?;
    refuse_nothing(&loaded, request)?;
    Ok(Records::Whole(loaded, held))
}

/// Records in parts that are read one after the other.
pub(crate) struct Parts {
    /// What holds of all of them: accounts, rejects, warnings; no histories.
    pub loaded: Loaded,
    /// Number of histories in all parts.
    histories: usize,
    /// Bytes that reading all of them took, about.
    reading: u64,
    parts: Vec<Part>,
    /// Where the columns are.
    folder: tempfile::TempDir,
}

/// One part: which histories, who they are, and where in its file each of them ends.
#[derive(Default)]
struct Part {
    members: Vec<u32>,
    items: Vec<Item>,
    offsets: Vec<usize>,
}

impl Parts {
    pub(super) fn of(
        screened: Screened,
        request: &Request<'_>,
        (memory, place): (u64, &Path),
    ) -> Result<Self, LoadError> {
        let Screened {
            mut loaded,
            groups,
            mut batches,
            items,
            found,
            lost,
        } = screened;
        let (mut items, offsets, entries) = kept(groups, items);
        let folder =
            tempfile::tempdir_in(place).map_err(|why| unwritable(place, &why.to_string()))?;
        let count = (PARTS_A_MEMORY * need(entries.len(), items.len())).div_ceil(memory.max(1));
        let members = apart::cut(&items, &offsets, count.min(MOST_PARTS) as usize);
        let (mut parts, mut outcomes, mut values) = (Vec::new(), Vec::new(), Vec::new());
        for (number, members) in members.into_iter().enumerate() {
            let mut part = Loaded {
                histories: gathered(&members, (&entries, &offsets), &mut items, &mut batches),
                tables: loaded.tables.clone(),
                ..Loaded::default()
            };
            let of_all = |(own, warning): (usize, Warning)| (members[own], warning);
            let settled = settle(&mut part, request, (&found, None))?;
            outcomes.extend(settled.into_iter().map(of_all));
            values.extend(suspicious(&part).into_iter().map(of_all));
            let histories = accounted(&mut loaded, part);
            write(&path(&folder, number), histories.columns)
                .map_err(|why| unwritable(place, &why.to_string()))?;
            for (index, item) in members.iter().zip(histories.items) {
                items[*index as usize] = item;
            }
            parts.push(Part {
                members,
                items: Vec::new(),
                offsets: histories.offsets,
            });
        }
        let checks = entries.len();
        drop((batches, entries, offsets));
        loaded.warnings.extend(in_order(outcomes));
        loaded.warnings.extend(alike(&items));
        loaded.warnings.extend(in_order(values));
        warn_lost(lost, &items, &mut loaded.warnings);
        loaded.order_rejects();
        refuse_nothing(&loaded, request)?;
        for part in &mut parts {
            part.items = taken(&part.members, &mut items);
        }
        Ok(Self {
            histories: items.len(),
            reading: apart::reading(checks, items.len(), loaded.rejects.len()),
            loaded,
            parts,
            folder,
        })
    }

    /// Number of parts.
    pub(crate) fn count(&self) -> usize {
        self.parts.len()
    }

    /// Number of histories in all parts.
    pub(crate) fn histories(&self) -> usize {
        self.histories
    }

    /// Bytes that reading all of them took, about.
    pub(crate) fn reading(&self) -> u64 {
        self.reading
    }

    /// Bytes that a run of the largest part takes, about.
    pub(crate) fn largest(&self) -> u64 {
        let need = |part: &Part| {
            let checks = part.offsets.last().copied().unwrap_or(0);
            need(checks, part.members.len())
        };
        self.parts.iter().map(need).max().unwrap_or(0)
    }

    /// One part, once: its histories as records of their own, and the place of each among all.
    ///
    /// # Errors
    /// A temporary file that is gone or spoiled.
    pub(crate) fn take(&mut self, number: usize) -> Result<(Loaded, Vec<u32>), LoadError> {
        let Part {
            members,
            items,
            offsets,
        } = std::mem::take(&mut self.parts[number]);
        let file = path(&self.folder, number);
        let columns =
            read(&file).map_err(|why| unwritable(self.folder.path(), &why.to_string()))?;
        // It is not asked for again, and the disk may be as small as the memory.
        let _ = std::fs::remove_file(&file);
        let loaded = Loaded {
            histories: Histories {
                items,
                offsets,
                columns,
            },
            tables: self.loaded.tables.clone(),
            header_rows: self.loaded.header_rows.clone(),
            ..Loaded::default()
        };
        Ok((loaded, members))
    }

    /// What holds of all of them, once the last is taken; the temporary folder goes.
    ///
    /// # Errors
    /// A folder that cannot be removed: it would become a part of the report.
    pub(crate) fn finish(self) -> Result<Loaded, LoadError> {
        let place = self.folder.path().to_path_buf();
        let closed = self.folder.close();
        closed.map_err(|why| unwritable(&place, &why.to_string()))?;
        Ok(self.loaded)
    }
}

/// The histories of a part, of whose items only those of other parts stay.
fn gathered(
    members: &[u32],
    (entries, offsets): (&[Entry], &[usize]),
    items: &mut [Item],
    batches: &mut [Batch],
) -> Histories {
    let rows = |index: &u32| &entries[offsets[*index as usize]..offsets[*index as usize + 1]];
    let own: Vec<Entry> = members.iter().flat_map(rows).copied().collect();
    let ends = members.iter().scan(0, |end, index| {
        *end += rows(index).len();
        Some(*end)
    });
    Histories {
        offsets: std::iter::once(0).chain(ends).collect(),
        items: taken(members, items),
        columns: gather(&own, batches, After::Kept),
    }
}

/// Adds the accounts of a part to those of all; its histories are left.
fn accounted(loaded: &mut Loaded, part: Loaded) -> Histories {
    loaded.rejects.extend(part.rejects);
    loaded.warnings.extend(part.warnings);
    loaded.rows.merged += part.rows.merged;
    loaded.rows.used += part.histories.columns.date.len() as u64;
    part.histories
}

/// Warnings in the order of all histories.
fn in_order(mut list: Vec<(u32, Warning)>) -> impl Iterator<Item = Warning> {
    list.sort_by_key(|(index, _)| *index);
    list.into_iter().map(|(_, warning)| warning)
}

fn taken(members: &[u32], items: &mut [Item]) -> Vec<Item> {
    let members = members.iter();
    members
        .map(|index| std::mem::take(&mut items[*index as usize]))
        .collect()
}

fn path(folder: &tempfile::TempDir, number: usize) -> PathBuf {
    folder.path().join(format!("{number}.parquet"))
}

fn unwritable(folder: &Path, why: &str) -> LoadError {
    // The system's word behind that of the library, which takes any for a broken file.
    let why = why.rsplit("underlying IO error: ").next().unwrap_or(why);
    LoadError::new(
        format!("the temporary folder {}", folder.display()),
        format!("records beyond [run] memory cannot be kept there: {why}"),
        "Free some space there, name another folder for the report (--out), or allow more memory.",
    )
}
