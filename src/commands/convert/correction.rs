/*! `driftbook convert --correction-line`: readings of a direct-reading thermometer, corrected. */

use super::arguments::Arguments;
use super::table::read;
use crate::commands::CommandError;
use crate::records;
use crate::thermometry::correction_line::{CorrectionLine, correction_line};
use std::fmt::Write as _;
use std::path::Path;

/// Columns of the file of corrections.
const COLUMNS: [&str; 2] = ["temperature_c", "correction_c"];

/// The corrections at the values asked for, as text.
pub(super) fn correct(arguments: &Arguments, file: &Path) -> Result<String, CommandError> {
    if arguments.values.is_empty() {
        return Err(CommandError::Usage(
            "nothing to correct: give the temperatures that the thermometer shows".into(),
        ));
    }
    let points = points(file)?;
    let mean = points.iter().map(|(t, _)| t).sum::<f64>() / points.len() as f64;
    let line = correction_line(&points, mean)
        .map_err(|why| CommandError::Usage(format!("{}: {why}", file.display())))?;
    let rows: Vec<Row> = arguments
        .values
        .iter()
        .map(|t| Row::of(&line, *t, arguments.u))
        .collect();
    match arguments.json {
        true => serde_json::to_string_pretty(&rows)
            .map(|text| text + "\n")
            .map_err(|e| CommandError::Failed(e.to_string())),
        false => Ok(table(&rows, &line) + not_in_it(arguments.u)),
    }
}

/// One reading with its correction.
#[derive(serde::Serialize)]
struct Row {
    shown_c: f64,
    correction_c: f64,
    u_correction_c: f64,
    temperature_c: f64,
    u_temperature_c: f64,
    extrapolated: bool,
}

impl Row {
    fn of(line: &CorrectionLine, shown_c: f64, u_reading: Option<f64>) -> Self {
        let correction = line.at(shown_c);
        Self {
            shown_c,
            correction_c: correction.value,
            u_correction_c: correction.u,
            temperature_c: shown_c + correction.value,
            u_temperature_c: correction.u.hypot(u_reading.unwrap_or(0.0)),
            extrapolated: correction.extrapolated,
        }
    }
}

fn not_in_it(u_reading: Option<f64>) -> &'static str {
    match u_reading {
        Some(_) => "",
        None => "The reading's own uncertainty is not known and not in u(t): state it with --u.\n",
    }
}

fn table(rows: &[Row], line: &CorrectionLine) -> String {
    let mut text = format!(
        "b(t) = {:.6} °C + {:.8}·(t − {:.4} °C); s(y1) = {:.6} °C, s(y2) = {:.8}, r = {:.3}, s = {:.6} °C (n − 2 = {})\n",
        line.intercept,
        line.slope,
        line.origin_c,
        line.u_intercept,
        line.u_slope,
        line.correlation,
        line.residual_deviation,
        line.degrees_of_freedom
    );
    let _ = writeln!(
        text,
        "{:>12} {:>12} {:>12} {:>12} {:>12}",
        "shown/°C", "b/°C", "u(b)/°C", "t/°C", "u(t)/°C"
    );
    for row in rows {
        let outside = match row.extrapolated {
            true => format!(
                "  outside the calibrated {} °C to {} °C",
                line.range_c.0, line.range_c.1
            ),
            false => String::new(),
        };
        let _ = writeln!(
            text,
            "{:>12.6} {:>12.6} {:>12.6} {:>12.6} {:>12.6}{outside}",
            row.shown_c,
            row.correction_c,
            row.u_correction_c,
            row.temperature_c,
            row.u_temperature_c
        );
    }
    text
}

/// Temperature and correction of every row of the file.
fn points(file: &Path) -> Result<Vec<(f64, f64)>, CommandError> {
    let text = read(file)?;
    let wrong = |why: String| CommandError::Usage(format!("{}: {why}", file.display()));
    let delimiter = records::sniff(&text);
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .from_reader(text.as_bytes());
    let header = reader.headers().map_err(|e| wrong(e.to_string()))?.clone();
    let place = |name: &str| {
        header.iter().position(|h| h.trim() == name).ok_or_else(|| {
            wrong(format!(
                "no column {name:?}; it needs {}",
                COLUMNS.join(" and ")
            ))
        })
    };
    let places = (place(COLUMNS[0])?, place(COLUMNS[1])?);
    let mut points = Vec::new();
    for (row, record) in reader.records().enumerate() {
        let record = record.map_err(|e| wrong(e.to_string()))?;
        let number = |place: usize, name: &str| {
            let cell = record.get(place).unwrap_or("").trim();
            // Where commas do not part the cells, they part the decimals.
            let plain = match delimiter {
                b',' => cell.to_string(),
                _ => cell.replacen(',', ".", 1),
            };
            let parsed = plain.parse::<f64>().ok().filter(|n| n.is_finite());
            parsed.ok_or_else(|| {
                wrong(format!(
                    "row {}, column {name}: {cell:?} is not a number",
                    row + 1
                ))
            })
        };
        points.push((number(places.0, COLUMNS[0])?, number(places.1, COLUMNS[1])?));
    }
    Ok(points)
}
