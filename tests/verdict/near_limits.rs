/*! Readings near a limit, wild readings, creeps. */

use super::*;

/// A gauge that reads 4.4 to 4.6 against ±5, and three jobs, two of them since its last check.
fn near_a_limit(folder: &Path, settings: &str) -> std::path::PathBuf {
    let mut text = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    for (year, value) in [(2021, 4.4), (2022, 4.6), (2023, 4.5), (2024, 4.6)] {
        text += &format!("R-1,{year}-03-05,{value},0.35,-5,5,mK\n");
    }
    std::fs::write(folder.join("checks.csv"), text).unwrap();
    let jobs = "job,instrument,date\nJ-0,R-1,2023-01-01\nJ-1,R-1,2024-05-05\nJ-2,R-1,2024-06-07\n";
    std::fs::write(folder.join("jobs.csv"), jobs).unwrap();
    let pipeline = folder.join("lab.toml");
    let files = "[checks]\nfiles = [\"checks.csv\"]\n[jobs]\nfile = \"jobs.csv\"\n";
    std::fs::write(&pipeline, format!("{files}{settings}")).unwrap();
    pipeline
}

/// Status and JSON of a reading of R-1 a year after its last check.
fn of_r1(pipeline: &Path, value: &str, u: &str) -> (i32, serde_json::Value) {
    let reading = ["verdict", "R-1", value, "--u", u, "--date", "2025-03-04"];
    let records = ["--json", "--records", pipeline.to_str().unwrap()];
    let done = driftbook(&[&reading[..], &records].concat());
    (done.status, json(&done))
}

/// Φ((5 − 4.9)/0.35) = 0.61245: a value inside its limit that says too little to stand on.
#[test]
fn a_reading_too_near_its_limit_asks_a_person_and_names_the_work() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = near_a_limit(folder.path(), "");
    let (status, said) = of_r1(&pipeline, "4.9", "0.35");
    assert_eq!(status, 3);
    assert_eq!(said["in_tolerance"], true);
    assert_eq!(said["conformity"], "indeterminate");
    let probability = said["probability_in_tolerance"].as_f64().unwrap();
    near!(probability, 0.61245, 6e-6);
    assert_eq!(said["conformity_now"], "indeterminate");
    assert_eq!(said["action"], "review");
    let doubt = said["lines"][4].as_str().unwrap();
    assert!(
        doubt.ends_with("2 jobs at risk, J-2 (2024-06-07), J-1 (2024-05-05)."),
        "{doubt}"
    );
    let (_, by_value) = of_r1(
        &near_a_limit(folder.path(), "[conformity]\ndoubt_factor = 0.0\n"),
        "4.9",
        "0.35",
    );
    assert_eq!(by_value["conformity"], "conforming");
}

/// Whatever is typed in, nobody is told to carry it, and what is withdrawn is not due in years.
#[test]
fn a_wild_reading_is_neither_carried_nor_given_a_later_date() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = near_a_limit(folder.path(), "");
    for (value, u) in [("-999999", "0.35"), ("999999", "1e5"), ("7.5", "0.35")] {
        let (status, said) = of_r1(&pipeline, value, u);
        assert_eq!(status, 3, "{value}");
        assert_eq!(said["value"], "unconfirmed", "{said}");
        let line = said["lines"][2].as_str().unwrap();
        assert!(
            line.ends_with("carry no value before a repeated measurement has confirmed it."),
            "{line}"
        );
        assert_eq!(said["action"], "withdraw", "{said}");
        assert_eq!(said["due_date"], "2025-03-04");
        assert!(
            said["lines"][3]
                .as_str()
                .unwrap()
                .starts_with("Next: now (withdraw)")
        );
    }
}

/// A good reading in twenty lies outside 95 %: that is a warning, and no person is called.
#[test]
fn a_warning_asks_for_a_repeat_and_an_alarm_for_a_person() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(folder.path());
    let verdict = |value: &str| {
        let done = of_g1(&records, value, &["--json"]);
        (done.status, json(&done))
    };
    let (_, said) = verdict("0.5");
    let limit = |of: &str| said[of][1].as_f64().unwrap();
    let (warning, action) = (limit("band"), limit("action_limits"));
    assert!(warning < action);
    let (status, said) = verdict(&format!("{}", 0.5 * (warning + action)));
    assert_eq!((status, &said["control"]), (0, &"warning".into()), "{said}");
    assert_eq!(said["in_control"], true);
    says!(
        said["lines"][0].as_str().unwrap(),
        "one good reading in 20 lies there, and a second one tells"
    );
    let (status, said) = verdict(&format!("{}", 1.01 * action));
    assert_eq!((status, &said["control"]), (3, &"action".into()), "{said}");
    assert_eq!(said["in_control"], false);
}

/// Each check of a creeping gauge is as the one before; since its value was set it has moved.
#[test]
fn a_creep_is_judged_from_the_value_set_not_only_from_the_last_check() {
    let folder = tempfile::tempdir().unwrap();
    let records = records(folder.path());
    let said = of_g1(&records, "0.5", &[]).stdout;
    let drift = said.lines().nth(1).unwrap();
    says!(
        drift,
        "since the value was set or first read on 2021-01-01, more than its U"
    );
}

/// As people write them: a decimal comma, and a unit that is not the history's.
#[test]
fn a_reading_may_have_a_decimal_comma_and_a_unit() {
    let asked = |value: &str, u: &str| {
        let reading = ["verdict", "TH-002", value, "--u", u];
        driftbook(&[&reading[..], &["--date", "2026-07-01", "--demo"]].concat())
    };
    let plain = asked("1.9", "0.35");
    assert_eq!(asked("1,9 mK", "350 µK").stdout, plain.stdout);
    says!(asked("1.9 mm", "0.35").stderr, "cannot be turned into");
    says!(asked("1,234", "0.35").stderr, "decimals or thousands");
    assert_eq!(
        asked("-1,9 mK", "0.35").stdout,
        asked("-1.9", "0.35").stdout
    );
}

/// A value as left that lies outside the tolerance is a slip or a fault: nobody is told to carry it.
#[test]
fn a_wild_value_as_left_is_not_carried() {
    let folder = tempfile::tempdir().unwrap();
    let rows = [("4.6", "-999999", "unconfirmed"), ("4.6", "0.1", "as left")];
    for (found, left, carried) in rows {
        let mut text = String::from("instrument,date,as_found,as_left,u,lower,upper,unit\n");
        for (year, value) in [(2021, 4.4), (2022, 4.6), (2023, 4.5), (2024, 4.6)] {
            text += &format!("R-1,{year}-03-05,{value},,0.35,-5,5,mK\n");
        }
        text += &format!("R-1,2025-03-05,{found},{left},0.35,-5,5,mK\n");
        let records = folder.path().join("checks.csv");
        std::fs::write(&records, text).unwrap();
        let out = folder.path().join("report");
        let (file, to) = (records.to_str().unwrap(), out.to_str().unwrap());
        driftbook(&["run", file, "--as-of", "2025-06-01", "--quiet", "--out", to]).well();
        let told = read_csv(&out.join("adoption.csv")).rows;
        let last = told.last().unwrap();
        assert_eq!(last["carry"], carried, "{last:?}");
        if carried == "unconfirmed" {
            assert_eq!(last["carried_value"], "", "{last:?}");
            assert!(last["reason"].ends_with("carry no value before a check has confirmed one"));
        }
    }
}
