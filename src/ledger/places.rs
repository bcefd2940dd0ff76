/*! Where the rows of each group lie, kept in the report: `kept/places.bin`.

A verdict on one instrument looks its group up here and reads those rows alone. The file serves as
long as the records, the register and the way they are read are those of the run, and the build is
that which wrote it; otherwise every row is read, and that is said.

After its head come pieces that are read one by one, each with its SHA-256 in the head or in
another piece, so that a piece that was touched serves nobody.
*/

use super::build::build;
use super::earlier::known_folders;
use super::{KEPT, fingerprint, stamps};
use crate::files::run_error::RunError;
use crate::records::places::held::{Blocks, GroupPlaces, Places};
use crate::records::places::lines::Lines;
use crate::records::places::part::Part;
use crate::records::reading::own_report::TIMINGS;
use crate::records::reading::{files, plain_file};
use crate::records::{InputFile, input_of};
use crate::settings::plan::Plan;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::Path;

/// Name of the file in [`KEPT`].
const FILE: &str = "places.bin";

/// Instruments that share a piece of the directory.
const INSTRUMENTS_A_PIECE: usize = 128;

/// Bytes of the length that stands before a head.
const LENGTH: usize = 8;

type Sum = [u8; 32];

/// Where a piece stands behind the head, and what it is.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
struct Piece {
    at: u64,
    bytes: u64,
    sum: Sum,
}

#[derive(Debug, Serialize, Deserialize)]
struct Head {
    build: String,
    /// Fingerprint of the settings by which the records are read.
    reading: u128,
    /// The files of checks, then the register.
    inputs: Vec<InputFile>,
    /// Lines of the files, and blocks apart.
    files: Piece,
    /// Of each piece of the directory: instruments with the pieces of their groups.
    directory: Vec<Piece>,
}

/// Pieces while they are gathered.
#[derive(Default)]
struct Pieces(Vec<u8>);

impl Pieces {
    fn add(&mut self, piece: &impl Serialize) -> Piece {
        let bytes = rmp_serde::to_vec(piece).unwrap_or_default();
        let at = self.0.len() as u64;
        self.0.extend(&bytes);
        Piece {
            at,
            bytes: bytes.len() as u64,
            sum: Sha256::digest(&bytes).into(),
        }
    }
}

/// Writes the places of a run that read `inputs`.
///
/// # Errors
/// A file that cannot be written.
pub(crate) fn keep(
    plan: &Plan,
    places: &Places,
    inputs: &[InputFile],
    kept: &Path,
) -> Result<(), RunError> {
    let names = shown_inputs(plan);
    let known = |name: &String| inputs.iter().find(|input| input.path == *name).cloned();
    let Some(inputs) = names.iter().map(known).collect::<Option<Vec<_>>>() else {
        return Ok(());
    };
    let mut pieces = Pieces::default();
    let files = pieces.add(&(&places.files, &places.apart));
    let groups = places.groups.iter();
    let groups: BTreeMap<&String, Piece> = groups
        .map(|(name, group)| (name, pieces.add(group)))
        .collect();
    let number = places.groups_of.len().div_ceil(INSTRUMENTS_A_PIECE).max(1);
    let mut directory: Vec<BTreeMap<&String, Vec<Piece>>> = vec![BTreeMap::new(); number];
    for (instrument, own) in &places.groups_of {
        let own = own.iter().filter_map(|name| groups.get(name).copied());
        directory[piece_of(instrument, number)].insert(instrument, own.collect());
    }
    let head = Head {
        build: build().to_string(),
        reading: reading(plan),
        inputs,
        files,
        directory: directory.iter().map(|part| pieces.add(part)).collect(),
    };
    let head = rmp_serde::to_vec(&head).unwrap_or_default();
    let length = (head.len() as u64).to_le_bytes();
    let sum = Sha256::digest(&head);
    let bytes = [&length[..], &sum[..], &head, &pieces.0].concat();
    std::fs::write(kept.join(FILE), bytes).map_err(|why| RunError::write(FILE, why))
}

/// The newest report tells no longer where the rows of an instrument lie.
#[derive(Debug, thiserror::Error)]
#[error(
    "every row is read: the report in {} tells no longer where those of {instrument} lie, since {why}",
    folder.display()
)]
pub(crate) struct PlacesError {
    folder: std::path::PathBuf,
    instrument: String,
    why: NotKept,
}

#[derive(Debug, thiserror::Error)]
enum NotKept {
    #[error("another build of the program made it")]
    OtherBuild,
    #[error("the records are read by other settings now")]
    OtherSettings,
    #[error("its list of instruments is not whole")]
    NotWhole,
    #[error("the files are others now")]
    OtherFiles,
    #[error("{0} has changed")]
    Changed(String),
    #[error("its {FILE} was touched")]
    Touched,
    #[error(transparent)]
    Io(#[from] std::io::Error),
}

/// Reads the rows that a question about `instrument` needs, as the newest report of the plan tells
/// them; `None` where none keeps such places, or the instrument has no group.
///
/// # Errors
/// Why the places that are kept do not serve.
pub(crate) fn part_of(plan: &Plan, instrument: &str) -> Result<Option<Part>, PlacesError> {
    let folders = known_folders(plan);
    let kept = |folder: &&std::path::PathBuf| folder.join(KEPT).join(FILE).is_file();
    let Some(folder) = folders.iter().find(kept) else {
        return Ok(None);
    };
    let instrument = plan.former.present(instrument);
    read(plan, folder, instrument).map_err(|why| PlacesError {
        folder: folder.clone(),
        instrument: instrument.to_string(),
        why,
    })
}

fn read(plan: &Plan, folder: &Path, instrument: &str) -> Result<Option<Part>, NotKept> {
    let mut file = Kept::open(&folder.join(KEPT).join(FILE))?;
    let head = &file.head;
    if head.build != build() {
        return Err(NotKept::OtherBuild);
    }
    if head.reading != reading(plan) {
        return Err(NotKept::OtherSettings);
    }
    unchanged(plan, folder, &head.inputs)?;
    let number = head.directory.len().max(1);
    let piece = head.directory.get(piece_of(instrument, number)).copied();
    let files = head.files;
    let piece = piece.ok_or(NotKept::NotWhole)?;
    let directory: BTreeMap<String, Vec<Piece>> = file.piece(piece)?;
    let Some(own) = directory.get(instrument) else {
        return Ok(None);
    };
    let (lines, apart): (Vec<Lines>, Vec<Blocks>) = file.piece(files)?;
    let groups = own.iter().map(|piece| file.piece::<GroupPlaces>(*piece));
    let groups: Vec<GroupPlaces> = groups.collect::<Result<_, _>>()?;
    Ok(Some(Part::read(&plan.checks, &lines, &groups, &apart)?))
}

/// Looks whether the inputs are those that were read: by their stamps, or else by what they hold.
fn unchanged(plan: &Plan, folder: &Path, inputs: &[InputFile]) -> Result<(), NotKept> {
    #[derive(Default, Deserialize)]
    struct Stamps {
        inputs: BTreeMap<String, String>,
    }
    let now = shown_inputs(plan);
    if !now.iter().eq(inputs.iter().map(|input| &input.path)) {
        return Err(NotKept::OtherFiles);
    }
    let text = plain_file::read_text(&folder.join(TIMINGS), plain_file::LARGEST_TEXT_MB);
    let then: Stamps = text
        .ok()
        .and_then(|text| serde_json::from_str(&text).ok())
        .unwrap_or_default();
    let paths = plan.checks.iter().chain(&plan.register);
    for (path, input) in paths.zip(inputs) {
        let stamp = stamps::stamp(path);
        if stamp.is_some() && stamp.as_ref() == then.inputs.get(&input.path) {
            continue;
        }
        if !input_of(path, &input.path).is_ok_and(|found| found == *input) {
            return Err(NotKept::Changed(input.path.clone()));
        }
    }
    Ok(())
}

/// The files of checks and the register, as they are shown.
fn shown_inputs(plan: &Plan) -> Vec<String> {
    let paths = plan.checks.iter().chain(&plan.register);
    paths.map(|path| files::shown(path, &plan.base)).collect()
}

/// Fingerprint of the settings by which the records are read.
fn reading(plan: &Plan) -> u128 {
    let settings = (&plan.settings.checks, &plan.settings.register, &plan.forms);
    fingerprint(&serde_json::to_vec(&settings).unwrap_or_default())
}

/// The piece of the directory that holds an instrument.
fn piece_of(instrument: &str, number: usize) -> usize {
    (fingerprint(instrument.as_bytes()) % number as u128) as usize
}

/// The file, opened.
struct Kept {
    file: File,
    head: Head,
    /// Where the pieces begin.
    pieces: u64,
    /// Where they end.
    end: u64,
}

impl Kept {
    fn open(path: &Path) -> Result<Self, NotKept> {
        let opened = plain_file::open(path)?;
        let (end, mut file) = (opened.limit(), opened.into_inner());
        let mut begin = [0; LENGTH + size_of::<Sum>()];
        file.read_exact(&mut begin)?;
        let (length, sum) = begin.split_at(LENGTH);
        let length = u64::from_le_bytes(length.try_into().unwrap_or_default());
        let head = checked(&mut file, length.min(end), sum)?;
        let pieces = begin.len() as u64 + length;
        Ok(Self {
            file,
            head,
            pieces,
            end,
        })
    }

    fn piece<T: DeserializeOwned>(&mut self, piece: Piece) -> Result<T, NotKept> {
        let at = SeekFrom::Start(self.pieces.saturating_add(piece.at));
        self.file.seek(at)?;
        checked(&mut self.file, piece.bytes.min(self.end), &piece.sum)
    }
}

/// What the next `bytes` bytes of `file` state, where their SHA-256 is `sum`.
fn checked<T: DeserializeOwned>(file: &mut File, bytes: u64, sum: &[u8]) -> Result<T, NotKept> {
    let mut held = Vec::new();
    file.take(bytes).read_to_end(&mut held)?;
    let whole = Sha256::digest(&held)[..] == *sum;
    let stated = whole.then(|| rmp_serde::from_slice(&held).ok()).flatten();
    stated.ok_or(NotKept::Touched)
}
