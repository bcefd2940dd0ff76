/*! Whole histories from checks to fit and notes. */

use super::readings::Axis;
use crate::drift::diagnostics::suspects::without;
use crate::drift::reference::{column, days_and_errors};
use crate::drift::{DriftSettings, Fit, ModelName, Status, fit_history};
use crate::records::testing::Record;
use crate::records::{DAYS_PER_YEAR, Event, Histories};

/// A history of errors on dates (days), with optional u and events.
fn history(date: &[f64], value: &[f64], u: f64, events: &[(usize, Event)]) -> Histories {
    let checks = date.iter().zip(value);
    let mut record = checks.fold(Record::new(), |record, (day, error)| {
        record.check(*day, *error).usage(3.0 * day)
    });
    record.item.unit = "mV".into();
    record.item.tolerance = None;
    record.columns.u.fill(u);
    for (i, e) in events {
        record.columns.event[*i] = *e;
    }
    record.histories()
}

fn fitted(all: &Histories, model: ModelName) -> Fit {
    fit_history(&all.get(0), &DriftSettings::default(), model)
}

fn yearly(n: usize) -> Vec<f64> {
    (0..n).map(|i| 15_000.0 + 365.25 * i as f64).collect()
}

#[test]
fn one_and_two_readings_say_what_is_missing() {
    let one = history(&yearly(1), &[1.5], 0.1, &[]);
    let fit = fitted(&one, ModelName::Line);
    assert_eq!(fit.status, Status::LevelOnly);
    assert_eq!(
        fit.notes,
        ["one reading (1.50 mV); a second, with u, gives a drift"]
    );
    let two = history(&yearly(2), &[1.5, 1.6], f64::NAN, &[]);
    assert!(fitted(&two, ModelName::Line).notes[0].starts_with("two readings without u"));
    let two = history(&yearly(2), &[1.5, 1.6], 0.1, &[]);
    let fit = fitted(&two, ModelName::Line);
    near!(fit.drift_per_year, 0.1, 1e-12);
    near!(fit.u_drift_per_year, 0.1 * 2f64.sqrt(), 1e-12);
}

#[test]
fn an_adjustment_keeps_the_drift_and_a_repair_does_not() {
    let value = [0.0, 1.0, 2.0, 10.0, 11.0, 12.0];
    let adjusted = history(&yearly(6), &value, 0.1, &[(3, Event::Shocked)]);
    let fit = fitted(&adjusted, ModelName::Line);
    near!(fit.drift_per_year, 1.0, 1e-9);
    let terms: Vec<_> = fit
        .coefficients
        .iter()
        .map(|c| (c.segment, c.term))
        .collect();
    let all = [
        (Some(0), "intercept"),
        (Some(0), "slope"),
        (Some(1), "intercept"),
        (Some(1), "slope"),
    ];
    assert_eq!(terms, all);
    let x = 15_000.0 / DAYS_PER_YEAR;
    near!(fit.fitted(x + 1.0).unwrap().expected, 1.0, 1e-9);
    near!(fit.at(x + 6.0).unwrap().expected, 13.0, 1e-9);
    let last = history(&yearly(6), &value, 0.1, &[(5, Event::Repaired)]);
    assert_eq!(fitted(&last, ModelName::Line).status, Status::LevelOnly);
}

#[test]
fn zero_scatter_without_u_falls_back_on_the_last_digit() {
    let flat = history(&yearly(5), &[0.1; 5], f64::NAN, &[]);
    let fit = fitted(&flat, ModelName::Line);
    assert!(fit.notes[0].contains("resolution"), "{:?}", fit.notes);
    assert!(fit.u_drift_per_year > 0.0);
    // The last digit is that of the numbers as written, in any unit.
    for (value, digit) in [
        (0.1, 0.1),
        (0.25, 0.01),
        (1.203e-29, 1e-32),
        (250.0, 10.0),
        (7e30, 1e30),
    ] {
        let flat = history(&yearly(5), &[value; 5], f64::NAN, &[]);
        let u_next = fitted(&flat, ModelName::Line).at(60.0).unwrap().u_reading;
        let u_line = fitted(&flat, ModelName::Line).at(60.0).unwrap().u_error;
        let u = (u_next * u_next - u_line * u_line).sqrt();
        near!(u * 12f64.sqrt() / digit, 1.0, 1e-6, "{value:e}: {u:e}");
    }
    let zero = history(&yearly(5), &[0.0; 5], f64::NAN, &[]);
    assert_eq!(fitted(&zero, ModelName::Line).status, Status::Failed);
}

#[test]
fn drift_against_use_is_turned_into_years() {
    let value = [0.0, 1.1, 1.9, 3.0, 4.1];
    let all = history(&yearly(5), &value, 0.1, &[]);
    let settings = DriftSettings {
        axis: Axis::Usage,
        ..DriftSettings::default()
    };
    let by_use = fit_history(&all.get(0), &settings, ModelName::Line);
    let by_time = fitted(&all, ModelName::Line);
    near!(by_use.drift_per_year / by_time.drift_per_year, 1.0, 1e-9);
    assert!(by_use.notes.iter().any(|n| n.contains("per unit of use")));
}

/// Synthetic history with two wild readings (trend/outliers15.csv).
#[test]
fn outliers_are_told_and_can_be_left_out() {
    let (x, y) = days_and_errors("trend/outliers15.csv");
    let date: Vec<f64> = x.iter().map(|d| d + 16_000.0).collect();
    for u in [0.15, f64::NAN] {
        let all = history(&date, &y, u, &[]);
        let notes = fitted(&all, ModelName::Line).notes;
        let kept = notes.iter().filter(|n| n.contains("it is kept")).count();
        assert_eq!(kept, 2, "{notes:?}");
        let suspects = fitted(&all, ModelName::Line).suspects;
        let mut rows: Vec<u32> = suspects.iter().map(|suspect| suspect.row).collect();
        rows.sort_unstable();
        assert_eq!(rows, [4, 11]);
        let without = fitted(&without(&all.get(0), &suspects), ModelName::Line);
        assert!(without.u_drift_per_year < fitted(&all, ModelName::Line).u_drift_per_year);
    }
}

/// The e-Handbook's resistor wanders: auto leaves the constant, and the notes say so.
#[test]
fn real_histories_are_described() {
    for name in ["standard_resistor", "mass"] {
        let file = format!("handbook/{name}_checks.csv");
        let (x, y) = days_and_errors(&file);
        let mut order: Vec<usize> = (0..x.len()).collect();
        order.sort_by(|a, b| x[*a].total_cmp(&x[*b]));
        let date: Vec<f64> = order.iter().map(|i| x[*i] + 3_650.0).collect();
        let value: Vec<f64> = order.iter().map(|i| y[*i]).collect();
        assert!(column(&file, "u").iter().all(|u| u.is_nan()));
        let all = history(&date, &value, f64::NAN, &[]);
        for model in [ModelName::Line, ModelName::Auto, ModelName::Season] {
            let fit = fitted(&all, model);
            assert_eq!(fit.status, Status::Estimated);
            assert!(model == ModelName::Season || !fit.notes.is_empty());
            println!("{name} {model:?}: {:#?}", fit.notes);
        }
    }
}

/// Three readings cannot show an excess: the note says what their band is worth.
#[test]
fn few_readings_with_u_say_what_their_band_is_worth() {
    let noted = |values: &[f64], u: f64| {
        let all = history(&yearly(values.len()), values, u, &[]);
        let notes = fitted(&all, ModelName::Line).notes;
        notes.iter().any(|note| note.contains("covers about 96 %"))
    };
    assert!(noted(&[1.0, 1.3, 1.2], 0.2));
    assert!(!noted(&[1.0, 1.3, 1.2], f64::NAN));
    assert!(!noted(&[1.0, 1.3, 1.2, 1.4, 1.3], 0.2));
}
