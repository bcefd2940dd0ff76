/*! What happens to a thermometer: knocks, anneals, drift, certificates, its kind. */

use super::*;

#[test]
fn a_steady_thermometer_is_kept() {
    begins(&advised(&year(&[[0.0; 3]; 5])), "keep: no change is shown");
}

/// Knocked, and noted: read it again, whatever the size; the history before says what was expected.
#[test]
fn a_noted_knock_asks_for_another_session() {
    for mk in [0.3, 3.0, 9.0] {
        let months = [
            [0.0; 3],
            [0.0; 3],
            [0.0; 3],
            [0.0; 3],
            [0.0; 3],
            [mk, 0.0, 0.0],
        ];
        let noted = year_with(&months, |month, row| {
            if month == 5 {
                set(row, A.0, "event", "shocked");
            }
        });
        let (noted, silent) = (advised(&noted), advised(&year(&months)));
        begins(&noted, "repeat: ");
        says(&noted, "knock");
        begins(&silent, "repeat: ");
    }
}

#[test]
fn a_knock_that_stays_is_strain_and_annealed() {
    let mut months = vec![[0.0; 3]; 5];
    months.extend([[1.6, 0.0, 0.0], [1.6, 0.0, 0.0]]);
    let words = advised(&year_with(&months, |month, row| {
        if month == 5 {
            set(row, A.0, "event", "shocked");
        }
    }));
    begins(&words, "anneal: ");
    says(
        &words,
        "strain by the knock is likely; anneal at 660 °C for 1 to 4 h",
    );
}

#[test]
fn a_slow_rise_is_oxide_or_strain_in_use() {
    let months: Vec<_> = (0..7).map(|m| [0.2 * f64::from(m), 0.0, 0.0]).collect();
    let words = advised(&year(&months));
    begins(&words, "anneal: ");
    says(&words, "it came slowly, as oxide or strain in use does");
}

/// Rated to 420 °C it may not be annealed at all.
#[test]
fn a_thermometer_rated_to_420_is_not_annealed() {
    let months: Vec<_> = (0..7).map(|m| [0.2 * f64::from(m), 0.0, 0.0]).collect();
    let mut bench = year(&months);
    bench.facts = bench
        .facts
        .replacen("maximum_c = 660", "maximum_c = 420", 1);
    let words = advised(&bench);
    begins(&words, "withdraw: ");
    says(&words, "rated to 420 °C it may not be annealed");
}

#[test]
fn a_fall_is_no_strain_and_no_oxide() {
    let mut months = vec![[0.0; 3]; 4];
    months.extend([[-1.4, 0.0, 0.0], [-1.4, 0.0, 0.0]]);
    let words = advised(&year(&months));
    begins(&words, "repeat: ");
    says(
        &words,
        "R fell, which neither strain nor oxide does; look for moisture or leakage",
    );
}

#[test]
fn a_fall_with_an_anneal_is_relieved_strain() {
    let mut months = vec![[1.6, 0.0, 0.0]; 5];
    months.push([0.1, 0.0, 0.0]);
    let words = advised(&year_with(&months, |month, row| {
        if month == 5 {
            set(row, A.0, "event", "annealed");
        }
    }));
    begins(&words, "adopt: the anneal brought the change back to +0.1");
}

/// A secondary probe never carried the scale: the platinum's limits say nothing of it.
#[test]
fn a_secondary_probe_is_not_judged_by_the_platinum_of_the_scale() {
    let read = |kind: &str| {
        let mut bench = Bench::large().thermometer(A.0, A.1, kind);
        for (session, day) in [("S-1", DAYS[0]), ("S-2", DAYS[1])] {
            bench = bench.session(session, day, &[(A.0, A.1, 0.0)]);
            // W at gallium of industrial platinum, 1.1165, below the 1.118 07 of the scale.
            bench = bench.session_with(session, day, &[(A.0, A.1 * 1.1165, 0.0)], |row| {
                row.insert("point", "gallium".into());
            });
        }
        bench.findings("2026-02-10").report_on(A.0).advised()
    };
    begins(
        &read(""),
        "withdraw: the platinum no longer carries the scale",
    );
    assert!(!read("platinum = \"secondary\"").contains("platinum"));
}

/// 0.45 mK adopted each time, 7.2 mK in all: the coefficients no longer fit.
#[test]
fn small_steps_add_up() {
    let mut facts = String::from("measured_in = \"C-1\"\nmaximum_c = 660\nadopted = [\n");
    let mut bench = Bench::large();
    for step in 1..=16 {
        let (year, month) = (2022 + step / 4, 1 + 3 * (step % 4));
        let ohm = A.1 * (1.0 + 3.988_528e-6 * 0.45 * f64::from(step));
        facts += &format!(
            "{{ on = {year}-{month:02}-10, triple_point_ohm = {ohm:.7}, measured_in = \"C-1\" }},\n"
        );
        let day = format!("{year}-{month:02}-10");
        bench = bench.session(
            &format!("S-{step:02}"),
            &day,
            &[(A.0, A.1, 0.45 * f64::from(step))],
        );
    }
    let bench = bench.thermometer(A.0, A.1, &(facts + "]\n"));
    let words = bench.findings("2026-01-31").report_on(A.0).advised();
    begins(&words, "withdraw: ");
    says(
        &words,
        "+7.21 mK in all since the first value in use, more than 5 mK",
    );
}

/// Recalibrated: the new certificate starts the total and W anew.
#[test]
fn a_new_certificate_starts_anew() {
    let own = "measured_in = \"C-1\"\nmaximum_c = 660\n\
        adopted = [{ on = 2026-03-10, triple_point_ohm = 25.50061, certificate = true }]\n";
    let mut bench = Bench::large().thermometer(A.0, A.1, own);
    for (month, day) in DAYS.iter().enumerate() {
        let mk = if month < 3 { 0.0 } else { 6.0 };
        bench = bench.session(&format!("S-{month}"), day, &[(A.0, A.1, mk)]);
    }
    let findings = bench.findings("2026-08-31");
    let total = findings.report_on(A.0).total.clone().unwrap();
    assert!(total.mk.abs() < 0.1, "{total:?}");
    assert_eq!(total.since, "since the certificate of 2026-03-10");
}

/// W at zinc 4 mK from the certificate's coefficients since the first session: not "keep".
#[test]
fn w_off_its_certificate_is_not_kept() {
    let own = "measured_in = \"C-1\"\nsubrange = [{ number = 8, a = -1.43e-4, b = -1.7e-5 }]\n";
    let mut bench = Bench::large().thermometer(A.0, A.1, own);
    // W at zinc by these coefficients, and 4 mK more at 3.495 367e-3 a kelvin.
    let by_certificate = 2.568_917_30 - 1.43e-4 * 1.568_6 - 1.7e-5 * 1.568_6_f64.powi(2);
    let zinc = A.1 * (by_certificate + 4e-3 * 3.495_367e-3) * (1.0 + 3.988_528e-3 * 236.8e-6);
    for (session, day) in [("S-1", DAYS[0]), ("S-2", DAYS[1])] {
        bench = bench.session(session, day, &[(A.0, A.1, 0.0)]);
        bench = bench.session_with(session, day, &[(A.0, zinc, 0.0)], |row| {
            row.insert("point", "zinc".into());
            row.insert("depth_m", "0".into());
        });
        let words = bench.findings("2026-02-10").report_on(A.0).advised();
        begins(
            &words,
            if session == "S-1" {
                "repeat: "
            } else {
                "withdraw: "
            },
        );
        says(&words, "from what the coefficients of its certificate give");
    }
}

/// Two years without W at another point: the page says what that cannot show, the interval is bounded.
#[test]
fn the_triple_point_alone_bounds_the_interval() {
    let findings = year(&[[0.0; 3]; 5]).findings("2026-08-31");
    assert_eq!(findings.report_on(A.0).water_only_days, Some(730.0));
}
