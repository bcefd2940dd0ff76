/*! Temperatures from a thermometer come with what is known of their uncertainty, and from no coefficients
that belong to no platinum. */

use super::bench_year::{readings, write};
use super::tool::driftbook;

fn json(arguments: &[&str]) -> serde_json::Value {
    let done = driftbook(arguments).well();
    serde_json::from_str(&done.stdout).unwrap()
}

/// R, coefficients and drift by date, each in mK at the temperature; what is not known is named.
#[test]
fn a_temperature_has_the_uncertainty_of_its_parts() {
    let folder = tempfile::tempdir().unwrap();
    let year: Vec<(usize, f64)> = (1..=8).map(|n| (n, 0.4 * n as f64)).collect();
    write(folder.path(), "readings.csv", &readings(&year));
    let facts = "[[thermometer]]\ninstrument = \"P-1\"\ntriple_point_ohm = 100.0213\nu_triple_point_ohm = 0.0002\n\
        current_ma = 1\nplatinum = \"secondary\"\nsubrange = [{ number = 8, a = -2.0e-2, b = 1.8e-4, \
        u_points_mk = { tin = 2.0, zinc = 3.0, water = 1.0 } }]\n";
    write(folder.path(), "th.toml", facts);
    let text = "[thermometry]\nfiles = [\"readings.csv\"]\nthermometers = \"th.toml\"\n";
    let lab = write(folder.path(), "lab.toml", text);
    let at = |date: &str| {
        let own = [
            "convert",
            "--records",
            &lab,
            "--instrument",
            "P-1",
            "--date",
            date,
        ];
        json(&[&own[..], &["--u", "0.0001", "--json", "139.0"]].concat())
    };
    let u = |value: &serde_json::Value, part: &str| value[0]["u"][part].as_f64().unwrap();
    let (soon, late) = (at("2026-02-10"), at("2026-08-10"));
    // 0.1 mΩ over dR/dt, 0.2 mΩ at the triple point over 0.399 mΩ/mK times W·S/W' = 1.43.
    assert!((u(&soon, "number_mk") - 0.26).abs() < 0.01, "{soon}");
    assert!((u(&soon, "triple_point_mk") - 0.72).abs() < 0.01, "{soon}");
    assert!((1.0..3.0).contains(&u(&soon, "curve_mk")));
    // Eight months at 0.4 mK rise on: a value in use that is not renewed costs more with time.
    assert!(
        u(&late, "drift_mk") > u(&soon, "drift_mk") + 2.0,
        "{soon}{late}"
    );
    assert_eq!(soon[0]["u"]["not_in_it"].as_array().unwrap().len(), 0);
    let total: f64 = ["number_mk", "triple_point_mk", "curve_mk", "drift_mk"]
        .iter()
        .map(|part| u(&late, part).powi(2))
        .sum();
    assert!((u(&late, "u_mk") - total.sqrt()).abs() < 1e-9);
    let file = folder.path().join("th.toml");
    let by_file = [
        "convert",
        "--thermometer",
        file.to_str().unwrap(),
        "--instrument",
        "P-1",
        "139.0",
    ];
    let said = driftbook(&by_file).stdout;
    says!(said, "Not known and not in it: number, drift.");
    let table = write(folder.path(), "t.csv", "ohm\n139.0\nx\n");
    let csv = ["--csv", &table, "--column", "ohm"];
    let said = driftbook(&[&by_file[..5], &csv].concat()).stdout;
    let rows: Vec<&str> = said.lines().collect();
    assert!(
        rows[0].ends_with("conversion_note,u_temperature_mk,not_in_u"),
        "{said}"
    );
    assert!(rows[1].ends_with("\"number, drift\""), "{said}");
    assert!(rows[2].ends_with("x is not a number,,"), "{said}");
}

/// JCGM 100:2008, H.3: corrections of Table H.6, b(30 °C) = −0.1494 °C with u = 0.0041 °C.
#[test]
fn a_direct_reading_thermometer_is_corrected() {
    let folder = tempfile::tempdir().unwrap();
    let text = "temperature_c,correction_c\n21.521,-0.171\n22.012,-0.169\n22.512,-0.166\n23.003,-0.159\n\
        23.507,-0.164\n23.999,-0.165\n24.513,-0.156\n25.002,-0.157\n25.503,-0.159\n26.010,-0.161\n26.511,-0.160\n";
    let file = write(folder.path(), "c.csv", text);
    let told = json(&[
        "convert",
        "--correction-line",
        &file,
        "--json",
        "--u",
        "0.003",
        "30",
    ]);
    let figure = |name: &str| told[0][name].as_f64().unwrap();
    assert_eq!(format!("{:.4}", figure("correction_c")), "-0.1494");
    assert_eq!(format!("{:.4}", figure("u_correction_c")), "0.0041");
    assert!((figure("temperature_c") - 29.850_623).abs() < 1e-6);
    assert!((figure("u_temperature_c") - 0.003_f64.hypot(0.004_138_596)).abs() < 1e-9);
    let said = driftbook(&["convert", "--correction-line", &file, "30"]).stdout;
    says!(said, "outside the calibrated 21.521 °C to 26.511 °C");
    let bad = write(
        folder.path(),
        "bad.csv",
        "temperature_c,correction_c\n20,0.1\n21,x\n",
    );
    let done = driftbook(&["convert", "--correction-line", &bad, "20"]).ended(2);
    says!(
        done.stderr,
        "row 2, column correction_c: \"x\" is not a number"
    );
}

/// A power of ten in a coefficient is refused wherever coefficients are read.
#[test]
fn coefficients_of_no_platinum_are_refused() {
    let own = |text: &str| {
        driftbook(&[
            "convert",
            "--iec-60751",
            "--r0",
            "100.012",
            "--own",
            text,
            "138.5",
        ])
    };
    own("a=3.9112e-3,b=-5.79e-7").well();
    says!(own("a=3.9112e-2,b=-5.79e-7").stderr, "power of ten");
    says!(own("a=3.9112e-3,b=-5.79e-8").stderr, "power of ten");
    let done = driftbook(&[
        "convert",
        "--triple-point",
        "25.5",
        "--coefficients",
        "8:a=-1.43e-3,b=-1.7e-5",
        "35.5",
    ])
    .ended(2);
    assert!(
        done.stderr.contains("power of ten") && done.stderr.contains("--secondary"),
        "{}",
        done.stderr
    );
    let folder = tempfile::tempdir().unwrap();
    let facts = "[[thermometer]]\ninstrument = \"P-1\"\ntriple_point_ohm = 100.0213\n\
        subrange = [{ number = 8, a = -1.4e-4, b = -1.7e-3 }]\n";
    write(folder.path(), "th.toml", facts);
    write(folder.path(), "readings.csv", &readings(&[(1, 0.0)]));
    let text = "[thermometry]\nfiles = [\"readings.csv\"]\nthermometers = \"th.toml\"\n";
    let lab = write(folder.path(), "lab.toml", text);
    let done = driftbook(&["run", &lab]).ended(1);
    says!(done.stderr, "P-1: the coefficients of subrange 8");
}
