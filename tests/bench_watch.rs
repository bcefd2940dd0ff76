/*! While at the bench: readings typed or piped one by one say what they come to so far, and are judged
when they end. */

use super::bench_year::{readings, write};
use super::tool::root;
use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// Status, standard output, standard error of a watch of `P-1` that is sent `typed`.
fn watched(folder: &Path, arguments: &[&str], typed: &str) -> (i32, String, String) {
    let lab = folder.join("lab.toml");
    let mut child = Command::new(env!("CARGO_BIN_EXE_driftbook"))
        .args(["verdict", "--records", lab.to_str().unwrap()])
        .args(arguments)
        .current_dir(root())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that refuses its arguments does not read.
    let _ = child.stdin.take().unwrap().write_all(typed.as_bytes());
    let done = child.wait_with_output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (
        done.status.code().unwrap_or(-1),
        text(&done.stdout),
        text(&done.stderr),
    )
}

/// Half a year of the small bench.
fn bench() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let year: Vec<(usize, f64)> = (1..=6).map(|n| (n, 0.0)).collect();
    write(folder.path(), "readings.csv", &readings(&year));
    write(
        folder.path(),
        "lab.toml",
        "[thermometry]\nfiles = [\"readings.csv\"]\n",
    );
    folder
}

const CELL: [&str; 6] = [
    "--with",
    "cell=C-9",
    "--with",
    "cell_kind=small slush",
    "--with",
    "depth_m=0.12",
];

/// Numbers typed with their time; a slip is told and taken back; the verdict is that of the same readings
/// in a file.
#[test]
fn typed_readings_are_told_as_they_come_and_judged_at_the_end() {
    let folder = bench();
    let new = readings(&[(7, 0.0)]);
    let own: Vec<&str> = new.lines().filter(|l| l.contains(",P-1,")).collect();
    let mut typed = String::new();
    for (place, line) in own.iter().enumerate() {
        let cells: Vec<&str> = line.split(',').collect();
        typed += &format!("{} {}\n", cells[2], cells[3]);
        if place == 6 {
            typed += "2026-01-07T09:06:30 100.0413\nundo\nno number\n";
        }
    }
    let arguments = [&["P-1", "--watch", "-"][..], &CELL].concat();
    let (status, said, complained) = watched(folder.path(), &arguments, &typed);
    assert_eq!(status, 3, "{complained}");
    says!(
        said,
        "1 reading: mean 100.0213",
        "9 more at least",
        "a slip?",
        "the newest reading is taken back",
        "12 readings: mean 100.021",
        "enough.",
        "P-1, session 2026-01-07, triple point of water: R = 100.021"
    );
    says!(
        complained,
        "current 1 mA, as it is usually read",
        "not used: "
    );
    let kept = own.join("\n").replace("S-7", "2026-01-07");
    let file = format!("{}\n{kept}\n", new.lines().next().unwrap());
    let file = write(folder.path(), "new.csv", &file);
    let (_, judged, _) = watched(folder.path(), &["--readings", &file], "");
    assert!(said.ends_with(&judged), "{judged}\n{said}");
}

/// A table that comes line by line may be recorded as it is judged.
#[test]
fn a_table_line_by_line_is_recorded() {
    let folder = bench();
    let stored = folder.path().join("readings.csv");
    let before = fs::read_to_string(&stored).unwrap();
    let new = readings(&[(7, 0.0)]);
    let arguments = [
        "--watch",
        "-",
        "--json",
        "--record",
        stored.to_str().unwrap(),
    ];
    let (_, said, told) = watched(folder.path(), &arguments, &new);
    let verdicts: serde_json::Value = serde_json::from_str(&said).unwrap();
    assert_eq!(verdicts.as_array().unwrap().len(), 2);
    says!(told, "P-2, triple point of water at 1 mA, 12 readings");
    let rows = new.split_once('\n').unwrap().1;
    assert_eq!(fs::read_to_string(&stored).unwrap(), before + rows);
}

/// What cannot be a reading is refused at once, with the mend; nothing hangs on an endless line.
#[test]
fn what_is_no_reading_is_told_at_once() {
    let folder = bench();
    let refused = |arguments: &[&str], typed: &str, status: i32, words: &str| {
        let (ended, said, told) = watched(folder.path(), arguments, typed);
        assert_eq!(ended, status, "{told}");
        assert!(said.is_empty(), "{said}");
        says!(told, words);
    };
    refused(&["--watch", "-"], "100.02\n", 2, "name the thermometer");
    refused(&["P-1", "--watch", "-"], "", 1, "no reading came");
    refused(
        &["P-1", "--watch", "-", "--with", "cel=C-9"],
        "",
        2,
        "no column \"cel\"",
    );
    refused(
        &["P-1", "--watch", "-"],
        &"1".repeat(70_000),
        1,
        "is no reading",
    );
    let numbers = write(folder.path(), "numbers.txt", "100.0213\n");
    refused(
        &["P-1", "--watch", &numbers],
        "",
        1,
        "write it before the number",
    );
    let (status, _, told) = watched(
        folder.path(),
        &["P-1", "--watch", "-"],
        "2026-01-07T09:00 10.00213\n",
    );
    assert_eq!(status, 3);
    says!(told, "another thermometer");
}
