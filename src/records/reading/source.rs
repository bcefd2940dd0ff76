/*! A file's bytes and its text: no endless line, no binary junk, one encoding. */

use super::plain_file;
use crate::records::encoding::Encoding;
use crate::records::{InputFile, LoadError};
use sha2::{Digest, Sha256};
use std::borrow::Cow;
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

/// The text of `bytes` without its byte order mark.
///
/// # Errors
/// Binary content, or bytes that are not of the encoding: with line, byte and mend.
pub(crate) fn decode<'a>(
    bytes: &'a [u8],
    encoding: Encoding,
    shown: &str,
) -> Result<Cow<'a, str>, LoadError> {
    match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => return utf8(rest, shown).map(Cow::Borrowed),
        [0xFF, 0xFE, rest @ ..] => return utf16(rest, u16::from_le_bytes, shown),
        [0xFE, 0xFF, rest @ ..] => return utf16(rest, u16::from_be_bytes, shown),
        _ => refuse_binary(bytes, shown)?,
    }
    match encoding.of(bytes) {
        Encoding::Utf8 | Encoding::Auto => utf8(bytes, shown).map(Cow::Borrowed),
        Encoding::Latin1 => Ok(bytes.iter().map(|&b| western(b)).collect()),
        Encoding::Named(named) => {
            Encoding::decoded(named, bytes).ok_or_else(|| other_letters(bytes, named, shown))
        }
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

fn refuse_binary(bytes: &[u8], shown: &str) -> Result<(), LoadError> {
    let what = match bytes {
        [b'P', b'K', 3, 4, ..] => "this is a workbook or zip archive, not a text table",
        [0x1F, 0x8B, ..] => "this is a gzip archive, not a text table",
        [b'P', b'A', b'R', b'1', ..] => "this is Parquet, but was to be read as text",
        _ if memchr::memchr(0, bytes).is_some() => "this is binary data, not a text table",
        _ => return Ok(()),
    };
    Err(LoadError::new(
        shown,
        what,
        "Export the records as CSV (UTF-8) or Parquet.",
    ))
}

fn utf8<'a>(bytes: &'a [u8], shown: &str) -> Result<&'a str, LoadError> {
    std::str::from_utf8(bytes).map_err(|e| {
        let at = e.valid_up_to();
        let line_start = memchr::memrchr(b'\n', &bytes[..at]).map_or(0, |i| i + 1);
        let line = memchr::memchr_iter(b'\n', &bytes[..at]).count() + 1;
        let byte = bytes[at];
        LoadError::new(
            format!("{shown}, line {line} (row {}), byte {}", line.max(2) - 1, at - line_start + 1),
            format!("byte 0x{byte:02X} is not UTF-8"),
            format!(
                "In Latin-1 it reads \"{}\": set encoding = \"latin-1\", or save the file as UTF-8.",
                char::from(byte)
            ),
        )
    })
}

/// The first line that is not of the encoding that is stated.
fn other_letters(bytes: &[u8], named: &'static encoding_rs::Encoding, shown: &str) -> LoadError {
    let readable = |line: &&[u8]| Encoding::decoded(named, line).is_some();
    let lines = bytes.split(|byte| *byte == b'\n');
    let line = lines.take_while(readable).count() + 1;
    LoadError::new(
        format!("{shown}, line {line}"),
        format!("its letters are not {}", named.name().to_lowercase()),
        "State the encoding that the file has, or save it as UTF-8.",
    )
}

fn utf16<'a>(
    bytes: &[u8],
    unit: fn([u8; 2]) -> u16,
    shown: &str,
) -> Result<Cow<'a, str>, LoadError> {
    let units = bytes.as_chunks::<2>().0.iter().map(|pair| unit(*pair));
    let text: Result<String, _> = char::decode_utf16(units).collect();
    text.map(Cow::Owned).map_err(|_| {
        LoadError::new(
            shown,
            "the file starts as UTF-16 but is not",
            "Save it as CSV in UTF-8.",
        )
    })
}

/// Letters of Windows-1252 where Latin-1 has control signs, which no record holds (code page
/// 1252; the five that it leaves free stay as they are).
const WINDOWS: [char; 32] = [
    '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}',
    '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
];

fn western(byte: u8) -> char {
    let windows = byte
        .checked_sub(0x80)
        .and_then(|i| WINDOWS.get(usize::from(i)));
    windows.copied().unwrap_or(char::from(byte))
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

    #[test]
    fn latin_1_is_named_with_place_and_mend() {
        let bytes = b"instrument\nR1\nM\xFCller\n";
        let error = decode(bytes, Encoding::Utf8, "f.csv")
            .unwrap_err()
            .to_string();
        says!(error, "line 3 (row 2), byte 2");
        assert!(
            error.contains("0xFC")
                && error.contains("encoding = \"latin-1\"")
                && error.contains('ü')
        );
        assert_eq!(
            decode(bytes, Encoding::Latin1, "f").unwrap(),
            "instrument\nR1\nMüller\n"
        );
    }

    #[test]
    fn marks_are_dropped_and_utf_16_is_read() {
        assert_eq!(decode(b"\xEF\xBB\xBFa", Encoding::Utf8, "f").unwrap(), "a");
        assert_eq!(
            decode(b"\xFF\xFEa\0\xB5\0", Encoding::Utf8, "f").unwrap(),
            "aµ"
        );
    }

    #[test]
    fn junk_is_named() {
        let text = |bytes| decode(bytes, Encoding::Utf8, "f").unwrap_err().to_string();
        says!(text(b"PK\x03\x04..."), "workbook");
        says!(text(b"a\0b"), "binary");
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
