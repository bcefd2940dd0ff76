/*! The checks of one visit in a file: each is judged beside those at the other points of its instrument. */

use super::*;

/// A gauge of two points with eight good years, and the new checks of one visit, of which the first fails.
#[test]
fn a_failure_at_one_point_of_a_file_holds_the_interval_of_the_others() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| folder.path().join(name);
    let header = "instrument,point,date,as_found,u,lower,upper,unit\n";
    let mut stored = header.to_string();
    for point in ["1 bar", "5 bar"] {
        for year in 2018..2026 {
            let found = f64::from(year % 3 - 1) / 100.0;
            stored += &format!("GA-1,{point},{year}-03-01,{found},0.02,-1,1,mbar\n");
        }
    }
    let failed = "GA-1,1 bar,2026-02-27,2.4,0.02,-1,1,mbar\n";
    let good = "GA-1,5 bar,2026-03-01,0.01,0.02,-1,1,mbar\n";
    std::fs::write(file("log.csv"), &stored).unwrap();
    let text = |name: &str| file(name).to_str().unwrap().to_string();
    let judged = |checks: &str| {
        std::fs::write(file("new.csv"), format!("{header}{checks}")).unwrap();
        let (new, log) = (text("new.csv"), text("log.csv"));
        driftbook(&["verdict", "--file", &new, "--records", &log]).stdout
    };
    says!(judged(good), "Extend from 365 d");
    let held = "Keep 365 d until 3 good checks have followed the failed one at 1 bar";
    for both in [format!("{failed}{good}"), format!("{good}{failed}")] {
        let said = judged(&both);
        says!(said, held);
        assert!(!said.contains("Extend from"), "{said}");
    }
    // As a run finds it once both are recorded.
    std::fs::write(file("all.csv"), format!("{stored}{failed}{good}")).unwrap();
    let (all, out) = (text("all.csv"), text("out"));
    let run = ["run", &all, "--out", &out, "--as-of", "2026-03-01"];
    says!(driftbook(&run).stdout, held);
    // A later failure says nothing of an earlier day.
    let later = failed.replace("2026-02-27", "2026-03-09");
    says!(judged(&format!("{good}{later}")), "Extend from 365 d");
}
