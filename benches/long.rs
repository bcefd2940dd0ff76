/*! One history of any length: how the time grows with the number of its checks.

`cargo bench --bench long [-- CHECKS …]` writes one history a case (seeded): spread over thirty
years, with a yearly swing, with one reading in twenty wild, adjusted at every third check, all
on one day, and of outcomes alone, the adjusted one with other models too; runs `driftbook run` on it without and with its chart, and
prints the seconds, the time per check against that of the shortest, and the peak memory. Times
that grow no faster than n·log n leave the ratio near one: from a thousand checks to a million
n·log n grows twice as fast as n, and a row that grew faster says so.
*/

use rand::{Rng, RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;
use std::time::Instant;

const CHECKS: [usize; 4] = [1_000, 10_000, 100_000, 1_000_000];
/// Record and drift model.
const CASES: [(&str, &str); 10] = [
    ("spread", "state"),
    ("swing", "state"),
    ("wild", "state"),
    ("adjusted", "state"),
    ("adjusted", "wander"),
    ("adjusted", "constant"),
    ("adjusted", "quadratic"),
    ("adjusted", "season"),
    ("one day", "state"),
    ("outcomes", "state"),
];
const SEED: u64 = 20_260_630;
const SECONDS_A_DAY: f64 = 86_400.0;
const YEARS: f64 = 30.0;
/// Growth of the time per check above which it is more than that of n·log n.
const MOST_GROWTH: f64 = 2.0;

fn normal(random: &mut impl Rng) -> f64 {
    StandardNormal.sample(random)
}

fn table(case: &str, checks: usize) -> String {
    let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(SEED);
    let mut text = String::from(match case {
        "outcomes" => "instrument,date,in_tolerance\n",
        _ => "instrument,date,as_found,as_left,event,u,lower,upper\n",
    });
    let start = chrono::NaiveDate::from_ymd_opt(1990, 1, 1)
        .and_then(|day| day.and_hms_opt(0, 0, 0))
        .unwrap_or_default();
    let days = if case == "one day" {
        0.99
    } else {
        YEARS * 365.25
    };
    let mut level = 0.0;
    for i in 0..checks {
        let day = days * i as f64 / checks as f64;
        let moment = start + chrono::Duration::seconds((day * SECONDS_A_DAY) as i64);
        let date = moment.format("%Y-%m-%d %H:%M:%S");
        if case == "outcomes" {
            let _ = writeln!(text, "A,{date},{}", random.random::<f64>() > 0.02);
            continue;
        }
        level += 0.3 * normal(&mut random) / (checks as f64).sqrt();
        let mut value = level + 0.1 * normal(&mut random);
        if case == "swing" {
            value += 0.5 * (std::f64::consts::TAU * day / 365.25).sin();
        }
        if case == "wild" && random.random::<f64>() < 0.05 {
            value += 2.0 * normal(&mut random);
        }
        let set = match case {
            "adjusted" if i % 3 == 0 => format!("{:.4},adjusted", value - 0.01),
            _ => ",".into(),
        };
        let _ = writeln!(text, "A,{date},{value:.4},{set},0.1,-2,2");
    }
    text
}

fn peak_megabytes(out: &Path) -> u64 {
    let text = std::fs::read_to_string(out.join("timings.json")).unwrap_or_default();
    let timings: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
    timings["peak_memory_bytes"].as_u64().unwrap_or(0) >> 20
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let asked: Vec<usize> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    let sizes = if asked.is_empty() {
        CHECKS.to_vec()
    } else {
        asked
    };
    let folder = tempfile::tempdir()?;
    println!("case        model      charts     checks   seconds  per check  peak MB");
    for (case, model) in CASES {
        for charts in ["none", "all"] {
            let mut shortest = None;
            for checks in &sizes {
                let records = folder.path().join("checks.csv");
                std::fs::write(&records, table(case, *checks))?;
                let pipeline = folder.path().join("pipeline.toml");
                let keys =
                    format!("[checks]\nfiles = [\"checks.csv\"]\n[drift]\nmodel = \"{model}\"\n");
                std::fs::write(&pipeline, keys)?;
                let out = folder.path().join("out");
                let start = Instant::now();
                let status = Command::new(env!("CARGO_BIN_EXE_driftbook"))
                    .args([
                        "run",
                        "--quiet",
                        "--as-of",
                        "2026-06-30",
                        "--charts",
                        charts,
                    ])
                    .args(["--out".as_ref(), out.as_os_str(), pipeline.as_os_str()])
                    .status()?;
                let seconds = start.elapsed().as_secs_f64();
                let each = seconds / *checks as f64;
                let first = *shortest.get_or_insert(each);
                println!(
                    "{case:10}  {model:9}  {charts:6} {checks:>10} {seconds:>9.3} {:>9.2}× {:>8}{}",
                    each / first,
                    peak_megabytes(&out),
                    match each / first > MOST_GROWTH {
                        _ if !status.success() => "  failed",
                        true => "  faster than n log n",
                        false => "",
                    },
                );
                std::fs::remove_dir_all(&out)?;
            }
        }
    }
    Ok(())
}
