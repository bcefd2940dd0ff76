/*! Records of pass and fail alone: what their group shows decides, one outcome a life. */

use super::tool::{driftbook, read_csv};
use std::path::{Path, PathBuf};

fn report(folder: &Path, rows: &str) -> PathBuf {
    let text = format!("instrument,date,in_tolerance,event\n{rows}");
    std::fs::write(folder.join("checks.csv"), text).unwrap();
    let checks = folder.join("checks.csv");
    let out = folder.join("report");
    let (checks, shown) = (checks.to_string_lossy(), out.to_string_lossy());
    let arguments = [
        "run",
        &checks,
        "--out",
        &shown,
        "--as-of",
        "2024-06-01",
        "--quiet",
    ];
    driftbook(&arguments).well();
    out
}

/// 120 items found out of tolerance at 15 % of their yearly checks and adjusted then: R after a
/// year is 0.85, so an exponential one reaches 0.95 after 365 d · ln 0.95/ln 0.85 = 115 d.
#[test]
fn a_group_below_its_target_keeps_no_interval() {
    // 3 of each 20 in an order that repeats for no item.
    let failed =
        |item: usize, year: usize| year > 0 && [3, 9, 16].contains(&((7 * item + 11 * year) % 20));
    let folder = tempfile::tempdir().unwrap();
    let mut rows = String::new();
    for item in 0..120 {
        for year in 0..11 {
            let (told, event) = if failed(item, year) {
                ("false", "adjusted")
            } else {
                ("true", "")
            };
            rows += &format!("G-{item:03},{}-03-01,{told},{event}\n", 2013 + year);
        }
    }
    let out = report(folder.path(), &rows);
    for (item, row) in read_csv(&out.join("decisions.csv")).rows.iter().enumerate() {
        // A person looks first at what the last check found; the interval is shorter all the same.
        let action = match failed(item, 10) {
            true => "review",
            false => "shorten",
        };
        assert_eq!(
            (row["action"].as_str(), row["method"].as_str()),
            (action, "reliability")
        );
        let days: f64 = row["interval_days"].parse().unwrap();
        assert!((58.0..=163.0).contains(&days), "{row:?}");
        says!(row["reason"], "no group stated");
    }
    let proposals = read_csv(&folder.path().join("report/proposals.csv")).rows;
    let mut methods: Vec<&str> = proposals.iter().map(|row| row["method"].as_str()).collect();
    methods.dedup();
    assert_eq!(
        methods[..5],
        [
            "drift_crossing",
            "least_cost",
            "reliability",
            "interval_test",
            "staircase"
        ]
    );
}

/// Six thermometers that passed ten yearly checks each are six lives: the exact limits of six
/// passes in six reach down to 0.025^(1/6) = 0.541.
#[test]
fn sixty_passes_of_six_items_show_no_more_than_six() {
    let folder = tempfile::tempdir().unwrap();
    let mut rows = String::new();
    for item in 1..=6 {
        for year in 2014..=2024 {
            rows += &format!("T-{item},{year}-03-0{item},true,\n");
        }
    }
    let out = report(folder.path(), &rows);
    for row in read_csv(&out.join("decisions.csv")).rows {
        assert_eq!(row["action"], "keep", "{row:?}");
        let said = "60 of 60 results of its group near 365 d were in tolerance; exact 95 % limits from 6 lives 54.1 % to 100 %";
        says!(row["reason"], said);
    }
}

/// Six thermometers with ten good readings each are six lives: without a failure the exact
/// bound is 0.05^(1/6) = 0.60696, told rounded down, and not the 0.951 of sixty.
#[test]
fn ten_good_readings_of_six_thermometers_bound_reliability_by_six_lives() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    let mut checks = String::from("instrument,point,date,as_found,lower,upper,u,unit\n");
    let mut register = String::from("instrument,group\n");
    for item in 1..=6 {
        register += &format!("T-{item},thermometers\n");
        for year in 2014..=2024 {
            let error = f64::from((5 * item + 3 * (year - 2014)) % 7 - 3) / 10.0;
            checks += &format!("T-{item},R,{year}-03-0{item},{error},-5,5,0.2,mK\n");
        }
    }
    write("checks.csv", &checks);
    write("register.csv", &register);
    write(
        "lab.toml",
        "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n",
    );
    let (lab, out) = (folder.path().join("lab.toml"), folder.path().join("report"));
    let (lab, shown) = (lab.to_string_lossy(), out.to_string_lossy());
    let arguments = ["run", &lab, "--out", &shown, "--as-of", "2024-06-01"];
    driftbook(&arguments).well();
    let page = std::fs::read_to_string(out.join("groups/thermometers.html")).unwrap();
    let said = "No failure in 6 lives: R ≥ 0.606 at 95 %";
    says!(page.replace('\u{a0}', " "), said);
    says_not!(page, "0.951");
}

/// Of values that nobody kept no picture of histories is drawn; the links to their pages stay.
#[test]
fn the_page_of_their_group_draws_no_empty_histories() {
    let folder = tempfile::tempdir().unwrap();
    let (mut checks, mut register) = (String::new(), String::from("instrument,group\n"));
    for item in 1..=6 {
        register += &format!("T-{item},gauges\n");
        for year in 2014..=2023 {
            checks += &format!("T-{item},{year}-03-0{item},true,\n");
        }
    }
    let page = page_of_gauges(folder.path(), &checks, &register);
    says_not!(page, "common axes");
    says!(page, "instruments/T-1.html");
}

/// The page of the group "gauges" of a laboratory in `folder` whose checks are outcomes.
fn page_of_gauges(folder: &Path, checks: &str, register: &str) -> String {
    let write = |name: &str, text: &str| std::fs::write(folder.join(name), text).unwrap();
    let header = "instrument,date,in_tolerance,event\n";
    write("checks.csv", &format!("{header}{checks}"));
    write("register.csv", register);
    let lab = "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n";
    write("lab.toml", lab);
    let (lab, out) = (folder.join("lab.toml"), folder.join("report"));
    let (lab, shown) = (lab.to_string_lossy(), out.to_string_lossy());
    driftbook(&["run", &lab, "--out", &shown, "--as-of", "2024-06-01"]).well();
    std::fs::read_to_string(out.join("groups/gauges.html")).unwrap()
}

/// The picture's title named 441 d, between two points of its curve, where the interval was 447 d.
#[test]
fn the_picture_of_a_group_says_the_age_of_its_interval() {
    let folder = tempfile::tempdir().unwrap();
    let (mut checks, mut register) = (String::new(), String::from("instrument,group\n"));
    for item in 0..40 {
        register += &format!("T-{item},gauges\n");
        for year in 2012..=2023 {
            let out = year > 2012 && (7 * item + 11 * (year - 2012)) % 20 < 3;
            let (told, event) = [("true", ""), ("false", "adjusted")][usize::from(out)];
            let (month, day) = (1 + item % 12, 1 + (3 * item + year) % 28);
            checks += &format!("T-{item},{year}-{month:02}-{day:02},{told},{event}\n");
        }
    }
    let page = page_of_gauges(folder.path(), &checks, &register);
    let page = page.replace('\u{a0}', " ");
    let proposals = read_csv(&folder.path().join("report/proposals.csv")).rows;
    let of_group = proposals.iter().find(|row| row["method"] == "reliability");
    let days: f64 = of_group.unwrap()["interval_days"].parse().unwrap();
    let said = format!(
        "95 % in tolerance for about {} d after renewal",
        days.floor()
    );
    assert!(page.contains(&said), "{said}: {page}");
}
