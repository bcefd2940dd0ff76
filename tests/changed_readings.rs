/*! A table of raw readings that somebody wrote otherwise after a year: told, and never averaged, counted
twice or kept out of the decision in silence. */

use super::bench_year::{readings, write};
use super::tool::{driftbook, read_csv};
use std::path::Path;

const YEAR: [(usize, f64); 6] = [(1, 0.0), (2, 0.1), (3, 0.0), (4, 0.2), (5, 0.1), (6, 0.2)];

/// A folder with the pipeline that `start` wrote of a year's readings, and limits for its probes.
fn bench() -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().unwrap();
    let file = write(folder.path(), "readings.csv", &readings(&YEAR));
    driftbook(&["start", &file]).well();
    let pipeline = folder.path().join("readings.toml");
    let text = std::fs::read_to_string(&pipeline).unwrap();
    let limits = "[register]\ntolerance = \"±15 mK\"\n[output]\n";
    std::fs::write(&pipeline, text.replace("[output]\n", limits)).unwrap();
    (folder, pipeline.to_string_lossy().into_owned())
}

/// What a run says of these readings, and its decision on the first probe: action and reason.
fn said(text: &str) -> (String, String) {
    let (folder, pipeline) = bench();
    write(folder.path(), "readings.csv", text);
    let made = driftbook(&["run", &pipeline, "--as-of", "2026-06-01"]);
    let out: &Path = &folder.path().join("reports/readings");
    let decision = match made.status {
        0 => {
            let decisions = read_csv(&out.join("decisions.csv"));
            let first = &decisions.rows[0];
            format!("{}: {}", first["action"], first["reason"])
        }
        _ => String::new(),
    };
    (made.stdout + &made.stderr, decision)
}

/// The renamed column was left out in silence, and its mend named a ratio.
#[test]
fn columns_that_are_not_read_any_more_are_told() {
    let text = readings(&YEAR);
    let (told, _) = said(&text.replace("current_ma", "current (A)"));
    says!(told, "current_ma = \"current (A)\"");
    let (told, _) = said(&text.replace("depth_m", "Operator"));
    says!(told, "column \"Operator\" is not read");
    let (told, _) = said(&text.replace("resistance_ohm", "R [Ω]"));
    says!(told, "as resistance_ohm = \"R [Ω]\"");
}

/// Two sessions of one name were averaged, on a day between the two.
#[test]
fn a_name_given_to_two_sessions_is_refused() {
    let (told, _) = said(&readings(&YEAR).replace("S-6,", "S-1,"));
    says!(
        told,
        "the readings of session S-1 lie between",
        "was its name given twice?"
    );
}

#[test]
fn readings_pasted_twice_count_once() {
    let text = readings(&YEAR);
    let again = readings(&YEAR[5..]);
    let (_, rows) = again.split_once('\n').unwrap();
    let (told, pasted) = said(&format!("{text}{rows}"));
    says!(
        told,
        "24 × the same reading, to its time of day, stands in another row"
    );
    assert_eq!(pasted, said(&text).1);
}

#[test]
fn a_session_without_its_current_is_used_with_doubt() {
    let text = readings(&YEAR);
    let line = |line: &str| match line.starts_with("S-6,") {
        true => line.replace(",1,C-9", ",,C-9"),
        false => line.to_string(),
    };
    let lines: Vec<String> = text.lines().map(line).collect();
    let (told, _) = said(&(lines.join("\n") + "\n"));
    says!(
        told,
        "measuring current not stated: taken for the 1 mA of the others"
    );
}

/// Without a value in use nothing was advised, and the interval went on from the session before.
#[test]
fn a_rejected_newest_session_asks_for_another_where_no_value_is_in_use() {
    let mut moved = YEAR;
    moved[5].1 = 900.0;
    let (_, decision) = said(&readings(&moved));
    says!(
        decision,
        "review: The sessions advise to repeat: the session is no valid measurement"
    );
}
