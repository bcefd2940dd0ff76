/*! A yearly term is told only where the dates of the checks can show one: what scatter makes of
dates that keep to one time of the year is no swing. */

use super::tool::{driftbook, read_csv};
use rand::SeedableRng;
use rand_distr::{Distribution, StandardNormal};
use rand_pcg::Pcg64Mcg;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

const HEADER: &str = "instrument,date,as_found,u,lower,upper,unit\n";

fn report(folder: &Path, checks: &str, register: &str, drift: &str) -> PathBuf {
    std::fs::write(folder.join("checks.csv"), checks).unwrap();
    std::fs::write(folder.join("register.csv"), register).unwrap();
    let pipeline = folder.join("run.toml");
    let text = format!(
        "as_of = \"2026-11-28\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n\
         [drift]\n{drift}\n[output]\ncharts = \"none\"\n"
    );
    std::fs::write(&pipeline, text).unwrap();
    let out = folder.join("report");
    let (pipeline, shown) = (pipeline.to_string_lossy(), out.to_string_lossy());
    driftbook(&["run", &pipeline, "--out", &shown, "--quiet"]).well();
    out
}

/// A value that rises from 0 to 0.18 within ±1, checked each 1 May from 2005 to 2014.
fn each_first_of_may() -> String {
    let row = |i: i32| format!("A,{}-05-01,0.{:02},0.02,-1,1,mK\n", 2005 + i, 2 * i);
    HEADER.to_string() + &(0..10).map(row).collect::<String>()
}

#[test]
fn a_slow_line_checked_on_one_day_of_each_year_stays_in_tolerance() {
    for model in ["state", "auto", "line"] {
        let folder = tempfile::tempdir().unwrap();
        let drift = format!("model = \"{model}\"");
        let out = report(
            folder.path(),
            &each_first_of_may(),
            "instrument\nA\n",
            &drift,
        );
        let decided = &read_csv(&out.join("decisions.csv")).rows[0];
        assert_eq!(
            decided["action"], "extend",
            "{model}: {}",
            decided["reason"]
        );
    }
}

#[test]
fn the_season_model_says_where_dates_cannot_tell_one() {
    let folder = tempfile::tempdir().unwrap();
    let season = "model = \"season\"";
    let out = report(
        folder.path(),
        &each_first_of_may(),
        "instrument\nA\n",
        season,
    );
    let decided = &read_csv(&out.join("decisions.csv")).rows[0];
    let status = "no drift: the dates cannot tell the model's terms";
    assert_eq!(decided["status"], status);
    let fit = &read_csv(&out.join("fits.csv")).rows[0];
    says!(fit["notes"], "one time of the year");
}

/// Items that hardly drift, u a tenth of their limits, checked ten times: yearly, half-yearly
/// and quarterly, on one date and up to 1, 3 and 10 days about it, written to 0.1 and to 1.
#[test]
fn no_schedule_makes_a_swing_of_scatter() {
    let mut random = Pcg64Mcg::seed_from_u64(26);
    let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
    let (mut checks, mut register) = (HEADER.to_string(), "instrument,group\n".to_string());
    for gap in [365.25, 182.625, 91.3125] {
        for stray in [0_i64, 1, 3, 10] {
            for digits in [1, 0] {
                for item in 0..60 {
                    let group = format!("{gap}-{stray}-{digits}-{}", item / 30);
                    let name = format!("{group}-{item}");
                    register += &format!("{name},{group}\n");
                    for check in 0..10 {
                        let off = (2.0 * stray as f64 + 1.0) * normal().abs().fract();
                        let day = (gap * f64::from(check - 9)).round() as i64 + off as i64 - stray;
                        let date = chrono::NaiveDate::from_ymd_opt(2026, 5, 11).unwrap()
                            + chrono::Duration::days(day);
                        checks += &format!("{name},{date},{:.digits$},1,-10,10,mK\n", normal());
                    }
                }
            }
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let out = report(folder.path(), &checks, &register, "model = \"state\"");
    let mut widths: BTreeMap<String, Vec<f64>> = BTreeMap::new();
    for row in read_csv(&out.join("decisions.csv")).rows {
        assert_ne!(row["action"], "withdraw", "{}", row["reason"]);
        let limit = |name: &str| row[name].parse::<f64>().unwrap();
        let width = limit("band_upper") - limit("band_lower");
        widths.entry(row["group"].clone()).or_default().push(width);
    }
    for (group, mut of) in widths {
        of.sort_by(f64::total_cmp);
        let (median, widest) = (of[of.len() / 2], of[of.len() - 1]);
        assert!(widest < 10.0 * median, "{group}: {widest} beside {median}");
    }
}

/// Three hundred items that swing by 0.4 of their limits, each with a phase of its own, checked
/// eight times at one time of the year. Nobody can see the swing: a note says so. Half of it in
/// `u_common`, and what is stated when due is true.
#[test]
fn a_swing_that_no_date_shows_is_told_of_and_can_be_stated() {
    const AMPLITUDE: f64 = 0.4;
    let swing = |phase: f64, years: f64| {
        let at = |t: f64| (std::f64::consts::TAU * t + phase).sin();
        AMPLITUDE * (at(years) - at(0.0))
    };
    let mut random = Pcg64Mcg::seed_from_u64(3);
    let mut normal = || -> f64 { StandardNormal.sample(&mut random) };
    let mut checks = HEADER.replace("unit", "unit,u_common");
    let mut register = "instrument,group\n".to_string();
    let mut phases = BTreeMap::new();
    let last = chrono::NaiveDate::from_ymd_opt(2026, 5, 11).unwrap();
    for item in 0..300 {
        let name = format!("I-{item:03}");
        register += &format!("{name},{}\n", item / 30);
        let phase = std::f64::consts::TAU * f64::from(item) / 300.0 * 7.0;
        phases.insert(name.clone(), phase);
        for check in -7..=0 {
            let day = 365 * check + 7 * (check % 2);
            let date = last + chrono::Duration::days(i64::from(day));
            let value = swing(phase, f64::from(day) / 365.25) + 0.1 * normal();
            checks += &format!("{name},{date},{value:.4},0.1,-1,1,mK,{AMPLITUDE}\n");
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let out = report(folder.path(), &checks, &register, "model = \"state\"");
    let notes = &read_csv(&out.join("fits.csv")).rows[0]["notes"];
    let told = "half of one that is known from elsewhere belongs to u_common";
    says!(notes, told);
    let (mut stated, mut inside, mut decided) = (0.0, 0.0, 0.0);
    for row in read_csv(&out.join("decisions.csv")).rows {
        if let Ok(days) = row["interval_days"].parse::<f64>() {
            let error = swing(phases[&row["instrument"]], days / 365.25);
            stated += row["probability_in_tolerance"].parse::<f64>().unwrap();
            inside += f64::from(u8::from(error.abs() <= 1.0));
            decided += 1.0;
        }
    }
    assert!(decided > 200.0, "{decided}");
    assert!(stated <= inside + 0.03 * decided, "{stated} of {inside}");
}
