/*! Workbooks (.xlsx, .xlsm, .xls, .ods) as tables of text, one a sheet.

Every cell becomes the text that a CSV export would hold, in the row where the spreadsheet
shows it, so that all that follows reads a sheet like any other table. What a cell does not
tell (an error, a formula whose result is not stored) is empty, and said. Macros are never
looked at. What a workbook unpacks to is bounded before and while it is read.
*/

mod archive;
mod grid;
mod value;

use super::guarded::{WORKBOOK, guarded};
use super::{plain_file, source};
use crate::records::LoadError;
use calamine::{Data, DataRef, Dimensions, Ods, Range, Reader, SheetVisible, Xls, Xlsx, XlsxError};
use grid::{Grid, TooLarge};
use std::io::{Cursor, Read};
use std::path::Path;
use value::{Shown, value};

/// Bytes of a megabyte.
const MB: usize = 1_000_000;

/// First bytes of a zip archive, and of the older compound file.
const ZIP: &[u8] = b"PK\x03\x04";
const COMPOUND: &[u8] = &[0xD0, 0xCF, 0x11, 0xE0];

/// What is read of a workbook, and how.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted<'a> {
    /// Names of the sheets; empty = all that are not hidden.
    pub sheets: &'a [String],
    /// True where the records have decimal commas: numbers are written alike.
    pub comma: bool,
    /// Most that the workbook may unpack to, megabytes.
    pub most_mb: u32,
}

/// The sheets of a workbook.
pub(crate) struct Book {
    pub sheets: Vec<Sheet>,
    /// Names of hidden sheets, which are not read.
    pub hidden: Vec<String>,
}

/// A sheet as a table of text.
pub(crate) struct Sheet {
    pub name: String,
    /// CSV with commas; a row of the sheet is a row of the text.
    pub text: String,
    /// What is to be said of its cells.
    pub notes: Vec<String>,
    /// True where some number is stored as text with a decimal comma, and none with a point.
    pub texts_have_comma: bool,
    /// True where some number that is stored as text may be decimals or thousands.
    pub texts_leave_open: bool,
}

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
    let cursor = Cursor::new(bytes);
    guarded(shown, WORKBOOK, || {
        match (bytes.starts_with(ZIP), has("content.xml")) {
            (true, true) => {
                let book = Ods::new(cursor).map_err(|why| unreadable(shown, &why))?;
                read_ods(book, shown, wanted)
            }
            (true, false) => {
                let book = Xlsx::new(cursor).map_err(|why| unreadable(shown, &why))?;
                read_xlsx(book, shown, wanted)
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
    // Pictures and the like are never unpacked.
    let texts = parts.iter().filter(|part| part.name.ends_with(".xml"));
    let unpacked = texts.fold(0u64, |sum, part| sum.saturating_add(part.unpacked));
    match unpacked > u64::from(most_mb) * MB as u64 {
        true => Err(too_large(shown, most_mb)),
        false => Ok(()),
    }
}

impl Book {
    /// The name of a sheet for messages: the file's alone where the workbook has no other.
    pub fn place(&self, shown: &str, sheet: &Sheet) -> String {
        match self.sheets.len() + self.hidden.len() {
            1 => shown.to_string(),
            _ => format!("{shown}, sheet \"{}\"", sheet.name),
        }
    }

    /// The error for a workbook in which nothing can be read.
    pub fn nothing(&self, shown: &str) -> LoadError {
        let mend = match self.hidden.as_slice() {
            [] => "Expected a header row and one row a check.".to_string(),
            names => format!(
                "Hidden sheets are read where they are named: {}.",
                names.join(", ")
            ),
        };
        LoadError::new(shown, "the workbook has no sheet with a filled cell", mend)
    }
}

/// The sheets that are wanted, of `(name, hidden)`, and the hidden ones that are not.
fn chosen(
    all: &[calamine::Sheet],
    shown: &str,
    wanted: Wanted<'_>,
) -> Result<(Vec<String>, Vec<String>), LoadError> {
    if let Some(absent) = wanted
        .sheets
        .iter()
        .find(|name| all.iter().all(|s| s.name != **name))
    {
        let names: Vec<String> = all.iter().map(|s| format!("\"{}\"", s.name)).collect();
        return Err(LoadError::new(
            shown,
            format!("there is no sheet \"{absent}\""),
            format!("Its sheets are {}.", names.join(", ")),
        ));
    }
    if !wanted.sheets.is_empty() {
        return Ok((wanted.sheets.to_vec(), Vec::new()));
    }
    let (seen, hidden): (Vec<_>, Vec<_>) = all
        .iter()
        .partition(|sheet| sheet.visible == SheetVisible::Visible);
    let names = |sheets: Vec<&calamine::Sheet>| sheets.iter().map(|s| s.name.clone()).collect();
    Ok((names(seen), names(hidden)))
}

/// One sheet after the other; those without a filled cell are left out.
fn book(
    all: &[calamine::Sheet],
    shown: &str,
    wanted: Wanted<'_>,
    mut read: impl FnMut(&str, &mut Grid) -> Result<Vec<Dimensions>, Failed>,
) -> Result<Book, LoadError> {
    let (names, hidden) = chosen(all, shown, wanted)?;
    let mut sheets = Vec::new();
    for name in names {
        let place = format!("{shown}, sheet \"{name}\"");
        let failed = |why: Failed| match why {
            Failed::TooLarge => too_large(&place, wanted.most_mb),
            Failed::Broken(why) => broken(&place, &why),
        };
        let mut grid = Grid::new(wanted.most_mb as usize * MB);
        let merged = read(&name, &mut grid).map_err(failed)?;
        grid.settle(&merged).map_err(|why| failed(why.into()))?;
        if !grid.is_empty() {
            let texts = grid.texts();
            sheets.push(Sheet {
                name,
                text: grid.text(),
                notes: grid.notes(),
                texts_have_comma: texts.commas && !texts.points,
                texts_leave_open: texts.open,
            });
        }
    }
    Ok(Book { sheets, hidden })
}

/// Why a sheet cannot be read.
enum Failed {
    TooLarge,
    Broken(String),
}

impl From<TooLarge> for Failed {
    fn from(_: TooLarge) -> Self {
        Failed::TooLarge
    }
}

impl From<XlsxError> for Failed {
    fn from(why: XlsxError) -> Self {
        Failed::Broken(why.to_string())
    }
}

fn read_xlsx(
    mut xlsx: Xlsx<Cursor<&[u8]>>,
    shown: &str,
    wanted: Wanted<'_>,
) -> Result<Book, LoadError> {
    let all = xlsx.sheets_metadata().to_vec();
    book(&all, shown, wanted, |name, grid| {
        let mut blank = false;
        match xlsx.worksheet_cells_reader(name) {
            // A sheet that holds a chart alone.
            Err(XlsxError::NotAWorksheet(_)) => return Ok(Vec::new()),
            Err(why) => return Err(why.into()),
            Ok(mut reader) => {
                let percent: Vec<bool> = reader.styles().iter().map(shows_percent).collect();
                while let Some((cell, style)) = reader.next_cell_with_style_id()? {
                    let (row, column) = cell.get_position();
                    let data = cell.get_value();
                    blank |= matches!(data, DataRef::Empty);
                    let shown = Shown {
                        comma: wanted.comma,
                        percent: percent.get(style).copied().unwrap_or(false),
                    };
                    take(grid, row, column, data, shown)?;
                }
            }
        }
        // Cells without a value are looked at once more: some may hold a formula.
        if blank {
            let mut reader = xlsx.worksheet_cells_reader(name)?;
            while let Some(cell) = reader.next_cell_with_formula_metadata()? {
                if cell.formula.is_some() && matches!(cell.value, DataRef::Empty) {
                    grid.add_uncalculated(cell.pos.0, cell.pos.1);
                }
            }
        }
        Ok(xlsx.merge_cells_by_sheet_name(name)?)
    })
}

/// True where a number format shows the number in per cent: a % that is no plain text.
fn shows_percent(style: &calamine::Style) -> bool {
    let code = style
        .number_format
        .as_ref()
        .map_or("", |format| &format.format_code);
    let (mut quoted, mut escaped) = (false, false);
    code.chars().any(|c| {
        let bare = !quoted && !escaped;
        quoted ^= c == '"' && !escaped;
        escaped = c == '\\' && bare;
        c == '%' && bare
    })
}

fn take(
    grid: &mut Grid,
    row: u32,
    column: u32,
    data: &DataRef<'_>,
    shown: Shown,
) -> Result<(), TooLarge> {
    match data {
        DataRef::String(text) => grid.note_text(text),
        DataRef::SharedString(text) => grid.note_text(text),
        _ => {}
    }
    grid.add(row, column, value(data, shown))
}

fn read_xls(
    mut xls: Xls<Cursor<&[u8]>>,
    shown: &str,
    wanted: Wanted<'_>,
) -> Result<Book, LoadError> {
    let all = xls.sheets_metadata().to_vec();
    book(&all, shown, wanted, |name, grid| {
        let cells = xls
            .worksheet_range(name)
            .map_err(|why| Failed::Broken(why.to_string()))?;
        take_range(grid, &cells, wanted)?;
        Ok(xls.merge_cells_by_sheet_name(name).unwrap_or_default())
    })
}

fn read_ods(
    mut ods: Ods<Cursor<&[u8]>>,
    shown: &str,
    wanted: Wanted<'_>,
) -> Result<Book, LoadError> {
    let all = ods.sheets_metadata().to_vec();
    book(&all, shown, wanted, |name, grid| {
        let failed = |why: calamine::OdsError| Failed::Broken(why.to_string());
        let cells = ods.worksheet_range(name).map_err(failed)?;
        take_range(grid, &cells, wanted)?;
        let formulas = ods.worksheet_formula(name).map_err(failed)?;
        let (top, left) = formulas.start().unwrap_or_default();
        for (row, column, _) in formulas.used_cells() {
            let (row, column) = (top + row as u32, left + column as u32);
            if matches!(cells.get_value((row, column)), None | Some(Data::Empty)) {
                grid.add_uncalculated(row, column);
            }
        }
        Ok(Vec::new())
    })
}

fn take_range(grid: &mut Grid, cells: &Range<Data>, wanted: Wanted<'_>) -> Result<(), TooLarge> {
    let shown = Shown {
        comma: wanted.comma,
        percent: false,
    };
    let (top, left) = cells.start().unwrap_or_default();
    for (row, column, data) in cells.used_cells() {
        take(
            grid,
            top + row as u32,
            left + column as u32,
            &borrowed(data),
            shown,
        )?;
    }
    Ok(())
}

fn borrowed(data: &Data) -> DataRef<'_> {
    match data {
        Data::Int(value) => DataRef::Int(*value),
        Data::Float(value) => DataRef::Float(*value),
        Data::String(text) => DataRef::SharedString(text),
        Data::Bool(value) => DataRef::Bool(*value),
        Data::DateTime(moment) => DataRef::DateTime(*moment),
        Data::DateTimeIso(text) => DataRef::DateTimeIso(text.clone()),
        Data::DurationIso(text) => DataRef::DurationIso(text.clone()),
        Data::Error(error) => DataRef::Error(error.clone()),
        Data::Empty => DataRef::Empty,
    }
}

fn unreadable(shown: &str, why: &dyn std::fmt::Display) -> LoadError {
    let why = why.to_string();
    match why.contains("password") {
        true => LoadError::new(
            shown,
            "the workbook is protected by a password",
            "Save a copy without a password, or export the records as CSV.",
        ),
        false => broken(shown, &why),
    }
}

fn broken(place: &str, why: &str) -> LoadError {
    LoadError::new(
        place,
        format!("cannot be read as a workbook: {why}"),
        WORKBOOK.mend,
    )
}

fn too_large(place: &str, most_mb: u32) -> LoadError {
    LoadError::new(
        place,
        format!("the workbook unpacks to more than {most_mb} MB"),
        "Is it a workbook at all? If it is, set largest_unpacked_mb under [checks].",
    )
}
