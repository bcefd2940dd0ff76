/*! What a zip archive says of its parts: enough to refuse one that unpacks to more than
the memory holds, before anything is unpacked, and to unpack a part of it.

Layout: the application note of the format (APPNOTE 6.3), 4.3.7 and 4.3.12 to 4.3.16; of gzip
members: RFC 1952, 2.3.
*/

use polars_parquet::parquet::compression::{Compression, DecompressionContext, decompress};

/// A part of an archive.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Part {
    pub name: String,
    /// Bytes when unpacked.
    pub unpacked: u64,
    /// Bytes as they stand in the archive.
    packed: u64,
    /// How they are packed.
    method: u64,
    checksum: u64,
    /// Where its own header stands.
    at: u64,
}

/// How often a part may hold the bytes that it takes in the archive. A sheet of one number in every
/// cell comes to 240 and one of records to 10; what is made to fill a memory, to 400 and more
/// (measured).
const MOST_TIMES: u64 = 300;
/// Bytes up to which no part does harm.
const HARMLESS: u64 = 100_000_000;

const STORED: u64 = 0;
const DEFLATED: u64 = 8;
const OWN_HEADER: &[u8] = b"PK\x03\x04";
const OWN_HEADER_LENGTH: usize = 30;

impl Part {
    /// How often the part holds the bytes that it takes, where no table does that.
    pub(crate) fn times_too_often(&self) -> Option<u64> {
        let times = self.unpacked / self.packed.max(1);
        (self.unpacked > HARMLESS && times > MOST_TIMES).then_some(times)
    }

    /// The bytes of the part; `None` where they cannot be had.
    pub(crate) fn unpack(&self, archive: &[u8]) -> Option<Vec<u8>> {
        let at = usize::try_from(self.at).ok()?;
        if !archive.get(at..)?.starts_with(OWN_HEADER) {
            return None;
        }
        let length = |offset| number(archive, at + offset, 2).map(|n| n as usize);
        let from = at + OWN_HEADER_LENGTH + length(26)? + length(28)?;
        let to = from.checked_add(usize::try_from(self.packed).ok()?)?;
        let packed = archive.get(from..to)?;
        match self.method {
            STORED => Some(packed.to_vec()),
            DEFLATED => self.inflate(packed),
            _ => None,
        }
    }

    /// A deflated part is a gzip member without its frame, which Parquet's reader unpacks.
    fn inflate(&self, packed: &[u8]) -> Option<Vec<u8>> {
        const GZIP_HEADER: [u8; 10] = [0x1f, 0x8b, 8, 0, 0, 0, 0, 0, 0, 0xff];
        let low = |number: u64| (number as u32).to_le_bytes();
        let ends = [low(self.checksum), low(self.unpacked)].concat();
        let member = [&GZIP_HEADER, packed, &ends].concat();
        let mut bytes = vec![0; usize::try_from(self.unpacked).ok()?];
        let mut context = DecompressionContext::Unset;
        decompress(Compression::Gzip, &member, &mut bytes, &mut context).ok()?;
        Some(bytes)
    }
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
            packed: number(bytes, at + 20, 4)?,
            method: number(bytes, at + 10, 2)?,
            checksum: number(bytes, at + 16, 4)?,
            at: number(bytes, at + 42, 4)?,
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
