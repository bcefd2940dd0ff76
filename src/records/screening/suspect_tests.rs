use crate::records::testing::load_files;
use crate::records::{ChecksSettings, RegisterSettings};

fn words(text: &str) -> Vec<String> {
    let settings = (&ChecksSettings::default(), &RegisterSettings::default());
    let loaded = load_files(&[("f.csv", text)], settings).unwrap();
    loaded.warnings.iter().map(|w| w.to_string()).collect()
}

fn history(values: &[&str]) -> String {
    let mut text = "instrument,date,as_found,nominal\n".to_string();
    for (i, value) in values.iter().enumerate() {
        text.push_str(&format!("A,{}-01-01,{value}\n", 2010 + i));
    }
    text
}

#[test]
fn a_usual_history_raises_no_alarm() {
    let drifting = ["0.1,", "0.2,", "0.4,", "0.5,", "0.7,", "0.8,", "1.1,"];
    assert_eq!(words(&history(&drifting)), [""; 0]);
    let around_zero = [
        "0.1,", "-0.2,", "0.0001,", "0.1,", "-0.1,", "0.05,", "-0.3,",
    ];
    assert_eq!(words(&history(&around_zero)), [""; 0]);
    let stepped = ["1,", "1,", "1,", "1,", "-1,", "-1,", "-1,", "-1,"];
    assert_eq!(words(&history(&stepped)), [""; 0]);
}

#[test]
fn unit_slips_are_told() {
    let errors = words(&history(&["1.2,", "1.3,", "1250,", "1.3,", "1.4,"]));
    assert!(
        errors[0].contains("10^3") && errors[0].contains("f.csv, row 4"),
        "{errors:?}"
    );
    let values = words(&history(&[
        "100.1,100",
        "100.2,100",
        "0.1003,100",
        "100.1,100",
        "100.2,100",
    ]));
    assert!(
        values[0].contains("0.1003 of") || values[0].contains("10^-3"),
        "{values:?}"
    );
}

#[test]
fn sign_flips_are_told() {
    let noted = words(&history(&[
        "1.2,", "1.3,", "1.25,", "1.3,", "-1.3,", "1.4,",
    ]));
    assert!(
        noted[0].contains("sign flip") && noted[0].contains("row 6"),
        "{noted:?}"
    );
    // Readings about zero on a display of 0.01.
    let noise = words(&history(&[
        "0.03,", "-0.02,", "0.01,", "0.01,", "-0.01,", "0.01,", "0.01,", "0.03,", "-0.02,", "0,",
        "0.05,", "0.03,", "0.02,", "0.03,",
    ]));
    assert!(noise.is_empty(), "{noise:?}");
}

#[test]
fn wrong_centuries_are_told() {
    let text = "instrument,date,as_found\nA,1921-01-01,1\nA,2020-01-01,1\nA,2022-01-01,1\nB,0001-01-01,1\n";
    let noted = words(text);
    assert!(
        noted[0].contains("1921-01-01") && noted[0].contains("year 2021"),
        "{noted:?}"
    );
    assert!(
        noted[1].starts_with("B: the check of 0001-01-01"),
        "{noted:?}"
    );
}

#[test]
fn other_oddities_are_told() {
    let text = "instrument,date,as_found,as_left,u,lower,upper,event,usage\n\
                A,2020-01-01,1,,0,-2,2,,10\n\
                A,2021-01-01,1,,1,-3,3,adjusted,5\n\
                a ,2021-01-01,1,,1,-3,3,shocked,\n";
    let noted = words(text).join("\n");
    says!(
        noted,
        "tolerance changes with the check of 2021-01-01",
        "to -3 … 3",
        "u = 0",
        "adjusted at the check of 2021-01-01 (f.csv, row 3) but no as_left",
        "usage falls from 10 to 5",
        "\"A\" and \"a \" differ only by case or blanks"
    );
    assert_eq!(noted.lines().count(), 5, "{noted}");
}

/// Values of a 100 ohm resistor beside limits of their errors: not one of them is an error.
#[test]
fn values_far_beyond_the_limits_of_errors_are_asked_about() {
    let text = |values: [&str; 3]| {
        let row =
            |(year, value): (usize, &str)| format!("A,{}-01-01,{value},-0.1,0.1\n", 2020 + year);
        let rows = values.into_iter().enumerate().map(row);
        "instrument,date,as_found,lower,upper\n".to_string() + &rows.collect::<String>()
    };
    let asked = |values| {
        words(&text(values))
            .iter()
            .any(|w| w.contains("values rather than errors"))
    };
    assert!(asked(["100.02", "100.03", "100.04"]));
    // A standard that fails ever worse, and one with a check in tolerance.
    assert!(!asked(["2.2", "9", "40"]));
    assert!(!asked(["0.02", "100.03", "100.04"]));
}
