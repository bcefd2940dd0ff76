/*! A display that cuts off what is behind its step, where the settings say so, is corrected by half a
step: in the bands of a run and in the verdict on a new reading. */

use super::tool::{driftbook, read_csv};
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;
use std::fmt::Write as _;
use std::path::Path;

const STEP: f64 = 0.2;
const AS_OF: f64 = 2024.0;

/// Gauges in groups of twenty within ±2, eight yearly checks with u = 0.05 on a display that `cuts`;
/// returns the true errors on 1 January 2024.
fn records(folder: &Path, cuts: fn(f64) -> f64) -> Vec<f64> {
    let mut random = Pcg64Mcg::seed_from_u64(29);
    let mut checks = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    let mut register = String::from("instrument,group\n");
    let truth = (0..200).map(|item| {
        let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
        let (level, drift) = (0.3 * normal(), 0.1 * normal());
        let _ = writeln!(register, "I{item:03},G{}", item / 20);
        for year in 2016..2024 {
            let day = random.random_range(1..28);
            let since = f64::from(year) - 2016.0 + f64::from(day) / 365.25;
            let noise: f64 = StandardNormal.sample(&mut random);
            let shown = STEP * cuts((level + drift * since + 0.05 * noise) / STEP);
            let _ = writeln!(
                checks,
                "I{item:03},{year}-01-{day:02},{shown:.1},0.05,-2,2,mK"
            );
        }
        level + drift * (AS_OF - 2016.0)
    });
    let truth = truth.collect();
    std::fs::write(folder.join("checks.csv"), checks).unwrap();
    std::fs::write(folder.join("register.csv"), register).unwrap();
    truth
}

fn pipeline(folder: &Path, display: &str) -> String {
    let text = format!(
        "as_of = \"2024-01-01\"\n[checks]\nfiles = [\"checks.csv\"]\n{display}[register]\nfile = \"register.csv\"\n\
         [output]\ncharts = \"none\"\nforecast = \"all\"\n"
    );
    let path = folder.join("run.toml");
    std::fs::write(&path, text).unwrap();
    path.to_string_lossy().into_owned()
}

/// Share of the true errors inside their 95 % bands on the as-of date.
fn inside(folder: &Path, display: &str, truth: &[f64]) -> f64 {
    let out = folder.join("report");
    let shown = out.to_string_lossy();
    let pipeline = pipeline(folder, display);
    let done = driftbook(&["run", &pipeline, "--out", &shown, "--quiet"]);
    assert!([0, 3].contains(&done.status), "{}", done.stderr);
    let forecast = read_csv(&out.join("forecast.csv"));
    let today = forecast
        .rows
        .iter()
        .filter(|row| row["date"] == "2024-01-01");
    let held = today.zip(truth).filter(|(row, truth)| {
        let limit = |name: &str| row[name].parse::<f64>().unwrap();
        limit("confidence_lower") <= **truth && **truth <= limit("confidence_upper")
    });
    held.count() as f64 / truth.len() as f64
}

/// Of 200 true errors 187 lie inside 95 % bands by chance at least 9 times in 10 (binomial), and
/// half a step is more than half of a band's width.
#[test]
fn bands_hold_on_a_display_that_cuts_where_it_is_stated() {
    for (cuts, word) in [
        (f64::trunc as fn(f64) -> f64, "cuts"),
        (f64::floor, "cuts_down"),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let truth = records(folder.path(), cuts);
        let stated = format!("resolution = {STEP}\ndisplay = \"{word}\"\n");
        let share = inside(folder.path(), &stated, &truth);
        assert!(share >= 0.93, "{word}: {share}");
        let unstated = inside(folder.path(), "", &truth);
        assert!(unstated < 0.9, "{word}: {unstated}");
    }
}

#[test]
fn a_new_reading_is_taken_as_the_stored_ones_are() {
    let folder = tempfile::tempdir().unwrap();
    records(folder.path(), f64::trunc);
    let pipeline = pipeline(folder.path(), "resolution = 0.2\ndisplay = \"cuts\"\n");
    let file = folder.path().join("new.csv");
    let row = "instrument,date,as_found,u,unit\nI001,2024-02-01,-0.4,0.05,mK\n";
    std::fs::write(&file, row).unwrap();
    let read = ["--file", &file.to_string_lossy()];
    let typed = ["I001", "-0.4", "--u", "0.05", "--date", "2024-02-01"];
    for reading in [&read[..], &typed[..]] {
        let all = [&["verdict"], reading, &["--records", &pipeline, "--json"]].concat();
        let done = driftbook(&all);
        assert!(done.stdout.starts_with(['[', '{']), "{}", done.stderr);
        let said: serde_json::Value = serde_json::from_str(&done.stdout).unwrap();
        let said = said.get(0).unwrap_or(&said);
        assert_eq!(said["error"], -0.5, "{said}");
        // The part of the grid joins u once: √(0.05² + 0.2²/12).
        let u = said["u"].as_f64().unwrap();
        near!(u, 0.076_376, 1e-6);
    }
}

#[test]
fn a_display_that_cuts_needs_its_step() {
    let folder = tempfile::tempdir().unwrap();
    records(folder.path(), f64::trunc);
    let pipeline = pipeline(folder.path(), "display = \"cuts\"\n");
    let done = driftbook(&["run", &pipeline]).ended(2);
    says!(done.stderr, "state resolution beside it");
}
