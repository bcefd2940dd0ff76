/*! The whole run against the floor: 100,000 instruments × 12 checks, CSV.

`cargo bench --bench fleet [-- INSTRUMENTS]` writes the table (seeded) sorted and shuffled,
times polars alone (read, sort by instrument, point and date, write; `benches/limit`) and
`driftbook run --charts none` on it, and prints rows per second, the ratio of
the two and the peak memory against the size of the table.
*/

use rand::{Rng, SeedableRng, seq::SliceRandom};
use rand_distr::{Distribution, StandardNormal};
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

const CHECKS: usize = 12;
const SEED: u64 = 20_260_630;

fn normal(random: &mut impl Rng) -> f64 {
    StandardNormal.sample(random)
}

fn rows(instruments: usize) -> Vec<String> {
    let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(SEED);
    let mut rows = Vec::with_capacity(instruments * CHECKS);
    for i in 0..instruments {
        let drift = 0.2 * normal(&mut random);
        for check in 0..CHECKS {
            let day = chrono::NaiveDate::from_ymd_opt(2014, 1, 6).and_then(|d| {
                d.checked_add_days(chrono::Days::new((check * 361 + i % 300) as u64))
            });
            let value = drift * check as f64 + 0.1 * normal(&mut random);
            if let Some(day) = day {
                rows.push(format!("I-{i:06},p,{day},{value:.5},0.1,-2,2"));
            }
        }
    }
    rows
}

fn write(path: &Path, rows: &[String]) -> std::io::Result<u64> {
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper\n");
    for row in rows {
        let _ = writeln!(text, "{row}");
    }
    std::fs::write(path, &text)?;
    Ok(text.len() as u64)
}

/// Seconds that the limit program takes; it is built at its first use.
fn limit(table: &Path, out: &Path) -> Result<f64, Box<dyn std::error::Error>> {
    let manifest = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/limit/Cargo.toml");
    let target = concat!(env!("CARGO_MANIFEST_DIR"), "/target/limit");
    let done = Command::new(env!("CARGO"))
        .args(["run", "--release", "--quiet", "--manifest-path", manifest])
        .args(["--target-dir", target, "--"])
        .args([table, out])
        .output()?;
    match done.status.success() {
        true => Ok(String::from_utf8(done.stdout)?.trim().parse()?),
        false => Err(String::from_utf8_lossy(&done.stderr).into()),
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let instruments = std::env::args()
        .filter_map(|a| a.parse().ok())
        .next()
        .unwrap_or(100_000);
    let folder = tempfile::tempdir()?;
    let mut rows = rows(instruments);
    for order in ["sorted", "shuffled"] {
        if order == "shuffled" {
            rows.shuffle(&mut rand_pcg::Pcg64Mcg::seed_from_u64(SEED));
        }
        let table = folder.path().join(format!("{order}.csv"));
        let bytes = write(&table, &rows)?;
        let floor = limit(&table, &folder.path().join("floor.csv"))?;
        let out = folder.path().join("out");
        let start = Instant::now();
        let status = Command::new(env!("CARGO_BIN_EXE_driftbook"))
            .args([
                "run",
                "--charts",
                "none",
                "--quiet",
                "--as-of",
                "2026-06-30",
                "--out",
            ])
            .args([&out, &table])
            .status()?;
        let seconds = start.elapsed().as_secs_f64();
        let timings: serde_json::Value =
            serde_json::from_str(&std::fs::read_to_string(out.join("timings.json"))?)?;
        let peak = timings["peak_memory_bytes"].as_f64().unwrap_or(f64::NAN);
        println!(
            "{order}: {} rows, {:.0} MB; polars alone {floor:.2} s; driftbook {seconds:.2} s \
             (exit {:?}), ratio {:.2}, {:.0} rows/s; peak memory {:.0} MB = {:.1} × the file",
            rows.len(),
            bytes as f64 / 1e6,
            status.code(),
            seconds / floor,
            rows.len() as f64 / seconds,
            peak / 1e6,
            peak / bytes as f64,
        );
        println!("{timings:#}");
    }
    Ok(())
}
