/*! Dates that keep to one time of the year make no yearly swing of an instrument's scatter. */

use super::tool::{driftbook, read_csv};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

/// Items of one schedule.
const ITEMS: usize = 120;

/// Deviates of a fixed sequence.
struct Random(u64);

impl Random {
    fn uniform(&mut self) -> f64 {
        let next = self.0.wrapping_mul(6_364_136_223_846_793_005);
        self.0 = next.wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Near normal: the sum of twelve uniforms.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0
    }
}

/// Checks of a sound item every so many months, each a few days early or late.
struct Schedule {
    months: u32,
    checks: u32,
    days: f64,
    /// What the display shows: multiples of this.
    grid: f64,
}

impl Schedule {
    fn rows(&self, name: &str, random: &mut Random, rows: &mut String) {
        let first = chrono::NaiveDate::from_ymd_opt(2012, 1, 1).unwrap()
            + chrono::Days::new((365.0 * random.uniform()) as u64);
        let (level, drift) = (random.normal(), 0.2 * random.normal());
        for k in 0..self.checks {
            let due = first + chrono::Months::new(k * self.months);
            let late = (self.days * (2.0 * random.uniform() - 1.0)).round() as i64;
            let years = f64::from(k * self.months) / 12.0;
            let value = level + drift * years + random.normal();
            let shown = (value / self.grid).round() * self.grid;
            let day = due + chrono::Duration::days(late);
            writeln!(rows, "{name},{day},{shown:.1},1,-10,10").unwrap();
        }
    }
}

/// Runs `pipeline.toml` in `folder`.
fn run(folder: &Path, out: &str, as_of: &str) {
    let path = |name: &str| folder.join(name).to_str().unwrap().to_string();
    let (file, out) = (path("pipeline.toml"), path(out));
    let mut arguments = vec!["run", &file, "--out", &out, "--as-of", as_of];
    arguments.extend(["--charts", "none", "--quiet"]);
    let done = driftbook(&arguments);
    assert!(
        matches!(done.status, 0 | 3),
        "{}{}",
        done.stdout,
        done.stderr
    );
}

fn schedules() -> Vec<Schedule> {
    let mut all = Vec::new();
    for (months, checks) in [(12, 10), (6, 12), (3, 16)] {
        for days in [0.0, 1.0, 3.0, 10.0] {
            for grid in [0.1, 1.0] {
                all.push(Schedule {
                    months,
                    checks,
                    days,
                    grid,
                });
            }
        }
    }
    all
}

#[test]
fn no_sound_item_is_withdrawn_by_a_swing_that_its_dates_cannot_tell() {
    let folder = tempfile::tempdir().unwrap();
    let mut random = Random(20);
    let mut rows = String::from("instrument,date,as_found,u,lower,upper\n");
    let mut register = String::from("instrument,group\n");
    for (number, schedule) in schedules().iter().enumerate() {
        for item in 0..ITEMS {
            let name = format!("{number:02}-{item:03}");
            schedule.rows(&name, &mut random, &mut rows);
            // Each on its own: a class would outvote the odd one.
            writeln!(register, "{name},{name}").unwrap();
        }
    }
    std::fs::write(folder.path().join("checks.csv"), rows).unwrap();
    std::fs::write(folder.path().join("register.csv"), register).unwrap();
    let file = "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n[output]\nforecast = \"all\"\n";
    std::fs::write(folder.path().join("pipeline.toml"), file).unwrap();
    run(folder.path(), "out", "2022-06-01");

    let decisions = read_csv(&folder.path().join("out/decisions.csv")).rows;
    assert_eq!(decisions.len(), ITEMS * schedules().len());
    let withdrawn: Vec<_> = decisions
        .iter()
        .filter(|row| row["action"] == "withdraw")
        .map(|row| &row["instrument"])
        .collect();
    assert!(withdrawn.is_empty(), "{withdrawn:?}");

    let mut widest: BTreeMap<String, BTreeMap<String, f64>> = BTreeMap::new();
    for row in read_csv(&folder.path().join("out/forecast.csv")).rows {
        let limit = |name: &str| row[name].parse::<f64>();
        let (Ok(lower), Ok(upper)) = (limit("confidence_lower"), limit("confidence_upper")) else {
            continue;
        };
        let name = &row["instrument"];
        let schedule = widest.entry(name[..2].to_string()).or_default();
        let widest = schedule.entry(name.clone()).or_default();
        *widest = widest.max(upper - lower);
    }
    assert_eq!(widest.len(), schedules().len());
    for (schedule, items) in widest {
        let mut widths: Vec<f64> = items.values().copied().collect();
        widths.sort_by(f64::total_cmp);
        let (median, most) = (widths[widths.len() / 2], widths[widths.len() - 1]);
        assert!(most < 10.0 * median, "{schedule}: {most} for {median}");
    }
}

/// The dates differ by the leap years alone, and a line against the days of the year is a line.
#[test]
fn a_plain_line_on_one_date_of_every_year_does_not_swing() {
    let folder = tempfile::tempdir().unwrap();
    let mut rows = String::from("instrument,date,as_found,u,lower,upper\n");
    for k in 0..10 {
        let value = 0.02 * f64::from(k);
        writeln!(rows, "line,{}-05-01,{value:.2},0.01,-1,1", 2005 + k).unwrap();
    }
    std::fs::write(folder.path().join("checks.csv"), rows).unwrap();
    for model in ["state", "season", "auto"] {
        let file = format!("[checks]\nfiles = [\"checks.csv\"]\n[drift]\nmodel = \"{model}\"\n");
        std::fs::write(folder.path().join("pipeline.toml"), file).unwrap();
        run(folder.path(), model, "2014-06-01");
        let out = folder.path().join(model);
        let decision = &read_csv(&out.join("decisions.csv")).rows[0];
        assert_ne!(decision["action"], "withdraw", "{model}: {decision:?}");
        let fit = &read_csv(&out.join("fits.csv")).rows[0];
        assert!(!fit["notes"].contains("swings"), "{model}: {fit:?}");
        assert_eq!(
            fit["notes"].contains("one time of the year"),
            model != "auto",
            "{fit:?}"
        );
    }
}
