/*! One action and one date a verdict, whatever is read of whichever instrument. */

use crate::tool::{driftbook, read_csv};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

/// What a word of command in a verdict says to do; findings and conditions have none of them.
const COMMANDS: [&str; 6] = [
    "repeat the",
    "repeat it",
    "first, as advised",
    "as advised first",
    "stop,",
    "anneal at",
];

/// The days of the readings after the last check: on the same day, soon, and long overdue.
const LATER: [i64; 4] = [0, 31, 400, 3000];

/// Uniform numbers in [0, 1), the same ones every time (the constants are those of MMIX, from memory).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
}

fn number(row: &BTreeMap<String, String>, column: &str) -> Option<f64> {
    row.get(column)?.parse().ok()
}

/// One reading a history of the demo: as expected, near a limit, between, or far out.
fn readings(folder: &Path, decided: &Path, dice: &mut Dice) -> std::path::PathBuf {
    let judged = read_csv(&decided.join("conformity.csv"));
    let mut text = String::from("instrument,point,date,as_found,u,unit,usage\n");
    for row in read_csv(&decided.join("decisions.csv")).rows {
        let (name, point) = (&row["instrument"], &row["point"]);
        let (Some(low), Some(high)) = (number(&row, "band_lower"), number(&row, "band_upper"))
        else {
            continue;
        };
        let same = |r: &&BTreeMap<String, String>| &r["instrument"] == name && &r["point"] == point;
        let limits = judged.rows.iter().find(same);
        let limit = |column| limits.and_then(|row| number(row, column)).unwrap_or(high);
        let (middle, width) = (0.5 * (low + high), high - low);
        let value = match (5.0 * dice.next()) as u8 {
            0 => middle + width * (dice.next() - 0.5),
            1 => limit("acceptance_upper") + 0.2 * width * (dice.next() - 0.5),
            2 => limit("acceptance_lower") + 0.2 * width * (dice.next() - 0.5),
            3 => middle + 2.0 * width * (dice.next() - 0.5),
            _ => middle + 200.0 * width * (dice.next() - 0.5),
        };
        let u = width * 0.3 * dice.next();
        let day: chrono::NaiveDate = row["last_check"][..10].parse().unwrap();
        let later = LATER[(4.0 * dice.next()) as usize];
        let day = day + chrono::Duration::days(later + 1);
        text += &format!("{name},\"{point}\",{day},{value},{u},{},1e9\n", row["unit"]);
    }
    let path = folder.join("readings.csv");
    std::fs::write(&path, text).unwrap();
    path
}

fn lines(said: &Value) -> Vec<&str> {
    let lines = said["lines"].as_array().unwrap();
    lines.iter().map(|line| line.as_str().unwrap()).collect()
}

/// What is wrong with the verdict, if anything.
fn wrong(said: &Value) -> Option<String> {
    let mut lines = lines(said);
    // That another point of the instrument is withdrawn asks a person whatever is done at this one.
    let elsewhere = said["instrument_withdrawn"].is_string();
    if elsewhere && !lines.pop().unwrap_or("").starts_with("Instrument: ") {
        return Some("the instrument's line is not the last".into());
    }
    let mut whole = lines.join(" ");
    // What holds the interval meanwhile is a person's too, and is told with the action.
    if elsewhere {
        whole = whole.replace("until a person has closed the case at ", "");
    }
    let action = said["action"].as_str().unwrap();
    let person = elsewhere || matches!(action, "withdraw" | "review");
    let next = lines[3];
    let head = match action {
        "withdraw" => "Next: now (withdraw)".to_string(),
        _ => said["due_date"].as_str().unwrap().to_string(),
    };
    // Until it is approved, nothing proposed counts: the date in force stands first.
    let in_force = said["in_force_due"].as_str().unwrap_or(&head);
    let first = [("Next due: ", in_force), ("Overdue since ", in_force)];
    let leads = |(words, day): (&str, &str)| next.starts_with(&format!("{words}{day}"));
    let told: Vec<&str> = ["review", "withdraw"]
        .into_iter()
        .filter(|word| *word != action && whole.to_lowercase().contains(&format!("({word})")))
        .collect();
    let commands: Vec<&&str> = COMMANDS.iter().filter(|c| whole.contains(**c)).collect();
    let wrong = match action {
        _ if said["needs_person"] != person => "its exit status",
        _ if !next[..next.len().min(50)].contains(&head) => "its date",
        _ if action != "withdraw" && !first.into_iter().any(leads) => "the date in force",
        _ if !told.is_empty() => "another action beside it",
        "review" => return None,
        _ if !commands.is_empty() => "a command beside it",
        "keep" | "extend" | "shorten" if whole.contains("a person") => "a person beside it",
        "withdraw" if whole.contains("carry the") => "a value of what is withdrawn",
        "withdraw" if said["due_date"] != said["date"].as_str().unwrap()[..10] => "a later day",
        _ => return None,
    };
    Some(format!("{wrong}: {commands:?} {told:?} {said:#}"))
}

#[test]
fn a_verdict_has_one_action_and_one_date_and_its_exit_status_is_that_action() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    let run = driftbook(&[
        "run",
        "--as-of",
        "2027-06-30",
        "--out",
        out.to_str().unwrap(),
    ]);
    assert!(run.status == 0 || run.status == 3, "{}", run.stderr);
    let mut actions = BTreeMap::new();
    for seed in 1..=3 {
        let file = readings(folder.path(), &out, &mut Dice(seed));
        let file = file.to_str().unwrap();
        let asked = [
            "verdict",
            "--file",
            file,
            "--demo",
            "--allow-future",
            "--json",
        ];
        let done = driftbook(&asked);
        let all: Vec<Value> =
            serde_json::from_str(&done.stdout).unwrap_or_else(|_| panic!("{}", done.stderr));
        assert!(all.len() > 70, "{}", all.len());
        for said in &all {
            assert_eq!(wrong(said), None);
            *actions.entry(said["action"].to_string()).or_insert(0) += 1;
        }
        let person = all.iter().any(|said| said["needs_person"] == true);
        assert_eq!(done.status, if person { 3 } else { 0 });
    }
    // Readings of every kind were met: nothing is right only because it was never asked.
    assert!(
        actions.values().filter(|n| **n > 10).count() >= 3,
        "{actions:?}"
    );
}
