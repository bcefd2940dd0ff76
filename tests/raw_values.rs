/*! Values in raw exports: nominal values, decimals and powers of ten are told apart or asked about. */

use crate::export::{Export, accounts, found, loaded};
use crate::tool::driftbook;

/// Checks of a gauge with a nominal value, with `found` as what was found each year.
fn with_nominal(header: &str, nominal: &str, found: [&str; 4], limit: &str) -> String {
    let mut text = format!("instrument,date,{header},nominal,u,lower,upper,unit\n");
    for (year, value) in (2021..).zip(found) {
        text += &format!("G-1,{year}-03-01,{value},{nominal},0.5,-{limit},{limit},kPa\n");
    }
    text
}

#[test]
fn a_nominal_value_is_never_subtracted_from_an_error() {
    let errors = ["0.02", "0.13", "0.31", "0.42"];
    let export = Export::new(&[("checks.csv", &with_nominal("as_found", "100", errors, "5"))]);
    let done = export.run("checks.csv").ended(1);
    says!(done.stderr, "nominal = false");
    // The same with the column switched off, and by what start makes of it.
    let records = export.path("checks.csv");
    let started = driftbook(&["start", records.to_str().unwrap()]).well();
    says!(started.stdout, "nominal = false");
    export.run("checks.toml").well();
    assert_eq!(export.rows("decisions.csv")[0]["action"], "extend");
}

#[test]
fn values_and_errors_that_both_fit_are_asked() {
    let found = ["0.4", "0.9", "1.3", "1.8"];
    let export = Export::new(&[("checks.csv", &with_nominal("as_found", "1", found, "5"))]);
    let done = export.run("checks.csv").ended(1);
    says!(
        done.stderr,
        "both readings fit",
        "nominal = false",
        "as_found_is = \"value\""
    );
    let records = export.path("checks.csv");
    let started = driftbook(&["start", records.to_str().unwrap()]);
    says!(started.stdout, "Not read yet");
    assert_eq!(export.run("checks.toml").status, 2);
    let file = export.path("checks.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    let stated = text.replace(
        "# as_found_is = \"value\" or \"error\": state it",
        "as_found_is = \"error\"",
    );
    std::fs::write(&file, stated).unwrap();
    assert_eq!(export.run("checks.toml").status, 0);
}

#[test]
fn values_near_their_nominal_are_still_values() {
    let found = ["100.1", "100.4", "100.7", "101.1"];
    let export = Export::new(&[("checks.csv", &with_nominal("as_found", "100", found, "5"))]);
    export.run("checks.csv").well();
}

#[test]
fn thousands_and_decimals_are_never_a_factor_of_a_thousand_apart() {
    let cases: [(&str, &str, &str, [f64; 2]); 6] = [
        // German: decimal comma, points between thousands.
        (
            "decimal_comma = true",
            "998,5;U;1.500\n1.002,25;U;1.500",
            ";",
            [998.5, 1002.25],
        ),
        // Nothing tells what the point is.
        ("", "1.234;U;\n1.250;U;", ";", [f64::NAN, f64::NAN]),
        (
            "decimal_comma = false",
            "1.234;U;\n1.250;U;",
            ";",
            [1.234, 1.25],
        ),
        // German decimals under the default sign: not even the cells that would read.
        ("", "0,5;U;\n1.234;U;", ";", [f64::NAN, f64::NAN]),
        // US: commas between thousands.
        ("", "\"1,234\",U,\n\"1,234.5\",U,", ",", [1234.0, 1234.5]),
        (
            "thousands = \",\"",
            "\"1,234\",U,\n\"2,500\",U,",
            ",",
            [1234.0, 2500.0],
        ),
    ];
    for (setting, cells, delimiter, expected) in cases {
        let mut text = ["instrument", "date", "as_found", "unit", "upper"].join(delimiter) + "\n";
        for (year, cells) in (2021..).zip(cells.lines()) {
            text += &format!("G{delimiter}{year}-03-01{delimiter}{cells}\n");
        }
        let lab = format!("[checks]\nfiles = [\"checks.csv\"]\n{setting}\n");
        let export = Export::new(&[("checks.csv", &text), ("lab.toml", &lab)]);
        let done = export.run("lab.toml");
        if expected[0].is_nan() {
            assert_eq!(done.status, 1, "{text}");
            says!(done.stderr, "decimal_comma");
            continue;
        }
        assert_eq!(done.status, 0, "{text}{}", done.stderr);
        assert_eq!(accounts(&export.path("report")), [2, 2, 0, 0], "{text}");
        assert_eq!(found(&export.path("lab.toml")), expected, "{text}");
    }
}

#[test]
fn a_register_with_points_before_three_digits_is_asked() {
    let checks = "instrument,date,as_found,unit\nG,2021-03-01,0.5,kPa\nG,2022-03-01,0.6,kPa\n";
    let lab = "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n";
    let register = "instrument;lower;upper\nG;-1.500;1.500\n";
    let files = [
        ("checks.csv", checks),
        ("register.csv", register),
        ("lab.toml", lab),
    ];
    let export = Export::new(&files);
    let done = export.run("lab.toml").ended(1);
    says!(
        done.stderr,
        "register.csv",
        "\"-1.500\" in row 2",
        "under [register]"
    );
    let stated = lab.to_string() + "decimal_comma = true\nthousands = \".\"\n";
    std::fs::write(export.path("lab.toml"), stated).unwrap();
    assert_eq!(export.run("lab.toml").status, 0);
}

#[test]
fn the_register_reads_limits_as_the_records_do_and_tells_where_they_differ() {
    let checks = "instrument,date,as_found,lower,upper,unit\n\
        A,2024-01-01,0.1,-5,5,mK\nB,2024-01-01,0.1,-5,5,mK\nC,2024-01-01,0.1,,,mK\nD,2024-01-01,0.1,,,mK\n";
    let register = "instrument,lower,upper,tolerance,unit\n\
        A,,±3,,mK\nB,-5 mK,0.005 K,,mK\nC,,,± 4000 µK,mK\nD,,,2 % of range,mK\n";
    let export = Export::new(&[
        ("checks.csv", checks),
        ("register.csv", register),
        (
            "lab.toml",
            "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n",
        ),
    ]);
    export.run("lab.toml").well();
    let items = loaded(&export.path("lab.toml")).histories.items;
    let limits: Vec<_> = items
        .iter()
        .map(|item| item.tolerance.map(|t| (t.lower(), t.upper())))
        .collect();
    let within = |half: f64| Some((-half, half));
    assert_eq!(limits, [within(3.0), within(5.0), within(4.0), None]);
    let warnings = export.rows("warnings.csv");
    let told = |words: &str| {
        warnings
            .iter()
            .filter(|w| w["warning"].contains(words))
            .count()
    };
    assert_eq!(told("the register says -3 … 3, the check"), 1);
    assert_eq!(told("the register says -5"), 0);
    assert_eq!(told("tolerance \"2 % of range\" is left out"), 1);
}

#[test]
fn a_nominal_value_that_is_not_subtracted_still_tells_points_apart() {
    let mut checks = "item,date,error,Nominal [V],unit\n".to_string();
    for year in 2020..2024 {
        checks += &format!("G,{year}-03-01,0.4,10,V\nG,{year}-03-01,0.9,100,V\n");
    }
    let pipeline = |more: &str| {
        format!(
            "[checks]\nfiles = [\"checks.csv\"]\n{more}[checks.columns]\ninstrument = \"item\"\nas_found = \"error\"\nnominal = false\n"
        )
    };
    let export = Export::new(&[
        ("checks.csv", &checks),
        ("mixed.toml", &pipeline("")),
        ("points.toml", &pipeline("point_from = [\"Nominal [V]\"]\n")),
    ]);
    let done = export.run("mixed.toml").ended(1);
    says!(done.stderr, "nominal values 10 V and 100 V");
    let points = [[0.4; 4], [0.9; 4]].concat();
    assert_eq!(found(&export.path("points.toml")), points);
}

/// A ± behind a value tells no k: half of what it says, or all of it.
#[test]
fn an_uncertainty_behind_a_value_is_read_where_somebody_says_so() {
    let rows: String = (2020..2023)
        .map(|year| format!("A,{year}-01-01,0.4 ± 0.1,-1,1\n"))
        .collect();
    let text = format!("instrument,date,as_found,lower,upper\n{rows}");
    let export = Export::new(&[("checks.csv", &text)]);
    let done = export.run("checks.csv").ended(1);
    says!(done.stderr, "pairs = \"found_u\"", "coverage_factor = 2");
    let records = export.path("checks.csv");
    driftbook(&["start", records.to_str().unwrap()]).well();
    let draft = std::fs::read_to_string(export.path("checks.toml")).unwrap();
    says!(draft, "\npairs = \"found_u\"\n");
    // Not before the k is stated.
    assert_eq!(export.run("checks.toml").status, 2);
}

#[test]
fn a_reading_a_power_of_ten_away_is_asked_about() {
    let export = Export::new(&[(
        "checks.csv",
        "instrument,date,as_found,u,unit\nR,2021-03-02,0.41,0.2,mK\nR,2022-03-01,0.43,0.2,mK\n\
         R,2023-03-07,4.3,0.2,mK\nR,2024-03-05,0.42,0.2,mK\nR,2025-03-04,0.44,0.2,mK\n",
    )]);
    assert_eq!(export.run("checks.csv").status, 0);
    let warnings = export.rows("warnings.csv");
    let told = |w: &std::collections::BTreeMap<String, String>| {
        w["warning"].contains("4.3 mK") && w["warning"].contains("10^1 times its neighbours")
    };
    assert!(warnings.iter().any(told), "{warnings:?}");
}
