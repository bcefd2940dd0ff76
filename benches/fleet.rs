/*! The whole run against the floor: 100,000 instruments × 12 checks.

`cargo bench --bench fleet [-- INSTRUMENTS]` writes the table (seeded, shuffled) as CSV and as
Parquet. Five times it has polars alone read, sort by instrument, point and date, and write it
(`benches/limit`), and right after that runs `driftbook run --charts none` on it. It ends in a
table of the medians: seconds by the clock and of processor time of both, the ratio of the two
processor times, and the peak memory against the size of the table.
*/

#[path = "measured/mod.rs"]
mod measured;

use measured::{Failure, processor, run_without_charts, timings};
use polars::prelude::*;
use rand::{Rng, SeedableRng, seq::SliceRandom};
use rand_distr::{Distribution, StandardNormal};
use std::fs::File;
use std::io::{BufWriter, Write as _};
use std::path::Path;
use std::process::Command;
use std::time::Instant;

const CHECKS: usize = 12;
const SEED: u64 = 20_260_630;
const ROUNDS: usize = 5;
/// First day of the tables, days since 1970-01-01: 2014-01-06.
const FIRST_DAY: i32 = 16_076;

struct Row {
    instrument: usize,
    day: i32,
    value: f64,
}

/// What one command took, in seconds.
#[derive(Clone, Copy)]
struct Took {
    clock: f64,
    processor: f64,
}

fn rows(instruments: usize) -> Vec<Row> {
    let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(SEED);
    let normal = |random: &mut dyn Rng| -> f64 { StandardNormal.sample(random) };
    let mut rows = Vec::with_capacity(instruments * CHECKS);
    for instrument in 0..instruments {
        let drift = 0.2 * normal(&mut random);
        for check in 0..CHECKS {
            let day = FIRST_DAY + (check * 361 + instrument % 300) as i32;
            let value = drift * check as f64 + 0.1 * normal(&mut random);
            let value = (value * 1e5).round() / 1e5;
            rows.push(Row {
                instrument,
                day,
                value,
            });
        }
    }
    rows.shuffle(&mut random);
    rows
}

fn write_csv(path: &Path, rows: &[Row]) -> Result<(), Failure> {
    let mut file = BufWriter::new(File::create(path)?);
    writeln!(file, "instrument,point,date,as_found,u,lower,upper")?;
    for row in rows {
        let moment = chrono::DateTime::from_timestamp(i64::from(row.day) * 86_400, 0);
        let day = moment.ok_or("no date")?.date_naive();
        writeln!(
            file,
            "I-{:07},p,{day},{},0.1,-2,2",
            row.instrument, row.value
        )?;
    }
    Ok(file.flush()?)
}

fn write_parquet(path: &Path, rows: &[Row]) -> Result<(), Failure> {
    let names: Vec<String> = rows
        .iter()
        .map(|r| format!("I-{:07}", r.instrument))
        .collect();
    let days: Vec<i32> = rows.iter().map(|r| r.day).collect();
    let days = Column::new("date".into(), days).cast(&DataType::Date)?;
    let same = |name: &str, value: f64| Column::new(name.into(), vec![value; rows.len()]);
    let columns = vec![
        Column::new("instrument".into(), names),
        Column::new("point".into(), vec!["p"; rows.len()]),
        days,
        Column::new(
            "as_found".into(),
            rows.iter().map(|r| r.value).collect::<Vec<f64>>(),
        ),
        same("u", 0.1),
        same("lower", -2.0),
        same("upper", 2.0),
    ];
    let mut frame = DataFrame::new(rows.len(), columns)?;
    ParquetWriter::new(File::create(path)?).finish(&mut frame)?;
    Ok(())
}

/// Runs a command to its end.
fn took(command: &mut Command) -> Result<Took, Failure> {
    let (start, before) = (Instant::now(), processor());
    let done = command.output()?;
    match done.status.success() {
        true => Ok(Took {
            clock: start.elapsed().as_secs_f64(),
            processor: processor() - before,
        }),
        false => Err(String::from_utf8_lossy(&done.stderr).into()),
    }
}

fn median(all: &[Took]) -> Took {
    let of = |value: fn(&Took) -> f64| {
        let mut values: Vec<f64> = all.iter().map(value).collect();
        values.sort_by(f64::total_cmp);
        values[values.len() / 2]
    };
    Took {
        clock: of(|t| t.clock),
        processor: of(|t| t.processor),
    }
}

/// Builds the limit program; its path.
fn limit_program() -> Result<String, Failure> {
    let manifest = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/limit/Cargo.toml");
    let target = concat!(env!("CARGO_MANIFEST_DIR"), "/target/limit");
    let arguments = ["build", "--release", "--quiet", "--manifest-path", manifest];
    let mut build = Command::new(env!("CARGO"));
    took(build.args(arguments).args(["--target-dir", target]))?;
    Ok(format!("{target}/release/limit"))
}

fn main() -> Result<(), Failure> {
    let given = std::env::args().find_map(|word| word.parse().ok());
    let limit = limit_program()?;
    let folder = tempfile::tempdir()?;
    let rows = rows(given.unwrap_or(100_000));
    let (csv, parquet) = (folder.path().join("t.csv"), folder.path().join("t.parquet"));
    write_csv(&csv, &rows)?;
    write_parquet(&parquet, &rows)?;
    println!(
        "| table | MB | limit, s | its processor time, s | driftbook, s | its processor time, s | ratio of processor times | peak memory, MB | × the file |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    for table in [&csv, &parquet] {
        let (mut floor, mut own, mut peak) = (Vec::new(), Vec::new(), f64::NAN);
        let out = folder.path().join("out");
        for _ in 0..ROUNDS {
            let sorted = table.with_extension("sorted");
            floor.push(took(Command::new(&limit).args([table, &sorted]))?);
            own.push(took(&mut run_without_charts(table, &out))?);
            let timings = timings(&out)?;
            peak = timings["peak_memory_bytes"].as_f64().unwrap_or(f64::NAN);
        }
        let (floor, own) = (median(&floor), median(&own));
        let bytes = std::fs::metadata(table)?.len() as f64;
        println!(
            "| {} × {CHECKS}, {} | {:.0} | {:.2} | {:.2} | {:.2} | {:.2} | {:.1} | {:.0} | {:.1} |",
            rows.len() / CHECKS,
            table.extension().unwrap_or_default().display(),
            bytes / 1e6,
            floor.clock,
            floor.processor,
            own.clock,
            own.processor,
            own.processor / floor.processor,
            peak / 1e6,
            peak / bytes,
        );
    }
    Ok(())
}
