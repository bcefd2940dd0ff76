/*! The aims that no other benchmark measures, each beside its figure.

`cargo bench --bench aims [-- INSTRUMENTS]` writes seeded tables of INSTRUMENTS (100,000 by
default) with 12 checks each in groups of 500, and of a fifth of that, and prints a table: the fleet
with its flagged charts and group pages, the same after checks of one in a hundred came in, every
chart of the smaller fleet, one reading judged against the standing report, the demo and the help.
Runs of a fleet are single ones; of what takes less than a second the median is told.
*/

use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use std::fs::File;
use std::io::{BufWriter, Write as _};
use std::path::Path;
use std::process::Command;
use std::time::Instant;

const INSTRUMENTS: usize = 100_000;
const CHECKS: usize = 12;
const GROUP: usize = 500;
const SEED: u64 = 20_260_630;
/// First day of the tables, days since 1970-01-01: 2014-01-06.
const FIRST_DAY: i64 = 16_076;
const AS_OF: &str = "2026-06-30";
const ROUNDS: usize = 11;

type Failure = Box<dyn std::error::Error>;

/// Which instruments have one check more than at first.
#[derive(Clone, Copy, PartialEq)]
enum Later {
    Nobody,
    /// One in a hundred of every group.
    Everywhere,
    /// One in a hundred, all of a few groups.
    FewGroups,
}

impl Later {
    fn includes(self, instrument: usize, instruments: usize) -> bool {
        let groups = instruments / GROUP;
        match self {
            Later::Nobody => false,
            Later::Everywhere => (instrument / groups).is_multiple_of(100),
            Later::FewGroups => (instrument % groups).is_multiple_of(100),
        }
    }
}

fn write(folder: &Path, instruments: usize, grouped: bool, later: Later) -> Result<(), Failure> {
    let mut file = BufWriter::new(File::create(folder.join("checks.csv"))?);
    let mut register = BufWriter::new(File::create(folder.join("register.csv"))?);
    writeln!(file, "instrument,point,date,as_found,u,lower,upper")?;
    writeln!(register, "instrument,group,interval_days")?;
    // At the end, as a log grows: a row put in between moves the row numbers of all behind it,
    // which their pages show.
    let mut last_month = String::new();
    for instrument in 0..instruments {
        // Each has its own numbers, so that a check more changes nobody else's.
        let mut random = rand_pcg::Pcg64Mcg::seed_from_u64(SEED + instrument as u64);
        let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
        let (drift, name) = (0.1 * normal(), format!("I-{instrument:07}"));
        let group = match grouped {
            true => format!("G-{:04}", instrument % (instruments / GROUP)),
            false => String::new(),
        };
        writeln!(register, "{name},{group},365")?;
        let more = later.includes(instrument, instruments);
        for check in 0..CHECKS + usize::from(more) {
            // The thirteenth comes in the last month before the as-of date.
            let day = match check {
                CHECKS => FIRST_DAY + 4_550,
                _ => FIRST_DAY + (check * 361 + instrument % 300) as i64,
            };
            let moment = chrono::DateTime::from_timestamp(day * 86_400, 0).ok_or("no date")?;
            let value = drift * check as f64 + 0.1 * normal();
            let line = format!("{name},p,{},{value:.5},0.1,-2,2\n", moment.date_naive());
            match check {
                CHECKS => last_month.push_str(&line),
                _ => file.write_all(line.as_bytes())?,
            }
        }
    }
    file.write_all(last_month.as_bytes())?;
    file.flush()?;
    Ok(register.flush()?)
}

fn settings(folder: &Path, charts: &str) -> Result<(), Failure> {
    let text = format!(
        "as_of = \"{AS_OF}\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n\
         [output]\nfolder = \"report\"\ncharts = \"{charts}\"\n"
    );
    Ok(std::fs::write(folder.join("fleet.toml"), text)?)
}

/// Seconds by the clock until the program ended.
fn took(folder: &Path, arguments: &[&str]) -> Result<f64, Failure> {
    let start = Instant::now();
    let mut command = Command::new(env!("CARGO_BIN_EXE_driftbook"));
    let done = command.current_dir(folder).args(arguments).output()?;
    let seconds = start.elapsed().as_secs_f64();
    // 3: done, and an instrument needs a person.
    match done.status.code() {
        Some(0 | 3) => Ok(seconds),
        _ => Err(String::from_utf8_lossy(&done.stderr).into()),
    }
}

fn median(folder: &Path, arguments: &[&str]) -> Result<f64, Failure> {
    let rounds = (0..ROUNDS).map(|_| took(folder, arguments));
    let mut all = rounds.collect::<Result<Vec<f64>, Failure>>()?;
    all.sort_by(f64::total_cmp);
    Ok(all[ROUNDS / 2])
}

/// Bytes of the files of a folder, each once however many names it has.
fn size(folder: &Path) -> Result<u64, Failure> {
    let text = Command::new("du")
        .args(["-s", "-B1"])
        .arg(folder)
        .output()?;
    let text = String::from_utf8(text.stdout)?;
    let first = text.split_whitespace().next().ok_or("du told nothing")?;
    Ok(first.parse()?)
}

fn row(what: &str, figure: String, met: bool) {
    println!("| {what} | {figure} | {} |", if met { "yes" } else { "no" });
}

/// A run of the fleet, and runs after one in a hundred of it changed.
fn changed(folder: &Path, instruments: usize, grouped: bool, name: &str) -> Result<f64, Failure> {
    let run = ["run", "fleet.toml", "--quiet"];
    write(folder, instruments, grouped, Later::Nobody)?;
    let first = took(folder, &run)?;
    let cases = [
        (Later::Everywhere, "1 % of every group with a new check"),
        (Later::Nobody, "those checks taken back"),
        (Later::FewGroups, "1 % with a new check, a few whole groups"),
    ];
    let cases = cases.iter().take(if grouped { cases.len() } else { 1 });
    for (later, words) in cases {
        write(folder, instruments, grouped, *later)?;
        let seconds = took(folder, &run)?;
        let share = seconds / first;
        let words = if grouped {
            words
        } else {
            "1 % of them with a new check, no groups"
        };
        row(
            &format!("{name}, {words}: under 10 % of the first run"),
            format!("{seconds:.1} s, {:.0} %", 100.0 * share),
            share < 0.1,
        );
    }
    Ok(first)
}

fn main() -> Result<(), Failure> {
    let given = std::env::args().find_map(|word| word.parse().ok());
    let instruments: usize = given.unwrap_or(INSTRUMENTS).max(2 * GROUP);
    let place = tempfile::tempdir()?;
    let folder = place.path();
    println!("| aim | figure | met |\n| --- | --- | --- |");
    let help = median(folder, &["--help"])?;
    row(
        "`driftbook --help`: under 10 ms",
        format!("{:.1} ms", 1e3 * help),
        help < 0.01,
    );
    let demo = median(folder, &["run", "--force", "--quiet"])?;
    row("the demo: under 0.5 s", format!("{demo:.2} s"), demo < 0.5);

    settings(folder, "flagged")?;
    let name = format!("{instruments} × {CHECKS}, flagged charts and groups");
    let first = changed(folder, instruments, true, &name)?;
    row(
        &format!("{name}: under 20 s"),
        format!("{first:.1} s"),
        first < 20.0,
    );
    let reading = [
        "verdict",
        "I-0000007",
        "0.4",
        "--point",
        "p",
        "--u",
        "0.1",
        "--date",
        AS_OF,
    ];
    let judged: Vec<&str> = reading
        .into_iter()
        .chain(["--records", "fleet.toml"])
        .collect();
    let verdict = median(folder, &judged)?;
    let words =
        format!("`verdict` on a fleet of {instruments} with a standing report: under 50 ms");
    row(&words, format!("{:.0} ms", 1e3 * verdict), verdict < 0.05);

    let few = instruments / 5;
    std::fs::remove_dir_all(folder.join("report"))?;
    settings(folder, "all")?;
    let name = format!("{few} histories with every chart");
    let first = changed(folder, few, false, &name)?;
    let bytes = size(&folder.join("report"))? as f64;
    row(
        &format!("{name}: under 10 s and 300 MB"),
        format!("{first:.1} s and {:.0} MB", bytes / 1e6),
        first < 10.0 && bytes < 300e6,
    );
    Ok(())
}
