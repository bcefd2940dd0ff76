#[path = "tests/asked.rs"]
mod asked;

#[path = "tests/two_forms.rs"]
mod two_forms;

use super::*;
use crate::records::guess::doubt::{Answer, Doubt};
use crate::records::{Loaded, load};
use crate::settings::{PlanRequest, plan};

/// Someone who answers by the letters given, one a question, and hears everything.
#[derive(Default)]
struct Heard {
    answers: Vec<usize>,
    asked: Vec<String>,
    text: String,
}

impl Person for Heard {
    fn tell(&mut self, text: &str) {
        self.text += &(text.to_string() + "\n");
    }

    fn ask(&mut self, doubt: &Doubt) -> Option<(Answer, String)> {
        self.asked.push(doubt.name.to_string());
        let answer = (!self.answers.is_empty()).then(|| self.answers.remove(0))?;
        let choice = doubt.choices.get(answer)?;
        Some((choice.answer.clone(), choice.words.clone()))
    }
}

fn answering(answers: &[usize]) -> Heard {
    Heard {
        answers: answers.to_vec(),
        ..Heard::default()
    }
}

fn loaded(file: &Path) -> Loaded {
    let plan = planned(file).unwrap();
    load(&plan.request()).unwrap()
}

fn planned(file: &Path) -> Result<crate::settings::plan::Plan, String> {
    let request = PlanRequest::new(Some(file.to_path_buf()), None, today());
    plan(&request).map_err(|e| e.to_string())
}

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 30).unwrap()
}

/// The published resistor history under other headers, delimiters and formats.
fn resistor(change: impl Fn(&str) -> String) -> String {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/data/reference/standard-resistor.csv"
    );
    let text = std::fs::read_to_string(path).unwrap();
    text.lines()
        .skip(1)
        .map(|line| change(line) + "\n")
        .collect()
}

fn start_and_load(text: &str) -> (Heard, Loaded) {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("my records [1].csv");
    std::fs::write(&records, text).unwrap();
    let mut heard = answering(&[0, 0, 0]);
    let started = start(std::slice::from_ref(&records), today(), &mut heard).unwrap();
    assert!(started.open.is_empty(), "{}", heard.text);
    let loaded = loaded(&started.file);
    let again = start(&[records], today(), &mut Heard::default()).unwrap();
    assert!(again.unchanged && again.open.is_empty());
    (heard, loaded)
}

#[test]
fn a_renamed_copy_of_the_resistor_runs_unchanged() {
    let header = "Serial no,Measurand,Measured on,Resistance,Reference value,Std unc,Unit,n\n";
    let (heard, loaded) = start_and_load(&(header.to_string() + &resistor(str::to_string)));
    assert_eq!(loaded.rows.used, 1000, "{}", heard.text);
    let history = loaded.histories.get(0);
    assert_eq!(history.item.unit, "ohm");
    assert_eq!(history.as_found[0], 27.868);
}

#[test]
fn a_german_copy_of_the_resistor_runs_unchanged() {
    let rows = resistor(|line| {
        let fields: Vec<String> = line.split(',').map(|f| f.replace('.', ",")).collect();
        let date: Vec<&str> = fields[2].split('-').collect();
        format!(
            "{};{}.{}.{};{}",
            fields[0], date[2], date[1], date[0], fields[3]
        )
    });
    let (heard, loaded) =
        start_and_load(&("Messmittel;Datum;Messwert [Ohm]\n".to_string() + &rows));
    assert_eq!(loaded.rows.used, 1000, "{}", heard.text);
    let history = loaded.histories.get(0);
    assert_eq!(
        (history.as_found[0], history.item.unit.as_str()),
        (27.868, "Ohm")
    );
    says!(heard.text, "day first");
}

#[test]
fn a_file_without_needed_columns_is_drafted_and_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("r.csv");
    std::fs::write(&records, "a,b,c\n1,2,0.5\n").unwrap();
    let mut heard = Heard::default();
    let started = start(&[records], today(), &mut heard).unwrap();
    assert_eq!(
        heard.asked,
        ["column_as_found", "column_instrument", "column_date"]
    );
    let text = std::fs::read_to_string(&started.file).unwrap();
    says!(text, "# date = \"…\"             # needed");
    says!(heard.text, "Not read yet");
}

/// Dates with no day above 12, and U without a k.
const OPEN: &str = "Item,Date,Nominal [V],Reading [V],U,Lower,Upper\n\
    M-1,03/04/2021,100,100.03,0.02,-0.1,0.1\n\
    M-1,05/04/2022,100,100.05,0.02,-0.1,0.1\n";

#[test]
fn a_doubt_stops_the_run_until_it_is_answered_in_the_file_or_in_the_conversation() {
    let folder = tempfile::tempdir().unwrap();
    let records = [folder.path().join("log.csv")];
    std::fs::write(&records[0], OPEN).unwrap();
    let started = start(&records, today(), &mut Heard::default()).unwrap();
    assert_eq!(started.open, ["coverage_factor", "day_or_month"]);
    let refused = planned(&started.file).unwrap_err();
    says!(refused, "day_or_month is not answered");
    // What a person changed and answered stays, and is not asked again.
    let text = std::fs::read_to_string(&started.file).unwrap();
    let own = text
        .replace("coverage_factor = 2.0 ", "coverage_factor = 2.5 ")
        .replace("coverage_factor = '? ", "coverage_factor = 'k is 2.5: ");
    assert_ne!(own, text);
    std::fs::write(&started.file, &own).unwrap();
    let mut heard = answering(&[1]);
    let started = start(&records, today(), &mut heard).unwrap();
    assert_eq!(heard.asked, ["day_or_month"]);
    assert!(started.open.is_empty());
    let loaded = loaded(&started.file);
    let history = loaded.histories.get(0);
    assert_eq!(crate::records::date::iso(history.date[0]), "2021-03-04");
    assert_eq!((history.as_found[0], history.u[0]), (0.03, 0.008));
    assert!(planned(&started.file).unwrap().out.ends_with("reports/log"));
    let again = start(&records, today(), &mut Heard::default()).unwrap();
    assert!(again.unchanged);
}

#[test]
fn a_standard_uncertainty_that_was_answered_stays_one() {
    let folder = tempfile::tempdir().unwrap();
    let records = [folder.path().join("log.csv")];
    std::fs::write(&records[0], OPEN).unwrap();
    let started = start(&records, today(), &mut answering(&[1, 0])).unwrap();
    let text = std::fs::read_to_string(&started.file).unwrap();
    let without = text.replace("coverage_factor = 1.0 ", "# ");
    std::fs::write(&started.file, without).unwrap();
    start(&records, today(), &mut Heard::default()).unwrap();
    assert_eq!(loaded(&started.file).histories.get(0).u[0], 0.02);
}

#[test]
fn both_readings_are_shown_with_rows_where_they_are_asked() {
    let folder = tempfile::tempdir().unwrap();
    let records = [folder.path().join("g.csv")];
    let rows = "instrument,date,as_found,nominal,lower,upper,unit\n\
                G,2021-03-01,0.4,1,-5,5,kPa\nG,2022-03-01,0.9,1,-5,5,kPa\n";
    std::fs::write(&records[0], rows).unwrap();
    struct Shown(Vec<String>);
    impl Person for Shown {
        fn tell(&mut self, _: &str) {}
        fn ask(&mut self, doubt: &Doubt) -> Option<(Answer, String)> {
            self.0
                .extend(doubt.choices.iter().map(|choice| choice.words.clone()));
            Some((doubt.choices[1].answer.clone(), "errors".into()))
        }
    }
    let mut shown = Shown(Vec::new());
    let started = start(&records, today(), &mut shown).unwrap();
    assert!(
        shown.0[0].contains("row 2: G, 2021-03-01: 0.4 - 1 = -0.6 kPa"),
        "{shown:?}",
        shown = shown.0
    );
    says!(shown.0[1], "row 3: G, 2022-03-01: error +0.9 kPa");
    assert_eq!(loaded(&started.file).histories.get(0).as_found, [0.4, 0.9]);
}

/// Writes files, each its name and text, and lets `start` look at them.
fn started(folder: &Path, files: &[(&str, &str)], answers: &[usize]) -> (Heard, Started) {
    let paths: Vec<PathBuf> = files.iter().map(|(name, _)| folder.join(name)).collect();
    for ((_, text), path) in files.iter().zip(&paths) {
        std::fs::write(path, text).unwrap();
    }
    let mut heard = answering(answers);
    let started = start(&paths, today(), &mut heard).unwrap();
    (heard, started)
}

const YEARS: &str = "instrument,date,as_found,unit\nA,2021-03-14,0.1,mK\nA,2022-03-15,0.2,mK\n";

#[test]
fn what_a_register_left_open_is_asked_again_and_what_a_person_changed_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let register = "instrument,Last calibration,Interval,lower,upper\nA,03/04/2022,12,-1,1\n";
    let files = [("checks.csv", YEARS), ("register.csv", register)];
    let (heard, first) = started(folder.path(), &files, &[]);
    assert_eq!(heard.asked, ["register_dates", "register_interval"]);
    assert_eq!(first.open, ["register_dates", "register_interval"]);
    let text = std::fs::read_to_string(&first.file).unwrap();
    let changed = text.replace("upper = \"upper\"", "cap_days = \"upper\"");
    std::fs::write(&first.file, &changed).unwrap();
    let (heard, again) = started(folder.path(), &files, &[1]);
    assert_eq!(heard.asked, ["register_dates", "register_interval"]);
    assert_eq!(again.open, ["register_interval"]);
    let text = std::fs::read_to_string(&first.file).unwrap();
    says!(text, "date_format = \"%m/%d/%Y\"", "cap_days = \"upper\"");
    says_not!(text, "\nupper = ");
    let (heard, _) = started(folder.path(), &files, &[0]);
    assert_eq!(heard.asked, ["register_interval"]);
    let (heard, last) = started(folder.path(), &files, &[]);
    assert_eq!((heard.asked.len(), last.unchanged), (0, true));
    let day = loaded(&first.file).histories.items[0].last_calibration;
    assert_eq!(
        day.map(crate::records::date::iso).as_deref(),
        Some("2022-03-04")
    );
}

#[test]
fn another_register_than_the_one_that_the_file_names_is_told_and_not_read() {
    let folder = tempfile::tempdir().unwrap();
    let register = "instrument,lower,upper\nA,-1,1\n";
    let files = [("checks.csv", YEARS), ("register.csv", register)];
    started(folder.path(), &files, &[]);
    let files = [("checks.csv", YEARS), ("other.csv", register)];
    let (heard, again) = started(folder.path(), &files, &[]);
    let expected = "Kept: another file under [register]; other.csv is not read.";
    says!(heard.text, expected);
    assert!(again.unchanged);
}

/// A pipeline file read as records would get a form of its own lines.
#[test]
fn a_pipeline_file_is_no_records() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("lab.toml");
    let text = "[checks]\nfiles = [\"checks.csv\"]\n";
    std::fs::write(&file, text).unwrap();
    let refused = start(std::slice::from_ref(&file), today(), &mut answering(&[])).unwrap_err();
    says!(refused.to_string(), "is a pipeline file, not records");
    assert_eq!(std::fs::read_to_string(&file).unwrap(), text);
}

#[test]
fn what_is_missing_for_a_run_is_said_where_nothing_is_asked() {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("r.csv");
    let text = "Item,Year,Week,Error [mV],Limit +/- [mV]\nT-1,2022,10,0.2,1\nT-1,2023,12,0.3,1\n";
    std::fs::write(&records, text).unwrap();
    let mut heard = Heard::default();
    let started = start(&[records], today(), &mut heard).unwrap();
    let why = started.not_read.unwrap();
    says!(why, "no column \"date\"");
    says!(
        heard.text,
        "Missing: no column was found for date",
        "joined in one"
    );
}

/// Headers of workbooks hold line breaks: each is written on one line, by which a second look finds it.
#[test]
fn headers_over_two_lines_are_found_again() {
    let folder = tempfile::tempdir().unwrap();
    let text = "Instrument;Datum;\"Abweichung\n[mK]\";\"Toleranz \"\"neu\"\" \\ [mK]\"\nT-1;13.01.2020;0,4;±5\n";
    let files = [("a.csv", text)];
    let (heard, first) = started(folder.path(), &files, &[]);
    let draft = std::fs::read_to_string(&first.file).unwrap();
    says!(draft, "as_found = \"Abweichung\\n[mK]\"\n");
    let (_, again) = started(folder.path(), &files, &[]);
    assert!(
        again.unchanged && again.not_read.is_none(),
        "{}",
        heard.text
    );
}

/// A header with a character that steers a terminal made a draft that was no TOML, and nothing
/// was written.
#[test]
fn headers_that_steer_a_terminal_are_drafted() {
    let rows = "R,2024-03-05,0.1,0.2,-5,5,\n".repeat(3);
    let header = "instrument,date,as_found,u,lower,upper,re\u{1b}]0;x\u{7}mark";
    let (heard, loaded) = start_and_load(&format!("{header}\n{rows}"));
    assert_eq!(loaded.rows.used + loaded.rows.merged, 3, "{}", heard.text);
}
