/*! A file of a table while it is written: buffered, and with the system's own word where
it fails, since a Parquet writer tells only that its transport did. */

use std::fs::File;
use std::io::{BufWriter, Error, Result, Write};
use std::path::Path;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A handle on the file; all clones write to the same one.
#[derive(Debug, Clone)]
pub(super) struct TableFile {
    inner: Arc<Mutex<Inner>>,
}

#[derive(Debug)]
struct Inner {
    file: BufWriter<File>,
    failed: Option<Error>,
}

impl TableFile {
    /// Creates `path`, or empties it.
    pub(crate) fn create(path: &Path) -> Result<Self> {
        let inner = Inner {
            file: BufWriter::new(File::create(path)?),
            failed: None,
        };
        Ok(Self {
            inner: Arc::new(Mutex::new(inner)),
        })
    }

    /// The first failure of a write, once; flushes where there was none.
    pub(crate) fn settle(&self) -> Result<()> {
        let mut inner = self.lock();
        match inner.failed.take() {
            Some(why) => Err(why),
            None => inner.file.flush(),
        }
    }

    fn lock(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn remember<T>(&self, act: impl FnOnce(&mut BufWriter<File>) -> Result<T>) -> Result<T> {
        let mut inner = self.lock();
        let done = act(&mut inner.file);
        if let Err(why) = &done {
            // An error cannot be copied; its code can.
            let same = why.raw_os_error().map_or_else(
                || Error::new(why.kind(), why.to_string()),
                Error::from_raw_os_error,
            );
            inner.failed.get_or_insert(same);
        }
        done
    }
}

impl Write for TableFile {
    fn write(&mut self, bytes: &[u8]) -> Result<usize> {
        self.remember(|file| file.write(bytes))
    }

    fn flush(&mut self) -> Result<()> {
        self.remember(BufWriter::flush)
    }
}
