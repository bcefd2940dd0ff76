/*! Only plain files are read: a pipe would wait for ever, a device never ends.

A file that grows while it is read is read up to the size it had when it was opened. */

use std::fs::{self, File};
use std::io::{Error, Read, Result, Take};
use std::path::Path;

/// Largest file of records that is read where no setting says otherwise, megabytes of 10⁶ bytes.
pub(crate) const LARGEST_MB: u32 = 4_096;

/// Most that a workbook may unpack to where no setting says otherwise, megabytes.
pub(crate) const LARGEST_UNPACKED_MB: u32 = 1_000;

/// Largest text that a person writes by hand, such as a certificate, megabytes.
pub(crate) const LARGEST_TEXT_MB: u32 = 16;

const BYTES_A_MB: u64 = 1_000_000;

/// Opens a plain file, to be read up to the size it has now.
///
/// # Errors
/// The system's word; a folder, a pipe or a device.
pub(crate) fn open(path: &Path) -> Result<Take<File>> {
    // Looked at before it is opened: to open a pipe waits for its writer.
    refuse_others(&fs::metadata(path)?)?;
    let file = File::open(path)?;
    let data = file.metadata()?;
    refuse_others(&data)?;
    Ok(file.take(data.len()))
}

fn refuse_others(data: &fs::Metadata) -> Result<()> {
    match (data.is_file(), data.is_dir()) {
        (true, _) => Ok(()),
        (_, true) => Err(Error::other("this is a folder; a plain file is needed")),
        _ => Err(Error::other(
            "this is a pipe or a device; only plain files are read",
        )),
    }
}

/// The bytes of a plain file of at most so many megabytes.
///
/// # Errors
/// As [`open`]; a larger file.
pub(crate) fn read(path: &Path, most_mb: u32) -> Result<Vec<u8>> {
    let mut file = open(path)?;
    refuse_size(file.limit(), most_mb)?;
    let mut bytes = Vec::with_capacity(file.limit() as usize);
    file.read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The text of a plain file of at most so many megabytes.
///
/// # Errors
/// As [`read`]; bytes that are not UTF-8.
pub(crate) fn read_text(path: &Path, most_mb: u32) -> Result<String> {
    String::from_utf8(read(path, most_mb)?).map_err(|_| Error::other("not UTF-8"))
}

/// What standard input gives, up to so many megabytes.
///
/// # Errors
/// The system's word; more than that.
pub(crate) fn read_input(input: impl Read, most_mb: u32) -> Result<Vec<u8>> {
    let most = u64::from(most_mb) * BYTES_A_MB;
    let mut bytes = Vec::new();
    input.take(most + 1).read_to_end(&mut bytes)?;
    refuse_size(bytes.len() as u64, most_mb)?;
    Ok(bytes)
}

/// Refuses a file of `bytes`.
///
/// # Errors
/// More bytes than so many megabytes, in words.
pub(crate) fn refuse_size(bytes: u64, most_mb: u32) -> Result<()> {
    if bytes <= u64::from(most_mb) * BYTES_A_MB {
        return Ok(());
    }
    let size = bytes.div_ceil(BYTES_A_MB);
    Err(Error::other(format!(
        "{size} MB are more than the {most_mb} MB that are read"
    )))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folders_devices_and_large_files_are_refused_in_words() {
        let place = tempfile::tempdir().unwrap();
        let refusal = |path: &Path| read(path, 1).unwrap_err().to_string();
        says!(refusal(place.path()), "folder");
        let large = place.path().join("large");
        // Takes no room: nothing was written into it.
        File::create(&large).unwrap().set_len(1_500_000).unwrap();
        assert_eq!(refusal(&large), "2 MB are more than the 1 MB that are read");
        assert_eq!(read(&large, 2).unwrap().len(), 1_500_000);
        #[cfg(unix)]
        says!(refusal(Path::new("/dev/zero")), "device");
        let endless = std::io::repeat(0);
        says!(
            read_input(endless, 1).unwrap_err().to_string(),
            "more than the 1 MB"
        );
    }
}
