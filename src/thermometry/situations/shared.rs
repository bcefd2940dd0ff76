/*! What a session shares: cell, resistor, bridge, check standard, names. */

use super::*;
use crate::thermometry::session::SessionStanding;

/// All of them by +1.3 mK: never three anneals.
#[test]
fn all_moved_together_blames_what_they_share() {
    let mut months = vec![[0.0; 3]; 4];
    months.push([1.3; 3]);
    let findings = year(&months).findings("2026-08-31");
    for name in [A.0, B.0, C.0] {
        let words = findings.report_on(name).advised();
        begins(&words, "repeat: ");
        says(
            &words,
            "all 3 thermometers of the session moved together by +1.3",
        );
        says(
            &words,
            "the cell, the resistor or the bridge is in doubt, not the thermometers",
        );
    }
}

/// The same in the very first session, against the values in use.
#[test]
fn all_moved_together_from_their_certificates() {
    let findings = year(&[[1.3; 3]]).findings("2026-01-31");
    says(&findings.report_on(B.0).advised(), "moved together by +1.3");
}

/// Another cell, 0.11 mK lower, shows no change of the thermometer.
#[test]
fn another_cell_shows_no_change() {
    let mut months = vec![[0.0; 3]; 4];
    months.push([-0.11; 3]);
    let bench = year_with(&months, |month, row| {
        if month == 4 {
            row.insert("cell", "C-7".into());
        }
    });
    begins(&advised(&bench), "keep: no change is shown");
}

/// A certified value 20 parts in 1e6 off (5 mK) for all: the resistor, not the thermometers.
#[test]
fn a_wrong_resistor_value_blames_the_resistor() {
    let bench = year_with(&[[0.0; 3]; 5], |month, row| {
        if month == 4 {
            row.insert("resistor_ohm", "100.002".into());
        }
    });
    let words = advised(&bench);
    begins(&words, "repeat: ");
    says(&words, "moved together by +5.0");
}

#[test]
fn a_resistor_with_two_values_in_one_session_is_refused() {
    let bench = year_with(&[[0.0; 3]; 2], |month, row| {
        let late = row.get("date").is_some_and(|d| d.ends_with("5"));
        if month == 1 && late {
            set(row, A.0, "resistor_ohm", "100.0001");
        }
    });
    let findings = bench.findings("2026-08-31");
    let refused = findings
        .rejected
        .iter()
        .find(|r| r.reason.contains("stated in two ways"));
    assert!(refused.is_some_and(|r| r.reason.contains("(100 and 100.0001)")));
}

#[test]
fn a_young_mantle_widens_and_says_so() {
    let bench = year_with(&[[0.0; 3]; 5], |month, row| {
        if month == 4 {
            row.insert("plateau_minutes", "300".into());
        }
    });
    let findings = bench.findings("2026-08-31");
    let last = findings.results.last().unwrap();
    says(&last.reasons(), "mantle 5.0 h old; let it age for 24 h");
    assert!(last.u_mk() > 0.3);
}

/// The check standard moved while the others stood still: it is named, and their sessions stand.
#[test]
fn a_check_standard_that_moved_alone_is_named() {
    let mut months = vec![[0.0; 3]; 4];
    months.push([0.0, 0.0, 0.9]);
    let findings = year(&months).findings("2026-08-31");
    let (last_a, standard) = (&findings.results[12], &findings.results[14]);
    says(
        &last_a.reasons(),
        "while TH-1, TH-2 stood still: the check standard itself moved",
    );
    assert_eq!(last_a.standing(), SessionStanding::Doubtful);
    assert_ne!(standard.standing(), SessionStanding::Rejected);
}

/// A shock that was noted, or a value adopted, starts the check standard anew: no later session of
/// everyone is rejected for it.
#[test]
fn a_check_standard_starts_anew_at_an_event() {
    let mut months = vec![[0.0; 3]; 4];
    months.extend([[0.0, 0.0, 1.5]; 3]);
    let bench = year_with(&months, |month, row| {
        if month == 4 {
            set(row, C.0, "event", "shocked");
        }
    });
    let findings = bench.findings("2026-08-31");
    says(
        &findings.results[14].reasons(),
        "check standard TH-3 starts anew on 2026-05-04: it was shocked",
    );
    assert!(
        findings.results[15..]
            .iter()
            .all(|r| r.reasons().is_empty())
    );
}

#[test]
fn a_check_standard_far_from_its_value_is_told_in_its_first_session() {
    let mut bench = bench();
    bench = bench.session("S-1", DAYS[0], &[(C.0, C.1, 0.9), (A.0, A.1, 0.0)]);
    let reasons = bench.reasons("2026-01-31");
    says(&reasons, "check standard TH-3 lies +0.9");
}

/// Two thermometers read each other's value.
#[test]
fn swapped_thermometers_are_named() {
    let bench = year_with(&[[0.0; 3]; 4], |month, row| {
        let name = row["instrument"].clone();
        if month == 3 && name != C.0 {
            let other = if name == A.0 { B.0 } else { A.0 };
            row.insert("instrument", other.into());
        }
    });
    let words = advised(&bench);
    begins(&words, "repeat: ");
    says(&words, "it reads the value of TH-2");
    says(&words, "were the two swapped?");
}
