/*! README's recipe for the bench, and the small bench that the demo ships. */

use super::tool::{driftbook, read_csv, root};
use std::fs;

/// The README's recipe as a new person runs it: an empty folder, a file of readings, four commands.
#[test]
fn the_recipe_goes_from_readings_to_an_adopted_value() {
    let folder = tempfile::tempdir().unwrap();
    let demo = root().join("data/demo/small-bench");
    let own = |name: &str| {
        let path = folder.path().join(name);
        fs::copy(demo.join(name), &path).unwrap();
        path.to_str().unwrap().to_string()
    };
    let (stored, new) = (own("readings.csv"), own("new-session.csv"));
    let lab = folder
        .path()
        .join("readings.toml")
        .to_str()
        .unwrap()
        .to_string();
    let ok = |arguments: &[&str], status: i32, words: &str| {
        let done = driftbook(arguments);
        assert_eq!(done.status, status, "{}", done.stderr);
        says!(done.stdout, words);
    };
    ok(&["start", &stored], 0, "Written: ");
    ok(
        &["verdict", "--worksheet", "PB-1", "--records", &lab],
        0,
        "expected: R = 100.02",
    );
    // Without limits a person decides on the interval: exit status 3.
    let judge = [
        "verdict",
        "--readings",
        &new,
        "--records",
        &lab,
        "--record",
        &stored,
    ];
    ok(
        &judge,
        3,
        "PB-1, session B-13, triple point of water: R = 100.02",
    );
    let adopt = [
        "adopt",
        "PB-1",
        "--session",
        "B-13",
        "--by",
        "A. Person",
        "--records",
        &lab,
    ];
    let adopt = [&adopt[..], &["--reason", "first value after a year"]].concat();
    ok(&adopt, 0, "Type into the instrument: 100.02");
    driftbook(&["verdict", "--worksheet", "PB-1", "--records", &lab]).well();
}

/// The shipped small bench: its year is decided on, on defaults but for the limits of the probes.
#[test]
fn the_small_bench_of_the_demo_runs_on_defaults() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let pipeline = root().join("pipelines/small-bench.toml");
    let run = ["run", pipeline.to_str().unwrap(), "--exit-on-action"];
    let done = driftbook(&[&run[..], &["--out", out.to_str().unwrap()]].concat()).well();
    says!(done.stdout, "24 checks (24 read, 0 merged, 0 rejected)");
    let decisions = read_csv(&out.join("decisions.csv")).rows;
    assert!(decisions.iter().all(|d| d["action"] == "keep"));
    let rise: f64 = decisions[0]["drift_per_year"].parse().unwrap();
    let u: f64 = decisions[0]["u_drift_per_year"].parse().unwrap();
    // It was simulated at 3 mK a year.
    near!(rise, 3.0, 2.0 * u, "{rise} {u}");
    let pages = fs::read_dir(out.join("instruments"))
        .unwrap()
        .map(|f| f.unwrap().path());
    let page: String = pages.map(|f| fs::read_to_string(f).unwrap()).collect();
    says!(page, "All sessions");
}

/// A thermometer out of tolerance at another point: a good session at the triple point named no withdrawn point and ended
/// with status 0.
#[test]
fn a_session_names_the_points_at_which_its_thermometer_is_withdrawn() {
    let desk = super::desk::Desk::new();
    let from = root().join("data/demo/small-bench");
    for name in ["readings.csv", "new-session.csv", "register.csv"] {
        std::fs::copy(from.join(name), desk.path(name)).unwrap();
    }
    let header = "instrument,point,date,as_found,u,lower,upper,unit\n";
    let rows = "PB-1,420 °C,2025-03-01,2,0.5,-20,20,mK\nPB-1,420 °C,2026-01-20,31,0.5,-20,20,mK\n";
    desk.file("checks.csv", &format!("{header}{rows}"));
    let pipeline = desk.file(
        "lab.toml",
        "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n[thermometry]\nfiles = [\"readings.csv\"]\n",
    );
    let new = desk.path("new-session.csv");
    let session = driftbook(&[
        "verdict",
        "--readings",
        new.to_str().unwrap(),
        "--records",
        pipeline.to_str().unwrap(),
        "--json",
    ]);
    assert_eq!(session.status, 3, "{}", session.stderr);
    let said: serde_json::Value = serde_json::from_str(&session.stdout).unwrap();
    let of = |place: usize| said[place]["instrument_withdrawn"].as_str();
    let words = "PB-1 is withdrawn at 420 °C; whether it may serve at triple point of water alone a person decides";
    assert_eq!((of(0), of(1)), (Some(words), None), "{said:#}");
    assert_eq!(said[0]["needs_person"], true);
}

/// A name that no reading has was answered by "it has none": nothing said that another is near.
#[test]
fn a_thermometer_that_was_not_read_is_told_with_the_nearest_name() {
    let desk = super::desk::Desk::new();
    let from = root().join("data/demo/small-bench/readings.csv");
    std::fs::copy(from, desk.path("readings.csv")).unwrap();
    let pipeline = desk.file(
        "lab.toml",
        "[thermometry]\nfiles = [\"readings.csv\"]\nadoptions = \"adoptions.csv\"\n",
    );
    let asked = ["adopt", "PB1", "--session", "B-12", "--by", "A. Person"];
    let done = driftbook(&[&asked[..], &["--records", pipeline.to_str().unwrap()]].concat());
    assert_eq!(done.status, 2, "{}", done.stderr);
    let words = "the readings name no thermometer \"PB1\" at the triple point of water; the nearest name is \"PB-1\"";
    assert!(done.stderr.contains(words), "{}", done.stderr);
}
