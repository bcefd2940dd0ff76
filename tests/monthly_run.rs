/*! The scheduled job: a folder a period, never the same report twice, a digest that tells exactly
what changed, and reused pages that are the very bytes of a full run. */

use crate::laboratory::{Laboratory, files};
use driftbook::ledger::{LEDGER, Ledger};

const THERMOMETERS: &str = "history/thermometers.csv";

fn changes(lab: &Laboratory, folder: &str) -> Vec<(String, String, bool)> {
    let text = lab.read(&format!("{folder}/digest.json"));
    let digest: serde_json::Value = serde_json::from_str(&text).unwrap();
    let word = |value: &serde_json::Value| value.as_str().unwrap().to_string();
    let list = digest["changes"].as_array().unwrap();
    let change =
        |c: &serde_json::Value| (word(&c["kind"]), word(&c["history"]), c["red_flag"] == true);
    list.iter().map(change).collect()
}

#[test]
fn the_second_month_tells_exactly_what_changed() {
    // The class-informed model lets one edit move every like instrument; with lines each stands alone.
    let alone = "[drift]\nmodel = \"line\"\n[intervals]\nmethods = [\"staircase\"]\n";
    let lab = Laboratory::with("reports/{year}-{month}", alone);
    assert!(lab.run(&["--as-of", "2026-06-29"]).success());
    let may = lab.folder().join("reports/2026-06");
    says!(lab.read("reports/2026-06/digest.md"), "First run");
    std::fs::rename(&may, lab.folder().join("reports/2026-05")).unwrap();
    lab.edit("reports/ledger.jsonl", |text| {
        text.replace("\"folder\":\"2026-06\"", "\"folder\":\"2026-05\"")
    });
    let text = lab.read(THERMOMETERS);
    let rows: Vec<&str> = text
        .lines()
        .filter(|line| line.starts_with("TH-001"))
        .collect();
    let mass = lab
        .read("history/masses.csv")
        .lines()
        .nth(1)
        .unwrap()
        .split(',')
        .next()
        .unwrap()
        .to_string();
    let edited = rows[2].replacen("1.34", "1.35", 1);
    assert_ne!(edited, rows[2]);
    lab.edit(THERMOMETERS, |text| {
        let text = text.replace(rows[2], &edited);
        text.replace(&format!("{}\n", rows[4]), "")
    });
    lab.edit("history/masses.csv", |text| {
        let stays = |line: &&str| !line.starts_with(&mass);
        text.lines()
            .filter(stays)
            .map(|line| format!("{line}\n"))
            .collect()
    });
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    let told = changes(&lab, "reports/2026-06");
    let flags: Vec<(&str, &str)> = told
        .iter()
        .filter(|c| c.2)
        .map(|c| (c.0.as_str(), c.1.split(',').next().unwrap()))
        .collect();
    assert_eq!(
        flags,
        [
            ("Data edited in the past", "TH-001"),
            ("Data that disappeared", "TH-001"),
            ("Vanished", mass.as_str()),
        ]
    );
    let others = told.iter().filter(|c| !c.2 && !c.1.starts_with("TH-001"));
    let others: Vec<_> = others.filter(|c| c.0 != "Newly overdue").collect();
    assert!(others.is_empty(), "{others:?}");
    let page = lab.read("reports/2026-06/digest.html");
    assert!(page.contains("2020-10-02") && page.contains("an assessor would ask"));
}

#[test]
fn the_same_report_is_made_once_and_forced_it_is_the_same() {
    let lab = Laboratory::new("reports/{year}-{month}");
    let arguments = ["--as-of", "2026-06-30", "--exit-on-action"];
    assert_eq!(lab.run(&arguments).code(), Some(3));
    let folder = lab.folder().join("reports/2026-06");
    let first = files(&folder);
    let (output, text) = lab.output(&arguments);
    says!(text, "Nothing was made anew");
    assert_eq!(
        output.status.code(),
        Some(3),
        "a person is needed all the same"
    );
    assert!(
        files(&folder) == first,
        "timings included: nothing was written"
    );
    assert!(lab.run(&["--as-of", "2026-06-30", "--force"]).success());
    let mut forced = files(&folder);
    let mut known = first.clone();
    for side in [&mut forced, &mut known] {
        side.remove("timings.json");
    }
    assert!(forced == known, "a report made anew has the same bytes");
    std::fs::remove_file(folder.join("summary.md")).unwrap();
    let (_, text) = lab.output(&arguments);
    assert!(
        !text.contains("Nothing was made anew"),
        "a file was missing: {text}"
    );
    assert!(folder.join("summary.md").is_file());
}

#[test]
fn reused_pages_are_the_bytes_of_a_full_run() {
    let lab = Laboratory::new("reports/{date}");
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    lab.edit(THERMOMETERS, |text| text.replacen(",1.34,", ",1.21,", 1));
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    is_as_a_full_run(&lab);
    // Made anew in its place it has the same digest too.
    let folder = lab.folder().join("reports/2026-06-30");
    let reused = files(&folder);
    assert!(lab.run(&["--as-of", "2026-06-30", "--force"]).success());
    is_same(&reused, &files(&folder));
}

/// A row put in between moves the rows of all that stand behind it, which their pages show: the charts
/// stay as they are.
#[test]
fn pages_whose_rows_moved_are_the_bytes_of_a_full_run() {
    let lab = Laboratory::new("reports/{date}");
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    let folder = lab.folder().join("reports/2026-06-30");
    let before = files(&folder);
    lab.edit(THERMOMETERS, |text| {
        let (first, rest) = text.split_once('\n').unwrap();
        format!("{first}\n,,,,,,\n,,,,,,\n{rest}")
    });
    lab.edit("history/masses.csv", |text| {
        let (first, rest) = text.split_once('\n').unwrap();
        let (second, rest) = rest.split_once('\n').unwrap();
        let rows: Vec<&str> = rest.lines().collect();
        let turned = rows.iter().rev().map(|row| format!("{row}\n"));
        format!("{first}\n{}{second}\n", turned.collect::<String>())
    });
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    let after = files(&folder);
    let of = |place: &'static str| {
        let after = &after;
        before.iter().filter(move |(name, bytes)| {
            name.starts_with(place) && after.get(*name) != Some(*bytes)
        })
    };
    assert_eq!(of("charts/").count(), 0);
    assert!(of("instruments/").count() > 10);
    is_as_a_full_run(&lab);
}

/// The report of 2026-06-30 has the bytes of one that takes nothing over.
fn is_as_a_full_run(lab: &Laboratory) {
    let mut reused = files(&lab.folder().join("reports/2026-06-30"));
    let day = ["--as-of", "2026-06-30", "--force"];
    assert!(
        lab.run(&[&day[..], &["--out", "elsewhere/full"]].concat())
            .success()
    );
    let mut full = files(&lab.folder().join("elsewhere/full"));
    // Elsewhere there is no first run of the date from which the digest could tell edits, and
    // the record lists the files.
    for side in [&mut reused, &mut full] {
        let other = ["digest", "kept/first-of", "run.json"];
        side.retain(|name, _| !other.iter().any(|other| name.starts_with(other)));
    }
    is_same(&reused, &full);
}

type Files = std::collections::BTreeMap<String, Vec<u8>>;

fn is_same(reused: &Files, full: &Files) {
    let names = |side: &Files| side.keys().cloned().collect::<Vec<_>>();
    assert_eq!(names(reused), names(full));
    for (name, bytes) in full.iter().filter(|(name, _)| *name != "timings.json") {
        assert!(reused[name] == *bytes, "{name} differs");
    }
}

/// Checks of as many gauges, a year apart.
fn a_fleet(gauges: usize) -> String {
    let mut text = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    for gauge in 0..gauges {
        for year in 2023..=2025 {
            let error = 0.02 * (gauge % 9) as f64 + 0.03 * ((gauge * 7 + year * 13) % 11) as f64;
            text += &format!("G-{gauge:04},{year}-03-15,{error:.3},0.05,-5,5,kPa\n");
        }
    }
    text + "G-9999,2025-03-15,0.1,0.05,-5,5,kPa\n"
}

#[test]
fn pages_moved_from_the_report_before_are_the_bytes_of_a_full_run() {
    let lab = Laboratory::new("reports/{date}");
    std::fs::remove_dir_all(lab.folder().join("history")).unwrap();
    std::fs::create_dir(lab.folder().join("history")).unwrap();
    let file = "history/gauges.csv";
    std::fs::write(lab.folder().join(file), a_fleet(5_010)).unwrap();
    // In a class of its own, so that the others do not rest on it.
    let register = "instrument,group\nG-9999,lent\n";
    std::fs::write(lab.folder().join("register.csv"), register).unwrap();
    let spare = lab.folder().join("reports/.2026-06-30.spare");
    let again = |reading: &str| {
        lab.edit(file, |text| {
            text.replacen(reading, &format!("{reading}1"), 1)
        });
        assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    };
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    assert!(!spare.exists());
    again("G-0041,2025-03-15,");
    assert!(spare.join("charts/G-0041.svg").is_file());
    lab.edit(file, |text| {
        let others = text.lines().filter(|line| !line.starts_with("G-9999"));
        others.map(|line| format!("{line}\n")).collect()
    });
    again("G-0077,2025-03-15,");
    assert!(spare.join("charts/G-9999.svg").is_file());
    is_as_a_full_run(&lab);
    // What somebody took out of the spare is drawn again.
    std::fs::remove_file(spare.join("charts/G-0100.svg")).unwrap();
    again("G-0088,2025-03-15,");
    is_as_a_full_run(&lab);
    // The next month's run takes the last month's spare away.
    assert!(spare.exists());
    assert!(lab.run(&["--as-of", "2026-07-31"]).success());
    assert!(!spare.exists());
}

/// Checks of 120 gauges of one class, a year apart, the last in 2026.
fn a_class() -> String {
    let mut text = String::from("instrument,date,as_found,u,lower,upper,unit\n");
    for gauge in 0..120 {
        for year in 2015..=2026 {
            let wiggle = f64::from((gauge * 7 + year * 13) % 11 - 5);
            let error = 0.02 * f64::from(gauge % 9 * (year - 2015)) + 0.03 * wiggle;
            let day = 1 + gauge % 28;
            text += &format!("G-{gauge:03},{year}-03-{day:02},{error:.3},0.05,-5,5,kPa\n");
        }
    }
    text
}

#[test]
fn a_new_reading_in_a_settled_class_redraws_the_pages_of_its_own_instrument_alone() {
    let lab = Laboratory::new("reports/{date}");
    std::fs::remove_dir_all(lab.folder().join("history")).unwrap();
    std::fs::create_dir(lab.folder().join("history")).unwrap();
    let file = "history/gauges.csv";
    std::fs::write(lab.folder().join(file), a_class()).unwrap();
    let members = (0..120).map(|gauge| format!("G-{gauge:03},gauges\n"));
    let register = String::from("instrument,group\n") + &members.collect::<String>();
    std::fs::write(lab.folder().join("register.csv"), register).unwrap();
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    let pages = lab.folder().join("reports/2026-06-30/instruments");
    let drawn = || {
        let entries = std::fs::read_dir(&pages).unwrap().map(Result::unwrap);
        let with_time = entries.map(|e| (e.file_name(), e.metadata().unwrap().modified().unwrap()));
        with_time.collect::<std::collections::BTreeMap<_, _>>()
    };
    let before = drawn();
    assert_eq!(before.len(), 120);
    lab.edit(file, |text| {
        let mended = text.replacen("G-041,2026-03-14,", "G-041,2026-03-14,1", 1);
        mended + "G-077,2026-05-20,0.900,0.05,-5,5,kPa\n"
    });
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    let anew: Vec<_> = drawn()
        .into_iter()
        .filter(|(name, time)| before[name] != *time)
        .map(|(name, _)| name.into_string().unwrap())
        .collect();
    assert_eq!(anew, ["G-041.html", "G-077.html"]);
}

#[test]
fn a_ledger_edited_by_hand_and_a_clock_gone_backwards_are_told() {
    let lab = Laboratory::with("reports/{year}-{month}", "charts = \"flagged\"\n");
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    lab.edit("reports/ledger.jsonl", |text| {
        format!("{text}my own remark\n")
    });
    let (output, text) = lab.output(&["--as-of", "2026-05-31", "--quiet"]);
    assert!(output.status.success(), "{text}");
    says!(text, "ledger.jsonl, line 2: not a whole entry");
    assert!(
        text.contains("2026-05-31 lies before") && text.contains("clock"),
        "{text}"
    );
    let ledger = Ledger::read(&lab.folder().join("reports").join(LEDGER));
    assert_eq!(ledger.entries.len(), 2);
    says!(lab.read("reports/ledger.jsonl"), "my own remark\n");
}

/// Not as one that could not be read.
#[test]
fn a_run_that_kept_nothing_to_compare_with_is_passed_over() {
    let lab = Laboratory::with("reports/{year}-{month}", "");
    assert!(
        lab.run(&["--as-of", "2026-05-31", "--charts", "none"])
            .success()
    );
    let (_, months) = lab.output(&["--as-of", "2026-06-30"]);
    says_not!(months, "cannot be compared");
    says!(lab.read("reports/2026-06/digest.md"), "First run");
}

#[test]
fn a_report_of_another_version_is_made_anew_and_told() {
    let lab = Laboratory::with("reports/x", "charts = \"flagged\"\n");
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    let version = format!("\"driftbook\": \"{}\"", env!("CARGO_PKG_VERSION"));
    lab.edit("reports/x/run.json", |text| {
        text.replace(&version, "\"driftbook\": \"99.0.0\"")
    });
    let (_, text) = lab.output(&["--as-of", "2026-06-30"]);
    says!(text, "made by a newer version, 99.0.0");
    assert!(lab.read("reports/x/run.json").contains(&version));
}

/// A second run of one day on edited records replaces the report; the ledger keeps both.
#[test]
fn an_edit_on_the_same_day_is_in_the_ledger() {
    let lab = Laboratory::with("reports/{year}-{month}", "");
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    lab.edit(THERMOMETERS, |text| text.replacen("1.34", "1.35", 1));
    assert!(lab.run(&["--as-of", "2026-06-30"]).success());
    let ledger = Ledger::read(&lab.folder().join("reports").join(LEDGER));
    let [first, second] = ledger.entries.as_slice() else {
        panic!("{:?}", ledger.entries);
    };
    assert_eq!(
        (&first.as_of, &first.folder),
        (&second.as_of, &second.folder)
    );
    let changed: Vec<&String> = second
        .inputs
        .iter()
        .filter(|(file, hash)| first.inputs.get(*file) != Some(hash))
        .map(|(file, _)| file)
        .collect();
    assert_eq!(changed.len(), 1, "{changed:?}");
    assert!(changed[0].ends_with(THERMOMETERS), "{changed:?}");
}
