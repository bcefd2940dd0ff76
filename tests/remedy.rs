/*! A known error near a limit is adjusted away or adopted rather than checked ever more often, from the
built program. */

use crate::tool::{driftbook, read_csv};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;

/// A gauge that drifts by 0.5 a year to 4.5 within ±5, checked each March from 2014 to 2023.
fn drifting() -> Vec<(i32, f64)> {
    let noise = [
        0.03, -0.05, 0.02, 0.04, -0.03, -0.02, 0.05, -0.04, 0.01, 0.0,
    ];
    let years = (0..10).map(|year| (2014 + year, 0.5 * f64::from(year)));
    years
        .zip(noise)
        .map(|((year, value), noise)| (year, value + noise))
        .collect()
}

/// The row of `decisions.csv` for checks (date, as found, as left, event, assigned), by column.
fn decision(
    checks: &[(String, f64, &str, &str, &str)],
    settings: &str,
) -> BTreeMap<String, String> {
    let folder = tempfile::tempdir().unwrap();
    let mut text =
        String::from("instrument,date,as_found,as_left,u,lower,upper,unit,event,assigned\n");
    for (date, found, left, event, assigned) in checks {
        let _ = writeln!(
            text,
            "G-1,{date},{found},{left},0.1,-5,5,mm,{event},{assigned}"
        );
    }
    fs::write(folder.path().join("checks.csv"), text).unwrap();
    let plan = format!("as_of = \"2023-06-01\"\n[checks]\nfiles = [\"checks.csv\"]\n{settings}\n");
    fs::write(folder.path().join("lab.toml"), plan).unwrap();
    let (plan, report) = (folder.path().join("lab.toml"), folder.path().join("report"));
    driftbook(&[
        "run",
        &plan.display().to_string(),
        "--quiet",
        "--out",
        &report.display().to_string(),
    ])
    .well();
    read_csv(&report.join("decisions.csv")).rows.remove(0)
}

fn plain() -> Vec<(String, f64, &'static str, &'static str, &'static str)> {
    let of = |(year, value)| (format!("{year}-03-01"), value, "", "", "");
    drifting().into_iter().map(of).collect()
}

#[test]
fn a_slow_drift_near_its_limit_is_adjusted_or_adopted() {
    let told = decision(&plain(), "");
    assert_eq!(told["remedy"], "either", "{told:?}");
    let days: f64 = told["remedy_interval_days"].parse().unwrap();
    let decided: f64 = told["interval_days"].parse().unwrap();
    assert!(days >= 365.0 && days > decided, "{told:?}");
    says!(told["reason"], "adjusting away the error of 4.6");

    let mut adjusted = plain();
    adjusted[0].2 = "0";
    adjusted[0].3 = "adjusted";
    assert_eq!(decision(&adjusted, "")["remedy"], "adjust");
    let mut assigned = plain();
    assigned[3].4 = "1.3";
    assert_eq!(decision(&assigned, "")["remedy"], "adopt");
    let off = decision(&plain(), "[policy]\nremedy = \"none\"");
    assert_eq!(
        (off["remedy"].as_str(), off["remedy_interval_days"].as_str()),
        ("none", "")
    );
}

/// The program decides no less once the adjustment was done than it promised before: the reading at the
/// adjustment only adds to what is known.
#[test]
fn the_promised_interval_follows_the_adjustment() {
    let promised: f64 = decision(&plain(), "")["remedy_interval_days"]
        .parse()
        .unwrap();
    let mut done = plain();
    done.push(("2023-06-01".into(), 4.62, "0", "adjusted", ""));
    let then = decision(&done, "");
    let days: f64 = then["interval_days"].parse().unwrap();
    assert!(days >= promised, "{promised} {then:?}");
}

#[test]
fn no_remedy_where_something_else_speaks() {
    let early: Vec<_> = plain().into_iter().take(4).collect();
    assert_eq!(decision(&early, "")["remedy"], "none");
    let mut failed = plain();
    failed.push(("2023-05-01".into(), 5.4, "", "", ""));
    assert_eq!(decision(&failed, "")["remedy"], "none");
    let mut far = plain();
    far.push(("2023-05-01".into(), 2.0, "", "", ""));
    assert_eq!(decision(&far, "")["remedy"], "none");
    let fast: Vec<_> = (0..6)
        .map(|half| {
            let month = if half % 2 == 0 { "03" } else { "09" };
            let day = format!("{}-{month}-01", 2020 + half / 2);
            (day, -4.0 + 1.7 * f64::from(half), "", "", "")
        })
        .collect();
    assert_eq!(decision(&fast, "")["remedy"], "none");
}
