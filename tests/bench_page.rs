/*! The page of a thermometer read at the bench: whether it may serve as a reference, and one answer to the
question of what to carry. */

use super::bench_year::{readings, write};
use super::tool::{driftbook, read_csv};
use std::fs;
use std::path::{Path, PathBuf};

/// Report of nine sessions of the small bench, P-1 at the changes given in mK.
fn report(folder: &Path, changes: &[f64], more: &str) -> PathBuf {
    let sessions: Vec<(usize, f64)> = (1..).zip(changes.iter().copied()).collect();
    write(folder, "readings.csv", &readings(&sessions));
    let own = "u_triple_point_ohm = 0.00002\ncurrent_ma = 1\nmeasured_in = \"C-9\"\n";
    let facts = format!(
        "[[thermometer]]\ninstrument = \"P-1\"\ntriple_point_ohm = 100.0213\n{own}\
         [[thermometer]]\ninstrument = \"P-2\"\ntriple_point_ohm = 99.9874\n{own}"
    );
    write(folder, "th.toml", &facts);
    write(
        folder,
        "register.csv",
        "instrument,unit,lower,upper\nP-1,mK,-5,5\nP-2,mK,-5,5\n",
    );
    let text = format!(
        "as_of = \"2026-03-08\"\n[thermometry]\nfiles = [\"readings.csv\"]\nthermometers = \"th.toml\"\n\
         [register]\nfile = \"register.csv\"\n[thermometry.advice]\nadopt_mk = 4.0\n[thermometry.around_work]\n\
         before_use_mk = 5.0\n{more}"
    );
    let lab = write(folder, "lab.toml", &text);
    let out = folder.join("out");
    driftbook(&["run", &lab, "--quiet", "--out", out.to_str().unwrap()]).well();
    out
}

fn serves(out: &Path) -> (String, String) {
    let rows = read_csv(&out.join("thermometers.csv")).rows;
    let own = rows.iter().find(|r| r["instrument"] == "P-1").unwrap();
    (
        own["may_serve_as_reference"].clone(),
        own["reference_reason"].clone(),
    )
}

/// 8 mK off in October and back since: nobody has said what became of it.
#[test]
fn a_thermometer_with_an_open_case_is_no_reference() {
    let changes = [0.0, 0.0, 0.0, 0.0, 8.0, 0.0, 0.0, 0.0, 0.0];
    let folder = tempfile::tempdir().unwrap();
    let without = serves(&report(folder.path(), &changes, ""));
    assert_eq!(without.0, "true", "{}", without.1);
    let folder = tempfile::tempdir().unwrap();
    let with = serves(&report(
        folder.path(),
        &changes,
        "[cases]\nfile = \"cases.csv\"\n",
    ));
    assert_eq!(
        with,
        ("false".into(), "1 open case of it: close it first".into())
    );
}

/// A slow rise that is adopted: the page says so once, and nowhere that another value be carried.
#[test]
fn a_page_gives_one_answer_to_what_is_carried() {
    let changes: Vec<f64> = (0..9).map(|n| 0.35 * f64::from(n)).collect();
    let folder = tempfile::tempdir().unwrap();
    let out = report(folder.path(), &changes, "");
    let pages = fs::read_dir(out.join("instruments"))
        .unwrap()
        .map(|f| f.unwrap().path());
    let own = pages.filter(|f| f.to_str().unwrap().to_lowercase().contains("p-1"));
    let page: String = own.map(|f| fs::read_to_string(f).unwrap()).collect();
    assert!(page.contains("Adopt: "), "no advice to adopt");
    says!(page, "What to carry is said under Advice");
    assert!(!page.contains("carry the predicted") && !page.contains("carried value"));
}
