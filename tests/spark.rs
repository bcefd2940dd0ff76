/*! The shipped Spark job decides as a run does: in a local cluster with two worker processes.

It needs Java, Python and half a gigabyte of packages, and so runs only where `DRIFTBOOK_SPARK` is set; elsewhere it says
that it was skipped. The packages go to a folder below `target`, where the next run finds them. */

use crate::engine::{COLUMNS, Row, TABLES, demo, demo_rows, rows_of_parquet, rows_of_run};
use crate::tool::root;
use polars::prelude::{Column, DataFrame, NamedFrom, ParquetWriter, Series};
use std::path::{Path, PathBuf};
use std::process::Command;

/// What the job needs beside Java; versions with which it was written.
const PACKAGES: [&str; 3] = ["pyspark==4.3.0", "pyarrow>=18", "pandas>=2.2,<3"];

/// Two worker processes of one core and a gigabyte each.
const MASTER: &str = "local-cluster[2,1,1024]";

#[test]
fn the_spark_job_decides_on_the_demo_as_a_run() {
    let packages = match packages() {
        Ok(packages) => packages,
        Err(why) => return println!("skipped: {why}"),
    };
    let laboratory = demo();
    let rows = demo_rows();
    write_parquet(&rows, &laboratory.path("checks.parquet"));
    let out = laboratory.path("out");
    let job = root().join("pipelines/spark/decide.py");
    let home = packages.join("pyspark");
    let submitted = Command::new("bash")
        .arg(home.join("bin/spark-submit"))
        .args(["--master", MASTER])
        .args(["--conf", "spark.ui.enabled=false"])
        .args(["--conf", "spark.sql.shuffle.partitions=3"])
        .args(["--conf", "spark.driver.host=127.0.0.1"])
        .arg("--conf")
        .arg(format!(
            "spark.executorEnv.PYTHONPATH={}",
            packages.display()
        ))
        .arg(job)
        .args([
            &laboratory.path("lab.toml"),
            &laboratory.path("checks.parquet"),
            &out,
        ])
        .args([
            "--partitions",
            "3",
            "--driftbook",
            env!("CARGO_BIN_EXE_driftbook"),
        ])
        .env("PYTHONPATH", &packages)
        .env("SPARK_HOME", &home)
        .env("SPARK_LOCAL_IP", "127.0.0.1")
        .env("SPARK_LOCAL_DIRS", laboratory.path("spark"))
        .env("PYSPARK_PYTHON", "python3")
        .current_dir(laboratory.path(""))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&submitted.stderr);
    assert!(submitted.status.success(), "{said}");
    let executors = said.matches("Registered executor").count();
    assert!(executors >= 2, "{executors} workers");
    let report = laboratory.report();
    for table in TABLES {
        let (made, run) = (
            rows_of_parquet(&parts(&out.join(table))),
            rows_of_run(&report, table),
        );
        assert!(run.len() >= 70, "{table}");
        for (made, run) in made.iter().zip(&run) {
            assert_eq!(made, run, "{table}");
        }
        assert_eq!(made.len(), run.len(), "{table}");
    }
    assert!(!rows_of_parquet(&parts(&out.join("rejects"))).is_empty());
}

/// The Parquet files of a folder.
fn parts(folder: &Path) -> Vec<PathBuf> {
    let files = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    files
        .filter(|path| path.extension().is_some_and(|end| end == "parquet"))
        .collect()
}

fn write_parquet(rows: &[Row], path: &Path) {
    let column = |(place, name): (usize, &&str)| {
        let texts = rows
            .iter()
            .map(|row| Some(row[place].as_str()).filter(|text| !text.is_empty()));
        Column::from(Series::new((*name).into(), texts.collect::<Vec<_>>()))
    };
    let columns: Vec<Column> = COLUMNS.iter().enumerate().map(column).collect();
    let mut frame = DataFrame::new_infer_height(columns).unwrap();
    ParquetWriter::new(std::fs::File::create(path).unwrap())
        .finish(&mut frame)
        .unwrap();
}

/// The folder of the packages, installed where they are not there yet.
///
/// # Errors
/// In words, why there is none.
fn packages() -> Result<PathBuf, String> {
    if std::env::var_os("DRIFTBOOK_SPARK").is_none() {
        return Err("DRIFTBOOK_SPARK is not set, and the Spark job was not started".into());
    }
    let works = |program: &str, argument: &str| {
        Command::new(program)
            .arg(argument)
            .output()
            .is_ok_and(|done| done.status.success())
    };
    for (program, argument) in [
        ("java", "-version"),
        ("python3", "--version"),
        ("bash", "--version"),
    ] {
        if !works(program, argument) {
            return Err(format!(
                "there is no {program}, and the Spark job was not started"
            ));
        }
    }
    let folder = root().join("target/spark-packages");
    let whole = folder.join("whole");
    if whole.exists() {
        return Ok(folder);
    }
    let installed = Command::new("python3")
        .args(["-m", "pip", "install", "--quiet", "--target"])
        .arg(&folder)
        .args(PACKAGES)
        .output()
        .map_err(|why| why.to_string())?;
    match installed.status.success() {
        true => {
            std::fs::write(&whole, "").map_err(|why| why.to_string())?;
            Ok(folder)
        }
        false => Err(format!(
            "the packages of the Spark job could not be installed: {}",
            String::from_utf8_lossy(&installed.stderr)
        )),
    }
}
