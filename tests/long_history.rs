/*! A history of any length is worked through in a time that grows with its number of checks.

Eight times the checks may take sixteen times the processor time: n·log n asks for ten, the square
of n for 64. Both runs are of one program on one machine, and a process is charged only for
what it computed, so neither a slow machine nor others' work on it decides.
*/

use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

const FEW: usize = 10_000;
const TIMES: usize = 8;
const MOST_WORK: f64 = 16.0;

/// A table of `checks` within `days`, adjusted at every third check or never; fixed values that
/// scatter.
fn table(checks: usize, days: f64, adjusted: bool) -> String {
    let mut text = String::from("instrument,date,as_found,as_left,event,u,lower,upper\n");
    let start = chrono::NaiveDate::from_ymd_opt(1990, 1, 1)
        .and_then(|day| day.and_hms_opt(0, 0, 0))
        .unwrap();
    for i in 0..checks {
        let seconds = (86_400.0 * days * i as f64 / checks as f64) as i64;
        let date = (start + chrono::Duration::seconds(seconds)).format("%Y-%m-%d %H:%M:%S");
        let value = 0.1 * (((i * 7_919) % 1_009) as f64 / 504.5 - 1.0);
        let left = match adjusted && i % 3 == 0 {
            true => format!("{:.4},adjusted", value - 0.01),
            false => ",".into(),
        };
        let _ = writeln!(text, "A,{date},{value:.4},{left},0.1,-2,2");
    }
    text
}

/// Seconds of processor time that a run on `records` takes, by the shell's account of it.
fn processor_seconds(records: &Path, out: &Path) -> f64 {
    let run = r#""$0" run "$1" --out "$2" --as-of 2026-06-30 --charts none --quiet; echo "exit $?"; times"#;
    let told = Command::new("sh")
        .args(["-c", run, env!("CARGO_BIN_EXE_driftbook")])
        .args([records, out])
        .output()
        .unwrap();
    let told = String::from_utf8(told.stdout).unwrap();
    assert!(told.contains("exit 0"), "{told}");
    // The last line is of what the shell called: user and system, such as 0m1.25s 0m0.08s.
    let called = told.lines().last().unwrap().split_whitespace();
    called.map(seconds).sum()
}

fn seconds(word: &str) -> f64 {
    let (minutes, seconds) = word.trim_end_matches('s').split_once('m').unwrap();
    60.0 * minutes.parse::<f64>().unwrap() + seconds.parse::<f64>().unwrap()
}

#[cfg(unix)]
#[test]
fn eight_times_the_checks_take_no_more_than_sixteen_times_the_work() {
    let folder = tempfile::tempdir().unwrap();
    let years = 30.0 * 365.25;
    for (name, days, adjusted) in [
        ("spread", years, false),
        ("adjusted", years, true),
        ("one-day", 0.99, false),
    ] {
        let work = |checks: usize| {
            let records = folder.path().join(format!("{name}-{checks}.csv"));
            std::fs::write(&records, table(checks, days, adjusted)).unwrap();
            let out = folder.path().join(format!("{name}-{checks}"));
            processor_seconds(&records, &out)
        };
        let (few, many) = (work(FEW), work(TIMES * FEW));
        assert!(
            many < MOST_WORK * few,
            "{name}: {few} s for {FEW} checks, {many} s for {TIMES} times as many"
        );
    }
}
