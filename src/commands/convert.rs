/*! `driftbook convert`: resistance, ratio and temperature, there and back. */

use super::convert_table::{convert_table, read};
use super::{CommandError, CommandResult, output};
use crate::settings::of_file::settings_of;
use crate::thermometry::iec60751::{Class, ClassRanges, Construction};
use crate::thermometry::{
    Certificate, Converted, Quantity, Scale, SubrangeEntry, Thermometers, convert,
};
use clap::Args;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Convert resistance, ratio or temperature by ITS-90 or IEC 60751
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook convert --iec-60751 --class A 100 138.51\n  \
    driftbook convert --iec-60751 --class B --pipeline mine.toml --from temperature 400\n  \
    driftbook convert --triple-point 25.4796 --coefficients 8:a=-1.43e-4,b=-1.7e-5 35.4858\n  \
    driftbook convert --thermometer th-001.toml --csv readings.csv --column ohm\n  \
    driftbook convert --thermometer data/demo/thermometers.toml --instrument TH-105 --from temperature 100")]
pub struct Arguments {
    /// Numbers to convert
    #[arg(allow_negative_numbers = true)]
    values: Vec<f64>,
    /// What the numbers are (resistance in Ω, temperature in °C)
    #[arg(long, value_enum, default_value_t)]
    from: Quantity,
    /// Convert a column of this CSV file instead (- for standard input)
    #[arg(
        long,
        value_name = "FILE",
        requires = "column",
        conflicts_with = "values"
    )]
    csv: Option<PathBuf>,
    /// Column to convert
    #[arg(long, value_name = "NAME")]
    column: Option<String>,
    /// Write to this file instead of standard output
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Replace a file that is already there
    #[arg(long, requires = "out")]
    replace: bool,
    /// Print JSON
    #[arg(long, conflicts_with = "csv")]
    json: bool,
    /// Reference thermometer on the ITS-90: its certificate as a TOML file, or the file of the
    /// thermometers with --instrument
    #[arg(long, value_name = "FILE", conflicts_with_all = ["triple_point", "coefficients", "iec_60751"])]
    thermometer: Option<PathBuf>,
    /// Reference thermometer: its name in the file of the thermometers
    #[arg(long, value_name = "NAME", requires = "thermometer")]
    instrument: Option<String>,
    /// Reference thermometer: resistance at the triple point of water, Ω
    #[arg(long, value_name = "OHM", conflicts_with = "iec_60751")]
    triple_point: Option<f64>,
    /// Reference thermometer: subrange and coefficients, as 8:a=-1.4e-4,b=-1.7e-5 (repeatable)
    #[arg(long, value_name = "TEXT", requires = "triple_point")]
    coefficients: Vec<String>,
    /// Industrial sensor after IEC 60751
    #[arg(long)]
    iec_60751: bool,
    /// Industrial sensor: resistance at 0 °C, Ω
    #[arg(long, value_name = "OHM", default_value_t = 100.0)]
    r0: f64,
    /// Industrial sensor: tolerance class
    #[arg(long, value_enum, requires = "iec_60751", ignore_case = true)]
    class: Option<Class>,
    /// Industrial sensor: construction, which sets the range of the class
    #[arg(long, value_enum, default_value_t)]
    construction: Construction,
    /// Pipeline file whose [thermometry.class_ranges] hold
    #[arg(long, value_name = "PIPELINE", requires = "class")]
    pipeline: Option<PathBuf>,
}

/// Converts and prints; see the module.
pub fn run(arguments: &Arguments) -> CommandResult {
    let scale = scale(arguments)?;
    let (text, failed) = match (&arguments.csv, &arguments.column) {
        (Some(file), Some(column)) => convert_table(&scale, arguments.from, file, column)?,
        _ => convert_values(&scale, arguments)?,
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

fn scale(arguments: &Arguments) -> Result<Scale, CommandError> {
    let usage = |e: &dyn std::fmt::Display| CommandError::Usage(e.to_string());
    if arguments.iec_60751 {
        return Ok(Scale::Industrial {
            r0_ohm: arguments.r0,
            class: arguments.class,
            construction: arguments.construction,
            ranges: class_ranges(arguments.pipeline.as_deref())?,
        });
    }
    if let (Some(path), Some(name)) = (&arguments.thermometer, &arguments.instrument) {
        let all = Thermometers::from_text(&read(path)?)
            .map_err(|e| CommandError::Usage(format!("{}: {e}", path.display())))?;
        let facts = all.of(name).ok_or_else(|| {
            let names: Vec<&str> = all
                .thermometer
                .iter()
                .map(|t| t.instrument.as_str())
                .collect();
            CommandError::Usage(format!(
                "{}: no thermometer {name}; the file has {}",
                path.display(),
                names.join(", ")
            ))
        })?;
        return Ok(Scale::Its90(facts.thermometer().map_err(|e| usage(&e))?));
    }
    let certificate = match (&arguments.thermometer, arguments.triple_point) {
        (Some(path), _) => {
            let text = read(path)?;
            if Thermometers::from_text(&text).is_ok_and(|all| !all.thermometer.is_empty()) {
                return Err(CommandError::Usage(format!(
                    "{} lists several thermometers; name one with --instrument",
                    path.display()
                )));
            }
            toml::from_str::<Certificate>(&text)
                .map_err(|e| CommandError::Usage(format!("{}: {e}", path.display())))?
        }
        (None, Some(triple_point_ohm)) => Certificate {
            triple_point_ohm,
            subrange: arguments
                .coefficients
                .iter()
                .map(|text| SubrangeEntry::from_text(text))
                .collect::<Result<_, _>>()
                .map_err(|e| usage(&e))?,
        },
        (None, None) => {
            return Err(CommandError::Usage(
                "which thermometer? Give --thermometer FILE, or --triple-point OHM with \
                 --coefficients, or --iec-60751"
                    .into(),
            ));
        }
    };
    let thermometer = certificate.thermometer().map_err(|e| usage(&e))?;
    Ok(Scale::Its90(thermometer))
}

/// Ranges of the classes as the pipeline file states them, else the defaults.
fn class_ranges(pipeline: Option<&Path>) -> Result<ClassRanges, CommandError> {
    let Some(path) = pipeline else {
        return Ok(ClassRanges::default());
    };
    let settings = settings_of(path).map_err(|e| CommandError::Usage(e.to_string()))?;
    Ok(settings.thermometry.class_ranges)
}

fn convert_values(scale: &Scale, arguments: &Arguments) -> Result<(String, usize), CommandError> {
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
                    serde_json::json!({"value": value, "converted": converted, "note": note})
                }
                Err(e) => serde_json::json!({"value": value, "error": e.to_string()}),
            })
            .collect();
        let text =
            serde_json::to_string_pretty(&rows).map_err(|e| CommandError::Failed(e.to_string()))?;
        return Ok((text + "\n", failed));
    }
    let mut text = String::new();
    let tolerance = matches!(scale, Scale::Industrial { class: Some(_), .. });
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
    Ok((text, failed))
}

fn line(c: &Converted, scale: &Scale, tolerance: bool) -> String {
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
