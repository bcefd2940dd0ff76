/*! `driftbook convert`: resistance, ratio and temperature, there and back. */

mod arguments;
mod correction;
mod scale;
mod table;

pub(crate) use arguments::Arguments;

use super::{CommandError, CommandResult, output};
use crate::thermometry::convert_u::{KnownU, PARTS, TemperatureU};
use crate::thermometry::{Converted, Converter, convert};
use correction::correct;
use scale::scale;
use std::fmt::Write as _;
use table::convert_table;

/// Converts and prints; see the module.
pub(crate) fn run(arguments: &Arguments) -> CommandResult {
    let (text, failed) = match &arguments.correction_line {
        Some(line) => (correct(arguments, line)?, 0),
        None => converted(arguments)?,
    };
    match &arguments.out {
        Some(path) => output::place(path, &text, arguments.replace)?,
        None if arguments.csv.is_some() => output::hand_over(&text),
        None if arguments.json => output::hand_over(&output::json(&text)),
        None => output::say(&text),
    }
    match failed {
        0 => Ok(0),
        _ if arguments.csv.is_some() => {
            output::complain(&format!(
                "{} could not be converted; column conversion_note says why",
                crate::report::text::count(failed, "row")
            ));
            Ok(0)
        }
        _ => Err(CommandError::Failed(format!(
            "{failed} of {} values could not be converted",
            arguments.values.len()
        ))),
    }
}

fn converted(arguments: &Arguments) -> Result<(String, usize), CommandError> {
    let (scale, known) = scale(arguments)?;
    match (&arguments.csv, &arguments.column) {
        (Some(file), Some(column)) => convert_table(&scale, &known, arguments.from, file, column),
        _ => convert_values(&scale, &known, arguments),
    }
}

fn convert_values(
    scale: &Converter,
    known: &KnownU,
    arguments: &Arguments,
) -> Result<(String, usize), CommandError> {
    if arguments.values.is_empty() {
        return Err(CommandError::Usage(
            "nothing to convert: give numbers, or --csv FILE --column NAME".into(),
        ));
    }
    let results: Vec<_> = arguments
        .values
        .iter()
        .map(|value| (*value, convert(scale, arguments.from, *value)))
        .collect();
    let failed = results.iter().filter(|(_, r)| r.is_err()).count();
    if arguments.json {
        let rows: Vec<_> = results
            .iter()
            .map(|(value, result)| match result {
                Ok(converted) => {
                    let note = scale.no_tolerance(converted.temperature_c);
                    let u = known.at(scale, arguments.from, converted);
                    serde_json::json!({"value": value, "converted": converted, "u": u, "note": note})
                }
                Err(e) => serde_json::json!({"value": value, "error": e.to_string()}),
            })
            .collect();
        let text =
            serde_json::to_string_pretty(&rows).map_err(|e| CommandError::Failed(e.to_string()))?;
        return Ok((text + "\n", failed));
    }
    let mut text = String::new();
    let tolerance = matches!(scale, Converter::Industrial { class: Some(_), .. });
    let heading = if tolerance {
        "  ±tol/°C    ±tol/Ω"
    } else {
        ""
    };
    let _ = writeln!(
        text,
        "{:>14} {:>13} {:>13} {:>13}{heading}",
        "R/Ω", "ratio", "t/°C", "dR/dt Ω/°C"
    );
    for (value, result) in &results {
        match result {
            Ok(converted) => text.push_str(&line(converted, scale, tolerance)),
            Err(e) => {
                let _ = writeln!(text, "{value}: {e}");
            }
        }
    }
    let good = results.iter().filter_map(|(_, r)| r.as_ref().ok());
    let parts: Vec<(f64, TemperatureU)> = good
        .filter_map(|c| Some((c.temperature_c, known.at(scale, arguments.from, c)?)))
        .collect();
    text += &parts_table(&parts);
    Ok((text, failed))
}

/// The parts of u at each temperature; empty where none is known.
fn parts_table(rows: &[(f64, TemperatureU)]) -> String {
    let Some((_, first)) = rows.first() else {
        return String::new();
    };
    let mut text = String::from("\nStandard uncertainty (k = 1), mK:\n");
    let _ = write!(text, "{:>13}", "t/°C");
    for name in PARTS {
        let _ = write!(text, " {name:>13}");
    }
    let _ = writeln!(text, " {:>13}", "in all");
    for (celsius, u) in rows {
        let _ = write!(text, "{celsius:>13.6}");
        for part in u.parts() {
            let shown = part.map_or("–".into(), |mk| format!("{mk:.3}"));
            let _ = write!(text, " {shown:>13}");
        }
        let _ = writeln!(text, " {:>13.3}", u.u_mk);
    }
    if !first.not_in_it.is_empty() {
        let _ = writeln!(
            text,
            "Not known and not in it: {}.",
            first.not_in_it.join(", ")
        );
    }
    text
}

fn line(c: &Converted, scale: &Converter, tolerance: bool) -> String {
    let mut text = format!(
        "{:>14.7} {:>13.10} {:>13.6} {:>13.9}",
        c.resistance_ohm, c.ratio, c.temperature_c, c.sensitivity_ohm_per_c
    );
    if tolerance {
        text += &match (c.tolerance_c, c.tolerance_ohm) {
            (Some(degrees), Some(ohm)) => format!("{degrees:>9.4} {ohm:>9.5}"),
            _ => {
                let why = scale.no_tolerance(c.temperature_c);
                format!("  {}", why.unwrap_or_else(|| "no tolerance".into()))
            }
        };
    }
    text + "\n"
}
