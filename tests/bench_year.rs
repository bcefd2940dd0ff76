/*! A small bench: two probes, a slush cell in a dry well, a readout of one current. Its year runs from
the readings alone, on defaults. */

use super::tool::{driftbook, read_csv};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// Draws from a standard normal distribution, frozen.
const DRAWS: [f64; 12] = [
    0.31, -1.12, 0.85, -0.24, 1.41, -0.67, 0.05, -1.53, 0.98, 0.42, -0.35, -0.11,
];

/// Readings of the given sessions, number and change of P-1 in mK: 0.5 mK of noise, 0.1 mΩ of resolution.
pub fn readings(sessions: &[(usize, f64)]) -> String {
    let mut text =
        String::from("session,instrument,date,resistance_ohm,current_ma,cell,cell_kind,depth_m\n");
    for &(number, mk) in sessions {
        let (year, month) = (2025 + (number + 5) / 12, (number + 5) % 12 + 1);
        for (place, (name, ohm, mk)) in [("P-1", 100.0213, mk), ("P-2", 99.9874, 0.0)]
            .into_iter()
            .enumerate()
        {
            for i in 0..DRAWS.len() {
                let noise = 0.5 * DRAWS[(i + 5 * number + 3 * place) % DRAWS.len()];
                let r = ohm * (1.0 + 3.9885e-6 * (mk + noise));
                let _ = writeln!(
                    text,
                    "S-{number},{name},{year}-{month:02}-07T{:02}:{i:02},{r:.4},1,C-9,small slush,0.12",
                    9 + place
                );
            }
        }
    }
    text
}

pub fn write(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    fs::write(&path, text).unwrap();
    path.to_str().unwrap().into()
}

fn json(arguments: &[&str]) -> (i32, serde_json::Value) {
    let done = driftbook(arguments);
    let value = serde_json::from_str(&done.stdout).unwrap_or_default();
    (done.status, value)
}

#[test]
fn a_year_of_readings_alone_starts_and_runs() {
    let folder = tempfile::tempdir().unwrap();
    let year: Vec<(usize, f64)> = (1..=8).map(|n| (n, 0.0)).collect();
    let file = write(folder.path(), "readings.csv", &readings(&year));
    let done = driftbook(&["start", &file]);
    let told =
        "raw readings of thermometers, not errors: 192 readings of 2 thermometers in 8 sessions.";
    let accounts = "sessions     16 of 2\u{a0}thermometers, 0 rejected\n";
    for words in [
        told,
        accounts,
        "limits       stated for 0 of 2\u{a0}histories\n",
    ] {
        assert!(
            done.stdout.contains(words),
            "{}{}",
            done.stdout,
            done.stderr
        );
    }
    let pipeline = folder.path().join("readings.toml");
    let out = folder.path().join("out");
    let done = driftbook(&[
        "run",
        pipeline.to_str().unwrap(),
        "--as-of",
        "2026-06-30",
        "--out",
        out.to_str().unwrap(),
    ])
    .well();
    says!(
        done.stdout,
        "2 histories from 16 checks (16 read, 0 merged, 0 rejected)"
    );
    // The summary of a season carries the cautions of the bench.
    let summary = fs::read_to_string(out.join("summary.md")).unwrap();
    says!(
        summary,
        "A triple-point cell is sealed glass",
        "Ethanol and other alcohols",
        "Mercury cells"
    );
}

/// Two new sessions in one file: what the second one shows is no news of the first.
#[test]
fn new_sessions_of_one_file_are_judged_one_after_the_other() {
    let folder = tempfile::tempdir().unwrap();
    let year: Vec<(usize, f64)> = (1..=6).map(|n| (n, 0.0)).collect();
    write(folder.path(), "readings.csv", &readings(&year));
    let own = "u_triple_point_ohm = 0.00002\ncurrent_ma = 1\nmeasured_in = \"C-9\"\n";
    let facts = format!(
        "[[thermometer]]\ninstrument = \"P-1\"\ntriple_point_ohm = 100.0213\n{own}\
         [[thermometer]]\ninstrument = \"P-2\"\ntriple_point_ohm = 99.9874\n{own}"
    );
    write(folder.path(), "th.toml", &facts);
    let text = "[thermometry]\nfiles = [\"readings.csv\"]\nthermometers = \"th.toml\"\n";
    let lab = write(folder.path(), "lab.toml", text);
    let new = write(folder.path(), "new.csv", &readings(&[(7, 0.0), (8, 9.0)]));
    let (status, verdicts) = json(&["verdict", "--readings", &new, "--records", &lab, "--json"]);
    assert_eq!(status, 3);
    let value = |session: &str| {
        let all = verdicts.as_array().unwrap().iter();
        let own = all.filter(|v| v["instrument"] == "P-1");
        let mut own = own.filter(|v| v["session"].as_str().unwrap().contains(session));
        own.next().unwrap()["value"].as_str().unwrap().to_string()
    };
    assert_eq!(
        (value("S-7"), value("S-8")),
        ("keep".into(), "repeat".into())
    );
    // A rejected session has an answer too: its reasons, what to do, the cautions.
    let slip = write(
        folder.path(),
        "slip.csv",
        &readings(&[(7, 0.0)]).replace(",100.0", ",110.0"),
    );
    let (status, told) = json(&["verdict", "--readings", &slip, "--records", &lab, "--json"]);
    assert_eq!(status, 3);
    assert_eq!(told[0]["action"], "repeat");
    says!(told[0]["reason"].as_str().unwrap(), "another thermometer");
    assert!(told[0]["cautions"].as_array().unwrap().len() >= 3);
}

/// The worksheet: steps in order, with the cautions where they apply, what to expect, what follows.
#[test]
fn a_worksheet_leads_through_the_check() {
    let folder = tempfile::tempdir().unwrap();
    let year: Vec<(usize, f64)> = (1..=6).map(|n| (n, 0.0)).collect();
    write(folder.path(), "readings.csv", &readings(&year));
    let text = "[thermometry]\nfiles = [\"readings.csv\"]\n";
    let lab = write(folder.path(), "lab.toml", text);
    let sheet = |more: &[&str]| {
        let own = ["verdict", "--worksheet", "P-1", "--records", &lab];
        let done = driftbook(&[&own[..], more].concat()).well();
        done.stdout
    };
    let markdown = sheet(&[]);
    let order = [
        "Local safety rules, risk assessments and licensed practice take precedence.",
        "Dry the wells of the block",
        "Do not leave it supercooled",
        "Start the freeze by shaking",
        "no more than 4 that were not pre-cooled",
        "wait 10 min. The plateau serves for 3 h.",
        "no alcohol may be left on it or in a well before either is heated",
        "What it would lead to",
        "all thermometers of the session moved alike",
    ];
    let places: Vec<_> = order.iter().map(|words| markdown.find(words)).collect();
    assert!(
        places.iter().all(Option::is_some) && places.is_sorted(),
        "{places:?}\n{markdown}"
    );
    says!(markdown, "expected: R = 100.021");
    assert!(sheet(&["--format", "html"]).starts_with("<!doctype html>"));
    let table = sheet(&["--format", "csv"]);
    assert!(table.starts_with("session,instrument,date,point,ratio,resistance_ohm,readings,"));
    assert_eq!(table.matches("P-1").count(), 12);
    // A large cell ages its mantle; a thermometer that may not be annealed is not told to.
    let demo = driftbook(&["verdict", "--worksheet", "TH-103", "--demo"]).stdout;
    says!(
        demo,
        "Let the mantle age for 24 h",
        "rated to 420 °C it may not be annealed"
    );
}

/// Every session rejected: the reasons are counted, not "there is a header but no row".
#[test]
fn a_year_of_which_nothing_can_be_used_says_why() {
    let folder = tempfile::tempdir().unwrap();
    let slip = readings(&[(1, 0.0), (2, 0.0)])
        .replace(",100.0", ",110.0")
        .replace(",99.9", ",89.9");
    write(folder.path(), "readings.csv", &slip);
    let facts = "[[thermometer]]\ninstrument = \"P-1\"\ntriple_point_ohm = 100.0213\n\
        [[thermometer]]\ninstrument = \"P-2\"\ntriple_point_ohm = 99.9874\n";
    write(folder.path(), "th.toml", facts);
    let text = "as_of = \"2026-06-30\"\n[thermometry]\nfiles = [\"readings.csv\"]\nthermometers = \"th.toml\"\n";
    let lab = write(folder.path(), "lab.toml", text);
    let out = folder.path().join("out");
    let run = [
        "run",
        &lab,
        "--exit-on-action",
        "--out",
        out.to_str().unwrap(),
    ];
    let done = driftbook(&run).ended(3);
    let words =
        "no session can be used, so that there is no history to decide on. 4 rejected, the first: ";
    says!(done.stderr, words);
    // What can be written is: each session with its budget and why it was rejected.
    let sessions = read_csv(&out.join("sessions.csv")).rows;
    assert_eq!(sessions.len(), 4);
    assert!(
        sessions
            .iter()
            .all(|s| s["standing"] == "rejected" && s["reasons"].contains("another thermometer"))
    );
    assert!(!read_csv(&out.join("budgets.csv")).rows.is_empty());
    says!(fs::read_to_string(out.join("summary.md")).unwrap(), words);
    says!(fs::read_to_string(out.join("index.html")).unwrap(), words);
}

/// From an empty folder and a file of readings: start, run, verdict, adopt.
#[test]
fn a_value_is_adopted_and_carried_from_then_on() {
    let folder = tempfile::tempdir().unwrap();
    let year: Vec<(usize, f64)> = (1..=6).map(|n| (n, 0.0)).collect();
    let file = write(folder.path(), "readings.csv", &readings(&year));
    assert_eq!(driftbook(&["start", &file]).status, 0);
    let lab = folder
        .path()
        .join("readings.toml")
        .to_str()
        .unwrap()
        .to_string();
    let adopt = |session: &str, more: &[&str]| {
        let own = [
            "adopt",
            "P-1",
            "--session",
            session,
            "--by",
            "A. Person",
            "--records",
            &lab,
        ];
        driftbook(&[&own[..], more].concat())
    };
    let done = adopt("S-6", &[]).ended(2);
    says!(done.stderr, "give a --reason");
    let done = adopt("S-6", &["--reason", "first value, after a year"]).well();
    says!(
        done.stdout,
        "Type into the instrument: 100.021",
        "Superseded: 100.021"
    );
    let kept = fs::read_to_string(folder.path().join("adoptions.csv")).unwrap();
    says!(kept, "P-1,S-6,2025-12-07,100.021");
    // Carried from then on: the next session is compared with it.
    let new = write(folder.path(), "new.csv", &readings(&[(7, 0.0)]));
    let done = driftbook(&["verdict", "--readings", &new, "--records", &lab]);
    assert!(
        done.stdout.contains("mK from the value in use"),
        "{}{}",
        done.stdout,
        done.stderr
    );
    // Values are adopted in order of time, each once.
    let again = adopt("S-6", &["--reason", "again"]).ended(2);
    says!(again.stderr, "was adopted on 2025-12-07 already");
    says!(adopt("S-9", &[]).stderr, "it has S-1, S-2, S-3");
    // A line that was changed is seen.
    let second = kept.replace("first value", "better value") + "x,y\n";
    write(folder.path(), "adoptions.csv", &second);
    let done = driftbook(&["verdict", "--readings", &new, "--records", &lab]).ended(1);
    says!(done.stderr, "adoptions.csv");
}

/// The value that is adopted is one that these very readings found: its current is theirs. It was taken for unknown, every
/// session got 0.35 mK for it, and the run after the adoption accused each of its checks of having been edited.
#[test]
fn an_adopted_value_was_read_at_the_current_of_its_session() {
    let folder = tempfile::tempdir().unwrap();
    let year: Vec<(usize, f64)> = (1..=6).map(|n| (n, 0.0)).collect();
    let file = write(folder.path(), "readings.csv", &readings(&year));
    driftbook(&["start", &file]).well();
    let lab = folder.path().join("readings.toml");
    let lab = lab.to_str().unwrap();
    let sessions = |out: &str| {
        let out = folder.path().join(out);
        let run = [
            "run",
            lab,
            "--as-of",
            "2026-06-01",
            "--out",
            out.to_str().unwrap(),
        ];
        let done = driftbook(&run);
        let rows = read_csv(&out.join("sessions.csv")).rows;
        let u: Vec<String> = rows.iter().map(|row| row["u_ohm"].clone()).collect();
        (u, done.stdout + &done.stderr)
    };
    let (before, told) = sessions("before");
    says!(told, "calibration and drift of the readout not stated");
    let adopt = [
        "adopt",
        "P-1",
        "--session",
        "S-3",
        "--by",
        "A. Person",
        "--reason",
        "first",
        "--records",
        lab,
    ];
    driftbook(&adopt).well();
    let (after, told) = sessions("after");
    assert_eq!(before, after);
    says_not!(told, "current of the value in use is not stated");
    // What the adoption changes is told with its cause.
    says!(
        told,
        "(P-1, triple point of water)",
        "changed since then: adoptions.csv"
    );
    says_not!(told, "(P-2");
    let stated = "[thermometry.budget]\nreadout_ppm = 3\n";
    fs::write(lab, fs::read_to_string(lab).unwrap() + stated).unwrap();
    let (_, told) = sessions("stated");
    says!(
        told,
        "drift of the readout not stated: u = 2 parts",
        "changed since then: the settings, adoptions.csv"
    );
    says_not!(told, "calibration and drift");
}
