/*! Files and folders in several forms, and what is asked of them. */

use super::*;

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
    says!(
        heard.text,
        "A form of its own: instrument \"Gerät\", in the first form \"Item\""
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
    says!(heard.text, "b.csv: \"Remarks\" is not read");
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
    says!(after, "files = [\"months/2025-01-late.csv\"]");
    let loaded = loaded(&second.file);
    let found = loaded.histories.get(0).as_found.to_vec();
    assert_eq!(found, [0.3, 0.4, 0.5, 0.9]);
}

/// Each form has rows of its own as examples, and the question is one: what the per cent of a column of that name is of.
#[test]
fn forms_whose_examples_differ_ask_one_question_of_one_column() {
    let folder = tempfile::tempdir().unwrap();
    let form = |item: &str, name: &str| {
        let row = |year: u32| format!("{name};{year}-03-24;10;10.0{};0.5 %\n", year % 10);
        let head = format!("{item};Date;Nominal [V];Reading [V];Tolerance\n");
        head + &row(2021) + &row(2022) + &row(2023)
    };
    let texts = [form("Asset", "A"), form("Gauge", "B"), form("Tool", "C")];
    let files = [
        ("a.csv", texts[0].as_str()),
        ("b.csv", texts[1].as_str()),
        ("c.csv", texts[2].as_str()),
    ];
    let (_, first) = started(folder.path(), &files, &[]);
    assert_eq!(first.open, ["per_cent_of"]);
    let text = std::fs::read_to_string(&first.file).unwrap();
    says!(text, "The same is asked of b.csv, c.csv: per_cent_of");
    std::fs::remove_file(&first.file).unwrap();
    let (heard, answered) = started(folder.path(), &files, &[1]);
    assert!(answered.open.is_empty(), "{:?}", answered.open);
    let text = std::fs::read_to_string(&answered.file).unwrap();
    assert_eq!(
        text.matches("\nper_cent_of = \"range\"").count(),
        3,
        "{text}"
    );
    says!(heard.text, "As answered before: ");
}

/// An answer that stands is about the files that were there: of one that comes later it is asked again.
#[test]
fn an_answer_about_k_is_none_of_a_form_that_comes_later() {
    let folder = tempfile::tempdir().unwrap();
    let first = "Item;Date;Error;U\nG-1;2021-04-03;0,4;0,1\nG-1;2022-06-05;0,5;0,1\n";
    let (_, answered) = started(folder.path(), &[("a.csv", first)], &[1]);
    let text = std::fs::read_to_string(&answered.file).unwrap();
    says!(text, "coverage_factor = 1.0");
    let other = "Gauge,Date,Error,U\nG-2,2021-08-07,0.6,0.1\nG-2,2022-10-09,0.7,0.1\n";
    let (_, later) = started(folder.path(), &[("a.csv", first), ("b.csv", other)], &[]);
    assert_eq!(later.open, ["coverage_factor_2"]);
}
