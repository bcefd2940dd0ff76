/*! Where the system gives no more memory a run ends in words, whatever it was at. */

#![cfg(target_os = "linux")]

use polars::prelude::*;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

/// 20,000 checks of 2,000 instruments, as CSV and as Parquet, with a pipeline file for each.
fn records(folder: &Path) {
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper\n");
    for row in 0..20_000 {
        let (item, check) = (row % 2_000, row / 2_000);
        let value = f64::from((row * 7919) % 1000) / 1000.0;
        let _ = writeln!(
            text,
            "I-{item:04},p,{}-03-11,{value},0.1,-2,2",
            2010 + check
        );
    }
    fs::write(folder.join("checks.csv"), &text).unwrap();
    let cells = |column: usize| -> Vec<&str> {
        let rows = text.lines().skip(1);
        rows.map(|row| row.split(',').nth(column).unwrap())
            .collect()
    };
    let words = |(name, at): (&str, usize)| Column::new(name.into(), cells(at));
    let numbers = |(name, at): (&str, usize)| {
        let values = cells(at).into_iter().map(|cell| cell.parse().unwrap());
        Column::new(name.into(), values.collect::<Vec<f64>>())
    };
    let mut columns: Vec<Column> = [("instrument", 0), ("point", 1), ("date", 2)]
        .map(words)
        .into();
    columns.extend([("as_found", 3), ("u", 4), ("lower", 5), ("upper", 6)].map(numbers));
    let mut frame = DataFrame::new_infer_height(columns).unwrap();
    let file = fs::File::create(folder.join("checks.parquet")).unwrap();
    ParquetWriter::new(file).finish(&mut frame).unwrap();
    for kind in ["csv", "parquet"] {
        let text = format!(
            "as_of = \"2024-06-30\"\n[checks]\nfiles = [\"checks.{kind}\"]\n[output]\nfolder = \"{kind}\"\ncharts = \"none\"\n"
        );
        fs::write(folder.join(format!("{kind}.toml")), text).unwrap();
    }
}

/// Runs `name` with so many megabytes of address space.
fn run_within(folder: &Path, name: &str, megabytes: usize) -> Output {
    Command::new("sh")
        .args([
            "-c",
            "ulimit -v $0; exec \"$@\"",
            &(1000 * megabytes).to_string(),
        ])
        .arg(env!("CARGO_BIN_EXE_driftbook"))
        .args(["run", name, "--quiet", "--force", "--threads", "1"])
        .env("RUST_BACKTRACE", "0")
        .current_dir(folder)
        .output()
        .unwrap()
}

#[test]
fn a_run_without_memory_ends_in_words() {
    let place = tempfile::tempdir().unwrap();
    records(place.path());
    for kind in ["csv", "parquet"] {
        let (mut done, mut refused) = (0, 0);
        // From less than the program itself takes to more than the run does.
        for megabytes in [60, 100, 140, 200, 240, 280, 340, 4_000] {
            let output = run_within(place.path(), &format!("{kind}.toml"), megabytes);
            let said = String::from_utf8(output.stderr).unwrap();
            match output.status.code() {
                Some(0) => done += 1,
                Some(1) => {
                    refused += 1;
                    assert!(
                        said.contains("no more memory or threads") && said.contains("--threads 1"),
                        "{megabytes} MB: {said}"
                    );
                    for word in ["panicked", "unwrap", "bytes failed", "broken"] {
                        assert!(!said.contains(word), "{megabytes} MB: {said}");
                    }
                }
                // The system does not even load the program, which then says nothing.
                other => assert!(megabytes < 240, "{other:?} with {megabytes} MB: {said}"),
            }
        }
        assert!(
            done > 0 && refused > 0,
            "{kind}: {done} done, {refused} refused"
        );
    }
}
