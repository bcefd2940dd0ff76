/*! The sheets of each format of workbook, cell by cell into a grid. */

use super::book::{Book, MB, Sheet, Wanted, broken, chosen, too_large};
use super::grid::{Grid, TooLarge};
use super::number_format::Code;
use super::open_document::Layout;
use super::value::{Shown, value};
use crate::records::LoadError;
use crate::records::date::serial::System;
use calamine::{Data, DataRef, Dimensions, Font, Ods, Range, Reader, Style, Xls, Xlsx, XlsxError};
use std::io::Cursor;

/// One sheet after the other; those without a filled cell are left out.
fn book(
    all: &[calamine::Sheet],
    shown: &str,
    wanted: Wanted<'_>,
    system: System,
    mut read: impl FnMut(&str, &mut Grid) -> Result<Vec<Dimensions>, Failed>,
) -> Result<Book, LoadError> {
    let chosen = chosen(all, shown, wanted)?;
    let mut sheets = Vec::new();
    for name in chosen.wanted {
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
    Ok(Book {
        sheets,
        hidden: chosen.hidden,
        unnamed: chosen.unnamed,
        system,
    })
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

pub(super) fn read_xlsx(
    mut xlsx: Xlsx<Cursor<&[u8]>>,
    shown: &str,
    wanted: Wanted<'_>,
    may_merge: bool,
) -> Result<Book, LoadError> {
    let all = xlsx.sheets_metadata().to_vec();
    let system = system(xlsx.has_1904_epoch());
    book(&all, shown, wanted, system, |name, grid| {
        let mut blank = false;
        match xlsx.worksheet_cells_reader(name) {
            // A sheet that holds a chart alone.
            Err(XlsxError::NotAWorksheet(_)) => return Ok(Vec::new()),
            Err(why) => return Err(why.into()),
            Ok(mut reader) => {
                let codes: Vec<Code> = reader.styles().iter().map(code_of).collect();
                let struck: Vec<bool> = reader.styles().iter().map(is_struck).collect();
                while let Some((cell, style)) = reader.next_cell_with_style_id()? {
                    let (row, column) = cell.get_position();
                    if wanted.rows.is_some_and(|rows| row >= rows) {
                        break;
                    }
                    let data = cell.get_value();
                    blank |= matches!(data, DataRef::Empty);
                    let code = codes.get(style);
                    let shown = Shown {
                        comma: wanted.comma,
                        unit: code.map_or("", |code| &code.unit),
                        percent: code.is_some_and(|code| code.percent),
                        thousands: code.map_or(0, |code| code.thousands),
                    };
                    take(grid, row, column, data, shown)?;
                    if struck.get(style) == Some(&true) && !matches!(data, DataRef::Empty) {
                        grid.add_struck(row, column);
                    }
                }
            }
        }
        // Cells without a value are looked at once more: some may hold a formula.
        if blank {
            let mut reader = xlsx.worksheet_cells_reader(name)?;
            while let Some(cell) = reader.next_cell_with_formula_metadata()? {
                if wanted.rows.is_some_and(|rows| cell.pos.0 >= rows) {
                    break;
                }
                if cell.formula.is_some() && matches!(cell.value, DataRef::Empty) {
                    grid.add_uncalculated(cell.pos.0, cell.pos.1)?;
                }
            }
        }
        match may_merge {
            true => Ok(xlsx.merge_cells_by_sheet_name(name)?),
            false => Ok(Vec::new()),
        }
    })
}

/// What the number format of a style says.
fn code_of(style: &Style) -> Code {
    let format = style.number_format.as_ref();
    Code::of(format.map_or("", |format| &format.format_code))
}

fn is_struck(style: &Style) -> bool {
    style.font.as_ref().is_some_and(Font::has_strikethrough)
}

fn take(
    grid: &mut Grid,
    row: u32,
    column: u32,
    data: &DataRef<'_>,
    shown: Shown<'_>,
) -> Result<(), TooLarge> {
    match data {
        DataRef::String(text) => grid.note_text(text),
        DataRef::SharedString(text) => grid.note_text(text),
        _ => {}
    }
    grid.add(row, column, value(data, shown))
}

pub(super) fn read_xls(
    mut xls: Xls<Cursor<&[u8]>>,
    shown: &str,
    wanted: Wanted<'_>,
) -> Result<Book, LoadError> {
    let all = xls.sheets_metadata().to_vec();
    let system = system(xls.has_1904_epoch());
    let read = book(&all, shown, wanted, system, |name, grid| {
        let cells = xls
            .worksheet_range(name)
            .map_err(|why| Failed::Broken(why.to_string()))?;
        take_range(grid, &cells, wanted, |_| false)?;
        Ok(xls.merge_cells_by_sheet_name(name).unwrap_or_default())
    });
    read.map(|mut read| {
        for sheet in &mut read.sheets {
            sheet.notes.extend(unseen_formats(&sheet.text));
        }
        read
    })
}

/// What is to be said of a sheet of .xls that speaks of parts of a whole: which of its numbers are
/// shown in per cent is not known, and one that is is stored as a hundredth of what is shown.
fn unseen_formats(text: &str) -> Option<String> {
    let speaks = ["%", "‰", "per cent", "percent", "Prozent"]
        .iter()
        .any(|word| text.contains(word));
    speaks.then(|| {
        "it speaks of per cent, and of .xls no formats of cells are read: a number that a cell shows as 5 % is read as 0.05. Where cells are shown so, save the workbook as .xlsx".to_string()
    })
}

pub(super) fn read_ods(
    mut ods: Ods<Cursor<&[u8]>>,
    layouts: &[Layout],
    shown: &str,
    wanted: Wanted<'_>,
) -> Result<Book, LoadError> {
    let all = ods.sheets_metadata().to_vec();
    let nothing = Layout::default();
    book(&all, shown, wanted, System::From1900, |name, grid| {
        let failed = |why: calamine::OdsError| Failed::Broken(why.to_string());
        let number = all.iter().position(|sheet| sheet.name == name);
        let layout = number.and_then(|i| layouts.get(i)).unwrap_or(&nothing);
        let cells = ods.worksheet_range(name).map_err(failed)?;
        take_range(grid, &cells, wanted, |place| {
            layout.percent.contains(&place)
        })?;
        for (row, column) in &layout.struck {
            grid.add_struck(*row, *column);
        }
        let formulas = ods.worksheet_formula(name).map_err(failed)?;
        let (top, left) = formulas.start().unwrap_or_default();
        for (row, column, _) in formulas.used_cells() {
            let (row, column) = (top + row as u32, left + column as u32);
            if matches!(cells.get_value((row, column)), None | Some(Data::Empty)) {
                grid.add_uncalculated(row, column)?;
            }
        }
        Ok(layout.merged.clone())
    })
}

/// The date system of a workbook that says whether it is that of 1904.
fn system(is_1904: bool) -> System {
    match is_1904 {
        true => System::From1904,
        false => System::From1900,
    }
}

fn take_range(
    grid: &mut Grid,
    cells: &Range<Data>,
    wanted: Wanted<'_>,
    percent: impl Fn((u32, u32)) -> bool,
) -> Result<(), TooLarge> {
    let (top, left) = cells.start().unwrap_or_default();
    for (row, column, data) in cells.used_cells() {
        let (row, column) = (top + row as u32, left + column as u32);
        let shown = Shown {
            comma: wanted.comma,
            percent: percent((row, column)),
            ..Shown::default()
        };
        take(grid, row, column, &borrowed(data), shown)?;
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_of_xls_that_speaks_of_per_cent_is_told() {
        assert!(unseen_formats("Item,Date,Tol [%]\nA,2024-01-02,0.05\n").is_some());
        assert_eq!(
            unseen_formats("Item,Date,Tol [mV]\nA,2024-01-02,0.05\n"),
            None
        );
    }
}
