/*! Results of classes and groups that the next run takes over where nothing they rest on has
changed: `kept/results.bin`, by the hash of what each was made from.

A result is a pure function of what its key was made from, so that one taken over is the very
one that would be computed. The file names the build that wrote it; another build takes none.
*/

use super::KEPT;
use super::build::build;
use super::check_bytes::push_check;
use crate::decisions::small_class::KnownClasses;
use crate::drift::DriftSettings;
use crate::drift::class::parameters::ClassParameters;
use crate::files::run_error::RunError;
use crate::records::reading::plain_file;
use crate::records::reading::plain_file::LARGEST_MB;
use crate::records::{Histories, History};
use serde::Serialize;
use serde::de::DeserializeOwned;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

/// Name of the file in [`KEPT`].
const FILE: &str = "results.bin";

/// Hash of everything a result was made from.
pub(crate) type Key = [u8; 32];

/// What is known of earlier runs, and what this run found or used.
#[derive(Debug, Default)]
pub(crate) struct Memory {
    known: HashMap<Key, Vec<u8>>,
    /// `None`: nothing is to be kept.
    used: Option<Mutex<BTreeMap<Key, Vec<u8>>>>,
}

impl Memory {
    /// Knows nothing and keeps nothing.
    pub(crate) fn none() -> Self {
        Self::default()
    }

    /// What the runs in `folders` left; a file that cannot be read whole says nothing.
    pub(crate) fn of(folders: &[PathBuf]) -> Self {
        let read =
            |folder: &PathBuf| plain_file::read(&folder.join(KEPT).join(FILE), LARGEST_MB).ok();
        let found = folders.iter().filter_map(read);
        let known = found.filter_map(|bytes| results(&bytes)).flatten();
        Self {
            known: known.collect(),
            used: Some(Mutex::default()),
        }
    }

    /// The result of `make`, taken over where it is known.
    pub(crate) fn recall<T>(&self, key: impl FnOnce() -> Key, make: impl FnOnce() -> T) -> T
    where
        T: Serialize + DeserializeOwned,
    {
        let Some(used) = &self.used else {
            return make();
        };
        let key = key();
        let known = self.known.get(&key);
        let taken = known.and_then(|bytes| rmp_serde::from_slice(bytes).ok());
        let bytes = taken.as_ref().and(known).cloned();
        let result = taken.unwrap_or_else(make);
        // What cannot be kept, or a lock left by a thread that panicked, costs the next run
        // its time and no more.
        let bytes = bytes.or_else(|| rmp_serde::to_vec(&result).ok());
        if let (Some(bytes), Ok(mut used)) = (bytes, used.lock()) {
            used.insert(key, bytes);
        }
        result
    }

    /// Writes what this run found or used; what it did not use is forgotten.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn keep(&self, kept: &Path) -> Result<(), RunError> {
        let Some(Ok(used)) = self.used.as_ref().map(Mutex::lock) else {
            return Ok(());
        };
        let results: Vec<(Key, Vec<u8>)> = used.iter().map(|(k, b)| (*k, b.clone())).collect();
        let body = rmp_serde::to_vec(&(build(), results)).unwrap_or_default();
        let bytes = [&Sha256::digest(&body)[..], &body].concat();
        std::fs::write(kept.join(FILE), bytes).map_err(|why| RunError::write(FILE, why))
    }
}

impl KnownClasses for Memory {
    fn recall(
        &self,
        settings: &DriftSettings,
        place: usize,
        histories: &Histories,
        find: &dyn Fn() -> ClassParameters,
    ) -> ClassParameters {
        let key = || key_of("class without", &(settings, place), histories.iter());
        self.recall(key, find)
    }
}

/// The results in the bytes of a file that this build wrote and nobody touched.
fn results(bytes: &[u8]) -> Option<Vec<(Key, Vec<u8>)>> {
    let (sum, body) = bytes.split_first_chunk::<32>()?;
    if *sum != <[u8; 32]>::from(Sha256::digest(body)) {
        return None;
    }
    let (wrote, results): (String, _) = rmp_serde::from_slice(body).ok()?;
    (wrote == build()).then_some(results)
}

/// Makes the key of a result called `what` from `settings` and everything that `histories` state.
pub(crate) fn key_of<'a>(
    what: &str,
    settings: &impl Serialize,
    histories: impl Iterator<Item = History<'a>>,
) -> Key {
    let mut hash = Sha256::new();
    hash.update(what);
    hash.update(serde_json::to_vec(settings).unwrap_or_default());
    for history in histories {
        hash.update(format!("{:?} {}", history.item, history.len()));
        let mut bytes = Vec::new();
        for row in 0..history.len() {
            push_check(&mut bytes, &history, row);
            bytes.push(history.outcome[row] as u8);
        }
        hash.update(bytes);
    }
    hash.finalize().into()
}

/// Makes the key of a result called `what` from `settings` and a value that is shown whole.
pub(crate) fn fingerprint_of(
    what: &str,
    settings: &impl Serialize,
    value: &dyn std::fmt::Debug,
) -> Key {
    let mut hash = Sha256::new();
    hash.update(what);
    hash.update(serde_json::to_vec(settings).unwrap_or_default());
    hash.update(format!("{value:?}"));
    hash.finalize().into()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_are_taken_over_from_a_whole_file_of_this_build_only() {
        let place = tempfile::tempdir().unwrap();
        let kept = place.path().join(KEPT);
        std::fs::create_dir(&kept).unwrap();
        let first = Memory::of(&[]);
        assert_eq!(first.recall(|| [1; 32], || 0.1), 0.1);
        first.keep(&kept).unwrap();
        let folders = [place.path().to_path_buf(), place.path().join("none")];
        let second = Memory::of(&folders);
        assert_eq!(second.recall(|| [1; 32], || 0.2), 0.1, "known");
        assert_eq!(second.recall(|| [2; 32], || 0.2), 0.2, "not known");
        let mut bytes = std::fs::read(kept.join(FILE)).unwrap();
        *bytes.last_mut().unwrap() ^= 1;
        std::fs::write(kept.join(FILE), &bytes).unwrap();
        assert_eq!(
            Memory::of(&folders).recall(|| [1; 32], || 0.2),
            0.2,
            "touched"
        );
        bytes[9] ^= 1;
        std::fs::write(kept.join(FILE), &bytes).unwrap();
        assert_eq!(
            Memory::of(&folders).recall(|| [1; 32], || 0.2),
            0.2,
            "another build"
        );
    }
}
