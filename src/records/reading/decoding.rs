/*! The text that a file's bytes stand for: no binary junk, one encoding. */

use super::digits::in_own_digits;
use crate::records::LoadError;
use crate::records::encoding::Encoding;
use std::borrow::Cow;

/// The text of `bytes` without its byte order mark, its numbers and dates in the digits 0 to 9.
///
/// # Errors
/// Binary content, or bytes that are not of the encoding: with line, byte and mend.
pub(crate) fn decode<'a>(
    bytes: &'a [u8],
    encoding: Encoding,
    shown: &str,
) -> Result<Cow<'a, str>, LoadError> {
    as_written(bytes, encoding, shown).map(in_own_digits)
}

fn as_written<'a>(
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

fn refuse_binary(bytes: &[u8], shown: &str) -> Result<(), LoadError> {
    let what = match bytes {
        [b'P', b'K', 3, 4, ..] => "this is a workbook or zip archive, not a text table",
        [0x1F, 0x8B, ..] => "this is a gzip archive, not a text table",
        [b'P', b'A', b'R', b'1', ..] => "this is Parquet, but was to be read as text",
        _ if memchr::memchr(0, bytes).is_some() => "this is binary data, not a text table",
        _ if is_markup(bytes) => {
            return Err(LoadError::new(
                shown,
                "this is a page of HTML or XML, whatever its name ends in, and no table",
                "Open it in a spreadsheet program and save it as .xlsx, .ods or CSV.",
            ));
        }
        _ => return Ok(()),
    };
    Err(LoadError::new(
        shown,
        what,
        "Export the records as CSV (UTF-8) or Parquet.",
    ))
}

/// True for a page as programs write it that name it as a workbook: it begins with one of these tags.
fn is_markup(bytes: &[u8]) -> bool {
    const TAGS: [&str; 8] = [
        "<!doctype",
        "<html",
        "<head",
        "<body",
        "<table",
        "<meta",
        "<?xml",
        "<style",
    ];
    let begin = bytes.trim_ascii_start();
    let begins = |tag: &&str| {
        let same = begin.get(..tag.len());
        same.is_some_and(|begin| begin.eq_ignore_ascii_case(tag.as_bytes()))
    };
    TAGS.iter().any(begins)
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

    #[test]
    fn a_page_of_html_is_named_as_such() {
        for text in [
            "<html><table>",
            "\r\n <!DOCTYPE html>",
            "<?xml version=\"1.0\"?>",
        ] {
            let why = decode(text.as_bytes(), Encoding::Utf8, "a.xls").unwrap_err();
            assert!(why.what.contains("HTML"), "{}", why.what);
        }
        assert!(decode(b"<5 mV,2\n", Encoding::Utf8, "a.csv").is_ok());
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
}
