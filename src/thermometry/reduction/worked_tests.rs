/*! The worked session of tests/reference/thermometry: every number evaluated
independently in Python (README.md there). */

use super::*;
use crate::thermometry::readings::RawReading;
use crate::thermometry::testing::read_text;

fn readings() -> Vec<RawReading> {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/reference/thermometry/worked_session.csv"
    );
    let table = read_text(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert!(table.rejected.is_empty());
    table.readings
}

fn reduced(readings: &[RawReading]) -> Reduced {
    let all: Vec<_> = readings.iter().collect();
    reduce(&all, &AtCurrent::default(), &BudgetSettings::default()).unwrap()
}

fn contribution_uk(reduced: &Reduced, component: &str) -> f64 {
    let row = reduced
        .budget
        .rows
        .iter()
        .find(|r| r.component == component);
    reduced.in_mk(row.unwrap().contribution_ohm) * 1000.0
}

#[test]
fn from_ratios_to_the_triple_point() {
    let got = reduced(&readings());
    near!(got.resistance_ohm, 25.479_652_239, 1e-9);
    assert!((got.departure_k + 236.834e-6).abs() < 1e-9);
    near!(got.self_heating_mk.unwrap(), 0.2979, 1e-4);
    assert_eq!(got.correlation, 0.0);
    assert!(got.assumptions.is_empty(), "{:?}", got.assumptions);
    let first = &got.series[0];
    assert_eq!((first.count(), first.runs.len()), (24, 2));
    near!(first.mean(), 0.254_796_024_375, 1e-15);
    near!(first.u_mean(0.0), 1.438_282e-9, 1e-15);
    near!(first.runs[0].neighbour_correlation, 0.137_644, 1e-6);
}

#[test]
fn budget_of_the_worked_session() {
    let got = reduced(&readings());
    let expected = [
        ("repeatability of the readings", 3.395),
        ("ratio of the currents", 1.191),
        ("linearity of the bridge", 11.362),
        ("calibration of the resistor", 25.072),
        ("drift of the resistor", 12.536),
        ("temperature of the resistor", 2.171),
        ("depth", 2.107),
        ("isotopic composition", 4.000),
        ("impurities and gas", 23.094),
        ("mantle", 8.660),
        ("heat flux", 11.547),
    ];
    assert_eq!(got.budget.rows.len(), expected.len());
    for (component, microkelvin) in expected {
        let have = contribution_uk(&got, component);
        near!(have, microkelvin, 1.5e-3, "{component}: {have}");
    }
    near!(got.budget.u_ohm(), 4.184e-6, 1e-9);
    near!(got.in_mk(got.budget.u_ohm()) * 1000.0, 41.166, 2e-3);
    near!(got.budget.u_random_ohm(), 2.310e-6, 1e-9);
    near!(got.expanded_ohm(), 8.367e-6, 2e-9);
    let repeatability = &got.budget.rows[0];
    near!(repeatability.degrees_of_freedom, 30.5, 0.1);
    assert!(got.budget.effective_degrees_of_freedom() > 5e5);
    let whole = got.budget.u_random_ohm().hypot(got.budget.u_common_ohm());
    near!(whole, got.budget.u_ohm(), 1e-18);
}

#[test]
fn the_order_of_the_rows_changes_nothing() {
    let mut rows = readings();
    let before = reduced(&rows);
    rows.reverse();
    rows.swap(3, 20);
    assert_eq!(reduced(&rows), before);
}

#[test]
fn gaps_widen_and_say_so() {
    let full = reduced(&readings());
    let gap = |change: fn(&mut RawReading), word: &str| {
        let mut rows = readings();
        rows.iter_mut().for_each(change);
        let got = reduced(&rows);
        assert!(
            got.assumptions.iter().any(|a| a.contains(word)),
            "{word}: {:?}",
            got.assumptions
        );
        got.budget.u_ohm() / full.budget.u_ohm()
    };
    assert!(gap(|r| r.cell.isotopes = None, "isotopic") > 1.1);
    assert!(gap(|r| r.depth_m = f64::NAN, "depth") > 1.1);
    assert!(
        gap(
            |r| r
                .resistor
                .iter_mut()
                .for_each(|s| s.temperature_c = f64::NAN),
            "temperature of the resistor"
        ) > 2.0
    );
    assert!(gap(|r| r.current_ma = 1.0, "no second") > 2.0);
    assert!(gap(|r| r.cell.name.clear(), "cell not named") >= 1.0);
}

#[test]
fn nothing_to_reduce_is_an_error() {
    assert!(reduce(&[], &AtCurrent::default(), &BudgetSettings::default()).is_err());
    let mut rows = readings();
    rows[0].resistor = None;
    let all: Vec<_> = rows.iter().collect();
    assert!(reduce(&all, &AtCurrent::default(), &BudgetSettings::default()).is_err());
}
