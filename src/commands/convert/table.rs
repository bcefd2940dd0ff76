/*! `driftbook convert --csv`: a column of a table converted, the table kept in its own way of writing. */

use crate::commands::CommandError;
use crate::records;
use crate::records::reading::plain_file::{self, LARGEST_MB};
use crate::thermometry::convert_u::KnownU;
use crate::thermometry::{Converted, Converter, Quantity, ThermometryError, convert};
use std::path::Path;

/// Columns that `--csv` appends.
const COLUMNS: [&str; 7] = [
    "resistance_ohm",
    "ratio",
    "temperature_c",
    "sensitivity_ohm_per_c",
    "tolerance_c",
    "tolerance_ohm",
    "conversion_note",
];

/// Columns that follow where something is known of the uncertainty.
const U_COLUMNS: [&str; 2] = ["u_temperature_mk", "not_in_u"];

/// The table of `file` with the conversions of `column` at its right, and how many rows could not
/// be converted; delimiter and decimal commas stay as they are.
pub(super) fn convert_table(
    scale: &Converter,
    known: &KnownU,
    from: Quantity,
    file: &Path,
    column: &str,
) -> Result<(String, usize), CommandError> {
    let input = read(file)?;
    let failure = |e: csv::Error| CommandError::Failed(format!("{}: {e}", file.display()));
    let delimiter = records::sniff(&input);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .from_reader(input.as_bytes());
    let header = reader.headers().map_err(failure)?.clone();
    let index = header.iter().position(|h| h == column).ok_or_else(|| {
        let names: Vec<_> = header.iter().collect();
        CommandError::Usage(format!(
            "{}: no column {column:?}; the file has {}",
            file.display(),
            names.join(", ")
        ))
    })?;
    // Where nothing is known of u at any temperature, its columns would be empty.
    let with_u = known.is_something();
    let mut writer = csv::WriterBuilder::new()
        .delimiter(delimiter)
        .from_writer(Vec::new());
    let u_columns = U_COLUMNS.into_iter().filter(|_| with_u);
    let header_of_added: Vec<&str> = COLUMNS.into_iter().chain(u_columns).collect();
    let whole = header.iter().chain(header_of_added.iter().copied());
    writer.write_record(whole).map_err(failure)?;
    let mut failed = 0;
    for record in reader.records() {
        let record = record.map_err(failure)?;
        let cell = record.get(index).unwrap_or("").trim();
        // Where commas do not part the cells, they part the decimals.
        let comma = delimiter != b',' && cell.contains(',');
        let result = converted(scale, from, cell, comma);
        failed += usize::from(result.is_err());
        let added = added_cells(scale, (known, from), &result, comma);
        let added = added.iter().take(header_of_added.len());
        writer
            .write_record(record.iter().chain(added.map(String::as_str)))
            .map_err(failure)?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|e| CommandError::Failed(e.to_string()))?;
    Ok((String::from_utf8_lossy(&bytes).into_owned(), failed))
}

/// Why a cell is not converted.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
enum NoValue {
    #[error("empty")]
    Empty,
    #[error("{0} is not a number")]
    NoNumber(String),
    #[error(transparent)]
    Impossible(#[from] ThermometryError),
}

/// The value of a cell converted; a comma in it may part the decimals.
fn converted(
    scale: &Converter,
    from: Quantity,
    cell: &str,
    comma: bool,
) -> Result<Converted, NoValue> {
    let plain = match comma {
        true => cell.replacen(',', ".", 1),
        false => cell.into(),
    };
    let value = plain.parse::<f64>().map_err(|_| match cell {
        "" => NoValue::Empty,
        text => NoValue::NoNumber(text.to_string()),
    })?;
    Ok(convert(scale, from, value)?)
}

/// The cells of a row under the added columns, its numbers with a comma where its own have one.
fn added_cells(
    scale: &Converter,
    (known, from): (&KnownU, Quantity),
    result: &Result<Converted, NoValue>,
    comma: bool,
) -> Vec<String> {
    let mut added = cells(scale, result);
    let mut u = u_cells(scale, known, from, result);
    if comma {
        let (numbers, _note) = added.split_at_mut(COLUMNS.len() - 1);
        let numbers = numbers.iter_mut().chain(&mut u[..1]);
        numbers.for_each(|number| *number = number.replace('.', ","));
    }
    added.into_iter().chain(u).collect()
}

fn cells(scale: &Converter, result: &Result<Converted, NoValue>) -> [String; 7] {
    let optional = |value: Option<f64>| value.map_or(String::new(), |v| v.to_string());
    match result {
        Ok(c) => [
            c.resistance_ohm.to_string(),
            c.ratio.to_string(),
            c.temperature_c.to_string(),
            c.sensitivity_ohm_per_c.to_string(),
            optional(c.tolerance_c),
            optional(c.tolerance_ohm),
            scale.no_tolerance(c.temperature_c).unwrap_or_default(),
        ],
        Err(reason) => {
            let mut empty: [String; 7] = Default::default();
            empty[6] = reason.to_string();
            empty
        }
    }
}

/// u of the temperature, and the parts that are not in it.
fn u_cells(
    scale: &Converter,
    known: &KnownU,
    from: Quantity,
    result: &Result<Converted, NoValue>,
) -> [String; 2] {
    let converted = result.as_ref().ok();
    let u = converted.and_then(|c| known.at(scale, from, c));
    u.map_or_else(Default::default, |u| {
        [u.u_mk.to_string(), u.not_in_it.join(", ")]
    })
}

/// The text of a file, or of standard input for `-`.
pub(super) fn read(path: &Path) -> Result<String, CommandError> {
    let bytes = match path == Path::new("-") {
        true => plain_file::read_input(std::io::stdin(), LARGEST_MB),
        false => plain_file::read(path, LARGEST_MB),
    };
    let failed =
        |why: &dyn std::fmt::Display| CommandError::Failed(format!("{}: {why}", path.display()));
    String::from_utf8(bytes.map_err(|why| failed(&why))?).map_err(|_| failed(&"not UTF-8"))
}
