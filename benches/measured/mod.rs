/*! A run of the program that is measured: what the benchmarks of whole runs share. */

use std::path::Path;
use std::process::Command;

pub type Failure = Box<dyn std::error::Error>;

/// The run of a table without charts, its report in `out`.
pub fn run_without_charts(table: &Path, out: &Path) -> Command {
    let mut run = Command::new(env!("CARGO_BIN_EXE_driftbook"));
    run.args([
        "run",
        "--charts",
        "none",
        "--quiet",
        "--as-of",
        "2026-06-30",
    ]);
    run.arg("--out").args([out, table]);
    run
}

/// The timings of the report in `out`, which is removed.
pub fn timings(out: &Path) -> Result<serde_json::Value, Failure> {
    let timings = std::fs::read_to_string(out.join("timings.json"))?;
    std::fs::remove_dir_all(out)?;
    Ok(serde_json::from_str(&timings)?)
}

/// Seconds of processor time of the commands that ended so far (Linux).
pub fn processor() -> f64 {
    const TICKS_A_SECOND: f64 = 100.0;
    let text = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields: Vec<&str> = text.rsplit(')').next().unwrap_or("").split(' ').collect();
    let ticks = |place: usize| {
        let field = fields.get(place);
        field.and_then(|field| field.parse::<f64>().ok())
    };
    (ticks(14).unwrap_or(f64::NAN) + ticks(15).unwrap_or(f64::NAN)) / TICKS_A_SECOND
}
