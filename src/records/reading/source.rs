/*! A file's bytes: no endless line; what the run record says of them. */

use super::decoding::decode;
use super::plain_file;
use crate::records::encoding::Encoding;
use crate::records::{InputFile, LoadError};
use sha2::{Digest, Sha256};
use std::io::Read;
use std::path::Path;

/// Longest line of a CSV file. A table row is some hundred bytes; a longer line is
/// no table, and reading on could fill the memory.
pub(crate) const LONGEST_LINE: usize = 1_000_000;

const BLOCK: usize = 1 << 20;

/// Reads a text file, giving up at the first line longer than [`LONGEST_LINE`].
///
/// # Errors
/// Unreadable or empty file, too long a line.
pub(crate) fn read(path: &Path, shown: &str) -> Result<Vec<u8>, LoadError> {
    let failed = |e: std::io::Error| unreadable(shown, &e);
    let mut file = plain_file::open(path).map_err(failed)?;
    let mut bytes = Vec::new();
    // A file that says it is larger than the memory is read all the same, and refused there.
    let _ = bytes.try_reserve_exact(file.limit() as usize);
    let mut since_break = 0;
    loop {
        let start = bytes.len();
        file.by_ref()
            .take(BLOCK as u64)
            .read_to_end(&mut bytes)
            .map_err(failed)?;
        let block = &bytes[start..];
        if block.is_empty() {
            break;
        }
        let first = line_break(block).unwrap_or(block.len());
        if since_break + first > LONGEST_LINE {
            return Err(endless(&bytes, shown));
        }
        since_break = match last_line_break(block) {
            Some(last) => block.len() - 1 - last,
            None => since_break + block.len(),
        };
    }
    bytes.shrink_to_fit();
    Ok(bytes)
}

/// The whole lines at the beginning of a text file that lie in its first mebibyte; all of a shorter one.
///
/// # Errors
/// As [`read`].
pub(crate) fn begins(path: &Path, shown: &str) -> Result<Vec<u8>, LoadError> {
    let failed = |e: std::io::Error| unreadable(shown, &e);
    let file = plain_file::open(path).map_err(failed)?;
    let whole = file.limit() <= BLOCK as u64;
    let mut bytes = Vec::new();
    file.take(BLOCK as u64)
        .read_to_end(&mut bytes)
        .map_err(failed)?;
    let end = last_line_break(&bytes).filter(|_| !whole);
    bytes.truncate(end.map_or(bytes.len(), |end| end + 1));
    // A line break of UTF-16 has a second byte.
    let wide = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
    bytes.truncate(if wide && !whole {
        bytes.len() & !1
    } else {
        bytes.len()
    });
    Ok(bytes)
}

/// SHA-256 as hexadecimal text.
pub(crate) fn sha256(bytes: &[u8]) -> String {
    hexadecimal(&Sha256::digest(bytes))
}

/// Bytes as lower-case hexadecimal text.
pub(crate) fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// The run record's entry of a file that is in memory.
pub(crate) fn input_file(bytes: &[u8], shown: &str) -> InputFile {
    InputFile {
        path: shown.to_string(),
        bytes: bytes.len() as u64,
        sha256: sha256(bytes),
    }
}

/// Text of a UTF-8 input beside the records, with its entry for the run record.
///
/// # Errors
/// Unreadable file, other encoding.
pub(crate) fn read_input(path: &Path, shown: &str) -> Result<(InputFile, String), LoadError> {
    let bytes = read(path, shown)?;
    let text = decode(&bytes, Encoding::Utf8, shown)?.into_owned();
    Ok((input_file(&bytes, shown), text))
}

/// The run record's entry of a file that is not, read in blocks.
///
/// # Errors
/// Unreadable file.
pub(crate) fn input_of(path: &Path, shown: &str) -> Result<InputFile, LoadError> {
    let mut digest = Sha256::new();
    let mut block = vec![0; BLOCK];
    let mut size = 0;
    let mut file = plain_file::open(path).map_err(|e| unreadable(shown, &e))?;
    loop {
        match file.read(&mut block).map_err(|e| unreadable(shown, &e))? {
            0 => break,
            count => {
                digest.update(&block[..count]);
                size += count as u64;
            }
        }
    }
    Ok(InputFile {
        path: shown.to_string(),
        bytes: size,
        sha256: hexadecimal(&digest.finalize()),
    })
}

pub(crate) fn unreadable(shown: &str, error: &std::io::Error) -> LoadError {
    match error.kind() {
        std::io::ErrorKind::NotFound => {
            LoadError::new(shown, "no such file", "Check the path and the name.")
        }
        _ => LoadError::new(
            shown,
            format!("cannot be read: {error}"),
            "Check the path and the rights.",
        ),
    }
}

fn line_break(block: &[u8]) -> Option<usize> {
    memchr::memchr2(b'\n', b'\r', block)
}

fn last_line_break(block: &[u8]) -> Option<usize> {
    memchr::memrchr2(b'\n', b'\r', block)
}

fn endless(bytes: &[u8], shown: &str) -> LoadError {
    let line = memchr::memchr_iter(b'\n', bytes).count() + 1;
    LoadError::new(
        format!("{shown}, line {line}"),
        format!("the line is longer than {LONGEST_LINE} bytes"),
        "A table has one short line a check: is this the right file, with line breaks?",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(content: &[u8]) -> Result<Vec<u8>, LoadError> {
        let file = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(file.path(), content).unwrap();
        read(file.path(), "f.csv")
    }

    #[test]
    fn an_endless_line_is_refused_with_its_number() {
        let mut content = b"a,b\n1,2\n".to_vec();
        content.resize(content.len() + 3 * LONGEST_LINE, b'x');
        let error = reading(&content).unwrap_err().to_string();
        assert!(
            error.starts_with("f.csv, line 3: the line is longer"),
            "{error}"
        );
        let long_but_fine = vec![b'x'; LONGEST_LINE];
        assert_eq!(reading(&long_but_fine).unwrap().len(), LONGEST_LINE);
    }

    /// Published digest of "abc": FIPS 180-4 examples, as quoted by NIST.
    #[test]
    fn digest_is_sha256() {
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
