use super::*;
use crate::settings::plan::{PlanRequest, plan};

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 30).unwrap()
}

/// The published resistor history under other headers, delimiters and formats.
fn resistor(change: impl Fn(&str) -> String) -> String {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/data/reference/standard-resistor.csv"
    );
    let text = std::fs::read_to_string(path).unwrap();
    text.lines()
        .skip(1)
        .map(|line| change(line) + "\n")
        .collect()
}

fn start_and_load(text: &str) -> (Started, Loaded) {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("my records [1].csv");
    std::fs::write(&records, text).unwrap();
    let started = start(&records, today()).unwrap();
    let plan = plan(&PlanRequest {
        path: Some(started.file.clone()),
        out: None,
        as_of: None,
        charts: None,
        today: today(),
    })
    .unwrap();
    let loaded = load(&plan.request()).unwrap();
    let again = start(&records, today()).unwrap_err().to_string();
    assert!(again.contains("already there"), "{again}");
    (started, loaded)
}

#[test]
fn a_renamed_copy_of_the_resistor_runs_unchanged() {
    let header = "Serial no,Measurand,Measured on,Resistance,Reference value,Std unc,Unit,n\n";
    let (started, loaded) = start_and_load(&(header.to_string() + &resistor(str::to_string)));
    assert_eq!(loaded.rows.used, 1000, "{}", started.explanation);
    let history = loaded.histories.get(0);
    assert_eq!(history.item.unit, "ohm");
    assert_eq!(history.as_found[0], 27.868);
}

#[test]
fn a_german_copy_of_the_resistor_runs_unchanged() {
    let rows = resistor(|line| {
        let fields: Vec<String> = line.split(',').map(|f| f.replace('.', ",")).collect();
        let date: Vec<&str> = fields[2].split('-').collect();
        format!(
            "{};{}.{}.{};{}",
            fields[0], date[2], date[1], date[0], fields[3]
        )
    });
    let (started, loaded) =
        start_and_load(&("Messmittel;Datum;Messwert [Ohm]\n".to_string() + &rows));
    assert_eq!(loaded.rows.used, 1000, "{}", started.explanation);
    let history = loaded.histories.get(0);
    assert_eq!(
        (history.as_found[0], history.item.unit.as_str()),
        (27.868, "Ohm")
    );
    assert!(
        started.explanation.contains("day first"),
        "{}",
        started.explanation
    );
}

#[test]
fn a_file_without_needed_columns_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("r.csv");
    std::fs::write(&records, "a,b\n1,2\n").unwrap();
    let told = start(&records, today()).unwrap_err().to_string();
    assert!(
        told.contains("no column was found for instrument, date"),
        "{told}"
    );
    assert!(!folder.path().join("r.toml").exists());
}
