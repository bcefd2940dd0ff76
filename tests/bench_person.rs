/*! What the person at the bench relies on: conversions by the laboratory's own ranges and
thermometers, raw readings from either kind of file, and a clear word on what cannot be. */

use super::tool::{driftbook, read_csv, root};
use polars::prelude::*;
use std::fs::{self, File};
use std::path::Path;

/// Class B at 250 °C is ±(0.3 + 0.005·250) = ±1.55 °C (IEC 60751:2022, table of classes); the
/// range is the laboratory's own.
#[test]
fn a_class_ends_where_the_laboratory_says() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = folder.path().join("mine.toml");
    let ranges = "[thermometry.class_ranges]\nb_wire = [-100.0, 300.0]\n";
    fs::write(&pipeline, ranges).unwrap();
    let table = folder.path().join("t.csv");
    fs::write(&table, "id,t\na,250\nb,400\nc,\n").unwrap();
    let convert = |more: &[&str]| {
        let own = [
            "convert",
            "--iec-60751",
            "--class",
            "B",
            "--from",
            "temperature",
        ];
        driftbook(&[&own[..], more].concat())
    };
    let (file, csv) = (pipeline.to_str().unwrap(), table.to_str().unwrap());
    let done = convert(&["--pipeline", file, "250", "400"]).well();
    says!(done.stdout, "1.5500");
    let why = "class B, wire-wound, states no tolerance outside -100 °C to 300 °C";
    says!(done.stdout, why);
    says_not!(convert(&["400"]).stdout, "no tolerance");
    let done = convert(&["--pipeline", file, "--csv", csv, "--column", "t"]);
    let rows: Vec<&str> = done.stdout.lines().collect();
    assert!(
        rows[1].contains(",1.55,") && rows[1].ends_with(','),
        "{}",
        rows[1]
    );
    says!(rows[2], why);
    assert!(rows[3].ends_with(",empty"), "{}", rows[3]);
    fs::write(&pipeline, ranges.replace("-100.0, 300.0", "300.0, -100.0")).unwrap();
    let done = convert(&["--pipeline", file, "250"]).ended(2);
    says!(done.stderr, "b_wire cannot be used");
}

#[test]
fn a_thermometer_of_the_laboratory_converts_by_its_latest_value() {
    let file = "data/demo/thermometers.toml";
    let done = driftbook(&[
        "convert",
        "--thermometer",
        file,
        "--instrument",
        "TH-105",
        "--from",
        "ratio",
        "1",
        "--json",
    ]);
    let rows: serde_json::Value = serde_json::from_str(&done.stdout).unwrap();
    assert_eq!(rows[0]["converted"]["resistance_ohm"], 25.470177);
    let done = driftbook(&["convert", "--thermometer", file, "25.47"]);
    says!(done.stderr, "--instrument");
    let done = driftbook(&[
        "convert",
        "--thermometer",
        file,
        "--instrument",
        "TH-9",
        "25.47",
    ]);
    says!(done.stderr, "the file has TH-101, TH-102");
}

/// The demo's raw readings as Parquet: typed as a data frame would keep them, dates as moments.
fn as_parquet(to: &Path) {
    let from = root().join("data/demo/triple-point-readings.csv");
    let mut reader = csv::Reader::from_path(from).unwrap();
    let headers = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let columns = headers.iter().enumerate().map(|(place, header)| {
        let cells = rows
            .iter()
            .map(|row| Some(&row[place]).filter(|c| !c.is_empty()));
        typed(header, cells.collect()).into_column()
    });
    let mut frame = DataFrame::new_infer_height(columns.collect()).unwrap();
    assert_eq!(frame.column("ratio").unwrap().dtype(), &DataType::Float64);
    ParquetWriter::new(File::create(to).unwrap())
        .finish(&mut frame)
        .unwrap();
}

fn typed(header: &str, cells: Vec<Option<&str>>) -> Series {
    fn all<T: std::str::FromStr>(cells: &[Option<&str>]) -> Option<Vec<Option<T>>> {
        let parsed = cells.iter().map(|cell| cell.map(str::parse).transpose());
        parsed.collect::<Result<_, _>>().ok()
    }
    if let Some(moments) = all::<chrono::NaiveDateTime>(&cells) {
        let micros = moments
            .iter()
            .map(|m| m.map(|m| m.and_utc().timestamp_micros()));
        let micros: Vec<Option<i64>> = micros.collect();
        let moment = DataType::Datetime(TimeUnit::Microseconds, None);
        return Series::new(header.into(), micros).cast(&moment).unwrap();
    }
    match (all::<i64>(&cells), all::<f64>(&cells)) {
        (Some(whole), _) => Series::new(header.into(), whole),
        (None, Some(numbers)) => Series::new(header.into(), numbers),
        (None, None) => Series::new(header.into(), cells),
    }
}

#[test]
fn raw_readings_from_parquet_give_the_same_sessions() {
    let folder = tempfile::tempdir().unwrap();
    let demo = root().join("data/demo");
    as_parquet(&folder.path().join("readings.parquet"));
    for name in [
        "thermometers.toml",
        "register.csv",
        "triple-point-readings.csv",
    ] {
        fs::copy(demo.join(name), folder.path().join(name)).unwrap();
    }
    fs::copy(
        demo.join("history/thermometers.csv"),
        folder.path().join("checks.csv"),
    )
    .unwrap();
    let sessions = |readings: &str| {
        let pipeline = folder.path().join("lab.toml");
        let text = format!(
            "as_of = \"2026-06-30\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n\
             [thermometry]\nfiles = [\"{readings}\"]\nthermometers = \"thermometers.toml\"\n\
             [output]\ncharts = \"none\"\n"
        );
        fs::write(&pipeline, text).unwrap();
        let out = folder.path().join(format!("{readings}.out"));
        driftbook(&[
            "run",
            pipeline.to_str().unwrap(),
            "--quiet",
            "--out",
            out.to_str().unwrap(),
        ])
        .well();
        let rejects = read_csv(&out.join("rejects.csv")).rows.into_iter();
        let reasons: Vec<String> = rejects
            .filter(|row| row["file"].contains(readings))
            .map(|row| format!("{} {}", row["row"], row["reason"]))
            .collect();
        (read_csv(&out.join("sessions.csv")).rows, reasons)
    };
    let (csv, csv_rejects) = sessions("triple-point-readings.csv");
    let (parquet, parquet_rejects) = sessions("readings.parquet");
    assert!(csv.len() > 60);
    assert_eq!(csv, parquet);
    assert_eq!(csv_rejects.len(), parquet_rejects.len());
}

/// A session as its readings were written down, the value of each thermometer unchanged: from
/// raw readings to R, its uncertainty and a verdict, in one command.
#[test]
fn raw_readings_of_a_new_session_get_a_verdict() {
    let folder = tempfile::tempdir().unwrap();
    let readings = fs::read_to_string(root().join("data/demo/triple-point-readings.csv")).unwrap();
    let wanted = |line: &&str| {
        line.starts_with("session,")
            || line.starts_with("S-24,TH-10") && line.contains("triple point")
    };
    let kept: Vec<&str> = readings.lines().filter(wanted).collect();
    let kept = kept.join("\n");
    let typed_by_hand =
        |line: &&str| !line.contains("typed by hand") && !line.contains("not noted");
    let kept: Vec<&str> = kept.lines().filter(typed_by_hand).collect();
    let text = kept
        .join("\n")
        .replace("S-24", "S-25")
        .replace("2026-05-31", "2026-06-28");
    let file = folder.path().join("session.csv");
    fs::write(&file, text + "\n").unwrap();
    let done = driftbook(&[
        "verdict",
        "--demo",
        "--readings",
        file.to_str().unwrap(),
        "--json",
    ])
    .ended(3);
    let verdicts: serde_json::Value = serde_json::from_str(&done.stdout).unwrap();
    let of = |name: &str| {
        let all = verdicts.as_array().unwrap().iter();
        all.clone()
            .find(|v| v["instrument"] == name)
            .unwrap()
            .clone()
    };
    let standard = of("TH-101");
    let session = standard["session"].as_str().unwrap();
    says!(session, "session S-25, triple point of water: R = 25.4796");
    assert!(
        session.contains("k = 2.00") && session.ends_with("used."),
        "{session}"
    );
    assert_eq!(standard["lines"].as_array().unwrap().len(), 5);
    assert_eq!(of("TH-105")["value"], "anneal");
    let known = driftbook(&[
        "verdict",
        "--demo",
        "--readings",
        "data/demo/triple-point-readings.csv",
    ])
    .ended(1);
    says!(known.stderr, "a session name of their own");
}

/// New readings are appended to the laboratory's own, once; a run then makes of them the check
/// that the verdict judged.
#[test]
fn readings_are_recorded_beside_the_laboratorys_own() {
    let folder = tempfile::tempdir().unwrap();
    let demo = root().join("data/demo");
    for name in [
        "thermometers.toml",
        "register.csv",
        "triple-point-readings.csv",
    ] {
        fs::copy(demo.join(name), folder.path().join(name)).unwrap();
    }
    let pipeline = folder.path().join("lab.toml");
    let text = "as_of = \"2026-06-30\"\n[register]\nfile = \"register.csv\"\n\
        [checks]\nfiles = [\"checks.csv\"]\n\
        [thermometry]\nfiles = [\"triple-point-readings.csv\"]\nthermometers = \"thermometers.toml\"\n\
        [output]\ncharts = \"none\"\n";
    fs::write(&pipeline, text).unwrap();
    fs::copy(
        demo.join("history/thermometers.csv"),
        folder.path().join("checks.csv"),
    )
    .unwrap();
    let stored = folder.path().join("triple-point-readings.csv");
    let before = fs::read_to_string(&stored).unwrap();
    let wanted =
        |line: &&str| line.starts_with("S-24,TH-101,") && line.contains("triple point of water");
    let rows: Vec<String> = before
        .lines()
        .filter(wanted)
        .map(|line| {
            line.replace("S-24", "S-25")
                .replace("2026-05-31", "2026-06-28")
        })
        .collect();
    let header = before.lines().next().unwrap();
    let session = folder.path().join("session.csv");
    let path = |path: &Path| path.to_str().unwrap().to_string();
    let record = |text: &str| {
        fs::write(&session, text).unwrap();
        driftbook(&[
            "verdict",
            "--readings",
            &path(&session),
            "--records",
            &path(&pipeline),
            "--record",
            &path(&stored),
            "--json",
        ])
    };
    let text = format!("{header}\n{}\n", rows.join("\n"));
    record(&text.replace(",0.265,", ",-0.265,")).ended(1);
    assert_eq!(fs::read_to_string(&stored).unwrap(), before);
    let partly = record(&(text.clone() + &rows[0].replace(",0.265,", ",-1,") + "\n"));
    says!(partly.stderr, "nothing was recorded");
    assert_eq!(fs::read_to_string(&stored).unwrap(), before);
    let done = record(&text).well();
    let said: serde_json::Value = serde_json::from_str(&done.stdout).unwrap();
    let after = fs::read_to_string(&stored).unwrap();
    assert_eq!(after, format!("{before}{}\n", rows.join("\n")));
    let again = record(&text).ended(1);
    says!(again.stderr, "among the stored readings already");
    assert_eq!(fs::read_to_string(&stored).unwrap(), after);
    let out = folder.path().join("report");
    driftbook(&["run", &path(&pipeline), "--quiet", "--out", &path(&out)]).well();
    let sessions = read_csv(&out.join("sessions.csv")).rows;
    let made = sessions.iter().find(|r| r["session"] == "S-25").unwrap();
    let change: f64 = made["change_mk"].parse().unwrap();
    assert_eq!(said["error"].as_f64(), Some(change));
    let decisions = read_csv(&out.join("decisions.csv")).rows;
    let decided = decisions
        .iter()
        .find(|r| r["instrument"] == "TH-101")
        .unwrap();
    assert_eq!(said["action"], decided["action"]);
}

/// R = 138.5055 Ω at 100 °C (IEC 60751:2022, table of values: 138.51 Ω), asked for and answered
/// with semicolons and decimal commas.
#[test]
fn a_table_is_converted_in_its_own_way_of_writing() {
    let folder = tempfile::tempdir().unwrap();
    let table = folder.path().join("t.csv");
    fs::write(&table, "id;t\na;100,0\nb;1,2,3\n").unwrap();
    let csv = ["--csv", table.to_str().unwrap(), "--column", "t"];
    let from = ["convert", "--iec-60751", "--from", "temperature"];
    let done = driftbook(&[&from[..], &csv].concat());
    let rows: Vec<&str> = done.stdout.lines().collect();
    assert!(rows[0].starts_with("id;t;resistance_ohm;"), "{}", rows[0]);
    assert!(
        rows[1].starts_with("a;100,0;138,505") && !rows[1].contains('.'),
        "{}",
        rows[1]
    );
    assert!(
        rows[2].ends_with("1,2,3 is not a number"),
        "{}",
        done.stdout
    );
}
