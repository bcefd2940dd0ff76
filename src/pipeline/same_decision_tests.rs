/*! One decision, whoever asks: a run's table, the explanation of it, and the last step of a
replay come to the same action, interval, date and sentence.
*/

use super::*;
use crate::conformity::State;
use crate::pipeline::verdict::{Stored, find, verdict};
use crate::pipeline::{Redo, run};
use crate::pipeline::{explain, thermometry};
use crate::records::append::check::NewCheck;
use crate::settings::{PlanRequest, plan};
use crate::simulate::{SimulationSettings, batch};
use std::collections::BTreeMap;
use std::fs;

fn plan_of(pipeline: &Path, out: &Path) -> Plan {
    plan(&PlanRequest {
        path: Some(pipeline.into()),
        out: Some(out.into()),
        as_of: None,
        charts: Some(crate::settings::output::Charts::None),
        today: chrono::NaiveDate::default(),
    })
    .unwrap()
}

/// Action, interval, due date and sentence of every history.
type Told = BTreeMap<(String, String), [String; 4]>;

fn by_explanation(plan: &Plan, histories: &Histories) -> BTreeMap<(String, String), String> {
    let mut told = BTreeMap::new();
    for item in &histories.items {
        for one in explain::explain(plan, &item.instrument, Some(&item.point)).unwrap() {
            let reason = one.reason.split_once(": ").unwrap().1.to_string();
            told.insert((one.instrument, one.point), reason);
        }
    }
    told
}

fn by_replay(plan: &Plan) -> (Histories, Told) {
    let thermometry = thermometry::read(plan).unwrap();
    let loaded = thermometry::load(plan, thermometry.as_ref()).unwrap();
    let closings = plan.closings().unwrap();
    let past = earlier_decisions(plan, &loaded.histories);
    let today = Today {
        as_of: plan.as_of,
        thermometry: thermometry.as_ref().map(|results| &results.findings),
        past: &past,
    };
    let replayed = Replayed::of(plan, &loaded.histories, closings.as_ref(), today);
    let last = replayed.walk.today.iter().map(|(step, decision)| {
        let item = &loaded.histories.items[step.history as usize];
        let told = [
            decision.action.word().to_string(),
            decision.interval_days.to_string(),
            records::date::iso(decision.due_date.floor()),
            decision.reason.clone(),
        ];
        ((item.instrument.clone(), item.point.clone()), told)
    });
    let last = last.collect();
    (loaded.histories, last)
}

fn by_run(plan: &Plan) -> Told {
    run(plan, Redo::Everything, &|_| ()).unwrap();
    let mut table = csv::Reader::from_path(plan.out.join("decisions.csv")).unwrap();
    let rows = table.deserialize::<BTreeMap<String, String>>();
    rows.map(|row| {
        let row = row.unwrap();
        let cell = |name: &str| row[name].clone();
        // A retired item has no interval.
        let days = match cell("interval_days").as_str() {
            "" => f64::NAN.to_string(),
            days => days.parse::<f64>().unwrap().to_string(),
        };
        let told = [cell("action"), days, cell("due_date"), cell("reason")];
        ((cell("instrument"), cell("point")), told)
    })
    .collect()
}

/// How many of the decisions come to each action.
fn count_same(plan: &Plan, actions: &mut BTreeMap<String, usize>) {
    let (histories, replayed) = by_replay(plan);
    let explained = by_explanation(plan, &histories);
    let decided = by_run(plan);
    assert_eq!(decided.len(), histories.len());
    for (name, told) in &decided {
        assert_eq!(told, &replayed[name], "{name:?}");
        assert_eq!(told[3], explained[name], "{name:?}");
        *actions.entry(told[0].clone()).or_default() += 1;
    }
}

#[test]
fn the_demo_is_decided_the_same_whoever_asks() {
    let out = tempfile::tempdir().unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let pipeline = root.join("pipelines/interval-review.toml");
    let mut actions = BTreeMap::new();
    count_same(
        &plan_of(&pipeline, &out.path().join("report")),
        &mut actions,
    );
    assert!(actions.len() >= 4, "{actions:?}");
}

/// A fleet of two to five instruments: alike or not, steady or restless, with slips, silent
/// adjustments and costs as the number has it, with a book of closings or without.
fn fleet(number: u64) -> (String, String) {
    let pick = |of: &[f64], every: u64| of[(number / every) as usize % of.len()];
    let simulated = format!(
        "seed = {number}\n[[fleet]]\nname = \"g\"\nprefix = \"G\"\ninstruments = {}\nyears = {}\ncost = {}\n\
         cost_out_of_tolerance = 12.0\n[fleet.truth]\ndrift = {{ normal = {{ mean = 0.0, deviation = {} }} }}\n\
         wander = {}\njump_rate = {}\njump_size = 1.2\n[fleet.schedule]\ninterval_days = {}\n\
         [fleet.adjustment]\nbeyond = {}\n[fleet.faults]\nblunder = {}\n",
        2 + number % 4,
        pick(&[3.0, 5.0, 9.0], 1),
        pick(&[0.0, 1.0], 2),
        pick(&[0.05, 0.2, 0.6], 3),
        pick(&[0.02, 0.2], 5),
        pick(&[0.0, 0.08, 0.2], 7),
        pick(&[365.0, 200.0, 500.0], 11),
        pick(&[0.7, 2.0], 13),
        pick(&[0.0, 0.04], 2),
    );
    let book = match number % 3 {
        0 => "[cases]\nfile = \"cases.csv\"\nsince = \"2024-01-01\"\n",
        _ => "",
    };
    let pipeline = format!(
        "as_of = \"2026-06-30\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n{book}\
         [policy]\nextensions_per_year = {}\nstep_rate = \"{}\"\n[output]\nreplay = \"never\"\n",
        1 + number % 2,
        ["expected", "largest"][(number / 4) as usize % 2]
    );
    (simulated, pipeline)
}

/// Every instrument of a simulated fleet.
fn instruments(simulated: &str) -> crate::simulate::Tables {
    let settings = SimulationSettings::from_toml(simulated).unwrap();
    batch(&settings, 0..u64::MAX)
}

#[test]
fn a_hundred_random_fleets_are_decided_the_same_whoever_asks() {
    let mut actions = BTreeMap::new();
    for number in 1..=100 {
        let (simulated, settings) = fleet(number);
        let folder = tempfile::tempdir().unwrap();
        let tables = instruments(&simulated);
        fs::write(folder.path().join("checks.csv"), with_header(&tables).0).unwrap();
        fs::write(folder.path().join("register.csv"), with_header(&tables).1).unwrap();
        let pipeline = folder.path().join("lab.toml");
        fs::write(&pipeline, settings).unwrap();
        count_same(
            &plan_of(&pipeline, &folder.path().join("report")),
            &mut actions,
        );
    }
    assert_eq!(actions.len(), 5, "{actions:?}");
}

fn with_header(tables: &crate::simulate::Tables) -> (Vec<u8>, Vec<u8>) {
    let headers = crate::simulate::Tables::headers();
    (
        [&headers.checks[..], &tables.checks].concat(),
        [&headers.register[..], &tables.register].concat(),
    )
}

/// Five thermometers and one more item by their yearly changes at the triple point of water, mK; u = 0.05 mK. The last
/// is read at the same point and stands in no file of thermometers.
const CHANGES: [(&str, [f64; 6]); 6] = [
    ("P-1", [0.0, 0.02, -0.03, 0.01, 0.0, 0.03]),
    ("P-2", [0.0, 0.15, 0.31, 0.44, 0.62, 0.77]),
    ("P-3", [0.0, 0.01, -0.02, 0.02, 0.0, 0.8]),
    ("P-4", [0.0, -0.16, -0.29, -0.45, -0.61, -0.78]),
    ("P-5", [0.0, 1.2, 2.6, 4.0, 5.4, 6.8]),
    ("P-6", [0.0, 0.15, 0.31, 0.44, 0.62, 0.77]),
];

/// A laboratory of those thermometers: all checks but, for `without`, the last.
fn thermometers(folder: &Path, without: Option<&str>) -> Plan {
    let mut text = String::from("instrument,point,date,as_found,u,lower,upper,unit\n");
    let mut facts = String::new();
    for (name, changes) in CHANGES {
        let kept = changes.len() - usize::from(without == Some(name));
        for (year, change) in (2021..).zip(&changes[..kept]) {
            text += &format!("{name},triple point of water,{year}-03-05,{change},0.05,-9,9,mK\n");
        }
        if name != "P-6" {
            facts += &format!(
                "[[thermometer]]\ninstrument = \"{name}\"\ntriple_point_ohm = 25.4796\nmaximum_c = 660\n"
            );
        }
    }
    fs::write(folder.join("checks.csv"), text).unwrap();
    fs::write(folder.join("thermometers.toml"), facts).unwrap();
    let pipeline = folder.join("lab.toml");
    let settings = "as_of = \"2026-03-05\"\n[checks]\nfiles = [\"checks.csv\"]\n\
         [thermometry]\nthermometers = \"thermometers.toml\"\n[output]\nreplay = \"never\"\n";
    fs::write(&pipeline, settings).unwrap();
    plan_of(&pipeline, &folder.join("report"))
}

#[test]
fn thermometers_without_sessions_are_advised_on_alike_whoever_asks() {
    let folder = tempfile::tempdir().unwrap();
    let plan = thermometers(folder.path(), None);
    count_same(&plan, &mut BTreeMap::new());
    let decided = by_run(&plan);
    let told = |name: &str| &decided[&(name.to_string(), "triple point of water".to_string())];
    let advised = |name: &str| {
        let (_, after) = told(name)[3].split_once("limits of the thermometer advise to ")?;
        after.split_once(':').map(|(word, _)| word.to_string())
    };
    assert_eq!(advised("P-1"), None, "{:?}", told("P-1"));
    assert_eq!(advised("P-2").as_deref(), Some("anneal"));
    assert_eq!(advised("P-3").as_deref(), Some("repeat"));
    assert_eq!(advised("P-4").as_deref(), Some("repeat"));
    assert_eq!(advised("P-5").as_deref(), Some("withdraw"));
    // The same checks as P-2, and nobody has said that it is a thermometer.
    assert_eq!(advised("P-6"), None, "{:?}", told("P-6"));
    assert_eq!(told("P-5")[0], "withdraw");
    for (name, changes) in CHANGES {
        let plan = thermometers(folder.path(), Some(name));
        let stored = Stored::load(&plan, &[name]).unwrap();
        let index = find(&stored.histories, name, None).unwrap();
        let check = NewCheck {
            instrument: name.into(),
            point: "triple point of water".into(),
            date: plan.as_of,
            as_found: changes[5],
            as_left: f64::NAN,
            nominal: f64::NAN,
            u: 0.05,
            u_common: f64::NAN,
            usage: f64::NAN,
            event: records::Event::None,
            kind: records::CheckKind::Unstated,
            unit: "mK".into(),
        };
        let said = verdict(&plan, &stored, index, &check, &[]).unwrap();
        let run = told(name);
        assert_eq!((&said.action, &said.reason), (&run[0], &run[3]), "{name}");
        assert_eq!(
            said.needs_person,
            matches!(run[0].as_str(), "review" | "withdraw")
        );
        if run[0] != "withdraw" {
            assert_eq!(said.due_date, run[2], "{name}");
        }
    }
}

/// The newest check of a fleet's `text`, with the text without it.
fn newest(text: &str) -> (BTreeMap<String, String>, String) {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<BTreeMap<String, String>> = reader.deserialize().map(Result::unwrap).collect();
    let last = (0..rows.len())
        .max_by_key(|i| rows[*i]["date"].clone())
        .unwrap();
    let mut lines: Vec<&str> = text.lines().collect();
    lines.remove(last + 1);
    (rows[last].clone(), lines.join("\n") + "\n")
}

/// A check as it stands in a row of a fleet's table.
fn check_of(row: &BTreeMap<String, String>) -> NewCheck {
    let number = |name: &str| {
        row.get(name)
            .and_then(|text| text.parse().ok())
            .unwrap_or(f64::NAN)
    };
    let text = |name: &str| row.get(name).cloned().unwrap_or_default();
    NewCheck {
        instrument: text("instrument"),
        point: text("point"),
        date: records::date::parse_iso(text("date").as_bytes()).unwrap(),
        as_found: number("as_found"),
        as_left: number("as_left"),
        nominal: f64::NAN,
        u: number("u"),
        u_common: number("u_common"),
        usage: number("usage"),
        event: records::event(&text("event")).unwrap_or_default(),
        kind: match text("kind").as_str() {
            "calibration" => records::CheckKind::Calibration,
            _ => records::CheckKind::Unstated,
        },
        unit: text("unit"),
    }
}

#[test]
fn a_verdict_on_the_newest_check_is_what_a_run_says() {
    let mut actions: BTreeMap<String, usize> = BTreeMap::new();
    for number in 1..=100 {
        let (simulated, settings) = fleet(number);
        let folder = tempfile::tempdir().unwrap();
        let tables = instruments(&simulated);
        let (checks, register) = with_header(&tables);
        let (row, without) = newest(&String::from_utf8(checks.clone()).unwrap());
        let check = check_of(&row);
        fs::write(folder.path().join("register.csv"), register).unwrap();
        let pipeline = folder.path().join("lab.toml");
        let day = records::date::iso(check.date.floor());
        fs::write(&pipeline, settings.replace("2026-06-30", &day)).unwrap();
        let plan = || plan_of(&pipeline, &folder.path().join("report"));
        fs::write(folder.path().join("checks.csv"), without).unwrap();
        let plan_before = plan();
        let stored = Stored::load(&plan_before, &[&check.instrument]).unwrap();
        let point = Some(check.point.as_str()).filter(|point| !point.is_empty());
        // An item's first check has no history to be judged beside.
        let Ok(index) = find(&stored.histories, &check.instrument, point) else {
            continue;
        };
        let said = verdict(&plan_before, &stored, index, &check, &[]).unwrap();
        fs::write(folder.path().join("checks.csv"), checks).unwrap();
        let decided = by_run(&plan());
        let told = &decided[&(check.instrument.clone(), check.point.clone())];
        assert_eq!(said.reason, told[3], "fleet {number}");
        assert_eq!(said.action, told[0], "fleet {number}: {said:?}");
        // What is not in control, or out of tolerance, is for a person, set right or not.
        let alarms = said.in_control == Some(false) || said.conformity == State::Nonconforming;
        assert!(!alarms || said.needs_person, "fleet {number}: {said:?}");
        if said.action != "withdraw" {
            assert_eq!(said.due_date, told[2], "fleet {number}");
        }
        *actions.entry(told[0].clone()).or_default() += 1;
    }
    assert!(actions.len() >= 4, "{actions:?}");
}
