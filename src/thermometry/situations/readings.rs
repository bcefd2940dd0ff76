/*! What the readings say of themselves: currents, display, noise, depth, number. */

use super::*;

#[test]
fn too_few_readings_are_told() {
    let mut bench = year(&[[0.0; 3]; 4]);
    let read = [(A.0, A.1, 0.0), (C.0, C.1, 0.0)];
    bench = bench.session_with("S-9", "2026-07-06", &read, |_| ());
    let few = bench.text();
    let kept: Vec<&str> = few
        .lines()
        .filter(|l| !l.starts_with("S-9") || l.contains(":00,") || l.contains(":01,"))
        .collect();
    let findings = bench.findings_of(&kept.join("\n"), "2026-08-31");
    let last = findings.results.last().unwrap();
    says(&last.reasons(), "at the first current; take at least 10");
}

/// 1.2 mK per hour: the thermometer or the cell has not settled.
#[test]
fn a_session_that_still_drifts_is_in_doubt() {
    let bench = year_with(&[[0.0; 3]; 5], |month, row| {
        if month == 4 {
            let since: f64 = row["minutes_since_insertion"].parse().unwrap();
            let ratio: f64 = row["ratio"].parse().unwrap();
            let more = ratio * 3.988_528e-6 * 1.2 * (since - 20.0) / 60.0;
            row.insert("ratio", format!("{:.10}", ratio + more));
        }
    });
    let findings = bench.findings("2026-08-31");
    says(
        &findings.results.last().unwrap().reasons(),
        "readings move by +1.",
    );
}

/// A readout certified and read at 1 mA compares like with like; nothing is forced to zero power.
#[test]
fn a_single_current_is_compared_as_read() {
    let own = "current_ma = 1\nmeasured_in = \"C-9\"\n";
    let mut bench = Bench::slush().thermometer("P-1", 100.0, own);
    for (month, day) in DAYS.iter().enumerate() {
        bench = bench.session(&format!("S-{month}"), day, &[("P-1", 100.0, 0.0)]);
    }
    let findings = bench.findings("2026-08-31");
    begins(
        &findings.report_on("P-1").advised(),
        "keep: no change is shown",
    );
    assert!(findings.results.iter().all(|r| r.change_mk().abs() < 0.6));
}

/// 2 mA once, where self-heating is 1.9 mK at 1 mA: never "+5.7 mK, withdraw".
#[test]
fn another_current_once_is_no_change_of_the_thermometer() {
    let read = |own: &str| {
        let mut bench = Bench::slush().thermometer("P-1", 100.0, own);
        for (month, day) in DAYS.iter().enumerate() {
            let (mk, ma) = if month == 7 { (5.7, "2") } else { (0.0, "1") };
            bench = bench.session_with(&format!("S-{month}"), day, &[("P-1", 100.0, mk)], |row| {
                row.insert("current_ma", ma.into());
            });
        }
        bench.findings("2026-08-31").report_on("P-1").advised()
    };
    let words = read("current_ma = 1\nmeasured_in = \"C-9\"\n");
    begins(&words, "repeat: ");
    says(
        &words,
        "read at 2 mA alone, where it is read at 1 mA otherwise",
    );
    let known = read("current_ma = 1\nmeasured_in = \"C-9\"\nself_heating_mk = [1.7, 2.1]\n");
    begins(&known, "keep: no change is shown");
}

/// Currents logged with five digits are one current, not two a hair apart.
#[test]
fn nearly_equal_currents_are_one() {
    let mut bench =
        Bench::slush().thermometer("P-1", 100.0, "current_ma = 1\nmeasured_in = \"C-9\"\n");
    for (month, day) in DAYS.iter().enumerate() {
        bench = bench.session_with(&format!("S-{month}"), day, &[("P-1", 100.0, 0.0)], |row| {
            let odd = row["date"].ends_with(['1', '3', '5', '7', '9']);
            row.insert("current_ma", if odd { "1.0001" } else { "0.99992" }.into());
        });
    }
    begins(
        &bench.findings("2026-08-31").report_on("P-1").advised(),
        "keep: no change is shown",
    );
}

/// A display of 10 mΩ (25 mK) shows nothing of a few mK, and says so.
#[test]
fn a_coarse_display_shows_no_change() {
    let mut bench =
        Bench::slush().thermometer("P-1", 100.0, "current_ma = 1\nmeasured_in = \"C-9\"\n");
    for (month, day) in DAYS.iter().enumerate() {
        bench = bench.session_with(
            &format!("S-{month}"),
            day,
            &[("P-1", 100.004, 0.0)],
            |row| {
                let odd = row["date"].ends_with(['1', '2', '3']);
                row.insert(
                    "resistance_ohm",
                    if odd { "100.01" } else { "100.00" }.into(),
                );
            },
        );
    }
    let words = bench.findings("2026-08-31").report_on("P-1").advised();
    begins(&words, "repeat: ");
    says(&words, "this session can show no change within the 5 mK");
}

/// Too shallow by 15 cm of water: 0.11 mK, which the depth that is noted corrects.
#[test]
fn a_depth_that_is_noted_is_corrected_and_one_that_is_not_is_told() {
    let months = vec![[0.0; 3]; 4];
    let shallow = year_with(&months, |month, row| {
        if month == 3 {
            let ratio: f64 = row["ratio"].parse().unwrap();
            let less_head = ratio * 3.988_528e-3 * 0.73e-3 * 0.15;
            set(row, A.0, "depth_m", "0.115");
            let own = row["instrument"] == A.0;
            if own {
                row.insert("ratio", format!("{:.10}", ratio + less_head));
            }
        }
    });
    begins(&advised(&shallow), "keep: ");
    let blank = year_with(&months, |month, row| {
        if month == 3 {
            set(row, A.0, "depth_m", "");
        }
    });
    let reasons = blank.reasons("2026-08-31");
    says(
        &reasons,
        "depth not noted: 0.2 m assumed, any depth from 0 to twice that allowed for",
    );
}

/// Twice the usual self-heating: bad contact in the well, or another thermometer.
#[test]
fn large_self_heating_is_told() {
    let mut bench = year_with(&[[0.0; 3]; 3], |month, row| {
        let larger = row["current_ma"].starts_with("1.4");
        if month == 2 && larger && row["instrument"] == A.0 {
            let ratio: f64 = row["ratio"].parse().unwrap();
            row.insert(
                "ratio",
                format!("{:.10}", ratio * (1.0 + 3.988_528e-6 * 0.5)),
            );
        }
    });
    bench.facts = bench
        .facts
        .replacen("maximum_c", "self_heating_mk = [0.2, 0.4]\nmaximum_c", 1);
    let reasons = bench.reasons("2026-08-31");
    says(
        &reasons,
        "is not in this thermometer's usual 0.2 mK to 0.4 mK",
    );
}

/// A readout of 0.5 mK noise in a slush cell: its sessions stand by its own noise, and U is that of
/// the cell, 1 mK to 5 mK; nobody is told to age a mantle.
#[test]
fn ordinary_noise_of_a_readout_rejects_nothing() {
    let own = "current_ma = 1\nmeasured_in = \"C-9\"\n";
    let mut bench = Bench::slush()
        .thermometer("P-1", 100.02, own)
        .thermometer("P-2", 99.98, own);
    for (month, day) in DAYS.iter().enumerate() {
        let read = [("P-1", 100.02, 0.0), ("P-2", 99.98, 0.0)];
        bench = bench.session(&format!("S-{month}"), day, &read);
    }
    let findings = bench.findings("2026-08-31");
    findings.stand_as_of_a_slush_cell();
    for result in &findings.results {
        assert!(!result.reasons().contains("mantle"), "{}", result.reasons());
    }
    begins(
        &findings.report_on("P-2").advised(),
        "keep: no change is shown",
    );
}

/// Moisture: one noisy session among quiet ones.
#[test]
fn a_session_noisier_than_the_others_is_rejected() {
    let mut bench = year(&[[0.0; 3]; 5]);
    bench.noise_mk = 0.5;
    let read = [(A.0, A.1, 0.0), (C.0, C.1, 0.0)];
    let words = advised(&bench.session("S-9", "2026-08-24", &read));
    begins(
        &words,
        "repeat: the session is no valid measurement (readings scatter by",
    );
}

/// Raw readings alone, nothing else stated: they run, and the first session is what later ones count from.
#[test]
fn raw_readings_alone_make_a_season() {
    let mut bench = Bench::slush();
    for (month, day) in DAYS.iter().enumerate() {
        bench = bench.session_with(&format!("S-{month}"), day, &[("P-1", 100.0, 0.0)], |row| {
            for blank in [
                "cell",
                "cell_kind",
                "depth_m",
                "plateau_minutes",
                "minutes_since_insertion",
            ] {
                row.remove(blank);
            }
        });
    }
    let findings = bench.findings("2026-08-31");
    assert_eq!(findings.checks().len(), 8);
    assert!(findings.rejected.is_empty());
    // A comma that slipped: no reading of this thermometer, whichever session it is in.
    for slip in ["S-0,", "S-7,"] {
        let text = bench.text();
        let lines = text.lines().map(|line| match line.starts_with(slip) {
            true => line.replace(",100.0", ",10.00").replace(",99.99", ",9.999"),
            false => line.to_string(),
        });
        let slipped = bench.findings_of(&lines.collect::<Vec<_>>().join("\n"), "2026-08-31");
        let rejected: Vec<bool> = slipped.results.iter().map(|r| !r.is_accepted()).collect();
        assert_eq!(rejected.iter().filter(|r| **r).count(), 1);
        assert!(
            slipped
                .results
                .iter()
                .zip(rejected)
                .all(|(r, out)| out || r.change_mk().abs() < 1.0)
        );
    }
    says(
        &findings.results[7].reasons(),
        "kind of the cell not stated: u = 1.1",
    );
    let serves = &findings.report_on("P-1").before_use;
    assert!(!serves.passed && serves.reason.contains("no value in use is stated"));
}

/// A row that is the mean of twelve readings, with s and n, is worth the twelve.
#[test]
fn means_with_s_and_n_stand_for_their_readings() {
    let single = Bench::slush().session("S-1", DAYS[0], &[("P-1", 100.0, 0.0)]);
    let one = single.findings("2026-01-31").results.remove(0);
    let run = one.reduced.series[0].runs[0];
    let text = format!(
        "session,instrument,date,resistance_ohm,readings,standard_deviation,current_ma,cell,cell_kind,depth_m\n\
         S-1,P-1,2026-01-05T09:05,{},{},{},1,C-9,small slush,0.12\n",
        run.mean, run.count, run.deviation
    );
    let mean = single.findings_of(&text, "2026-01-31").results.remove(0);
    assert_eq!(mean.readings, one.readings);
    assert!((mean.reduced.resistance_ohm - one.reduced.resistance_ohm).abs() < 1e-9);
    let u =
        |r: &crate::thermometry::session::SessionResult| r.reduced.budget.rows[0].contribution_ohm;
    assert!(
        (u(&mean) / u(&one) - 1.0).abs() < 0.05,
        "{} {}",
        u(&mean),
        u(&one)
    );
}
