use super::*;
use crate::records::guess::doubt::{Answer, Doubt, EVENTS_IN_REMARKS};
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
    assert!(heard.text.contains("day first"), "{}", heard.text);
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
    assert!(
        text.contains("# date = \"…\"             # needed"),
        "{text}"
    );
    assert!(heard.text.contains("Not read yet"), "{}", heard.text);
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
    assert!(
        refused.contains("day_or_month is not answered"),
        "{refused}"
    );
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
    assert!(shown.0[1].contains("row 3: G, 2022-03-01: error +0.9 kPa"));
    assert_eq!(loaded(&started.file).histories.get(0).as_found, [0.4, 0.9]);
}

#[test]
fn files_and_folders_with_other_headers_become_one_pipeline() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    std::fs::create_dir(path("months")).unwrap();
    let german = |rows: &str| "Gerät;Datum;Abweichung;Einheit\n".to_string() + rows;
    let files = [
        ("months/1.csv", german("M-1;13.05.2023;0,5;V\n")),
        // No day above 12 here: the other file of the form tells.
        ("months/2.csv", german("M-1;03.06.2023;0,6;V\n")),
        (
            "log.csv",
            "instrument,date,error\nM-1,2022-01-31,0.4\n".into(),
        ),
    ];
    for (name, text) in &files {
        std::fs::write(path(name), text).unwrap();
    }
    let mut heard = Heard::default();
    let inputs = [path("months"), path("log.csv")];
    let started = start(&inputs, today(), &mut heard).unwrap();
    assert_eq!(heard.asked, ["tolerance"]);
    assert_eq!(
        loaded(&started.file).histories.get(0).as_found,
        [0.4, 0.5, 0.6]
    );
    // One more file is added to the file that stands.
    std::fs::write(
        path("new.csv"),
        "Serial,Tested on,Error [V]\nM-1,2024-01-31,0.7\n",
    )
    .unwrap();
    let inputs = [path("months"), path("new.csv")];
    start(&inputs, today(), &mut heard).unwrap();
    assert_eq!(
        loaded(&started.file).histories.get(0).as_found,
        [0.4, 0.5, 0.6, 0.7]
    );
}

#[test]
fn a_question_that_two_forms_raise_is_asked_and_marked_once() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).unwrap();
        path
    };
    let files = [
        write(
            "a.csv",
            "Item;Date;Error;U\nG-1;03.04.2021;0,4;0,1\nG-1;05.06.2022;0,5;0,1\n",
        ),
        write(
            "b.csv",
            "Gerät,Date,Error,U\nG-2,07.08.2021,0.6,0.1\nG-2,09.10.2022,0.7,0.1\n",
        ),
    ];
    let mut heard = answering(&[0]);
    let started = start(&files, today(), &mut heard).unwrap();
    assert_eq!(heard.asked, ["coverage_factor", "tolerance"]);
    assert!(started.open.is_empty(), "{:?}", started.open);
    let text = std::fs::read_to_string(&started.file).unwrap();
    assert_eq!(text.matches("coverage_factor = 2.0").count(), 2, "{text}");
    std::fs::remove_file(&started.file).unwrap();
    let marked = start(&files, today(), &mut Heard::default()).unwrap();
    assert_eq!(marked.open, ["coverage_factor"]);
    assert!(
        heard
            .text
            .contains("A form of its own: instrument \"Gerät\", in the first form \"Item\"")
    );
}

#[test]
fn a_folder_of_months_is_told_in_one_line() {
    let folder = tempfile::tempdir().unwrap();
    let months = folder.path().join("months");
    std::fs::create_dir(&months).unwrap();
    for month in 1..=12 {
        let text = format!("Item,Date,Error\nG-1,2025-{month:02}-13,0.{month}\n");
        std::fs::write(months.join(format!("2025-{month:02}.csv")), text).unwrap();
    }
    let mut heard = Heard::default();
    start(&[months], today(), &mut heard).unwrap();
    let line = "months: 12 files (2025-01.csv … 2025-12.csv), same header:\n";
    assert!(heard.text.starts_with(line), "{}", heard.text);
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
    assert!(text.contains("date_format = \"%m/%d/%Y\""), "{text}");
    assert!(text.contains("cap_days = \"upper\""), "{text}");
    assert!(!text.contains("\nupper = "), "{text}");
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
    assert!(heard.text.contains(expected), "{}", heard.text);
    assert!(again.unchanged);
}

#[test]
fn an_answer_that_two_forms_wait_for_is_that_of_both() {
    let folder = tempfile::tempdir().unwrap();
    let files = [
        (
            "a.csv",
            "instrument,date,as_found,unit\nA,03/04/2021,0.1,mK\nA,03/05/2022,0.2,mK\n",
        ),
        (
            "b.csv",
            "Asset;Checked on;Error [mK]\nB;03/04/2021;0.1\nB;03/05/2022;0.2\n",
        ),
    ];
    let (heard, first) = started(folder.path(), &files, &[]);
    assert_eq!(heard.asked, ["day_or_month", "tolerance"]);
    assert_eq!(first.open.len(), 1);
    let (heard, again) = started(folder.path(), &files, &[1]);
    assert_eq!(heard.asked.len(), 1, "{:?}", heard.asked);
    assert_eq!(again.open.len(), 0, "{}", heard.text);
    let text = std::fs::read_to_string(&first.file).unwrap();
    assert_eq!(
        text.matches("\ndate_format = \"%m/%d/%Y\"").count(),
        2,
        "{text}"
    );
    for history in loaded(&first.file).histories.iter() {
        let days: Vec<String> = history
            .date
            .iter()
            .map(|day| crate::records::date::iso(*day))
            .collect();
        assert_eq!(days, ["2021-03-04", "2022-03-05"]);
    }
}

#[test]
fn what_is_open_of_a_later_form_is_asked_again() {
    let folder = tempfile::tempdir().unwrap();
    let files = [
        ("checks.csv", YEARS),
        (
            "b.csv",
            "Asset;Checked on;Error [mK]\nB;03/04/2021;0.1\nB;03/05/2022;0.2\n",
        ),
        (
            "work.csv",
            "Work order;Asset;Date;Deviation [mK]\nW-1;A;2021-04-20;0.3\n",
        ),
    ];
    let (_, first) = started(folder.path(), &files, &[]);
    assert_eq!(first.open.len(), 2, "{:?}", first.open);
    let (heard, again) = started(folder.path(), &files, &[0, 1]);
    assert_eq!(again.open.len(), 0, "{:?} {}", heard.asked, heard.text);
    let text = std::fs::read_to_string(&first.file).unwrap();
    assert_eq!(
        text.matches("\ndate_format = \"%m/%d/%Y\"").count(),
        1,
        "{text}"
    );
    // A table that the form lacks is put behind it.
    let (_, last) = started(folder.path(), &files, &[]);
    assert!(last.unchanged);
}

/// What `start` asks of a table, and what stays open where nobody answers.
fn asked_of(table: &str) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("due.csv");
    std::fs::write(&records, table).unwrap();
    let mut heard = Heard::default();
    let started = start(std::slice::from_ref(&records), today(), &mut heard).unwrap();
    assert_eq!(started.open, heard.asked);
    heard.asked
}

/// A column that tells the interval in use and that no list reads: the default is not it.
#[test]
fn an_interval_that_stands_in_a_column_not_read_is_asked_about() {
    let table = "Asset,Cal date,Interval,Error (mV),Tol ±\nV-1,2023-02-11,biennial,0.4,2\nV-1,2025-02-10,biennial,0.5,2\n";
    assert_eq!(asked_of(table), ["interval_not_read"]);
    assert!(asked_of(&table.replace("Interval", "Purchased")).is_empty());
}

/// The next due date tells the interval; the date on which a check was due tells none.
#[test]
fn due_dates_that_follow_their_checks_at_once_are_asked_about() {
    let table = "Asset,Cal date,Due,Error (mV),Tol ±\nV-1,2021-02-10,2023-02-12,0.4,2\nV-1,2023-02-11,2025-02-12,0.4,2\nV-1,2025-02-10,2027-02-12,0.5,2\n";
    assert!(asked_of(table).is_empty());
    let own = table.replace("2023-02-12", "2021-02-12");
    let own = own.replace("2025-02-12", "2023-02-12");
    assert_eq!(
        asked_of(&own.replace("2027-02-12", "2025-02-12")),
        ["next_due"]
    );
}

/// "12" is a year or twelve days: the header says which, or a person.
#[test]
fn an_interval_without_a_unit_is_asked_about() {
    let table = "Asset,Cal date,Interval,Error (mV),Tol ±\nV-1,2023-02-11,12,0.4,2\nV-1,2024-02-10,12,0.5,2\n";
    assert_eq!(asked_of(table), ["checks_interval"]);
    assert!(asked_of(&table.replace("Interval", "Interval (months)")).is_empty());
    assert!(asked_of(&table.replace(",12,", ",12 months,")).is_empty());
}

/// Limits in another unit than the readings: every check that passed lies far outside.
#[test]
fn outcomes_that_contradict_the_numbers_are_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("checks.csv");
    let rows = ["2023-03-01,12.1", "2024-03-01,12.4", "2025-03-01,12.2"];
    let rows = rows.map(|row| format!("G-1,{row},0.05,pass\nG-2,{row},0.05,pass\n"));
    let header = "Item,Date,Error,Tolerance,Result\n";
    std::fs::write(&records, header.to_string() + &rows.concat()).unwrap();
    let mut heard = Heard::default();
    let started = start(&[records], today(), &mut heard).unwrap();
    assert!(
        started.open.contains(&"outcomes_contradict".to_string()),
        "{}",
        heard.text
    );
}

/// A pipeline file read as records would get a form of its own lines.
#[test]
fn a_pipeline_file_is_no_records() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("lab.toml");
    let text = "[checks]\nfiles = [\"checks.csv\"]\n";
    std::fs::write(&file, text).unwrap();
    let refused = start(std::slice::from_ref(&file), today(), &mut answering(&[])).unwrap_err();
    assert!(
        refused
            .to_string()
            .contains("is a pipeline file, not records")
    );
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
    assert!(why.contains("no column \"date\""), "{why}");
    assert!(
        heard.text.contains("Missing: no column was found for date"),
        "{}",
        heard.text
    );
    assert!(heard.text.contains("joined in one"), "{}", heard.text);
}

#[test]
fn a_spread_that_is_read_as_the_point_is_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let records = folder.path().join("r.csv");
    let rows = ["62.1,0.2", "62.3,0.5", "62.6,0.3", "62.2,0.1"];
    let years = (2018..)
        .zip(rows)
        .map(|(year, row)| format!("HB-1,{year}-03-19,{row}\n"));
    let header = "Item,Date,Reading,Range\n".to_string();
    std::fs::write(&records, header + &years.collect::<String>()).unwrap();
    let started = start(&[records], today(), &mut Heard::default()).unwrap();
    let asked = started
        .open
        .iter()
        .any(|name| name == "points_of_one_check");
    assert!(asked, "{:?}", started.open);
}

/// The first of two files alike tells of nothing; what the second leaves open is asked as well.
#[test]
fn what_one_of_several_files_alone_leaves_open_is_asked() {
    let folder = tempfile::tempdir().unwrap();
    let text = |year: i32, remark: &str| {
        format!(
            "instrument,date,as_found,lower,upper,unit,Remarks\nA,{year}-03-05,0.1,-1,1,mK,\nB,{year}-03-06,0.2,-1,1,mK,{remark}\n"
        )
    };
    let (first, second) = (text(2021, "ok to use"), text(2022, "adjusted to zero"));
    let files = [("a.csv", first.as_str()), ("b.csv", second.as_str())];
    let (heard, started) = started(folder.path(), &files, &[]);
    assert_eq!(started.open, ["events_in_remarks"], "{}", heard.text);
    assert!(
        heard.text.contains("b.csv: \"Remarks\" is not read"),
        "{}",
        heard.text
    );
}

/// Whether what such a text speaks of was done only a person can tell; the next file's texts stand beside the first's.
#[test]
fn texts_that_speak_of_events_in_words_of_their_own_are_drafted_and_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let text = |year: i32, remark: &str| {
        format!(
            "instrument,date,as_found,lower,upper,unit,Remarks\nA,{year}-03-05,0.1,-1,1,mK,\nB,{year}-03-06,0.2,-1,1,mK,{remark}\n"
        )
    };
    let first = text(2021, "justiert auf 0.1 mK");
    let second = text(2022, "repaired by Meyer");
    let files = [("a.csv", first.as_str()), ("b.csv", second.as_str())];
    let (heard, open) = started(folder.path(), &files, &[]);
    assert_eq!(open.open, [EVENTS_IN_REMARKS], "{}", heard.text);
    let draft = std::fs::read_to_string(&open.file).unwrap();
    let events =
        "events = { \"justiert auf 0.1 mK\" = \"adjusted\", \"repaired by Meyer\" = \"repaired\" }";
    assert!(draft.contains(events), "{draft}");
    for words in [
        "\"justiert auf 0.1 mK\" (adjusted)",
        "b.csv: \"repaired by Meyer\" (repaired)",
    ] {
        assert!(draft.contains(words), "{draft}");
    }
    let (_, again) = started(folder.path(), &files, &[]);
    assert!(again.unchanged);
    let own = draft.replace(events, "") + "\n[checks.events]\n\"repaired by Meyer\" = \"none\"\n";
    std::fs::write(&open.file, &own).unwrap();
    let (heard, kept) = started(folder.path(), &files, &[]);
    assert!(kept.not_read.is_none(), "{}", heard.text);
    assert_eq!(std::fs::read_to_string(&open.file).unwrap(), own);
    std::fs::remove_file(&open.file).unwrap();
    let (heard, closed) = started(folder.path(), &files, &[0, 0]);
    assert!(closed.open.is_empty(), "{:?}", closed.open);
    assert!(
        heard.text.contains("1 adjusted, 1 repaired"),
        "{}",
        heard.text
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
    assert!(
        draft.contains("as_found = \"Abweichung\\n[mK]\"\n"),
        "{draft}"
    );
    let (_, again) = started(folder.path(), &files, &[]);
    assert!(
        again.unchanged && again.not_read.is_none(),
        "{}",
        heard.text
    );
}

/// What a pipeline file says of a folder is about the files that it read: one that comes later, written in another way,
/// is a form of its own, and not a reason to read the others otherwise.
#[test]
fn a_later_file_of_a_folder_in_another_form_is_added_beside_the_others() {
    let folder = tempfile::tempdir().unwrap();
    let months = folder.path().join("months");
    std::fs::create_dir(&months).unwrap();
    let month = |month: u32| {
        format!("Gauge,Date,Deviation [kPa],Tol [kPa]\nA,{month:02}/1{month}/2025,0.{month},0.8\n")
    };
    for number in 3..6 {
        std::fs::write(months.join(format!("2025-0{number}.csv")), month(number)).unwrap();
    }
    let look = |answers: &[usize]| {
        let mut heard = answering(answers);
        let started = start(std::slice::from_ref(&months), today(), &mut heard).unwrap();
        (heard, started)
    };
    let (_, first) = look(&[0]);
    assert!(first.open.is_empty(), "{:?}", first.open);
    let before = std::fs::read_to_string(&first.file).unwrap();
    let other =
        "Gauge;Date;As found error [kPa];As left error [kPa];Tol [kPa]\nA;2025-06-19;0,9;0,0;0,8\n";
    std::fs::write(months.join("2025-01-late.csv"), other).unwrap();
    let (heard, second) = look(&[0]);
    assert!(second.not_read.is_none(), "{}", heard.text);
    let after = std::fs::read_to_string(&second.file).unwrap();
    assert!(after.starts_with(before.trim_end()), "{after}");
    assert!(
        after.contains("files = [\"months/2025-01-late.csv\"]"),
        "{after}"
    );
    let loaded = loaded(&second.file);
    let found = loaded.histories.get(0).as_found.to_vec();
    assert_eq!(found, [0.3, 0.4, 0.5, 0.9]);
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
