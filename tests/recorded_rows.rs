/*! A check that `verdict --record` keeps comes back as it was stated, from a file of any shape: the row is added as the
file is written, or nothing is, and a file of its own takes it. The exports are those of `exports_from_anywhere`. */

use crate::desk::{Desk, loaded};
use crate::exports_from_anywhere::{desk_with, exports};
use crate::tool::{Done, driftbook, root};
use driftbook::records::Loaded;
use std::path::Path;

/// A new check: one day behind the last one of a history, a little off its error.
struct New {
    instrument: String,
    point: String,
    date: String,
    value: f64,
    error: f64,
    u: Option<f64>,
    nominal: f64,
}

/// One of the history in the middle that has a value.
fn new_check(read: &Loaded) -> Option<New> {
    let histories: Vec<_> = read.histories.iter().collect();
    let history = histories.get(histories.len() / 2)?;
    let last = history
        .as_found
        .iter()
        .rposition(|found| found.is_finite())?;
    let (found, nominal) = (history.as_found[last], history.nominal[last]);
    let error = found + 0.01 * found.abs();
    Some(New {
        instrument: history.item.instrument.clone(),
        point: history.item.point.clone(),
        date: driftbook::records::date::iso((history.date[history.len() - 1] + 1.0).floor()),
        value: nominal + error,
        error,
        u: history.u.last().copied().filter(|u| u.is_finite()),
        nominal,
    })
}

fn record(new: &New, pipeline: &Path, file: &Path) -> Done {
    let value = new.value.to_string();
    let u = new.u.map(|u| u.to_string());
    let mut arguments = vec!["verdict", &new.instrument, &value, "--date", &new.date];
    let paths = [pipeline.to_str().unwrap(), file.to_str().unwrap()];
    arguments.extend(["--records", paths[0], "--record", paths[1]]);
    if !new.point.is_empty() {
        arguments.extend(["--point", &new.point]);
    }
    if let Some(u) = &u {
        arguments.extend(["--u", u]);
    }
    driftbook(&arguments)
}

/// True where the records hold the new check beside all that they held before.
fn holds(read: &Loaded, new: &New, before: usize) -> bool {
    let history = read.histories.iter().find(|history| {
        (&history.item.instrument, &history.item.point) == (&new.instrument, &new.point)
    });
    let Some(history) = history else { return false };
    let on_day = |date: &f64| driftbook::records::date::iso(*date) == new.date;
    let Some(at) = history.date.iter().position(on_day) else {
        return false;
    };
    let within = 1e-9 * new.value.abs().max(new.nominal.abs());
    let same_u = new.u.is_none_or(|u| (history.u[at] - u).abs() <= 1e-9 * u);
    let all: usize = read.histories.iter().map(|history| history.len()).sum();
    (history.as_found[at] - new.error).abs() <= within && same_u && all == before + 1
}

/// What is wrong with a check recorded into one export; `None` where nothing is.
fn wrong(export: &Path) -> Option<String> {
    let (desk, pipeline) = desk_with(export);
    let new = new_check(&loaded(&pipeline))?;
    let before = loaded(&pipeline).histories.columns.date.len();
    let raw = std::fs::read(desk.path("raw.csv")).unwrap();
    let done = record(&new, &pipeline, &desk.path("raw.csv"));
    if !done.stderr.contains("nothing was added") {
        let right = holds(&loaded(&pipeline), &new, before);
        return (!right).then(|| format!("{}{}", done.stdout, done.stderr));
    }
    if std::fs::read(desk.path("raw.csv")).unwrap() != raw || !done.stderr.contains("--record NEW")
    {
        return Some(format!(
            "refused and changed, or without help: {}",
            done.stderr
        ));
    }
    let apart = record(&new, &pipeline, &desk.path("apart.csv"));
    let Some((_, entry)) = apart.stderr.split_once("[[checks.other]]") else {
        return Some(format!("no way to keep it: {}", apart.stderr));
    };
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    std::fs::write(&pipeline, format!("{draft}\n[[checks.other]]{entry}")).unwrap();
    let right = holds(&loaded(&pipeline), &new, before);
    (!right).then(|| format!("from a file of its own: {}{}", apart.stdout, apart.stderr))
}

#[test]
fn a_recorded_check_comes_back_as_it_was_stated() {
    let exports = exports();
    let wrong = exports.iter().filter_map(|path| Some((path, wrong(path)?)));
    let wrong: Vec<String> = wrong
        .map(|(path, why)| format!("{}: {why}", path.display()))
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

const WITH_NOMINAL: &str = "instrument,date,as_found,nominal,u,lower,upper,unit\n\
    V-1,2023-03-01,10.02,10,0.01,-0.1,0.1,V\nV-1,2024-03-01,10.03,10,0.01,-0.1,0.1,V\n";

/// An error where the records have values with their nominal value: withdrawn before, for an error of -9.97 V.
#[test]
fn an_error_in_place_of_a_value_is_asked_about() {
    let desk = Desk::new();
    let records = desk.file("v.csv", WITH_NOMINAL);
    let records = records.to_str().unwrap();
    let verdict = |reading: &[&str]| {
        let asked = [
            "verdict",
            "V-1",
            "--date",
            "2025-03-01",
            "--u",
            "0.01",
            "--records",
            records,
        ];
        driftbook(&[&asked[..], reading].concat())
    };
    let refused = verdict(&["0.03"]).ended(2);
    says!(
        refused.stderr,
        "may be the value or the error",
        "nominal value 10",
        "--nominal 0"
    );
    says!(verdict(&["10.03"]).well().stdout, "0.03 V (u = 0.01)");
    says!(
        verdict(&["0.03", "--nominal", "0"]).well().stdout,
        "0.03 V (u = 0.01)"
    );
}

/// As a run reads it: without a nominal value beside it, a number of a file is an error.
#[test]
fn a_file_of_new_readings_states_its_nominal_values_itself() {
    let desk = Desk::new();
    let records = desk.file("v.csv", WITH_NOMINAL);
    let records = records.to_str().unwrap();
    let verdict = |name: &str, text: &str| {
        let file = desk.file(name, text);
        driftbook(&[
            "verdict",
            "--file",
            file.to_str().unwrap(),
            "--records",
            records,
        ])
    };
    let head = "instrument,date,as_found,u,unit";
    let error = verdict(
        "error.csv",
        &format!("{head}\nV-1,2025-03-01,0.03,0.01,V\n"),
    );
    says!(error.well().stdout, "0.03 V (u = 0.01)");
    let value = verdict(
        "value.csv",
        &format!("{head},nominal\nV-1,2025-03-01,10.03,0.01,V,10\n"),
    );
    says!(value.well().stdout, "0.03 V (u = 0.01)");
    let open = verdict(
        "open.csv",
        &format!("{head}\nV-1,2025-03-01,10.03,0.01,V\n"),
    )
    .ended(2);
    says!(open.stderr, "no nominal value beside it");
    // Of records without limits and nominal values an error of 0 is no question.
    let bare =
        "instrument,date,as_found,u,unit\nV-2,2023-03-01,0.1,0.01,V\nV-2,2024-03-01,0.1,0.01,V\n";
    let bare = desk.file("bare.csv", bare);
    let none = desk.file("none.csv", &format!("{head}\nV-2,2025-03-01,0,0.01,V\n"));
    let paths = [&none, &bare].map(|path| path.to_str().unwrap());
    let zero = driftbook(&["verdict", "--file", paths[0], "--records", paths[1]]);
    assert!(matches!(zero.status, 0 | 3), "{}", zero.stderr);
}

/// A file that the pipeline does not name took the check before without a word, and no run ever read it.
#[test]
fn a_check_in_a_file_that_no_run_reads_is_told() {
    let desk = Desk::new();
    let records = desk.file("v.csv", WITH_NOMINAL);
    let named = desk.file("named.toml", "[checks]\nfiles = [\"v.csv\"]\n");
    let pattern = desk.file("pattern.toml", "[checks]\nfiles = [\"*.csv\"]\n");
    let record = |by: &Path, name: &str| {
        let (by, into) = (by.to_str().unwrap(), desk.path(name));
        let check = [
            "verdict",
            "V-1",
            "10.234",
            "--date",
            "2025-03-01",
            "--nominal",
            "10",
        ];
        let kept = ["--records", by, "--record", into.to_str().unwrap()];
        driftbook(&[&check[..], &kept].concat()).ended(3)
    };
    says!(
        record(&named, "new.csv").stderr,
        "named.toml reads",
        "files = [\"new.csv\"]"
    );
    says!(
        record(&records, "other.csv").stderr,
        "no run of",
        "driftbook start"
    );
    for name in ["new.csv", "other.csv"] {
        std::fs::remove_file(desk.path(name)).unwrap();
    }
    let silent = record(&pattern, "third.csv");
    assert!(!silent.stderr.contains("no run"), "{}", silent.stderr);
    assert_eq!(loaded(&pattern).histories.columns.date.len(), 3);
}

/// The same of raw readings: the small bench of the demo, with a file that its pipeline names and another one.
#[test]
fn readings_in_a_file_that_no_run_reads_are_told() {
    let desk = Desk::new();
    for name in ["readings.csv", "new-session.csv"] {
        let from = root().join("data/demo/small-bench").join(name);
        std::fs::copy(from, desk.path(name)).unwrap();
    }
    let (_, pipeline) = desk.start(&desk.path("readings.csv"));
    let record = |name: &str| {
        let [new, by, into] = [
            desk.path("new-session.csv"),
            pipeline.clone(),
            desk.path(name),
        ];
        let paths = [&new, &by, &into].map(|path| path.to_str().unwrap());
        let [new, by, into] = paths;
        driftbook(&[
            "verdict",
            "--readings",
            new,
            "--records",
            by,
            "--record",
            into,
        ])
        .stderr
    };
    says!(record("other.csv"), "other.csv yet", "[thermometry]");
    let silent = record("readings.csv");
    assert!(!silent.contains("no run"), "{silent}");
}

/// A file of new checks beside records of the same columns could not be recorded: "the check states u_common", which
/// neither file has.
#[test]
fn checks_of_a_file_are_recorded_into_records_of_the_same_columns() {
    let desk = Desk::new();
    let head = "instrument,date,as_found,u,lower,upper,unit\n";
    let rows = "V-1,2024-03-04,0.1,0.1,-1,1,V\nV-1,2025-03-04,0.2,0.1,-1,1,V\n";
    let records = desk.file("v.csv", &format!("{head}{rows}"));
    let new = "instrument,date,as_found,u,unit\nV-1,2026-03-04,0.2,0.1,V\n";
    let file = desk.file("new.csv", new);
    let [records, file] = [&records, &file].map(|path| path.to_str().unwrap());
    let asked = ["verdict", "--file", file, "--records", records];
    let done = driftbook(&[&asked[..], &["--record", records]].concat());
    assert!(matches!(done.status, 0 | 3), "{}", done.stderr);
    let kept = std::fs::read_to_string(records).unwrap();
    assert!(kept.contains("V-1,2026-03-04,0.2,0.1,,,V"), "{kept}");
}
