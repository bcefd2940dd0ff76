/*! How fast records load: 100,000 instruments × 12 checks of invented data, CSV.

`cargo bench --bench load` writes the table (seeded, some 60 MB) to a temporary
folder, loads it shuffled and sorted, and prints the best of a few rounds:
seconds, rows a second, and the highest memory of the process so far (Linux).
`cargo bench --bench load -- 1000` takes another number of instruments.
*/

use driftbook::records::{ChecksSettings, RegisterSettings, Request, load};
use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::time::Instant;

const INSTRUMENTS: usize = 100_000;
const CHECKS: usize = 12;
const ROUNDS: usize = 5;

fn main() {
    let wanted = std::env::args().find_map(|a| a.parse().ok());
    let instruments = wanted.unwrap_or(INSTRUMENTS);
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, shuffled) in [("sorted", false), ("shuffled", true)] {
        let path = folder.path().join(format!("{name}.csv"));
        std::fs::write(&path, table(instruments, shuffled)).expect("room for the table");
        measure(name, &path);
    }
}

fn measure(name: &str, path: &Path) {
    let paths = [PathBuf::from(path)];
    let request = Request {
        checks: &paths,
        register: None,
        base: Path::new(""),
        checks_settings: &ChecksSettings::default(),
        register_settings: &RegisterSettings::default(),
        as_of: 20_634.0,
    };
    let mut best = f64::INFINITY;
    let mut rows = 0;
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let loaded = load(&request).expect("a readable table");
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
}

/// The table as CSV text: one row a check, sorted by instrument or shuffled.
fn table(instruments: usize, shuffled: bool) -> String {
    let mut random = rand_pcg::Pcg64::seed_from_u64(1);
    let mut rows = Vec::with_capacity(instruments * CHECKS);
    for i in 0..instruments {
        let drift: f64 = random.random_range(-0.01..0.01);
        for j in 0..CHECKS {
            let value = drift * j as f64 + random.random_range(-0.005..0.005);
            let (month, day) = (random.random_range(1..=12), random.random_range(1..=28));
            let year = 2014 + j;
            rows.push(format!(
                "TH-{i:06},100 °C,{year}-{month:02}-{day:02},{value:.5},0.004,-0.1,0.1\n"
            ));
        }
    }
    if shuffled {
        rows.shuffle(&mut random);
    }
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper\n");
    for row in rows {
        let _ = text.write_str(&row);
    }
    text
}

fn peak_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.map_or("unknown".to_string(), |l| l.trim().to_string())
}
