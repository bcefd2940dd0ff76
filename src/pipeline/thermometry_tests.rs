/*! Raw sessions of the demo become histories, pages and tables, and every row is accounted for. */

use super::*;
use crate::report::compose::sessions::sections::sections;
use crate::report::compose::sessions::tables as session_tables;
use crate::report::table_writer::TableFolder;
use crate::settings::{PlanRequest, plan};

fn demo() -> Plan {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/pipelines/interval-review.toml"
    );
    plan(&PlanRequest::new(
        Some(path.into()),
        None,
        chrono::NaiveDate::default(),
    ))
    .unwrap()
}

#[test]
fn raw_sessions_become_histories_and_every_row_is_accounted_for() {
    let plan = demo();
    let thermometry = read(&plan).unwrap().unwrap();
    let loaded = load(&plan, Some(&thermometry)).unwrap();
    let rows = loaded.rows;
    assert_eq!(rows.read, rows.used + rows.merged + rows.rejected);
    assert_eq!(rows.rejected as usize, loaded.rejects.len());
    let reduced = loaded
        .histories
        .iter()
        .filter(|h| h.item.instrument.starts_with("TH-1"));
    assert!(
        reduced
            .filter(|h| h.item.unit == "mK" && h.len() > 5)
            .count()
            >= 5
    );
    let reasons: Vec<&str> = loaded.rejects.iter().map(|r| &*r.reason).collect();
    assert!(
        reasons
            .iter()
            .any(|r| r.contains("check standard TH-101 moved"))
    );
    let parts = sections(&thermometry, "TH-105", "triple point of water");
    let titles: Vec<&str> = parts.iter().map(|p| p.title.as_str()).collect();
    assert_eq!(parts.len(), 10, "{titles:?}");
    says!(parts[6].figures[0].svg, "TH-105: with the old value");
    says!(parts[7].paragraphs[0], "unchanged");
    assert!(parts[2].rows.len() > 5 && parts[5].rows.len() > 8 && parts[6].rows.len() > 5);
    assert!(parts[4].rows.len() >= 2, "{:?}", parts[4]);
    assert_eq!(
        (parts[3].title.as_str(), parts[3].rows.len()),
        ("Values in use", 3)
    );
    assert!(sections(&thermometry, "TH-001", "triple point of water").is_empty());
    let folder = tempfile::tempdir().unwrap();
    session_tables::write(Some(&thermometry), TableFolder::csv(folder.path())).unwrap();
    let text = std::fs::read_to_string(folder.path().join("sessions.csv")).unwrap();
    assert!(text.starts_with("session,instrument,point,date"));
}

/// The register states limits in mK; ±5 mK of a 25.5 Ω thermometer are ±0.508 mΩ, by
/// dR/dT = 3.9885e-3 /K times R (slope of the scale at the triple point of water).
#[test]
fn in_milliohms_the_limits_of_the_register_follow() {
    let mut plan = demo();
    let in_mk = load(&plan, read(&plan).unwrap().as_ref()).unwrap();
    plan.settings.thermometry.unit = crate::thermometry::session::CheckUnit::Milliohm;
    let loaded = load(&plan, read(&plan).unwrap().as_ref()).unwrap();
    assert_eq!(loaded.histories.len(), in_mk.histories.len());
    assert_eq!(loaded.rows, in_mk.rows);
    let own = |h: &records::History<'_>| h.item.instrument == "TH-105";
    let history = loaded.histories.iter().find(own).unwrap();
    let tolerance = history.item.tolerance.unwrap();
    assert_eq!(history.item.unit, "mΩ");
    near!(tolerance.upper(), 0.507_94, 2e-5);
    let before = in_mk.histories.iter().find(own).unwrap();
    let ratio = history.as_found[3] / before.as_found[3];
    near!(ratio, 0.101_588, 1e-6);
}
