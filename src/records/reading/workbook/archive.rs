/*! What a zip archive says of its parts: enough to refuse one that unpacks to more than
the memory holds, before anything is unpacked.

Layout: the application note of the format (APPNOTE 6.3), 4.3.12 to 4.3.16.
*/

/// A part of an archive.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Part {
    pub name: String,
    /// Bytes when unpacked.
    pub unpacked: u64,
}

const END: &[u8] = b"PK\x05\x06";
const END_64: &[u8] = b"PK\x06\x06";
const LOCATOR_64: &[u8] = b"PK\x06\x07";
const ENTRY: &[u8] = b"PK\x01\x02";
/// Bytes of the fixed part of each.
const END_LENGTH: usize = 22;
const LOCATOR_LENGTH: usize = 20;
const ENTRY_LENGTH: usize = 46;
/// Longest comment behind the end.
const LONGEST_COMMENT: usize = 65_535;
/// Stands for a size that is in an extra field of 64 bits.
const IN_EXTRA: u64 = 0xFFFF_FFFF;

/// The parts of an archive by its directory; `None` where it has none that can be read.
pub(super) fn parts(bytes: &[u8]) -> Option<Vec<Part>> {
    let from = bytes.len().saturating_sub(END_LENGTH + LONGEST_COMMENT);
    let end = from + memchr::memmem::rfind(&bytes[from..], END)?;
    let (mut count, mut at) = (number(bytes, end + 10, 2)?, number(bytes, end + 16, 4)?);
    let locator = end.checked_sub(LOCATOR_LENGTH);
    if let Some(locator) = locator.filter(|&at| bytes[at..].starts_with(LOCATOR_64)) {
        let wide = usize::try_from(number(bytes, locator + 8, 8)?).ok()?;
        if bytes.get(wide..)?.starts_with(END_64) {
            (count, at) = (number(bytes, wide + 32, 8)?, number(bytes, wide + 48, 8)?);
        }
    }
    let mut at = usize::try_from(at).ok()?;
    let mut parts = Vec::new();
    for _ in 0..count {
        if !bytes.get(at..)?.starts_with(ENTRY) {
            return None;
        }
        let length = |offset: usize| number(bytes, at + offset, 2).map(|n| n as usize);
        let (name, extra, comment) = (length(28)?, length(30)?, length(32)?);
        let behind = at + ENTRY_LENGTH;
        let text = bytes.get(behind..behind + name)?;
        let extras = bytes.get(behind + name..behind + name + extra)?;
        let unpacked = match number(bytes, at + 24, 4)? {
            IN_EXTRA => unpacked_64(extras).unwrap_or(IN_EXTRA),
            size => size,
        };
        parts.push(Part {
            name: String::from_utf8_lossy(text).into_owned(),
            unpacked,
        });
        at = behind + name + extra + comment;
    }
    Some(parts)
}

/// The unpacked size in the extra field of 64-bit sizes, where it stands first.
fn unpacked_64(mut extras: &[u8]) -> Option<u64> {
    const SIZES: u64 = 1;
    loop {
        let (kind, length) = (number(extras, 0, 2)?, number(extras, 2, 2)? as usize);
        if kind == SIZES {
            return number(extras, 4, 8);
        }
        extras = extras.get(4 + length..)?;
    }
}

/// The number of so many bytes at a place, the lowest first.
fn number(bytes: &[u8], at: usize, length: usize) -> Option<u64> {
    let part = bytes.get(at..at.checked_add(length)?)?;
    Some(
        part.iter()
            .rev()
            .fold(0, |value, byte| value << 8 | u64::from(*byte)),
    )
}
