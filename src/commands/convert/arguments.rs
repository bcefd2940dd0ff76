/*! What `driftbook convert` is asked. */

use crate::records::cells::number::amount::Amount;
use crate::thermometry::Quantity;
use crate::thermometry::iec60751::{Class, Construction};
use clap::Args;
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
pub(crate) struct Arguments {
    /// Numbers to convert
    #[arg(allow_negative_numbers = true, value_parser = Amount::bare)]
    pub(super) values: Vec<f64>,
    /// What the numbers are (resistance in Ω, temperature in °C)
    #[arg(long, value_enum, default_value_t)]
    pub(super) from: Quantity,
    /// Convert a column of this CSV file instead (- for standard input)
    #[arg(
        long,
        value_name = "FILE",
        requires = "column",
        conflicts_with = "values"
    )]
    pub(super) csv: Option<PathBuf>,
    /// Column to convert
    #[arg(long, value_name = "NAME")]
    pub(super) column: Option<String>,
    /// Write to this file instead of standard output
    #[arg(long, value_name = "FILE")]
    pub(super) out: Option<PathBuf>,
    /// Replace a file that is already there
    #[arg(long, requires = "out")]
    pub(super) replace: bool,
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
