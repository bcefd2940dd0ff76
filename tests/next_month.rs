/*! A folder that gains a file each month: what `start` wrote of it reads the next one too, or a run says that it does not. */

use super::desk::{Desk, loaded};
use super::make_workbook::{rows, xlsx_of};
use super::tool::driftbook;
use std::process::Command;

/// The checks of two gauges in one half of a year, under a header of their unit.
fn half_year(year: i32, month: u32, unit: &str) -> String {
    let found = |value: f64| match unit {
        "bar" => format!("{:.4}", value / 1000.0),
        _ => format!("{value:.1}"),
    };
    format!(
        "Gauge;Date;Error [{unit}];Tol ± [{unit}]\nDM-1;{year}-{month:02}-06;{};{}\nDM-2;{year}-{month:02}-07;{};{}\n",
        found(0.3),
        found(1.5),
        found(0.4),
        found(1.5)
    )
}

/// A desk with a folder of six such files, the last of them in another unit than the others.
fn desk() -> Desk {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("months")).unwrap();
    for number in 0..6 {
        let (year, month) = (2023 + number / 2, 1 + 6 * (number as u32 % 2));
        let unit = if number == 5 { "bar" } else { "mbar" };
        let text = half_year(year, month, unit);
        desk.file(&format!("months/{year}-{month:02}.csv"), &text);
    }
    desk
}

/// One file in another form made the others be named one by one, and next month's checks were missed without a word.
#[test]
fn a_file_in_another_form_leaves_the_folder_open_for_the_next_one() {
    let desk = desk();
    // From the folder itself, as a person types it.
    let started = Command::new(env!("CARGO_BIN_EXE_driftbook"))
        .args(["start", "months"])
        .current_dir(desk.path(""))
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&started.stdout).into_owned();
    assert!(started.status.success(), "{said}");
    says!(said, "12 read, 12 used in 2\u{a0}histories");
    let pipeline = desk.path("months.toml");
    let text = std::fs::read_to_string(&pipeline).unwrap();
    for line in [
        "files = [\"months/*.csv\"]",
        "files = [\"months/2025-07.csv\"]",
    ] {
        assert!(text.contains(line), "{text}");
    }
    // What is usual is that of the records in all forms.
    let usual = "current_interval_days = 18";
    assert!(text.contains(usual), "{text}");
    assert_eq!(loaded(&pipeline).rows.used, 12);
    desk.file("months/2026-01.csv", &half_year(2026, 1, "mbar"));
    let loaded = loaded(&pipeline);
    assert_eq!(loaded.rows.used, 14);
    let turned = loaded.warnings.iter().find(|w| w.words.contains("read in"));
    let words = &turned.unwrap().words;
    says!(words, "(months/2025-07.csv, row 2: 0.0003 bar is 0.3 mbar)");
}

/// Where files are named one by one, the next of their series is told by every run, even by one that leaves the report
/// as it stands.
#[test]
fn the_next_file_of_a_series_that_is_named_one_by_one_is_told() {
    let desk = desk();
    std::fs::remove_file(desk.path("months/2025-07.csv")).unwrap();
    let register = "[register]\nfile = \"register-1.csv\"\n";
    let files = "[checks]\ncolumns = { instrument = \"Gauge\", date = \"Date\", as_found = \"Error [mbar]\", tolerance = \"Tol ± [mbar]\" }\nfiles = [\"months/2024-07.csv\", \"months/2025-01.csv\"]\n";
    desk.file(
        "register-1.csv",
        "instrument,interval_days\nDM-1,182\nDM-2,182\n",
    );
    let pipeline = desk.file("lab.toml", &format!("{files}{register}"));
    let others = ["2023-01", "2023-07", "2024-01"].map(|name| format!("{name}.csv"));
    for name in &others {
        std::fs::remove_file(desk.path(&format!("months/{name}"))).unwrap();
    }
    let run = |quiet: bool| {
        let (path, out) = (pipeline.to_str().unwrap(), desk.path("report"));
        let mut words = vec!["run", path, "--as-of", "2026-06-30", "--out"];
        words.push(out.to_str().unwrap());
        words.extend(quiet.then_some("--quiet"));
        driftbook(&words)
    };
    let missed = "2026-01.csv lies beside files of checks that are called alike, and is not read";
    says_not!(run(false).stderr, "called alike");
    desk.file("months/2026-01.csv", &half_year(2026, 1, "mbar"));
    for quiet in [true, false] {
        let done = run(quiet).well();
        assert_eq!(done.stderr.matches(missed).count(), 1, "{}", done.stderr);
    }
    std::fs::remove_dir_all(desk.path("report")).unwrap();
    assert_eq!(run(false).stderr.matches(missed).count(), 1);
    let warnings = std::fs::read_to_string(desk.path("report/warnings.csv")).unwrap();
    assert!(warnings.contains(missed), "{warnings}");
}

/// The column of remarks was empty as long as `start` looked at it; the first adjustment in it changed nothing, without a
/// word.
#[test]
fn remarks_that_later_tell_of_an_adjustment_are_told() {
    let desk = Desk::new();
    let header = "Gauge;Date;Error [mK];Tol ±;Remarks\n";
    let before = "A;2023-03-04;0.4;5;\nA;2024-03-04;1.3;5;window open\n";
    let log = desk.file("log.csv", &format!("{header}{before}"));
    let (started, pipeline) = desk.start(&log);
    says_not!(started.stdout, "events_in_remarks");
    let told = |later: &str| {
        desk.file("log.csv", &format!("{header}{before}{later}"));
        let warnings = loaded(&pipeline).warnings;
        warnings
            .iter()
            .filter(|w| w.words.contains("tells of events"))
            .count()
    };
    assert_eq!(told("A;2025-03-04;2.1;5;\n"), 0);
    let adjusted = "A;2025-03-04;2.1;5;adjusted\n";
    assert_eq!(told(adjusted), 1);
    // A person says that nothing was done.
    let text = std::fs::read_to_string(&pipeline).unwrap();
    std::fs::write(&pipeline, text.replace("# event = \"…\"", "event = false")).unwrap();
    assert_eq!(told(adjusted), 0);
}

/// The same of a column that only later files have.
#[test]
fn a_later_column_of_what_was_left_is_told() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("months")).unwrap();
    let rows = "A;2024-03-04;1.3;5\nB;2024-03-05;1.1;5\n";
    desk.file(
        "months/2024-03.csv",
        &format!("Gauge;Date;Error [mK];Tol ±\n{rows}"),
    );
    let (_, pipeline) = desk.start(&desk.path("months"));
    let header = "Gauge;Date;Error [mK];Tol ±;Error after adjustment [mK]\n";
    desk.file(
        "months/2025-03.csv",
        &format!("{header}A;2025-03-04;4.3;5;0.1\n"),
    );
    let warnings = loaded(&pipeline).warnings;
    let told = warnings
        .iter()
        .find(|w| w.words.contains("it may be as_left"));
    assert_eq!(told.unwrap().source, "months/2025-03.csv");
}

/// A file and its corrected copy side by side: what they agree on counts once, and where they differ both readings count,
/// which is said.
#[test]
fn a_corrected_copy_beside_its_file_is_told() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("months")).unwrap();
    let header = "instrument,date,as_found,lower,upper,unit\n";
    let rows =
        |value: &str| format!("{header}A,2025-03-04,{value},-5,5,mK\nB,2025-03-04,0.3,-5,5,mK\n");
    desk.file("months/2025-03.csv", &rows("1.43"));
    desk.file("months/2025-03 (2).csv", &rows("1.24"));
    let loaded = loaded(&desk.path("months"));
    assert_eq!((loaded.rows.used, loaded.rows.merged), (3, 1));
    let words: Vec<&str> = loaded.warnings.iter().map(|w| w.words.as_str()).collect();
    let told = words
        .iter()
        .find(|w| w.starts_with("files differ on") && w.contains("(2025-03-04: 1.24 in "));
    let other = "1.43 in ";
    assert!(told.is_some_and(|told| told.contains(other)), "{words:?}");
    assert_eq!(words.iter().filter(|w| w.contains("differ on")).count(), 1);
}

/// A column of a further point, or of a further instrument, that a table gains later.
#[test]
fn a_later_column_of_a_point_or_an_instrument_is_told() {
    let desk = Desk::new();
    for (name, headers, later) in [
        ("points.csv", "Gauge;Date;5 bar;10 bar", "15 bar"),
        ("couples.csv", "Date;TC-1;TC-2", "TC-3"),
    ] {
        let row = |year: u32, lead: &str| format!("{lead}{year}-03-04;0.1;0.2\n");
        let lead = if name == "points.csv" { "G-1;" } else { "" };
        let rows = row(2023, lead) + &row(2024, lead);
        let table = desk.file(name, &format!("{headers}\n{rows}"));
        let (started, pipeline) = desk.start(&table);
        let told = |loaded: &driftbook::records::Loaded| {
            let warnings = loaded.warnings.iter();
            warnings
                .filter(|w| w.words.contains("is called like the points"))
                .count()
        };
        assert_eq!(told(&loaded(&pipeline)), 0, "{}", started.stdout);
        let rows = rows.replace("0.2\n", "0.2;0.3\n");
        desk.file(name, &format!("{headers};{later}\n{rows}"));
        assert_eq!(told(&loaded(&pipeline)), 1, "{name}");
    }
}

/// A month in another decimal sign than the pipeline file states: its rows are rejected, and the file as a whole is told.
#[test]
fn a_month_of_which_no_row_can_be_used_is_told() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("months")).unwrap();
    let header = "Gauge;Date;Error [mK];Tol ±\n";
    let month = |year: u32, error: &str| {
        format!("{header}A;{year}-03-04;{error};5\nB;{year}-03-05;{error};5\n")
    };
    desk.file("months/2024-03.csv", &month(2024, "1,3"));
    let (_, pipeline) = desk.start(&desk.path("months"));
    desk.file("months/2025-03.csv", &month(2025, "1.35"));
    let loaded = loaded(&pipeline);
    assert_eq!((loaded.rows.used, loaded.rows.rejected), (2, 2));
    let told = loaded
        .warnings
        .iter()
        .find(|w| w.words.starts_with("none of 2"));
    assert_eq!(told.unwrap().source, "months/2025-03.csv");
}

/// The sheet of the next year under the header of those before is read, as a further file of a folder is; under others it
/// is told.
#[test]
fn the_sheet_of_the_next_year_is_read_under_the_same_header_and_told_under_others() {
    let desk = Desk::new();
    let year = |header: &str, year: u32| {
        rows(&format!(
            "{header}\nA|{year}-03-04|1.3|5\nB|{year}-03-05|1.1|5\n"
        ))
    };
    let known = "Gauge|Date|Error [mK]|Tol ±";
    let sheets = [2023, 2024].map(|number| (number.to_string(), year(known, number)));
    let book = |last: Option<String>| {
        let last = last.map(|rows| ("2025".to_string(), rows));
        let all: Vec<(String, String)> = sheets.iter().cloned().chain(last).collect();
        let all = all
            .iter()
            .map(|(name, rows)| (name.as_str(), rows.as_str()));
        let all: Vec<(&str, &str)> = all.collect();
        std::fs::write(desk.path("log.xlsx"), xlsx_of(&all, false)).unwrap();
    };
    book(None);
    let (started, pipeline) = desk.start(&desk.path("log.xlsx"));
    let said = "so is one that is added later with the same header";
    assert!(started.stdout.contains(said), "{}", started.stdout);
    assert_eq!(loaded(&pipeline).rows.used, 4);
    book(Some(year(known, 2025)));
    assert_eq!(loaded(&pipeline).rows.used, 6);
    book(Some(year("No.|Checked on|Dev. [mK]|Limit", 2025)));
    let loaded = loaded(&pipeline);
    assert_eq!(loaded.rows.used, 4);
    let words = loaded.warnings.iter().map(|w| w.words.as_str());
    let told = "have other columns and are not read: \"2025\"";
    assert_eq!(words.filter(|words| words.contains(told)).count(), 1);
}

/// A sheet that lacks one column of checks would stop every run: then the sheets stay named.
#[test]
fn sheets_stay_named_where_a_run_would_refuse_another() {
    let desk = Desk::new();
    let checks = rows("Gauge|Date|Error [mK]|Tol ±\nA|2023-03-04|1.3|5\nB|2023-03-05|1.1|5\n");
    let plan = rows("Gauge|Date|Note\nA|2027-03-04|in spring\nB|2027-03-05|in spring\n");
    let book = xlsx_of(&[("2023", &checks), ("Plan", &plan)], false);
    std::fs::write(desk.path("log.xlsx"), book).unwrap();
    let (_, pipeline) = desk.start(&desk.path("log.xlsx"));
    let text = std::fs::read_to_string(&pipeline).unwrap();
    assert!(text.contains("sheets = [\"2023\"]"), "{text}");
    assert_eq!(loaded(&pipeline).rows.used, 2);
}

/// A wide table was looked at for its own dates alone: a column of another way to write them was not read, without a word.
#[test]
fn a_later_column_of_a_wide_table_is_read_or_told() {
    let desk = Desk::new();
    let lines = [
        "Gauge;Tol ± [mK];2021;2022;2023",
        "A;5;0,4;0,5;0,6",
        "B;5;1,4;1,5;1,6",
    ];
    let table = |cells: [&str; 3]| {
        let lines = lines.iter().zip(cells);
        lines
            .map(|(line, cell)| format!("{line}{cell}\n"))
            .collect::<String>()
    };
    let log = desk.file("log.csv", &table(["", "", ""]));
    let (_, pipeline) = desk.start(&log);
    let with = |cells: [&str; 3]| {
        desk.file("log.csv", &table(cells));
        let loaded = loaded(&pipeline);
        let told = loaded.warnings.into_iter().map(|warning| warning.words);
        (loaded.rows.used, told.collect::<Vec<_>>().join("\n"))
    };
    assert_eq!(with([";2024", ";0,7", ";1,7"]).0, 8);
    for header in ["2024-03", "12.03.2024", "Checked"] {
        let column = format!(";{header}");
        let (used, told) = with([&column, ";0,7", ";1,7"]);
        assert_eq!(used, 6, "{told}");
        says!(told, &format!("column \"{header}\" is not read"));
    }
    // What states a date beside unknown words is told once.
    let (_, told) = with([";Result 2024", ";pass", ";fail"]);
    assert_eq!(told.matches("Result 2024").count(), 1, "{told}");
    says!(told, "states a date or point beside words");
}

/// An export that began to write decimals split every point into a history before and one after.
#[test]
fn points_that_a_later_file_writes_with_decimals_are_the_same_points() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("months")).unwrap();
    let month = |month: u32, points: [&str; 2]| {
        let row = |point: &str| format!("P-1,{point},2025-{month:02}-05,0.{month},-2,2,kPa\n");
        let rows = points.map(row).concat();
        let text = format!("instrument,point,date,as_found,lower,upper,unit\n{rows}");
        desk.file(&format!("months/2025-{month:02}.csv"), &text);
    };
    for number in 1..4 {
        month(number, ["100", "600"]);
    }
    let (_, pipeline) = desk.start(&desk.path("months"));
    month(4, ["100.00", "600.00"]);
    let read = loaded(&pipeline);
    let points: Vec<&str> = read
        .histories
        .items
        .iter()
        .map(|i| i.point.as_str())
        .collect();
    assert_eq!(points, ["100", "600"]);
    let told: Vec<String> = read.warnings.iter().map(ToString::to_string).collect();
    says!(told.join("\n"), "P-1: \"100.00\" as \"100\" (and 1 more)");
}
