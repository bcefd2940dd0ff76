/*! Titles of random histories. */

use super::*;

/// Years between checks, in no rhythm with the year.
const EVERY_YEARS: f64 = 0.43;

/// Use of a year of every random item.
const USE_A_YEAR: f64 = 1_000.0;

/// Histories of many kinds: drifts of both signs, steps, adjustments, wild readings, failures
/// at the end, words in place of numbers, no tolerance, one check, bends and yearly swings.
fn random_records(dice: &mut Dice) -> String {
    let mut rows = String::from(
        "instrument,date,as_found,as_left,u,unit,lower,upper,in_tolerance,event,usage\n",
    );
    let scatter = |dice: &mut Dice| (dice.below(201) as f64 - 100.0) / 100.0;
    for item in 0..48 {
        let kind = item % 12;
        let rate = 0.12 * scatter(dice);
        let many = [1, 2, 3, 6, 8, 10, 12, 16][dice.below(8) as usize];
        let (mut offset, begin) = (0.2 * scatter(dice), dice.below(300) as f64);
        for place in 0..many {
            let years = f64::from(place) * EVERY_YEARS;
            let bend = if kind == 3 { 0.03 * years * years } else { 0.0 };
            let swing = if kind == 4 {
                0.3 * (6.3 * years + 0.8).sin()
            } else {
                0.0
            };
            if kind == 5 && place == many / 2 {
                offset += 0.9;
            }
            let wild = f64::from(kind == 6 && place + 2 == many) * 6.0;
            let last = place + 1 == many;
            let failed = if kind == 7 && last { 2.5 } else { 0.0 };
            let mut found =
                offset + rate * years + bend + swing + wild + failed + 0.05 * scatter(dice);
            let (mut left, mut event) = (String::new(), "");
            if kind == 8 && place == many / 2 {
                left = "0".into();
                event = "adjusted";
                offset -= found;
            }
            if kind == 9 && last {
                event = "shocked";
            }
            let outcome = match (kind, found.abs() < 1.0) {
                (10, true) => "pass",
                (10, false) => "fail",
                _ => "",
            };
            if kind == 11 {
                found *= 0.2;
            }
            let value = if kind == 10 {
                String::new()
            } else {
                format!("{found:.3}")
            };
            let limits = if kind == 2 { "," } else { "-1,1" };
            let day = 2010.0 + begin / 365.25 + 15.5 - f64::from(many) * EVERY_YEARS + years;
            let date = driftbook::records::date::iso(((day - 1970.0) * 365.25).floor());
            let usage = USE_A_YEAR * (day - 2010.0);
            let _ = writeln!(
                rows,
                "IT-{item:03},{date},{value},{left},0.05,mK,{limits},{outcome},{event},{usage:.3}"
            );
        }
    }
    rows
}

/// A run on random histories; how many slopes were compared with their line.
fn random_run(seed: u64, model: &str, axis: &str) -> usize {
    let desk = Desk::new();
    desk.file("checks.csv", &random_records(&mut Dice(seed)));
    let settings = format!(
        "[checks]\nfiles = [\"checks.csv\"]\n[drift]\nmodel = \"{model}\"\naxis = \"{axis}\"\n[output]\ncharts = \"all\"\n"
    );
    desk.run(&desk.file("lab.toml", &settings)).well();
    let all = told(&desk.path("report"), axis == "usage");
    assert!(all.len() > 30, "{} of {model} along {axis}", all.len());
    all.iter().filter(|one| check(one)).count()
}

#[test]
fn titles_of_random_histories_tell_what_decides_and_what_is_drawn() {
    let runs = [
        ("state", "time"),
        ("line", "time"),
        ("quadratic", "time"),
        ("season", "time"),
        ("state", "usage"),
        ("line", "usage"),
    ];
    let compared = runs
        .iter()
        .zip(11..)
        .map(|((model, axis), seed)| random_run(seed, model, axis));
    let compared: usize = compared.sum();
    assert!(compared > 45, "{compared} slopes were compared");
}
