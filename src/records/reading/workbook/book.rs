/*! A workbook as tables of text, one a sheet; and why it cannot be read. */

use crate::records::LoadError;
use crate::records::date::serial::System;
use crate::records::reading::guarded::WORKBOOK;
use calamine::SheetVisible;

/// Bytes of a megabyte.
pub(super) const MB: usize = 1_000_000;

/// What is read of a workbook, and how.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted<'a> {
    /// Names of the sheets; empty = all that are not hidden.
    pub sheets: &'a [String],
    /// True where the records have decimal commas: numbers are written alike.
    pub comma: bool,
    /// Most that the workbook may unpack to, megabytes.
    pub most_mb: u32,
    /// Rows of each sheet that are looked at; all where `None`.
    pub rows: Option<u32>,
}

/// The sheets of a workbook.
pub(crate) struct Book {
    pub sheets: Vec<Sheet>,
    /// Names of hidden sheets, which are not read.
    pub hidden: Vec<String>,
    /// Names of sheets that are seen and were not named, where others were.
    pub unnamed: Vec<String>,
    /// Where it says that its days are counted from.
    pub system: System,
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

impl Book {
    /// The name of a sheet for messages: the file's alone where the workbook has no other.
    pub(crate) fn place(&self, shown: &str, sheet: &Sheet) -> String {
        match self.sheets.len() + self.hidden.len() {
            1 => shown.to_string(),
            _ => format!("{shown}, sheet \"{}\"", sheet.name),
        }
    }

    /// The error for a workbook in which nothing can be read.
    pub(crate) fn nothing(&self, shown: &str) -> LoadError {
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

/// Which sheets of a workbook are read, by their names, and which are not.
pub(super) struct Chosen {
    pub wanted: Vec<String>,
    pub hidden: Vec<String>,
    pub unnamed: Vec<String>,
}

/// The sheets that are wanted, and the others.
pub(super) fn chosen(
    all: &[calamine::Sheet],
    shown: &str,
    wanted: Wanted<'_>,
) -> Result<Chosen, LoadError> {
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
    let (seen, hidden): (Vec<_>, Vec<_>) = all
        .iter()
        .partition(|sheet| sheet.visible == SheetVisible::Visible);
    let names = |sheets: Vec<&calamine::Sheet>| -> Vec<String> {
        sheets.iter().map(|s| s.name.clone()).collect()
    };
    let seen = names(seen);
    Ok(match wanted.sheets {
        [] => Chosen {
            wanted: seen,
            hidden: names(hidden),
            unnamed: Vec::new(),
        },
        named => Chosen {
            wanted: named.to_vec(),
            hidden: Vec::new(),
            unnamed: seen
                .into_iter()
                .filter(|name| !named.contains(name))
                .collect(),
        },
    })
}

pub(super) fn broken(place: &str, why: &str) -> LoadError {
    LoadError::new(
        place,
        format!("cannot be read as a workbook: {why}"),
        WORKBOOK.mend,
    )
}

pub(super) fn too_large(place: &str, most_mb: u32) -> LoadError {
    LoadError::new(
        place,
        format!("the workbook unpacks to more than {most_mb} MB"),
        "Is it a workbook at all? If it is, set largest_unpacked_mb under [checks].",
    )
}
