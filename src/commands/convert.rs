/*! `driftbook convert`: resistance, ratio and temperature, there and back. */

use super::convert_correction::correct;
use super::convert_scale::scale;
use super::convert_table::convert_table;
use super::{CommandError, CommandResult, output};
use crate::thermometry::convert_u::{KnownU, PARTS, TemperatureU};
use crate::thermometry::iec60751::{Class, Construction};
use crate::thermometry::{Converted, Quantity, Scale, convert};
use clap::Args;
use std::fmt::Write as _;
use std::path::PathBuf;

/// Convert resistance, ratio or temperature by ITS-90 or IEC 60751
#[derive(Debug, Args)]
#[command(after_help = "Examples:\n  \
    driftbook convert --iec-60751 --class A 100 138.51\n  \
    driftbook convert --iec-60751 --r0 100.012 --own a=3.9112e-3,b=-5.79e-7 --u 0.002 138.51\n  \
    driftbook convert --iec-60751 --class B --pipeline mine.toml --from temperature 400\n  \
    driftbook convert --triple-point 25.4796 --coefficients 8:a=-1.43e-4,b=-1.7e-5 35.4858\n  \
    driftbook convert --thermometer th-001.toml --csv readings.csv --column ohm\n  \
    driftbook convert --thermometer data/demo/thermometers.toml --instrument TH-105 --from temperature 100\n  \
    driftbook convert --records lab.toml --instrument P-1 --date 2026-09-05 --u 0.0002 138.5     with the drift up to that day\n  \
    driftbook convert --correction-line certificate.csv 25 30                                  a direct-reading thermometer")]
pub struct Arguments {
    /// Numbers to convert
    #[arg(allow_negative_numbers = true)]
    pub(super) values: Vec<f64>,
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
    pub(super) json: bool,
    /// Reference thermometer on the ITS-90: its certificate as a TOML file, or the file of the
    /// thermometers with --instrument
    #[arg(long, value_name = "FILE", conflicts_with_all = ["triple_point", "coefficients", "iec_60751"])]
    pub(super) thermometer: Option<PathBuf>,
    /// Reference thermometer: the laboratory's pipeline file, whose sessions say how it drifts; with --instrument
    #[arg(long, value_name = "PIPELINE", requires = "instrument", conflicts_with_all = ["thermometer", "triple_point", "iec_60751"])]
    pub(super) records: Option<PathBuf>,
    /// With --records: day for which the drift is predicted [default: the as-of date]
    #[arg(long, value_name = "DATE", requires = "records")]
    pub(super) date: Option<String>,
    /// Reference thermometer: its name in the file of the thermometers
    #[arg(long, value_name = "NAME")]
    pub(super) instrument: Option<String>,
    /// Reference thermometer: resistance at the triple point of water, Ω
    #[arg(long, value_name = "OHM", conflicts_with = "iec_60751")]
    pub(super) triple_point: Option<f64>,
    /// Reference thermometer: subrange and coefficients, as 8:a=-1.4e-4,b=-1.7e-5 (repeatable)
    #[arg(long, value_name = "TEXT", requires = "triple_point")]
    pub(super) coefficients: Vec<String>,
    /// Reference thermometer that never carried the scale: industrial platinum by coefficients of the ITS-90
    #[arg(long, conflicts_with = "iec_60751")]
    pub(super) secondary: bool,
    /// Standard uncertainty of the numbers, in their own unit
    #[arg(long, value_name = "U")]
    pub(super) u: Option<f64>,
    /// Standard uncertainty of R at the triple point of water, Ω [default: as the file states it]
    #[arg(long, value_name = "OHM", conflicts_with = "iec_60751")]
    pub(super) u_triple_point: Option<f64>,
    /// Standard uncertainty of a temperature by the coefficients, mK [default: as the file states it, else
    /// from its u_points_mk; of a class, its tolerance over √3]
    #[arg(long, value_name = "MK")]
    pub(super) u_curve: Option<f64>,
    /// Direct-reading thermometer: correct the numbers by the straight line through the corrections of
    /// this CSV file, columns temperature_c and correction_c
    #[arg(long, value_name = "FILE", conflicts_with_all = ["from", "csv", "thermometer", "records", "triple_point", "iec_60751", "secondary", "u_curve"])]
    pub(super) correction_line: Option<PathBuf>,
    /// Industrial sensor after IEC 60751
    #[arg(long)]
    pub(super) iec_60751: bool,
    /// Industrial sensor: resistance at 0 °C, Ω
    #[arg(long, value_name = "OHM", default_value_t = 100.0)]
    pub(super) r0: f64,
    /// Industrial sensor: coefficients of its own (Callendar–Van Dusen) in the form of IEC 60751, as
    /// a=3.9083e-3,b=-5.775e-7,c=-4.183e-12; c only for use below 0 °C
    #[arg(
        long,
        value_name = "TEXT",
        requires = "iec_60751",
        conflicts_with = "class"
    )]
    pub(super) own: Option<String>,
    /// Industrial sensor: tolerance class
    #[arg(long, value_enum, requires = "iec_60751", ignore_case = true)]
    pub(super) class: Option<Class>,
    /// Industrial sensor: construction, which sets the range of the class
    #[arg(long, value_enum, default_value_t)]
    pub(super) construction: Construction,
    /// Pipeline file whose [thermometry.class_ranges] hold
    #[arg(long, value_name = "PIPELINE", requires = "class")]
    pub(super) pipeline: Option<PathBuf>,
}

/// Converts and prints; see the module.
pub fn run(arguments: &Arguments) -> CommandResult {
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
    scale: &Scale,
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
