/*! Workbooks (.xlsx, .xlsm, .xls, .ods) as tables of text, one a sheet.

Every cell becomes the text that a CSV export would hold, in the row where the spreadsheet
shows it, so that all that follows reads a sheet like any other table. What a cell does not
tell (an error, a formula whose result is not stored) is empty, and said. Macros are never
looked at. What a workbook unpacks to is bounded before and while it is read.
*/

mod archive;
mod book;
mod cell_places;
mod formats;
mod grid;
mod number_format;
mod open_document;
mod value;

use super::guarded::{WORKBOOK, guarded};
use super::{plain_file, source};
use crate::records::LoadError;
pub(crate) use book::{Book, Sheet, Wanted};
use book::{MB, broken, too_large};
use calamine::{Ods, Reader, Xls, Xlsx, XlsxError};
use formats::{read_ods, read_xls, read_xlsx};
use open_document::Layout;
use std::io::{Cursor, Read};
use std::path::Path;

/// The part of an .ods workbook that holds its sheets.
const CONTENT: &str = "content.xml";

/// What holds all parts of a protected .ods workbook (OpenDocument 1.3, part 2, 3.4.2).
const SEALED_PACKAGE: &str = "encrypted-package";

/// First bytes of a zip archive, and of the older compound file.
const ZIP: &[u8] = b"PK\x03\x04";
const COMPOUND: &[u8] = &[0xD0, 0xCF, 0x11, 0xE0];

/// True where a file is a workbook, by its first bytes.
pub(crate) fn is_workbook(path: &Path) -> bool {
    let mut magic = [0u8; 4];
    let read = plain_file::open(path).is_ok_and(|mut f| f.read_exact(&mut magic).is_ok());
    read && (magic == *ZIP || magic == *COMPOUND)
}

/// The bytes of a workbook.
///
/// # Errors
/// An unreadable file.
pub(crate) fn bytes(path: &Path, shown: &str) -> Result<Vec<u8>, LoadError> {
    plain_file::read(path, u32::MAX).map_err(|why| source::unreadable(shown, &why))
}

/// Reads a workbook.
///
/// # Errors
/// A broken or protected workbook, one that unpacks to too much, a named sheet that is not there.
pub(crate) fn read(bytes: &[u8], shown: &str, wanted: Wanted<'_>) -> Result<Book, LoadError> {
    let parts = archive::parts(bytes).unwrap_or_default();
    refuse_parts(&parts, shown, wanted.most_mb)?;
    let has = |name: &str| parts.iter().any(|part| part.name == name);
    if has(SEALED_PACKAGE) || bytes.starts_with(COMPOUND) && has_file_pass(bytes) {
        return Err(protected(shown));
    }
    let cursor = Cursor::new(bytes);
    guarded(shown, WORKBOOK, || {
        match (bytes.starts_with(ZIP), has(CONTENT)) {
            (true, true) => {
                let layouts = layouts(bytes, &parts);
                refuse_repeats(&layouts, shown, wanted.most_mb)?;
                let book = Ods::new(cursor).map_err(|why| unreadable(shown, &why))?;
                read_ods(book, &layouts, shown, wanted)
            }
            (true, false) => {
                let book = Xlsx::new(cursor).map_err(|why| unreadable(shown, &why))?;
                read_xlsx(book, shown, wanted, may_merge(bytes, &parts))
            }
            // A protected .xlsx is a compound file too, of which only its own reader knows.
            (false, _) => match Xlsx::new(cursor.clone()) {
                Err(why @ XlsxError::Password) => Err(unreadable(shown, &why)),
                _ => {
                    let book = Xls::new(cursor).map_err(|why| unreadable(shown, &why))?;
                    read_xls(book, shown, wanted)
                }
            },
        }
    })
}

/// Refuses a workbook that unpacks to more than so many megabytes; any other file passes.
///
/// # Errors
/// Such a workbook, or one that cannot be read.
pub(crate) fn refuse_unpacked(path: &Path, shown: &str, most_mb: u32) -> Result<(), LoadError> {
    if !is_workbook(path) {
        return Ok(());
    }
    let bytes = bytes(path, shown)?;
    refuse_parts(&archive::parts(&bytes).unwrap_or_default(), shown, most_mb)
}

fn refuse_parts(parts: &[archive::Part], shown: &str, most_mb: u32) -> Result<(), LoadError> {
    // Whatever its name, a part may be what the workbook says is its sheet.
    let unpacked = parts
        .iter()
        .fold(0u64, |sum, part| sum.saturating_add(part.unpacked));
    if unpacked > u64::from(most_mb) * MB as u64 {
        return Err(too_large(shown, most_mb));
    }
    match parts
        .iter()
        .find_map(|part| Some((part, part.times_too_often()?)))
    {
        Some((part, times)) => Err(swollen(shown, part, times)),
        None => Ok(()),
    }
}

fn swollen(shown: &str, part: &archive::Part, times: u64) -> LoadError {
    LoadError::new(
        shown,
        format!(
            "{} in the workbook unpacks to {} MB, {times} times what it takes: a file made to fill the memory does that, and no table of records",
            part.name,
            part.unpacked / MB as u64
        ),
        "Where it is one, open it in a spreadsheet program and save the records alone, or export them as CSV.",
    )
}

/// False where no part of an .xlsx workbook speaks of merged cells, which stand behind all others: to
/// look for them cell by cell takes as long as reading the sheet. A part that cannot be unpacked may
/// have some.
fn may_merge(bytes: &[u8], parts: &[archive::Part]) -> bool {
    let speaks = |part: &archive::Part| {
        let text = part.unpack(bytes);
        text.is_none_or(|text| memchr::memmem::find(&text, b"mergeCell").is_some())
    };
    parts.iter().any(speaks)
}

/// What the sheets of an .ods workbook hold; none where it cannot be unpacked, which its reader
/// tells.
fn layouts(bytes: &[u8], parts: &[archive::Part]) -> Vec<Layout> {
    let content = parts.iter().find(|part| part.name == CONTENT);
    let content = content
        .and_then(|part| part.unpack(bytes))
        .unwrap_or_default();
    open_document::layouts(&String::from_utf8_lossy(&content))
}

/// Refuses sheets whose repeated cells take more than so many megabytes.
fn refuse_repeats(layouts: &[Layout], shown: &str, most_mb: u32) -> Result<(), LoadError> {
    let room = layouts
        .iter()
        .fold(0u64, |sum, layout| sum.saturating_add(layout.room));
    match room > u64::from(most_mb) * MB as u64 {
        true => Err(too_large(shown, most_mb)),
        false => Ok(()),
    }
}

fn unreadable(shown: &str, why: &dyn std::fmt::Display) -> LoadError {
    let why = why.to_string();
    match why.contains("password") {
        true => protected(shown),
        false => broken(shown, &why),
    }
}

fn protected(shown: &str) -> LoadError {
    LoadError::new(
        shown,
        "the workbook is protected by a password",
        "Save a copy without a password, or export the records as CSV.",
    )
}

/// True where the stream of an .xls workbook is encrypted: a FilePass record follows the one that
/// begins it, at the beginning of a sector (MS-XLS 2.1.7.20.3, 2.4.21 and 2.4.117; sectors of
/// 512 bytes or more: MS-CFB 2.2).
fn has_file_pass(bytes: &[u8]) -> bool {
    const BEGIN: [u8; 4] = [0x09, 0x08, 0x10, 0x00];
    const BEGIN_LENGTH: usize = 20;
    const FILE_PASS: [u8; 2] = [0x2F, 0x00];
    let mut sectors = bytes.chunks(512);
    sectors.any(|sector| {
        let next = sector.get(BEGIN_LENGTH..);
        sector.starts_with(&BEGIN) && next.is_some_and(|next| next.starts_with(&FILE_PASS))
    })
}
