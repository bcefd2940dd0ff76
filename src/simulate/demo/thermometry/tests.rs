/*! The troubles of the sessions are found, and the lives of their thermometers. */

use super::*;
use crate::thermometry::Thermometers;
use crate::thermometry::its90::FixedPoint;
use crate::thermometry::readings::ReadingPoint;
use crate::thermometry::reduction::BudgetSettings;
use crate::thermometry::session::{SessionSettings, Sessions, reduce_sessions};
use crate::thermometry::testing::read_text;

fn reduced() -> Sessions {
    let [readings, facts] = files(crate::simulate::demo::DEMO_SEED);
    let table = read_text(&readings.text).unwrap();
    assert_eq!(table.rejected.len(), 3, "{:?}", table.rejected);
    let facts = Thermometers::from_text(&facts.text).unwrap();
    assert!(facts.thermometer.iter().all(|t| t.thermometer().is_ok()));
    reduce_sessions(
        &table.readings,
        &facts,
        &BudgetSettings::default(),
        &SessionSettings::default(),
    )
}

fn rules(sessions: &Sessions, session: &str) -> Vec<&'static str> {
    let of = sessions.results.iter().filter(|r| r.session == session);
    of.flat_map(|r| r.violations.iter().map(|v| v.rule))
        .collect()
}

#[test]
fn every_trouble_is_found_and_nothing_else() {
    let sessions = reduced();
    assert!(sessions.rejected.is_empty());
    let expected = [
        ("S-03", "wait"),
        ("S-06", "mantle"),
        ("S-10", "thermometers"),
        ("S-10", "plateau"),
        ("S-13", "check_standard"),
        ("S-17", "no_check_standard"),
        ("S-18", "readings"),
        ("S-20", "spread"),
        ("S-22", "slope"),
    ];
    for (session, rule) in expected {
        assert!(
            rules(&sessions, session).contains(&rule),
            "{session} {rule}"
        );
    }
    let quiet = [
        "S-01", "S-02", "S-04", "S-05", "S-07", "S-09", "S-11", "S-12", "S-16", "S-23", "S-24",
    ];
    for session in quiet {
        assert!(
            rules(&sessions, session).is_empty(),
            "{session}: {:?}",
            rules(&sessions, session)
        );
    }
    let rejected = sessions.results.iter().filter(|r| !r.is_accepted());
    assert!(rejected.count() >= 4);
}

#[test]
fn the_reduction_finds_the_lives_again() {
    let sessions = reduced();
    let change = |session: &str, instrument: &str| {
        sessions
            .results
            .iter()
            .find(|r| {
                let water = ReadingPoint::Fixed(FixedPoint::Water);
                r.session == session && r.instrument == instrument && r.point == water
            })
            .map(|r| r.change_mk())
            .unwrap()
    };
    assert!((change("S-14", "TH-104") - 1.9).abs() < 0.15);
    assert!((change("S-15", "TH-104") - 0.27).abs() < 0.15);
    assert!((change("S-01", "TH-101")).abs() < 0.1);
}
