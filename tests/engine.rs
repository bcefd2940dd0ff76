/*! On an engine: what workers decide on parts of a fleet is, row by row, what a run decides. */

#[path = "engine/refused.rs"]
mod refused;
#[path = "engine/streams.rs"]
mod streams;

use crate::tool::{driftbook, root};
use polars::prelude::{ParquetReader, SerReader};
use polars_arrow::array::Array;
use std::collections::{BTreeSet, HashSet};
use std::path::{Path, PathBuf};
use streams::*;

/// The columns of the demo's records, all as text.
pub const COLUMNS: [&str; 16] = [
    "instrument",
    "point",
    "date",
    "as_found",
    "as_left",
    "nominal",
    "u",
    "u_common",
    "lower",
    "upper",
    "in_tolerance",
    "event",
    "usage",
    "kind",
    "unit",
    "source",
];
pub const TABLES: [&str; 3] = ["decisions", "proposals", "fits"];

/// One check, as texts by [`COLUMNS`].
pub type Row = Vec<String>;

/// The same of a report.
pub fn rows_of_run(report: &Path, table: &str) -> Vec<String> {
    rows_of_parquet(&[report.join(format!("{table}.parquet"))])
}

/// The rows of Parquet files, each as name=value, sorted.
pub fn rows_of_parquet(files: &[PathBuf]) -> Vec<String> {
    use polars::prelude::AnyValue;
    let text = |value: AnyValue<'_>| match value {
        AnyValue::Null => String::new(),
        AnyValue::String(text) => text.to_string(),
        AnyValue::Float64(number) => format!("{number:?}"),
        AnyValue::Date(days) => days.to_string(),
        other => other.to_string(),
    };
    let mut rows = Vec::new();
    for file in files {
        let file = std::fs::File::open(file).unwrap();
        let frame = ParquetReader::new(file).finish().unwrap();
        rows.extend((0..frame.height()).map(|row| {
            let cell = |column: &polars::prelude::Column| {
                format!("{}={}", column.name(), text(column.get(row).unwrap()))
            };
            let cells: Vec<String> = frame.columns().iter().map(cell).collect();
            cells.join("\u{1f}")
        }));
    }
    rows.sort();
    rows
}

#[track_caller]
fn same_rows(made: &[Vec<u8>], report: &Path, least: usize) {
    for table in TABLES {
        let (made, run) = (rows_made(made, table), rows_of_run(report, table));
        assert!(run.len() >= least, "{table}: {} rows", run.len());
        for (made, run) in made.iter().zip(&run) {
            assert_eq!(made, run, "{table}");
        }
        assert_eq!(made.len(), run.len(), "{table}");
    }
}

/// A laboratory in a folder of its own.
pub struct Laboratory {
    folder: tempfile::TempDir,
}

impl Laboratory {
    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn text(&self, name: &str) -> String {
        self.path(name).display().to_string()
    }

    /// The report of its records.
    pub fn report(&self) -> PathBuf {
        driftbook(&["run", &self.text("lab.toml"), "--quiet", "--charts", "none"]).well();
        self.path("report")
    }

    /// What was learned of these `rows`, each group in a call of its own.
    fn learned(&self, rows: &[&Row]) -> String {
        let pipeline = self.text("lab.toml");
        let placed = read(&good(&["place", &pipeline], &stream_of(rows)));
        let groups = column_of_texts(&placed["driftbook_group"]);
        let mut all: Vec<Box<dyn Array>> = Vec::new();
        for group in groups.iter().collect::<BTreeSet<_>>() {
            let own = rows
                .iter()
                .zip(&groups)
                .filter(|(_, other)| *other == group);
            let own: Vec<&Row> = own.map(|(row, _)| *row).collect();
            let mut learned = read(&good(&["learn", &pipeline], &stream_of(&own)));
            all.append(learned.get_mut("learned").unwrap());
        }
        let bytes = all.iter().map(|array| {
            let array = array
                .as_any()
                .downcast_ref::<polars_arrow::array::BinaryArray<i64>>();
            array.unwrap().value(0).to_vec()
        });
        let bytes: Vec<Vec<u8>> = bytes.collect();
        let column = polars_arrow::array::BinaryArray::<i64>::from_slice(bytes);
        std::fs::write(
            self.path("learned"),
            stream(vec![("learned", column.boxed())]),
        )
        .unwrap();
        self.text("learned")
    }

    /// What workers decide on `rows` in so many parts, each with whole instruments.
    fn decided(&self, rows: &[&Row], learned: &str, parts: usize) -> Vec<Vec<u8>> {
        let pipeline = self.text("lab.toml");
        let placed = read(&good(&["place", &pipeline], &stream_of(rows)));
        let names = column_of_texts(&placed["driftbook_instrument"]);
        let part = |name: &str| name.bytes().map(usize::from).sum::<usize>() % parts;
        let decide = |number: usize| {
            let own = rows
                .iter()
                .zip(&names)
                .filter(|(_, name)| part(name) == number);
            let own: Vec<&Row> = own.map(|(row, _)| *row).collect();
            good(
                &["decide", &pipeline, "--learned", learned],
                &stream_of(&own),
            )
        };
        (0..parts).map(decide).collect()
    }
}

/// The rows of the demo's records; a row that an earlier file has too counts once in a run, and a
/// stream is as one file.
pub fn demo_rows() -> Vec<Row> {
    let mut seen: HashSet<Row> = HashSet::new();
    let mut rows = Vec::new();
    let folder = root().join("data/demo/history");
    let files = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    for file in files.collect::<BTreeSet<_>>() {
        let mut reader = csv::ReaderBuilder::new()
            .flexible(true)
            .from_path(file)
            .unwrap();
        let header = reader.headers().unwrap().clone();
        let place = |name: &&str| header.iter().position(|other| other == *name);
        let places: Vec<Option<usize>> = COLUMNS.iter().map(place).collect();
        let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        let whole = records.iter().filter(|record| record.len() == header.len());
        let row = |record: &csv::StringRecord| {
            let cell = |place: &Option<usize>| place.map_or("", |place| &record[place]).to_string();
            places.iter().map(cell).collect::<Row>()
        };
        let own: Vec<Row> = whole.map(row).filter(|row| !seen.contains(row)).collect();
        seen.extend(own.iter().cloned());
        rows.extend(own);
    }
    rows
}

/// The shipped laboratory without its raw readings, which no stream of checks has.
pub fn demo() -> Laboratory {
    let laboratory = Laboratory {
        folder: tempfile::tempdir().unwrap(),
    };
    let shipped = std::fs::read_to_string(root().join("pipelines/interval-review.toml")).unwrap();
    let (before, rest) = shipped.split_once("[thermometry]").unwrap();
    let (_, after) = rest.split_once("[drift]").unwrap();
    let stated = "[checks]\nas_found_is = \"value\"\ndecimal_comma = false\nthousands = \"none\"";
    let pipeline = format!("{before}[drift]{after}")
        .replace("[checks]", stated)
        .replace("../data", &root().join("data").display().to_string())
        .replace("../reports/interval-review", "report");
    std::fs::write(laboratory.path("lab.toml"), pipeline).unwrap();
    laboratory
}

#[test]
fn the_demo_learned_by_group_and_decided_in_parts_is_as_a_run() {
    let laboratory = demo();
    let rows = demo_rows();
    let rows: Vec<&Row> = rows.iter().collect();
    let learned = laboratory.learned(&rows);
    let report = laboratory.report();
    let made = laboratory.decided(&rows, &learned, 3);
    same_rows(&made, &report, 70);
    let rejects: usize = made
        .iter()
        .map(|made| rows_made(std::slice::from_ref(made), "rejects").len())
        .sum();
    assert!(rejects > 5, "{rejects} rows are told as rejected");
}

/// Sixty-eight gauges of two groups whose display is coarse, that come from two sources and shift together;
/// some show a suspect reading. No part of them shows the step, the offset or the shift.
fn gauges() -> (Laboratory, Vec<Row>) {
    let laboratory = Laboratory {
        folder: tempfile::tempdir().unwrap(),
    };
    let mut rows = Vec::new();
    let mut register = String::from("instrument,group,unit,lower,upper\n");
    for item in 0..68_i32 {
        let group = if item < 61 { "large" } else { "small" };
        register += &format!("G-{item:02},{group},bar,-3,3\n");
        for check in 0..9_i32 {
            let noise = f64::from((item * 7 + check * 13) % 11 - 5) / 9.0;
            let shift = if group == "small" && check == 8 {
                2.0
            } else {
                0.0
            };
            let odd = if item % 9 == 4 && check == 7 {
                2.2
            } else {
                0.0
            };
            let other = check < 4 && item % 2 == 0;
            let offset = if other { 0.6 } else { 0.0 };
            let value = 0.03 * f64::from(check * (item % 3)) + 0.3 * noise + shift + odd + offset;
            let mut row = vec![String::new(); COLUMNS.len()];
            row[0] = format!("G-{item:02}");
            let month = if group == "small" { 5 } else { 1 + item % 12 };
            row[2] = format!("{}-{month:02}-{:02}", 2015 + check, 1 + item % 27);
            row[3] = format!("{}", (value / 0.2).round() / 5.0);
            row[6] = "0.04".into();
            row[15] = if other { "first" } else { "second" }.into();
            rows.push(row);
        }
    }
    let mut records = COLUMNS.join(",") + "\n";
    records.extend(rows.iter().map(|row| row.join(",") + "\n"));
    std::fs::write(laboratory.path("checks.csv"), records).unwrap();
    std::fs::write(laboratory.path("register.csv"), register).unwrap();
    let pipeline = "as_of = \"2024-06-30\"\n[checks]\nfiles = [\"checks.csv\"]\nas_found_is = \"error\"\ndecimal_comma = false\n\
        thousands = \"none\"\n[register]\nfile = \"register.csv\"\n[intervals]\n\
        methods = [\"drift_crossing\", \"interval_test\", \"reliability\", \"group_regression\"]\n[output]\nfolder = \"report\"\n";
    std::fs::write(laboratory.path("lab.toml"), pipeline).unwrap();
    (laboratory, rows)
}

#[test]
fn what_no_part_shows_is_learned_of_the_whole() {
    let (laboratory, rows) = gauges();
    let rows: Vec<&Row> = rows.iter().collect();
    let learned = laboratory.learned(&rows);
    let report = laboratory.report();
    same_rows(&laboratory.decided(&rows, &learned, 5), &report, 68);
    let decisions = rows_of_run(&report, "decisions").join("\n");
    for said in ["of source", "moved together"] {
        let warnings = std::fs::read_to_string(report.join("warnings.csv")).unwrap();
        assert!(
            decisions.contains(said) || warnings.contains(said),
            "{said}"
        );
    }
}
