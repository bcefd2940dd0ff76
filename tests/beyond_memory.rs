/*! Records beyond `[run] memory` run in parts: the same bytes as all at once, on any number of threads,
and in words where they cannot. */

use crate::tool::driftbook;
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rand_pcg::Pcg64;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

/// Records of a fleet of nine groups and of items in none, with all that may go wrong: instruments
/// of two points, units in one group and across, a shift that a group shares, repeats, outcomes
/// alone, rejects, names that differ by case, and contradictions.
fn fleet(folder: &Path) {
    let mut random = Pcg64::seed_from_u64(24);
    let mut rows = Vec::new();
    let mut register = String::from("instrument,group,interval_days,last_calibration\n");
    for item in 0..330 {
        let name = format!("I-{:03}", (item * 37) % 330);
        let group = match item % 11 {
            0 => String::new(),
            _ => format!("group {}", item % 9),
        };
        let _ = writeln!(register, "{name},{group},{},", 180 + 90 * (item % 3));
        let points = if item % 7 == 0 {
            &["p", "q"][..]
        } else {
            &["p"]
        };
        for point in points {
            let drift = 0.1 * random.sample::<f64, _>(StandardNormal);
            for check in 0..8 {
                let (year, month) = (2016 + check, 1 + item % 12);
                let shift = if item % 9 == 4 && year >= 2022 {
                    0.9
                } else {
                    0.0
                };
                let noise: f64 = 0.1 * random.sample::<f64, _>(StandardNormal);
                let value = drift * f64::from(check) + noise + shift;
                let unit = if item % 5 == 0 { "K" } else { "V" };
                let said = if item % 29 == 3 && check == 7 {
                    "fail"
                } else {
                    ""
                };
                let value = match item % 31 {
                    7 => String::new(),
                    _ => format!("{value:.4}"),
                };
                let said = if value.is_empty() { "pass" } else { said };
                rows.push(format!(
                    "{name},{point},{year}-{month:02}-11,{value},0.1,-2,2,{unit},{said}"
                ));
            }
        }
    }
    for i in (1..rows.len()).rev() {
        rows.swap(i, random.random_range(0..=i));
    }
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper,unit,in_tolerance\n");
    rows.iter().for_each(|row| {
        let _ = writeln!(text, "{row}");
    });
    text += "I-BAD,p,2020-13-45,1,0.1,-2,2,V,\nI-003,p,2019-01-01,abc,0.1,-2,2,V,\n\
             i-003,p,2019-01-01,0.5,0.1,-2,2,V,\nI-005,p,2019-02-01,0.5,0.1,-2,2,K,\n\
             I-006,p,2019-02-01,0.5,0.1,-2,2,V,\nI-006,p,2019-02-01,0.7,0.1,-2,2,V,\n";
    fs::write(folder.join("checks.csv"), text).unwrap();
    register += "I-NOBODY,group 1,365,\nI-01O,group 2,365,\n";
    fs::write(folder.join("register.csv"), register).unwrap();
}

/// Runs the records with these settings: what is printed, and every file of the report but the
/// durations and what the ledger keeps.
fn run(folder: &Path, more: &str, threads: &str) -> (String, BTreeMap<String, Vec<u8>>) {
    run_on("2024-06-30", folder, more, threads)
}

/// The same as of another day.
fn run_on(
    day: &str,
    folder: &Path,
    more: &str,
    threads: &str,
) -> (String, BTreeMap<String, Vec<u8>>) {
    let text = format!(
        "as_of = \"{day}\"\n[checks]\nfiles = [\"checks.csv\"]\nrepeats = \"average\"\n\
         [register]\nfile = \"register.csv\"\n[output]\nfolder = \"report\"\ntables = \"both\"\n{more}"
    );
    fs::write(folder.join("lab.toml"), text).unwrap();
    let lab = folder.join("lab.toml").display().to_string();
    let done = driftbook(&["run", "--force", "--threads", threads, &lab]).well();
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.join("report")];
    while let Some(next) = folders.pop() {
        for entry in fs::read_dir(next).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.file_name().is_some_and(|name| name != "timings.json") {
                let name = path.strip_prefix(folder).unwrap().display().to_string();
                files.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    // How many threads a machine has a use for is no word on the records.
    let told = done
        .stderr
        .lines()
        .filter(|line| !line.starts_with("note: "));
    let told = told.collect::<Vec<_>>().join("\n") + &done.stdout;
    (told, files)
}

#[test]
fn parts_say_the_bytes_of_all_at_once() {
    let place = tempfile::tempdir().unwrap();
    fleet(place.path());
    let plain = "charts = \"none\"\n";
    let (said, whole) = run(place.path(), plain, "2");
    assert!(
        whole.contains_key("report/shared_shifts.csv"),
        "{:?}",
        whole.keys()
    );
    // 0.5 MB leaves no two classes in one part, 3 MB a few parts of several.
    for (memory, threads) in [("0.5 MB", "2"), ("3 MB", "1"), ("3 MB", "16")] {
        let more = format!("{plain}[run]\nmemory = \"{memory}\"\n");
        let (again, parts) = run(place.path(), &more, threads);
        assert_eq!(said, again, "{memory}");
        for (name, bytes) in &whole {
            assert!(parts.get(name) == Some(bytes), "{memory}: {name} differs");
        }
        assert_eq!(whole.len(), parts.len(), "{memory}");
    }
}

/// What an earlier run knew of failures is held against records in parts as it is against those held at once.
#[test]
fn parts_remember_the_failures_that_are_gone() {
    let plain = "charts = \"none\"\n";
    let months = [
        plain.to_string(),
        format!("{plain}[run]\nmemory = \"0.5 MB\"\n"),
    ];
    let [whole, parts] = months.map(|more| {
        let place = tempfile::tempdir().unwrap();
        fleet(place.path());
        run(place.path(), &more, "2");
        let checks = place.path().join("checks.csv");
        let text = fs::read_to_string(&checks).unwrap();
        // Every check out of tolerance is taken out, and an item that had one goes whole.
        let kept = |line: &&str| {
            let found = line
                .split(',')
                .nth(3)
                .and_then(|cell| cell.parse::<f64>().ok());
            found.is_none_or(|value| value.abs() <= 2.0) && !line.starts_with("I-099,")
        };
        let later: Vec<&str> = text.lines().filter(kept).collect();
        fs::write(&checks, later.join("\n") + "\n").unwrap();
        run_on("2024-07-31", place.path(), &more, "2")
    });
    let warnings = String::from_utf8_lossy(&whole.1["report/warnings.csv"]);
    says!(warnings, "which the run of 2024-06-30 read, is gone");
    says!(warnings, "and all checks are gone from the records");
    let said = |told: &str| told.split("Report: ").next().map(String::from);
    assert_eq!(said(&whole.0), said(&parts.0));
    for (name, bytes) in &whole.1 {
        assert!(parts.1.get(name) == Some(bytes), "{name} differs");
    }
}

#[test]
fn what_looks_at_all_histories_is_held_at_once_and_said() {
    let place = tempfile::tempdir().unwrap();
    fleet(place.path());
    let (_, whole) = run(place.path(), "charts = \"flagged\"\n", "2");
    let little = "[run]\nmemory = \"0.5 MB\"\n";
    let (said, parts) = run(
        place.path(),
        &format!("charts = \"flagged\"\n{little}"),
        "2",
    );
    says!(
        said,
        "more than [run] memory, and were held at once all the same: pages are drawn"
    );
    assert!(whole == parts);
}

#[test]
fn a_memory_without_a_unit_is_refused() {
    let place = tempfile::tempdir().unwrap();
    fleet(place.path());
    let text = "[checks]\nfiles = [\"checks.csv\"]\n[run]\nmemory = \"8\"\n";
    fs::write(place.path().join("lab.toml"), text).unwrap();
    let lab = place.path().join("lab.toml").display().to_string();
    let done = driftbook(&["run", &lab]).ended(2);
    let told = done.stderr;
    says!(told, "expected a size such as \"8 GB\"");
}

/// Hidden names in `folder`, which only a run under way or a killed one leaves.
fn hidden(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    names.filter(|name| name.starts_with('.')).collect()
}

/// Starts a run in parts and kills it once the columns of a part stand on the disk.
fn kill_while_in_parts(folder: &Path, temporary: &Path) {
    let mut child = Command::new(env!("CARGO_BIN_EXE_driftbook"))
        .args(["run", "lab.toml", "--force"])
        .env("TMPDIR", temporary)
        .current_dir(folder)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let work = folder.join(".report.writing-1");
    let in_parts = || {
        let entries = fs::read_dir(&work).into_iter().flatten().flatten();
        entries.into_iter().any(|entry| {
            let files = fs::read_dir(entry.path()).into_iter().flatten().flatten();
            let mut names = files.map(|file| file.file_name());
            names.any(|name| name.to_string_lossy().ends_with(".parquet"))
        })
    };
    while !in_parts() {
        assert!(child.try_wait().unwrap().is_none(), "ended before");
        std::thread::sleep(Duration::from_millis(1));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(in_parts());
}

#[test]
fn what_a_killed_run_left_of_its_parts_goes_with_the_next() {
    let place = tempfile::tempdir().unwrap();
    let temporary = tempfile::tempdir().unwrap();
    fleet(place.path());
    let little = "charts = \"none\"\n[run]\nmemory = \"0.5 MB\"\n";
    let (_, whole) = run(place.path(), little, "2");
    kill_while_in_parts(place.path(), temporary.path());
    assert_eq!(fs::read_dir(temporary.path()).unwrap().count(), 0);
    let (_, again) = run(place.path(), little, "2");
    assert!(whole == again);
    assert_eq!(hidden(place.path()), [""; 0]);
    // A run into another folder of the same place finds it too, and takes nothing of anybody's.
    kill_while_in_parts(place.path(), temporary.path());
    let dear = place.path().join(".report.writing-2");
    fs::create_dir(&dear).unwrap();
    fs::write(dear.join("1.parquet"), "dear").unwrap();
    let other = place.path().join("other").display().to_string();
    let lab = place.path().join("lab.toml").display().to_string();
    driftbook(&["run", &lab, "--out", &other]).well();
    assert_eq!(hidden(place.path()), [".report.writing-2"]);
    assert_eq!(fs::read_to_string(dear.join("1.parquet")).unwrap(), "dear");
}

/// Checks of 60,000 instruments in 120 groups, four each; estimated to need 198 MB.
fn large_fleet(folder: &Path) {
    let mut random = Pcg64::seed_from_u64(25);
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper\n");
    let mut register = String::from("instrument,group,interval_days\n");
    for item in 0..60_000 {
        let _ = writeln!(register, "I-{item:06},group {},365", item % 120);
        for check in 0..4 {
            let value: f64 = 0.1 * random.sample::<f64, _>(StandardNormal);
            let (year, month) = (2019 + check, 1 + item % 12);
            let _ = writeln!(
                text,
                "I-{item:06},p,{year}-{month:02}-11,{value:.4},0.1,-2,2"
            );
        }
    }
    fs::write(folder.join("checks.csv"), text).unwrap();
    fs::write(folder.join("register.csv"), register).unwrap();
}

/// With a third of what the records are estimated to need, the most memory that a run says was
/// resident is a tenth less than at once, and more: both hold the program itself, and what was read.
#[cfg(target_os = "linux")]
#[test]
fn a_third_of_the_memory_is_kept_within_by_parts() {
    let place = tempfile::tempdir().unwrap();
    large_fleet(place.path());
    let peak = |memory: &str| -> f64 {
        let text = format!(
            "as_of = \"2024-06-30\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n\
             [run]\nmemory = \"{memory}\"\n\
             [output]\nfolder = \"report\"\ntables = \"parquet\"\ncharts = \"none\"\n"
        );
        fs::write(place.path().join("lab.toml"), text).unwrap();
        let lab = place.path().join("lab.toml").display().to_string();
        driftbook(&["run", "--force", "--quiet", "--threads", "1", &lab]).well();
        let timings = fs::read_to_string(place.path().join("report/timings.json")).unwrap();
        let timings: serde_json::Value = serde_json::from_str(&timings).unwrap();
        timings["peak_memory_bytes"].as_f64().unwrap() / 1e6
    };
    let (whole, parts) = (peak("8 GB"), peak("66 MB"));
    assert!(parts < 0.9 * whole, "{parts:.0} of {whole:.0} MB");
}
