/*! Sessions made bad in one way each: the rule speaks, in words, and does what it says. */

use super::*;
use crate::thermometry::Thermometers;
use crate::thermometry::readings::{CellKind, RawReading};
use crate::thermometry::reduction::BudgetSettings;
use crate::thermometry::testing::read_text;

fn readings() -> Vec<RawReading> {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/reference/thermometry/worked_session.csv"
    );
    read_text(&std::fs::read_to_string(path).unwrap())
        .unwrap()
        .readings
}

fn facts() -> Thermometers {
    Thermometers::from_text(
        "[[thermometer]]\ninstrument = \"TH-101\"\ntriple_point_ohm = 25.479550\n\
         self_heating_mk = [0.2, 0.5]\ncheck_standard = true\n",
    )
    .unwrap()
}

/// The frozen session lies 1.006 mK from its value in use, more than a check standard may.
fn run(readings: &[RawReading]) -> Vec<SessionResult> {
    let rules = SessionSettings {
        check_standard_mk: 1.5,
        ..Default::default()
    };
    reduce_sessions(readings, &facts(), &BudgetSettings::default(), &rules).results
}

/// Quieter sessions of the same thermometer before the one in question.
fn with_earlier(readings: Vec<RawReading>) -> Vec<RawReading> {
    let earlier = (1..=4).flat_map(|month| {
        self::readings().into_iter().map(move |mut reading| {
            reading.session = format!("S-00{month}");
            reading.date -= 30.0 * f64::from(5 - month);
            reading
        })
    });
    let mut all: Vec<RawReading> = earlier.collect();
    all.extend(readings.into_iter().map(|mut reading| {
        reading.session = "S-009".into();
        reading
    }));
    all
}

/// The worked session against 25.479 550 Ω: +1.0060 mK, evaluated independently in Python.
#[test]
fn a_good_session_becomes_a_check() {
    let results = run(&readings());
    assert_eq!(results.len(), 1);
    assert_eq!(
        results[0].standing(),
        SessionStanding::Used,
        "{}",
        results[0].reasons()
    );
    let check = results[0].check(CheckUnit::Millikelvin).unwrap();
    near!(check.as_found, 1.0060, 1e-4);
    near!(check.u, 0.022_731, 2e-6);
    near!(check.u.hypot(check.u_common), 0.041_166, 2e-6);
    let in_ohm = results[0].check(CheckUnit::Milliohm).unwrap();
    near!(in_ohm.as_found, 0.102_239, 1e-6);
    let text = checks_csv(&results, CheckUnit::Millikelvin);
    says!(text, "TH-101,triple point of water,2026-01-15T09:18");
}

fn broken(rule: &str, change: impl Fn(&mut RawReading)) -> SessionResult {
    let mut rows = readings();
    rows.iter_mut().for_each(change);
    let mut results = run(&rows);
    let result = results.remove(0);
    assert!(
        result.violations.iter().any(|v| v.rule == rule),
        "{rule}: {:?}",
        result.violations
    );
    result
}

#[test]
fn each_rule_speaks() {
    let good = run(&readings()).remove(0);
    let short = broken("wait", |r| r.minutes_since_insertion -= 15.0);
    assert!(short.u_mk() > good.u_mk());
    assert_eq!(short.standing(), SessionStanding::Doubtful);
    broken("plateau", |r| {
        r.cell.kind = CellKind::SmallSlush;
        r.plateau_minutes = 200.0;
    });
    broken("mantle", |r| r.plateau_minutes = 60.0);
    broken("self_heating", |r| {
        if r.current_ma > 1.0 {
            r.ratio += 5e-6;
        }
    });
    let swapped = broken("self_heating", |r| {
        r.current_ma = if r.current_ma > 1.0 {
            1.0
        } else {
            std::f64::consts::SQRT_2
        };
    });
    assert_eq!(swapped.standing(), SessionStanding::Rejected);
    says!(swapped.reasons(), "currents swapped");
    broken("slope", |r| r.ratio += (r.date - 20_468.0) * 24.0 * 1e-6);
    broken("return", |r| {
        if r.minutes_since_insertion > 43.0 {
            r.ratio += 1e-7;
        }
    });
    // What scatter is too large, other sessions of the thermometer tell.
    let mut rows = readings();
    for reading in &mut rows {
        reading.ratio += 1e-6 * f64::from(reading.row % 2);
    }
    let noisy = run(&with_earlier(rows)).pop().unwrap();
    says!(noisy.reasons(), "4 times the 0.0");
    assert_eq!(noisy.standing(), SessionStanding::Rejected);
    assert!(noisy.check(CheckUnit::Millikelvin).is_err());
    let other = broken("plausible", |r| r.ratio *= 1.01);
    assert_eq!(other.standing(), SessionStanding::Rejected);
}

#[test]
fn few_readings_are_noted() {
    let rows: Vec<_> = readings().into_iter().filter(|r| r.row % 6 == 0).collect();
    let result = run(&rows).remove(0);
    assert!(result.violations.iter().any(|v| v.rule == "readings"));
}

#[test]
fn a_check_standard_that_jumps_rejects_the_session() {
    let mut rows = readings();
    let mut later = readings();
    for reading in &mut later {
        reading.session = "S-002".into();
        reading.date += 30.0;
        reading.ratio *= 1.0 + 8e-6;
        let mut other = reading.clone();
        other.instrument = "TH-102".into();
        rows.push(other);
    }
    rows.extend(later);
    let results = run(&rows);
    assert_eq!(results.len(), 3);
    assert!(results.iter().skip(1).all(|r| !r.is_accepted()));
    says!(results[1].reasons(), "check standard TH-101 moved by +2.0");
}

#[test]
fn a_session_without_check_standard_says_so() {
    let mut rows = readings();
    rows.iter_mut().for_each(|r| r.instrument = "TH-900".into());
    let result = run(&rows).remove(0);
    says!(result.reasons(), "no check standard");
    assert_eq!(result.standing(), SessionStanding::Doubtful);
    assert_eq!(result.change_mk(), 0.0);
}

#[test]
fn the_fifth_warm_thermometer_is_too_many() {
    let mut rows = Vec::new();
    for (number, start) in (1..=5).zip([0.0, 0.1, 0.2, 0.3, 0.4]) {
        for mut reading in readings() {
            reading.instrument = format!("TH-10{number}");
            reading.date += start;
            reading.cell.kind = CellKind::SmallSlush;
            reading.pre_cooled = Some(false);
            reading.plateau_minutes = 60.0;
            rows.push(reading);
        }
    }
    let results = run(&rows);
    let last: Vec<_> = results
        .iter()
        .filter(|r| r.violations.iter().any(|v| v.rule == "thermometers"))
        .map(|r| r.instrument.as_str())
        .collect();
    assert_eq!(last, ["TH-105"]);
    rows.reverse();
    assert_eq!(run(&rows), results);
}

/// The worked session, then the same a month later, with the value read in the first adopted
/// on its day (25.479 652 Ω, +1.006 mK; the session reads the same both times).
#[test]
fn an_adopted_value_resets_the_error_and_leaves_the_drift() {
    let mut twice = readings();
    let later = readings().into_iter().map(|mut reading| {
        reading.session = "S-002".into();
        reading.date += 30.0;
        reading
    });
    twice.extend(later);
    let text = "[[thermometer]]\ninstrument = \"TH-101\"\ntriple_point_ohm = 25.479550\n\
        adopted = [{ on = 2026-01-15, triple_point_ohm = 25.479652 }]\n";
    let facts = Thermometers::from_text(text).unwrap();
    let reduced = |readings: &[RawReading]| {
        let (budget, rules) = (BudgetSettings::default(), SessionSettings::default());
        reduce_sessions(readings, &facts, &budget, &rules).results
    };
    let results = reduced(&twice);
    assert_eq!(results.len(), 2);
    assert_eq!(results[0].adopted.unwrap().ohm, 25.479652);
    assert_eq!(
        (results[1].reference_ohm, results[1].adopted),
        (25.479652, None)
    );
    let first = results[0].check(CheckUnit::Millikelvin).unwrap();
    let second = results[1].check(CheckUnit::Millikelvin).unwrap();
    assert_eq!(first.event, "adjusted");
    near!(first.as_found, 1.0060, 1e-4);
    near!(first.as_left.unwrap(), second.as_found, 1e-9);
    assert!(second.as_found.abs() < 0.01 && second.as_left.is_none());
    let csv = checks_csv(&results[..1], CheckUnit::Millikelvin);
    assert!(csv.starts_with("instrument,point,date,as_found,as_left,u,u_common,event,unit"));
    for reading in &mut twice {
        reading.event = "annealed".into();
    }
    // What was read after an anneal has no history with the old value.
    let annealed = reduced(&twice)[0].check(CheckUnit::Millikelvin).unwrap();
    assert_eq!(
        (annealed.event.as_str(), annealed.as_left),
        ("annealed", Some(annealed.as_found))
    );
    near!(annealed.as_found, second.as_found, 1e-9);
}

#[test]
fn a_rejected_session_carries_what_rejected_it() {
    let mut result = run(&readings()).remove(0);
    result.session = "Monday: 7".into();
    result.instrument = "TH: 101".into();
    result.violations = vec![
        Violation::new("wait", OnViolation::Widen, "waited 5 min: too short"),
        Violation::new("plateau", OnViolation::Reject, "not flat: 2 mK; 3 allowed"),
    ];
    let rejected = result.check(CheckUnit::Millikelvin).unwrap_err();
    let cause = rejected.session_cause.unwrap();
    assert_eq!(cause, "session Monday: 7: not flat: 2 mK; 3 allowed");
    says!(rejected.reason, "waited 5 min");
}

/// An anneal that is noted in a session which is rejected, or beside the reading at gallium, was made before the next
/// session at the triple point of water that counts.
#[test]
fn what_was_done_before_a_rejected_session_holds_for_the_next_one() {
    let rows = |events: [&str; 3]| {
        let points = ["TPW", "TPW", "gallium", "TPW"];
        let ohm = [25.5, 25.4, 28.5, 25.499];
        let minutes = [30, 1, 30, 30];
        let events = [&[""][..], &events].concat();
        let row = |i: usize| {
            format!(
                "T1,202{i}-01-05,{},{},{},{},0.00001\n",
                points[i], ohm[i], minutes[i], events[i]
            )
        };
        let header = "instrument,date,point,resistance_ohm,minutes_since_insertion,event,u_ohm\n";
        let text = header.to_string() + &(0..4).map(row).collect::<String>();
        read_text(&text).unwrap().readings
    };
    let rules = SessionSettings {
        on_wait: OnViolation::Reject,
        ..Default::default()
    };
    let last = |events| {
        let none = Thermometers::default();
        let found = reduce_sessions(&rows(events), &none, &BudgetSettings::default(), &rules);
        assert_eq!(found.results[1].standing(), SessionStanding::Rejected);
        let last = found.results.last().unwrap();
        (last.event.clone(), last.notes.clone())
    };
    assert_eq!(last(["", "", ""]).0, "");
    let (event, notes) = last(["annealed", "", ""]);
    assert_eq!(event, "annealed");
    says!(notes, "annealed before session 2021-01-05");
    assert_eq!(last(["", "annealed", ""]).0, "annealed");
    // What it states itself goes first; what ends the drift goes before what resets the value alone.
    assert_eq!(last(["annealed", "", "shocked"]).0, "shocked");
    assert_eq!(last(["annealed", "adjusted", ""]).0, "annealed");
}

/// Tin two days after a triple point of water that was rejected forms no W and no history of
/// its own; with a good one near, or with none read at all, it counts.
#[test]
fn another_point_whose_triple_point_was_rejected_is_rejected_with_it() {
    let header = "instrument,date,point,resistance_ohm,minutes_since_insertion,u_ohm\n";
    let rules = SessionSettings {
        on_wait: OnViolation::Reject,
        ..Default::default()
    };
    let tin = |waters: &str| {
        let text = format!("{header}{waters}T1,2024-03-06,tin,48.24,30,0.00001\n");
        let rows = read_text(&text).unwrap().readings;
        let none = Thermometers::default();
        let found = reduce_sessions(&rows, &none, &BudgetSettings::default(), &rules);
        found.results.into_iter().next_back().unwrap()
    };
    let hasty = "T1,2024-03-04,TPW,25.5,1,0.00001\n";
    let rejected = tin(hasty);
    assert_eq!(rejected.standing(), SessionStanding::Rejected);
    says!(
        rejected.reasons(),
        "no W without R at the triple point of water, whose session 2024-03-04 was rejected"
    );
    let good = "T1,2024-03-05,TPW,25.5,30,0.00001\n";
    let far = "T1,2023-03-04,TPW,25.5,1,0.00001\n";
    for waters in [&format!("{hasty}{good}"), far, ""] {
        assert!(tin(waters).is_accepted(), "{waters}");
    }
}
