/*! How fast records load: 100,000 instruments × 12 checks of invented data, CSV.

`cargo bench --bench load` writes the table (seeded, some 60 MB) to a temporary
folder, loads it shuffled and sorted, and prints the best of a few rounds:
seconds, rows a second, and the highest memory of the process so far (Linux).
`cargo bench --bench load -- 1000` takes another number of instruments.
*/

use driftbook::records::{ChecksSettings, FormerNames, RegisterSettings, Request, load};
use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use std::error::Error;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::Instant;

const INSTRUMENTS: usize = 100_000;
const CHECKS: usize = 12;
const ROUNDS: usize = 5;

fn main() -> Result<(), Box<dyn Error>> {
    let wanted = std::env::args().find_map(|a| a.parse().ok());
    let instruments = wanted.unwrap_or(INSTRUMENTS);
    let folder = tempfile::tempdir()?;
    for (name, shuffled) in [("sorted", false), ("shuffled", true)] {
        let path = folder.path().join(format!("{name}.csv"));
        write_table(&path, instruments, shuffled)?;
        measure(name, &path)?;
    }
    Ok(())
}

fn measure(name: &str, path: &Path) -> Result<(), Box<dyn Error>> {
    let paths = [PathBuf::from(path)];
    let request = Request {
        checks: &paths,
        register: None,
        base: Path::new(""),
        checks_settings: &ChecksSettings::default(),
        forms: &[],
        register_settings: &RegisterSettings::default(),
        approvals: None,
        former: &FormerNames::default(),
        as_of: 20_634.0,
        books_as_of: 20_634.0,
    };
    let mut best = f64::INFINITY;
    let mut rows = 0;
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let loaded = load(&request)?;
        best = best.min(start.elapsed().as_secs_f64());
        rows = loaded.rows.used;
        assert_eq!(rows, loaded.rows.read, "{:?}", loaded.rejects.first());
    }
    let megabytes = std::fs::metadata(path).map_or(0.0, |m| m.len() as f64 / 1e6);
    println!(
        "{name:9} {megabytes:6.1} MB  {rows} rows  {best:6.3} s  {:5.2} million rows/s  peak {}",
        rows as f64 / best / 1e6,
        peak_memory()
    );
    Ok(())
}

/// Writes the table: one row a check, sorted by instrument or shuffled. Each row is
/// drawn from its own number, so that no copy of the table is held in memory.
fn write_table(path: &Path, instruments: usize, shuffled: bool) -> std::io::Result<()> {
    let mut order: Vec<u32> = (0..(instruments * CHECKS) as u32).collect();
    if shuffled {
        order.shuffle(&mut rand_pcg::Pcg64::seed_from_u64(1));
    }
    let mut out = std::io::BufWriter::new(std::fs::File::create(path)?);
    writeln!(out, "instrument,point,date,as_found,u,lower,upper")?;
    for number in order {
        let (i, j) = (number as usize / CHECKS, number as usize % CHECKS);
        let mut random = rand_pcg::Pcg64::seed_from_u64(u64::from(number));
        let value = 0.001 * (i % 19) as f64 * j as f64 + random.random_range(-0.005..0.005);
        let (month, day) = (random.random_range(1..=12), random.random_range(1..=28));
        let year = 2014 + j;
        writeln!(
            out,
            "TH-{i:06},100 °C,{year}-{month:02}-{day:02},{value:.5},0.004,-0.1,0.1"
        )?;
    }
    out.flush()
}

fn peak_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.map_or("unknown".to_string(), |l| l.trim().to_string())
}
