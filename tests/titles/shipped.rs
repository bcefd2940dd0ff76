/*! Titles of the demo and of three small records. */

use super::*;

#[test]
fn titles_of_the_demo_tell_what_decides_and_what_is_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    driftbook(&["run", "--quiet", "--out", out.to_str().unwrap()]).well();
    let all = told(&out, false);
    assert!(all.len() > 60, "{}", all.len());
    let slopes = all.iter().filter(|one| check(one)).count();
    assert!(slopes > 30, "{slopes}");
    let failed = all
        .iter()
        .filter(|one| one.title.contains("is out of tolerance"));
    assert!(failed.count() >= 2);
    assert!(
        all.iter()
            .any(|one| one.title.contains("its sessions advise to anneal"))
    );
    assert!(
        all.iter()
            .any(|one| one.title.contains(" d (an interval grows at most"))
    );
}

/// What a title says is in the unit of the axis below it: kelvins where four decimals do, nanovolts where they do not.
#[test]
fn title_and_axis_are_in_one_unit() {
    let mut rows = String::from("instrument,date,as_found,u,unit,lower,upper\n");
    for year in 0..10 {
        let wave = f64::from((year * 7) % 5 - 2);
        let kelvin = 0.008 * f64::from(year) + 0.0008 * wave;
        writeln!(rows, "K-1,{}-03-02,{kelvin:.4},0.002,K,-1,1", 2014 + year).unwrap();
        let volt = 1e-10 * f64::from(year) + 1e-11 * wave;
        writeln!(
            rows,
            "V-1,{}-03-02,{volt:.3e},3e-11,V,-2e-9,2e-9",
            2014 + year
        )
        .unwrap();
    }
    let desk = Desk::new();
    let file = desk.file("checks.csv", &rows);
    desk.run(&file).well();
    let all = told(&desk.path("report"), false);
    assert_eq!(all.len(), 2);
    for (one, (unit, slope)) in all.iter().zip([("K", 0.008), ("nV", 0.1)]) {
        let caption = format!(">{unit}</text>");
        assert!(one.svg.contains(&caption), "{}", one.title);
        says!(one.title, &format!(" {unit} a year"));
        let (_, stated, _) = movement(&one.title).unwrap();
        near!(stated / slope, 1.0, 0.1, "{}", one.title);
    }
}

/// Two good checks since do not close a failed one: where the interval does not wait for a third, its title and its row
/// begin with the failure.
#[test]
fn a_failed_check_that_nobody_closed_leads() {
    let mut rows = String::from("instrument,date,as_found,u,unit,lower,upper\n");
    for item in ["LATE", "GOOD"] {
        for (year, error) in (2019..=2026).zip([0.1, 0.3, 0.2, 0.4, 0.3, 0.6, 0.5, 0.6]) {
            let failed = item == "LATE" && year == 2024;
            let error = if failed { 1.4 } else { error };
            let _ = writeln!(rows, "{item},{year}-03-04,{error},0.05,mK,-1,1");
        }
    }
    let desk = Desk::new();
    desk.file("checks.csv", &rows);
    desk.file(
        "register.csv",
        "instrument,interval_days\nLATE,3650\nGOOD,3650\n",
    );
    let settings = "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n";
    desk.run(&desk.file("lab.toml", settings)).well();
    let all = told(&desk.path("report"), false);
    let of = |name: &str| all.iter().find(|one| one.name == name).unwrap();
    let (late, good) = (of("LATE"), of("GOOD"));
    assert_eq!(late.decision["action"], "shorten", "{}", late.title);
    check(late);
    let first = "found out of tolerance on 2024-03-04, not closed";
    assert!(late.title.starts_with(first), "{}", late.title);
    says_not!(good.title, "found out of tolerance");
    let index = fs::read_to_string(desk.path("report/index.html")).unwrap();
    assert!(
        plain(&index).contains(&format!("{first}<")),
        "its row does not say so"
    );
}
