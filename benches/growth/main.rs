/*! How time and memory grow: with the instruments of a fleet (which are one class), and with
the checks of a history.

`cargo bench --bench growth [-- MOST_CHECKS]` runs `driftbook run` on seeded tables of up to
MOST_CHECKS rows (12,000,000 by default), writes a table into docs/performance.md, between the
marks of it, and draws docs/performance-growth.svg: each row is ten times as large as the one
above it. The last column is the growth of the time divided by that of n log n, n being the number
of checks, so that 1 or less is the aim. With fewer rows than by default nothing is written: the
table is printed alone.
*/

mod chart;
#[path = "../measured/mod.rs"]
mod measured;

use measured::{Failure, processor, run_without_charts, timings};
use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use std::fmt::Write as _;
use std::io::{BufWriter, Write as _};
use std::path::Path;

const SEED: u64 = 20_260_630;
const MOST_CHECKS: usize = 12_000_000;
/// First day of the tables, days since 1970-01-01: 2014-01-06.
const FIRST_DAY: usize = 16_076;
/// Days over which the checks of a history are spread.
const DAYS: usize = 12 * 361;

/// Where the table stands in the page of figures.
const PAGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/performance.md");
const BEGIN: &str = "<!-- growth: written by `cargo bench --bench growth` -->\n";
const END: &str = "<!-- growth ends -->\n";
const PICTURE: &str =
    "![Time and memory against checks, both axes in powers of ten](performance-growth.svg)";
const CHART: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/docs/performance-growth.svg");

/// A row of the table of results.
#[derive(Clone, Copy)]
struct Measured {
    checks: usize,
    seconds: f64,
    processor: f64,
    megabytes: f64,
}

fn write(path: &Path, instruments: usize, checks: usize) -> Result<(), Failure> {
    let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(SEED);
    let mut file = BufWriter::new(std::fs::File::create(path)?);
    writeln!(file, "instrument,point,date,as_found,u,lower,upper")?;
    let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
    let (mut line, seconds_apart) = (String::new(), DAYS * 86_400 / checks);
    for instrument in 0..instruments {
        let drift = 0.2 * normal();
        for check in 0..checks {
            let second = (FIRST_DAY + instrument % 300) * 86_400 + check * seconds_apart;
            let moment = chrono::DateTime::from_timestamp(second as i64, 0).ok_or("no date")?;
            let value = drift * 12.0 * check as f64 / checks as f64 + 0.1 * normal();
            line.clear();
            write!(
                line,
                "I-{instrument:07},p,{},",
                moment.format("%Y-%m-%dT%H:%M:%S")
            )?;
            writeln!(file, "{line}{value:.5},0.1,-2,2")?;
        }
    }
    Ok(file.flush()?)
}

fn measure(folder: &Path, instruments: usize, checks: usize) -> Result<Measured, Failure> {
    let (table, out) = (folder.join("checks.csv"), folder.join("out"));
    write(&table, instruments, checks)?;
    let before = processor();
    let done = run_without_charts(&table, &out).status()?;
    if !done.success() {
        return Err(format!("driftbook ended with {done}").into());
    }
    let processor = processor() - before;
    let timings = timings(&out)?;
    let number = |name: &str| {
        timings[name]
            .as_f64()
            .ok_or("no such number in timings.json")
    };
    Ok(Measured {
        checks: instruments * checks,
        seconds: number("total_seconds")?,
        processor,
        megabytes: number("peak_memory_bytes")? / 1e6,
    })
}

fn main() -> Result<(), Failure> {
    let most = std::env::args().find_map(|word| word.parse().ok());
    let most = most.unwrap_or(MOST_CHECKS);
    let folder = tempfile::tempdir()?;
    let fleets = [1_000, 10_000, 100_000, 1_000_000].map(|instruments| (instruments, 12));
    let long = [10, 100, 1_000, 10_000, 100_000, 1_000_000].map(|checks| (1, checks));
    let mut table = String::from(
        "| instruments | checks each | seconds | processor seconds | peak memory, MB | time against n log n |\n\
         | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    print!("{table}");
    let mut measured: [Vec<Measured>; 2] = Default::default();
    for (series, measured) in [&fleets[..], &long[..]].into_iter().zip(&mut measured) {
        for &(instruments, checks) in series.iter().filter(|(i, c)| i * c <= most) {
            let now = measure(folder.path(), instruments, checks)?;
            let growth = measured.last().map_or(String::new(), |before| {
                let expected = n_log_n(now.checks) / n_log_n(before.checks);
                format!("{:.2}", now.seconds / before.seconds / expected)
            });
            let Measured {
                seconds,
                processor,
                megabytes,
                ..
            } = now;
            let row = format!(
                "| {instruments} | {checks} | {seconds:.2} | {processor:.2} | {megabytes:.0} | {growth} |\n"
            );
            print!("{row}");
            table.push_str(&row);
            measured.push(now);
        }
    }
    if most == MOST_CHECKS {
        write_table(&table)?;
        chart::draw(Path::new(CHART), &measured)?;
    }
    Ok(())
}

/// What the time of so many checks should grow with.
fn n_log_n(checks: usize) -> f64 {
    checks as f64 * (checks as f64).ln()
}

/// Puts the table in the place of the one before it.
fn write_table(table: &str) -> Result<(), Failure> {
    let page = std::fs::read_to_string(PAGE)?;
    let (before, rest) = page.split_once(BEGIN).ok_or("no mark of the table")?;
    let (_, after) = rest.split_once(END).ok_or("no mark of its end")?;
    let day = chrono::Local::now().format("%-d %B %Y, %H:%M");
    let threads = std::thread::available_parallelism()?;
    let said = format!("Written on {day} with {threads} threads, by the clock:\n");
    std::fs::write(
        PAGE,
        format!("{before}{BEGIN}\n{said}\n{table}\n{PICTURE}\n\n{END}{after}"),
    )?;
    Ok(())
}
