/*! An instrument of several points, of which one failed: what is said where another point is asked about. */

use super::*;

/// Gauge P with two points: 0 C out of tolerance at its last check, 100 C steady; gauge Q steady.
fn two_points(folder: &Path) -> PathBuf {
    let pipeline = laboratory(folder, "instrument,group,interval_days\nP,g,365\nQ,g,365\n");
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper,unit\n");
    for (i, wiggle) in [0.02, -0.01, 0.03, -0.02, 0.01, 0.02].iter().enumerate() {
        let year = 2018 + i;
        let at_zero = if i == 5 { 1.6 } else { *wiggle };
        text += &format!("P,0 C,{year}-03-01,{at_zero},0.01,-1,1,mm\n");
        text += &format!("P,100 C,{year}-03-01,{wiggle},0.01,-1,1,mm\n");
        text += &format!("Q,,{year}-03-01,{wiggle},0.01,-1,1,mm\n");
    }
    fs::write(folder.join("checks.csv"), text).unwrap();
    pipeline
}

const SAID: &str = "P is withdrawn at 0 C; whether it may serve at 100 C alone a person decides";

#[test]
fn a_value_and_a_reading_at_another_point_name_the_point_that_is_withdrawn() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = two_points(folder.path());
    let records = pipeline.to_str().unwrap();
    let value = [
        "value",
        "P",
        "100 C",
        "--date",
        "2024-05-01",
        "--records",
        records,
    ];
    says!(driftbook(&value).ended(3).stdout, SAID, "expected error");
    let json = driftbook(&[&value[..], &["--json"]].concat()).ended(3);
    says!(
        json.stdout,
        "\"instrument_withdrawn\": \"P is withdrawn at 0 C"
    );
    let verdict = |name: &str, more: &[&str]| {
        let asked = [
            "verdict",
            name,
            "0.01",
            "--u",
            "0.01",
            "--date",
            "2024-05-01",
            "--records",
            records,
        ];
        driftbook(&[&asked[..], more].concat())
    };
    let read = verdict("P", &["--point", "100 C"]).ended(3);
    says!(read.stdout, "Instrument: P is withdrawn at 0 C");
    says_not!(verdict("Q", &[]).ended(0).stdout, "Instrument:");
    // Where the failed point is read again beside it, that reading tells.
    let file = folder.path().join("new.csv");
    let fresh = |at_zero: f64| {
        let rows = format!("P,0 C,2024-05-01,{at_zero},0.01,mm\nP,100 C,2024-05-01,0.02,0.01,mm\n");
        fs::write(
            &file,
            format!("instrument,point,date,as_found,u,unit\n{rows}"),
        )
        .unwrap();
        driftbook(&[
            "verdict",
            "--file",
            file.to_str().unwrap(),
            "--records",
            records,
        ])
    };
    says!(
        fresh(1.7).ended(3).stdout,
        "Instrument: P is withdrawn at 0 C"
    );
    says_not!(fresh(0.02).stdout, "Instrument:");
    // Once the failed point reads well again the instrument is not withdrawn.
    let again = fs::read_to_string(folder.path().join("checks.csv")).unwrap();
    let again = again + "P,0 C,2024-04-01,0.02,0.01,-1,1,mm\n";
    fs::write(folder.path().join("checks.csv"), again).unwrap();
    says_not!(verdict("P", &["--point", "100 C"]).stdout, "Instrument:");
}

/// An instrument is one thing: no interval of it grows while one of its points has failed, with a book of cases or
/// without, and who lengthens one by hand is told.
#[test]
fn no_interval_grows_while_another_point_of_the_instrument_has_failed() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = two_points(folder.path());
    let records = pipeline.to_str().unwrap();
    let decided = || {
        let out = folder.path().join("report");
        driftbook(&["run", records, "--quiet", "--out", out.to_str().unwrap()]).well();
        let rows = read_csv(&out.join("decisions.csv")).rows;
        let at = |point: &str| rows.iter().find(|row| row["point"] == point).unwrap();
        (at("100 C")["action"].clone(), at("100 C")["reason"].clone())
    };
    let (action, reason) = decided();
    assert_eq!(action, "keep", "{reason}");
    says!(
        reason,
        "until 3 good checks have followed the failed one at 0 C",
        "on 2023-03-01"
    );
    let page = folder.path().join("report/instruments/P_100-C.html");
    let page = fs::read_to_string(page).unwrap();
    let (whole, own) = (
        page.find("Withdraw the instrument"),
        page.find("<strong>Keep"),
    );
    assert!(whole.is_some() && own.is_some() && whole < own, "{page}");
    // As its explanation says.
    says!(
        driftbook(&["explain", "P", "100 C", "--records", records]).stdout,
        "until 3 good checks have followed the failed one at 0 C"
    );
    let many = approve(&pipeline, &["--action", "extend", "--by", "Head"]).well();
    says!(many.stdout, "for Q, by Head", "1 line written");
    let own = [
        "P",
        "100 C",
        "--interval",
        "500",
        "--reason",
        "a loan",
        "--by",
        "Head",
    ];
    says!(
        approve(&pipeline, &own).well().stdout,
        &format!("But {SAID}")
    );
    // With a book, until a person has closed it, however many good checks follow.
    let checks = folder.path().join("checks.csv");
    let mut text = fs::read_to_string(&checks).unwrap();
    for month in ["07", "08", "09", "10"] {
        text += &format!("P,0 C,2023-{month}-01,0.02,0.01,-1,1,mm\n");
    }
    fs::write(&checks, &text).unwrap();
    fs::remove_file(folder.path().join("approvals.csv")).unwrap();
    assert_eq!(decided().0, "extend");
    let with_book = fs::read_to_string(&pipeline).unwrap() + "[cases]\nfile = \"cases.csv\"\n";
    fs::write(&pipeline, with_book).unwrap();
    let (action, reason) = decided();
    assert_eq!(action, "keep", "{reason}");
    says!(reason, "until a person has closed the case at 0 C");
    let closing = [
        "close",
        "P",
        "0 C",
        "--finding",
        "2023-03-01",
        "--by",
        "Head",
        "--action",
        "trimmed",
        "--on",
        "2024-05-01",
        "--records",
        records,
    ];
    driftbook(&closing).well();
    assert_eq!(decided().0, "extend");
}

/// Nothing failed at 5 bar, where the drift alone says that it must not be used: 711 d were proposed at 0 bar, and waited
/// for a signature, on an instrument that nobody may use.
#[test]
fn no_interval_grows_while_another_point_of_the_instrument_is_withdrawn_by_its_forecast() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), "instrument,group,interval_days\nM,g,365\n");
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper,unit\n");
    for (i, wiggle) in [0.02, -0.03, 0.05, 0.0, 0.04, -0.02].iter().enumerate() {
        let (year, drifting) = (2018 + i, 0.9 * i as f64);
        text += &format!("M,0 bar,{year}-03-01,{wiggle},0.05,-5,5,bar\n");
        text += &format!("M,5 bar,{year}-03-01,{drifting},0.05,-5,5,bar\n");
    }
    fs::write(folder.path().join("checks.csv"), &text).unwrap();
    let records = pipeline.to_str().unwrap();
    let held = "until the instrument has been calibrated: at 5 bar it must not be used";
    let out = folder.path().join("report");
    let as_of = |day: &str| {
        let to = out.to_str().unwrap();
        driftbook(&["run", records, "--quiet", "--out", to, "--as-of", day]).well();
        read_csv(&out.join("decisions.csv")).rows
    };
    let rows = as_of("2024-09-01");
    let (steady, drifting) = (&rows[0], &rows[1]);
    assert_eq!(drifting["action"], "withdraw", "{}", drifting["reason"]);
    assert_eq!(
        (steady["action"].as_str(), steady["approval"].as_str()),
        ("keep", "none"),
        "{}",
        steady["reason"]
    );
    says!(steady["reason"], held);
    let asked = ["explain", "M", "0 bar", "--as-of", "2024-09-01"];
    let explained = driftbook(&[&asked[..], &["--records", records]].concat());
    says!(explained.stdout, held);
    let reading = ["verdict", "M", "0.01", "--point", "0 bar", "--u", "0.05"];
    let verdict = driftbook(
        &[
            &reading[..],
            &["--date", "2024-09-01", "--records", records],
        ]
        .concat(),
    );
    says!(
        verdict.ended(3).stdout,
        held,
        "Instrument: M is withdrawn at 5 bar"
    );
    // The calibration of the whole that this calls for brings the proposal.
    text += "M,0 bar,2024-08-20,0.01,0.05,-5,5,bar\nM,5 bar,2024-08-20,0.1,0.05,-5,5,bar\n";
    fs::write(folder.path().join("checks.csv"), &text).unwrap();
    let rows = as_of("2024-09-01");
    assert_eq!(rows[0]["approval"], "pending", "{}", rows[0]["reason"]);
}
