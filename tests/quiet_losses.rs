/*! What a first look must not lose quietly: points, adjustments, names and limits that stand in columns under headers that
no list knows. All records are invented. */

use crate::desk::{Desk, checks, loaded, truth};
use crate::make_workbook::{rows, xlsx_of};

/// The doubts that `start` marks for a file of this text, and what it told.
pub fn asked(text: &str) -> (Vec<String>, String) {
    let desk = Desk::new();
    desk.file("log.csv", text);
    let (done, pipeline) = desk.start(&desk.path("log.csv"));
    let draft = std::fs::read_to_string(pipeline).unwrap();
    let marked = draft.lines().filter(|line| line.contains("right: "));
    let names = marked.filter_map(|line| line.split(' ').next());
    (names.map(String::from).collect(), done.stdout)
}

#[test]
fn rows_that_state_one_quantity_each_are_no_checks_of_their_own() {
    let (asked, told) = asked(
        "sample,instrument,date,component,result,unit\n\
        S1,CT-1,2022-10-21,As found error,0.3,µS/cm\nS1,CT-1,2022-10-21,Expanded uncertainty,0.4,µS/cm\n\
        S1,CT-1,2022-10-21,Upper limit,4,µS/cm\nS2,CT-1,2023-10-21,As found error,0.5,µS/cm\n\
        S2,CT-1,2023-10-21,Expanded uncertainty,0.4,µS/cm\nS2,CT-1,2023-10-21,Upper limit,4,µS/cm\n",
    );
    assert!(asked.contains(&"rows_of_columns".into()), "{told}");
    says!(told, "(\"Expanded uncertainty\", \"Upper limit\")");
}

#[test]
fn marks_of_rows_are_asked_about_where_nothing_else_tells_of_events() {
    let (marked, told) = asked(
        "Item,Date,Error [mm],Eingriff?\nG-1,2022-10-21,0.3,\nG-1,2023-10-21,0.9,x\nG-1,2024-10-21,0.2,\n",
    );
    assert_eq!(marked, ["marks_not_read"], "{told}");
    says!(told, "marks 1 of 3 rows (\"x\")");
}

/// Readings that a laboratory had voided were checks like the others.
#[test]
fn rows_that_are_void_are_asked_about() {
    let rows = |state: &str| {
        format!(
            "Item;Date;Error [mK];Tol ±;State\nA;2023-03-04;1.35;5;valid\nA;2024-03-05;9.91;5;{state}\nA;2024-03-06;1.41;5;valid\n"
        )
    };
    let (marked, told) = asked(&rows("void, wrong bath"));
    assert_eq!(marked, ["void_rows"], "{told}");
    says!(told, "1 row that it does not count (\"void, wrong bath\")");
    assert!(!asked(&rows("ok")).0.contains(&"void_rows".into()));
    // A column that is read may say it too.
    let (marked, told) = asked(
        "Item;Date;Error [mK];Tol ±;Result\nA;2023-03-04;1.35;5;pass\nA;2024-03-05;9.91;5;void\nA;2024-03-06;1.41;5;pass\n",
    );
    assert_eq!(marked, ["void_rows"], "{told}");
    says!(
        told,
        "void_rows_by = \"Result\" with void_rows_are = [\"void\"]"
    );
}

#[test]
fn a_name_that_tells_the_earlier_one_is_asked_about() {
    let (renamed, told) = asked(
        "Item,Date,Error [mm]\nC-2,2022-10-21,0.3\nC-12 (formerly C-2),2023-10-21,0.4\nC-12 (formerly C-2),2024-10-21,0.2\n",
    );
    assert_eq!(renamed, ["renamed"], "{told}");
    let (other, told) = asked(
        "Item,Date,Error [mm]\nC-2,2022-10-21,0.3\nC-12 (was lent),2023-10-21,0.4\nC-12 (was lent),2024-10-21,0.2\n",
    );
    assert!(other.is_empty(), "{told}");
}

#[test]
fn a_column_that_numbers_the_rows_names_no_instruments() {
    let desk = Desk::new();
    desk.file(
        "dump.csv",
        "id,asset_id,date,error_mm\n11,G-1,2022-10-21,0.3\n12,G-2,2022-10-21,0.1\n13,G-1,2023-10-20,0.4\n14,G-2,2023-10-20,0.2\n",
    );
    let (_, pipeline) = desk.start(&desk.path("dump.csv"));
    let read = [
        ("G-1", "2022-10-21", 0.3),
        ("G-1", "2023-10-20", 0.4),
        ("G-2", "2022-10-21", 0.1),
        ("G-2", "2023-10-20", 0.2),
    ];
    assert_eq!(checks(&loaded(&pipeline)), truth(&read));
    let (alone, told) = asked(
        "id,date,error_mm\n11,2022-10-21,0.3\n12,2022-10-21,0.1\n13,2023-10-20,0.4\n14,2023-10-20,0.2\n",
    );
    assert_eq!(alone, ["column_instrument"], "{told}");
}

#[test]
fn set_points_are_asked_about_where_sheets_have_the_names_of_the_instruments() {
    let sheet = |shift: f64| {
        let mut text = "Datum|Badtemperaturen|Avvikelse [°C]\n".to_string();
        for year in 2021..2024 {
            for (bath, error) in [(200, 0.4), (400, -1.2), (800, 1.8)] {
                text += &format!("{year}-11-15|{bath}|{}\n", error + shift);
            }
        }
        rows(&text)
    };
    let desk = Desk::new();
    let book = xlsx_of(&[("TE-101", &sheet(0.0)), ("TE-102", &sheet(0.1))], false);
    std::fs::write(desk.path("log.xlsx"), book).unwrap();
    let (started, _) = desk.start(&desk.path("log.xlsx"));
    says!(started.stdout, "points: \"Badtemperaturen\" is not read");
}

#[test]
fn what_stands_once_in_a_row_of_dates_was_found_on_none_of_them() {
    let desk = Desk::new();
    desk.file(
        "wide.csv",
        "Item,Tol ± [µm],Mass [g],2021-03-15 zzz,2021-03-15 yyy,2021-03-15 U,2022-03-16 zzz,2022-03-16 yyy,2022-03-16 U\n\
        B-1,3,12.5,-1.9,-0.2,0.4,-0.1,0.1,0.4\nB-2,3,13.5,-1.3,-0.2,0.4,-0.3,0.1,0.4\n",
    );
    let (started, _) = desk.start(&desk.path("wide.csv"));
    says!(started.stdout, "no column was found for as_found");
    // Before and after say of a value what they say of a row.
    desk.file(
        "pairs.csv",
        "Wzorzec,2021-03-15 przed [µm],2021-03-15 po [µm],2022-03-16 przed [µm],2022-03-16 po [µm]\n\
        B-1,-1.9,0.4,-0.1,0.4\nB-2,-1.3,0.4,-0.3,0.4\n",
    );
    let (_, pipeline) = desk.start(&desk.path("pairs.csv"));
    let read = [
        ("B-1", "2021-03-15", -1.9),
        ("B-1", "2022-03-16", -0.1),
        ("B-2", "2021-03-15", -1.3),
        ("B-2", "2022-03-16", -0.3),
    ];
    assert_eq!(checks(&loaded(&pipeline)), truth(&read));
}

#[test]
fn checks_of_one_day_follow_each_other_by_their_times() {
    let desk = Desk::new();
    let text = "Waage;Datum;Uhrzeit;Abw. [g]\nW-1;14.03.2023;15:45;0,3\nW-1;14.03.2023;07:30;0,1\n\
        W-1;15.03.2023;16:00;0,4\nW-1;15.03.2023;7:15;0,2\n";
    desk.file("log.csv", text);
    let (started, pipeline) = desk.start(&desk.path("log.csv"));
    says!(started.stdout, "(time_in)");
    let read = loaded(&pipeline);
    let values: Vec<f64> = read.histories.columns.as_found.to_vec();
    assert_eq!(values, [0.1, 0.3, 0.2, 0.4]);
    // A time that cannot be read rejects its row with the reason, and a blank one is none.
    desk.file(
        "log.csv",
        &text.replace("07:30", "early").replace("7:15", ""),
    );
    let read = loaded(&pipeline);
    assert_eq!(read.rejects.len(), 1, "{:?}", read.rejects);
    says!(read.rejects[0].reason, "no time of day");
    assert_eq!(read.histories.columns.as_found.len(), 3);
    // Durations are no times of day.
    let (_, told) = asked(&text.replace("Uhrzeit", "Dauer"));
    says!(told, "may state when on its day");
}

#[test]
fn a_table_that_is_turned_is_named_as_such() {
    let (turned, told) = asked(
        "Micrometer;MIC-1;;;\nDate;2021-04-14;2022-04-20;2023-04-19;\nError (µm);1,2;1,4;1,9;\nTolerance (µm);4;4;4;\n",
    );
    assert!(turned.contains(&"table_turned".into()), "{told}");
    says!(told, "table_turned: Row 2 states dates");
}
