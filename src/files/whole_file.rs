/*! A single file that appears whole or not at all: written beside its place, then renamed. */

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

/// A file under way; dropped unfinished, it leaves what stood in its place untouched.
#[derive(Debug)]
pub(crate) struct WholeFile {
    file: Option<BufWriter<File>>,
    part: PathBuf,
    target: PathBuf,
}

impl WholeFile {
    /// Opens the file beside `target`.
    ///
    /// # Errors
    /// The folder cannot be written to, or `target` names no file.
    pub(crate) fn create(target: &Path) -> io::Result<Self> {
        let Some(name) = target.file_name() else {
            return Err(io::Error::new(
                io::ErrorKind::InvalidInput,
                "this names a folder, not a file",
            ));
        };
        // A part that a killed command left, or somebody's file of this name, is never opened.
        for number in 1_u32.. {
            let mut part = OsString::from(".");
            part.push(name);
            part.push(format!(".part-{number}"));
            let part = target.with_file_name(part);
            match File::create_new(&part) {
                Err(why) if why.kind() == io::ErrorKind::AlreadyExists => {}
                other => {
                    return Ok(Self {
                        file: Some(BufWriter::new(other?)),
                        part,
                        target: target.to_path_buf(),
                    });
                }
            }
        }
        Err(io::Error::other("every name for the part is taken"))
    }

    /// Where it will stand.
    pub(crate) fn target(&self) -> &Path {
        &self.target
    }

    /// Puts the file in its place.
    ///
    /// # Errors
    /// The disk refuses the rest of the bytes, or the place cannot be taken.
    pub(crate) fn finish(mut self) -> io::Result<()> {
        if let Some(file) = self.file.take() {
            file.into_inner().map_err(io::IntoInnerError::into_error)?;
        }
        fs::rename(&self.part, &self.target)
    }
}

impl Write for WholeFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.as_mut().map_or(Ok(0), |file| file.write(bytes))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.as_mut().map_or(Ok(()), BufWriter::flush)
    }
}

impl Drop for WholeFile {
    fn drop(&mut self) {
        // After `finish` there is nothing to take away.
        let _ = fs::remove_file(&self.part);
    }
}

/// Writes one whole file.
///
/// # Errors
/// As [`WholeFile::create`] and [`WholeFile::finish`].
pub(crate) fn write_whole(target: &Path, bytes: impl AsRef<[u8]>) -> io::Result<()> {
    let mut file = WholeFile::create(target)?;
    file.write_all(bytes.as_ref())?;
    file.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unfinished_file_leaves_the_last_good_one() {
        let place = tempfile::tempdir().unwrap();
        let target = place.path().join("checks.csv");
        write_whole(&target, "whole").unwrap();
        let mut file = WholeFile::create(&target).unwrap();
        file.write_all(b"half").unwrap();
        drop(file);
        assert_eq!(fs::read_to_string(&target).unwrap(), "whole");
        assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_folder_is_no_file() {
        assert!(write_whole(Path::new("/"), "x").is_err());
    }
}
