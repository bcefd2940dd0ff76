/*! Raw readings with one thing wrong each: a clear reason, and the check is rejected, or used with
a warning and a wider u; never silently. */

use super::tool::{driftbook, root};

/// The last session of the demo as a new one of two thermometers, TH-101 (the check standard) and
/// TH-105, with each reading passed through `change`; `None` takes it out.
fn judged(change: impl Fn(usize, &mut Reading) -> bool) -> Judged {
    let folder = tempfile::tempdir().unwrap();
    let path = root().join("data/demo/triple-point-readings.csv");
    let mut table = csv::Reader::from_path(path).unwrap();
    let mut headers = table.headers().unwrap().clone();
    // A column of files from before, refused since its sign can be read both ways.
    headers.push_field("cell_correction_uk");
    let file = folder.path().join("session.csv");
    let mut out = csv::Writer::from_path(&file).unwrap();
    out.write_record(&headers).unwrap();
    let mut row = 0;
    for record in table.records().map(Result::unwrap) {
        let mut reading = Reading {
            headers: headers.clone(),
            cells: record.iter().chain([""]).map(String::from).collect(),
        };
        let own = ["TH-101", "TH-105"].contains(&reading.get("instrument"));
        let point = reading.get("point");
        if reading.get("session") != "S-24" || !own || point != "triple point of water" {
            continue;
        }
        row += 1;
        reading.set("session", "S-25");
        let date = reading.get("date").replace("2026-05-31", "2026-06-28");
        reading.set("date", &date);
        if change(row, &mut reading) {
            out.write_record(&reading.cells).unwrap();
        }
    }
    out.flush().unwrap();
    let done = driftbook(&[
        "verdict",
        "--demo",
        "--readings",
        file.to_str().unwrap(),
        "--json",
    ]);
    Judged {
        status: done.status,
        told: done.stderr,
        verdicts: serde_json::from_str(&done.stdout).unwrap_or_default(),
    }
}

struct Reading {
    headers: csv::StringRecord,
    cells: Vec<String>,
}

impl Reading {
    fn place(&self, column: &str) -> usize {
        self.headers.iter().position(|h| h == column).unwrap()
    }

    fn get(&self, column: &str) -> &str {
        &self.cells[self.place(column)]
    }

    fn set(&mut self, column: &str, value: &str) {
        let place = self.place(column);
        self.cells[place] = value.into();
    }
}

struct Judged {
    status: i32,
    told: String,
    verdicts: serde_json::Value,
}

impl Judged {
    /// The verdict on TH-105: what its session came to, and its u.
    fn session(&self) -> Option<(String, f64)> {
        let all = match &self.verdicts {
            serde_json::Value::Array(all) => all.clone(),
            one => vec![one.clone()],
        };
        let own = all.into_iter().find(|v| v["instrument"] == "TH-105")?;
        Some((own["session"].as_str()?.into(), own["u"].as_f64()?))
    }
}

/// One thing wrong with the readings of TH-105 that leaves a check in doubt: what is said of it.
fn in_doubt(change: impl Fn(&mut Reading), words: &str) {
    let all = |reading: &mut Reading| {
        change(reading);
        true
    };
    in_doubt_without(all, words);
}

/// The same where `change` also takes readings out.
fn in_doubt_without(change: impl Fn(&mut Reading) -> bool, words: &str) {
    let (good, u_good) = judged(|_, _| true).session().unwrap();
    assert!(good.ends_with("; used."), "{good}");
    let got = judged(|_, reading| reading.get("instrument") != "TH-105" || change(reading));
    let (session, u) = got.session().unwrap();
    says!(session, "used with doubt: ", words);
    let whole = |session: &str| {
        let (_, after) = session.split_once("u = ").unwrap();
        after.split_once(' ').unwrap().0.parse::<f64>().unwrap()
    };
    assert!(u >= u_good && whole(&session) > whole(&good), "{session}");
}

/// One current alone: the thermometer's own usual self-heating, 0.26 mK to 0.46 mK, is taken off, with
/// the half-width 0.1 mK over √3 as u.
#[test]
fn one_current_leaves_self_heating_assumed() {
    let first = |r: &Reading| r.get("current_ma") == "1";
    in_doubt_without(
        |r| first(r),
        "all readings at 1 mA, no second, larger current: R at zero power by self-heating of 0.360 mK with u = 0.058 mK",
    );
    in_doubt_without(
        |r| {
            let kept = first(r);
            r.set("current_ma", "");
            kept
        },
        "no current noted",
    );
}

/// The readings at the larger current, noted as the smaller one, jump by the self-heating.
#[test]
fn a_current_noted_wrongly_rejects_the_check() {
    let got = judged(|_, reading| {
        if reading.get("instrument") == "TH-105" {
            reading.set("current_ma", "1");
        }
        true
    });
    assert_eq!((got.status, got.session()), (3, None));
    says!(got.told, "readings scatter by 0.");
}

#[test]
fn swapped_currents_reject_the_check() {
    let got = judged(|_, reading| {
        if reading.get("instrument") == "TH-105" {
            let other = match reading.get("current_ma") {
                "1" => "1.41421356",
                _ => "1",
            };
            reading.set("current_ma", other);
        }
        true
    });
    assert_eq!((got.status, got.session()), (3, None));
    let words = "a larger current cannot cool: are the currents swapped?\n";
    says!(got.told, words);
}

#[test]
fn a_ratio_of_zero_and_a_negative_time_are_rows_not_used() {
    for (column, value, words) in [
        ("ratio", "0", "expected a number above 0; correct it"),
        ("ratio", "", "neither ratio nor resistance_ohm"),
        (
            "minutes_since_insertion",
            "-5",
            "below 0, which is impossible",
        ),
        (
            "resistor_ohm",
            "",
            "a ratio needs the value of the reference resistor",
        ),
        (
            "cell_kind",
            "tiny",
            "expected small slush, small frozen or large mantle",
        ),
        (
            "cell_correction_uk",
            "-0.5",
            "its sign can be read both ways; state cell_departure_uk",
        ),
    ] {
        let got = judged(|row, reading| {
            if row == 20 {
                reading.set(column, value);
            }
            true
        });
        let place = format!("session.csv, row 21, column {column}, value \"{value}\": {words}");
        assert!(got.told.contains(&place), "{}", got.told);
        assert_eq!(got.status, 3, "a person looks at it");
        assert!(got.session().unwrap().0.ends_with("; used."));
    }
}

/// Readings under the name of a stored session would change it unseen.
#[test]
fn more_readings_of_a_stored_session_are_told() {
    let got = judged(|_, reading| {
        if reading.get("instrument") == "TH-105" {
            reading.set("session", "S-24");
        }
        true
    });
    assert_eq!((got.status, got.session()), (3, None));
    let words = "session S-24 of TH-105 is stored already";
    says!(got.told, words);
}

/// No reading of a thermometer can be used: it is not passed over in silence.
#[test]
fn a_thermometer_without_a_usable_reading_is_told() {
    let got = judged(|_, reading| {
        if reading.get("instrument") == "TH-105" {
            reading.set("ratio", "0");
        }
        true
    });
    assert_eq!((got.status, got.session()), (3, None));
    says!(got.told, "row 20, column ratio", "and 8 more");
}

#[test]
fn a_resistor_without_temperature_and_an_unknown_cell_widen_u() {
    in_doubt(
        |r| r.set("resistor_temperature_c", ""),
        "temperature of the resistor not noted: ±3 °C about that of its calibration",
    );
    in_doubt(
        |r| {
            for column in ["cell", "cell_kind", "delta_deuterium", "delta_oxygen_18"] {
                r.set(column, "");
            }
        },
        "cell not named: no correction, uncertainty of an unknown cell",
    );
}

#[test]
fn a_session_without_check_standard_widens_u() {
    let got = judged(|_, reading| reading.get("instrument") == "TH-105");
    let (session, u) = got.session().unwrap();
    says!(session, "used with doubt: no check standard");
    // √(0.0229² + 0.3²) mK: widen_mk of docs/settings.md.
    near!(u, 0.3009, 1e-4);
}

/// A reading at water that is labelled zinc: W would be 1, where the scale has 2.568 917 30
/// (ITS-90, Metrologia 27 (1990) 3, Table 1).
#[test]
fn a_mistaken_point_rejects_the_check() {
    let got = judged(|_, reading| {
        if reading.get("instrument") == "TH-105" {
            reading.set("point", "zinc");
        }
        true
    });
    assert_eq!(got.status, 3);
    says!(
        got.told,
        "K from the 2.56892 of freezing point of zinc",
        "rejected: "
    );
}

/// Beyond its subrange a thermometer has no W: the range is told, and no temperature given.
#[test]
fn w_outside_the_subrange_is_told() {
    let own = ["convert", "--thermometer", "data/demo/thermometers.toml"];
    let more = [
        "--instrument",
        "TH-105",
        "--from",
        "ratio",
        "0.9",
        "1.5",
        "4.5",
    ];
    let done = driftbook(&[&own[..], &more].concat());
    assert!(
        done.stdout.contains("0.9") && done.stdout.contains("660.323"),
        "{}",
        done.stdout
    );
    assert_eq!(
        done.stdout.matches("outside").count(),
        2,
        "{}{}",
        done.stdout,
        done.stderr
    );
}
