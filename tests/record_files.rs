/*! Record files as they are: workbooks, titles, units rows, sums, wide tables. What made them is
known, and comes back value by value, or is named. */

use crate::desk::{Desk, Truth, checks, loaded, truth};
use crate::tool::{driftbook, read_csv};

/// What `tests/records/make_workbooks.py` puts into its workbooks, by item and day.
const CHECKS: [Truth; 8] = [
    ("R-1", "2021-03-02", 0.4),
    ("R-1", "2022-03-01", 1.3),
    ("R-1", "2023-03-07", 1.9),
    ("R-1", "2024-02-29", 2.8),
    ("R-2", "2021-04-06", -0.1),
    ("R-2", "2022-04-05", 0.300_000_000_000_000_04),
    ("R-2", "2023-04-04", 0.2),
    ("R-2", "2024-04-02", 0.7),
];

#[test]
fn every_kind_of_workbook_gives_back_what_was_put_in() {
    let desk = Desk::new();
    for name in ["plain.xlsx", "system-1904.xlsx", "plain.ods", "plain.xls"] {
        let loaded = loaded(&desk.workbook(name));
        assert_eq!(checks(&loaded), truth(&CHECKS), "{name}");
        assert_eq!((loaded.rows.used, loaded.rows.rejected), (8, 0), "{name}");
        assert_eq!(loaded.histories.items[0].unit, "mK");
        let source = loaded.histories.columns.source[0];
        assert_eq!(source, (0, 2), "{name}: the first check stands in row 2");
    }
}

/// Title, header in two rows with merged cells, units, items merged over their rows, sums,
/// a footer, numbers as text, formulas with and without results, an error.
#[test]
fn a_laboratorys_own_workbook_is_understood_in_two_commands() {
    let desk = Desk::new();
    let (started, pipeline) = desk.start(&desk.workbook("laboratory.xlsx"));
    assert_eq!(started.status, 0, "{}", started.stderr);
    says!(
        started.stdout,
        "D9 (#N/A)",
        "D13",
        "\"Notes\" is not read",
        "0 rejected"
    );
    let loaded = loaded(&pipeline);
    assert_eq!(checks(&loaded), truth(&CHECKS));
    let columns = &loaded.histories.columns;
    // U (k = 2) of 0.4; two cells hold none.
    let u: Vec<f64> = columns
        .u
        .iter()
        .copied()
        .filter(|u| u.is_finite())
        .collect();
    assert_eq!(u, [0.2; 6]);
    assert_eq!(loaded.histories.items[0].unit, "mK");
    assert_eq!((columns.lower[0], columns.upper[0]), (-5.0, 5.0));
    desk.run(&pipeline).well();
    let record = std::fs::read_to_string(desk.path("report/run.json")).unwrap();
    let record: serde_json::Value = serde_json::from_str(&record).unwrap();
    let rows = |key: &str| record["rows"][key].as_u64().unwrap();
    // The title, the units, a mean, a total, a footer.
    assert_eq!((rows("read"), rows("used"), rows("set_aside")), (8, 8, 5));
    let told = std::fs::read_to_string(desk.path("report/warnings.csv")).unwrap();
    says!(told, "row 1 stands above", "row 12, 16", "row 17");
}

#[test]
fn sheets_are_read_together_and_the_register_and_jobs_are_sheets_too() {
    let desk = Desk::new();
    let book = desk.workbook("years.xlsx");
    let asked = desk.run(&book).ended(1);
    assert!(asked.stderr.contains("sheet \"Jobs\"") && asked.stderr.contains("sheets = "));
    let pipeline = desk.file(
        "years.toml",
        "[checks]\nfiles = [\"years.xlsx\"]\nsheets = [\"2021\", \"2022\", \"2023\", \"2024\"]\n\
         [register]\nfile = \"years.xlsx\"\nsheet = \"Register\"\n\
         [jobs]\nfile = \"years.xlsx\"\nsheet = \"Jobs\"\n",
    );
    let loaded = loaded(&pipeline);
    assert_eq!(checks(&loaded), truth(&CHECKS));
    assert_eq!(loaded.histories.items[1].interval_days, Some(500.0));
    desk.run(&pipeline).well();
    let absent = desk.file(
        "absent.toml",
        "[checks]\nfiles = [\"years.xlsx\"]\nsheets = [\"2020\"]\n",
    );
    let told = desk.run(&absent).stderr;
    assert!(
        told.contains("no sheet \"2020\"") && told.contains("\"Register\""),
        "{told}"
    );
}

#[test]
fn numbers_stored_as_text_with_commas_stand_beside_numbers() {
    let desk = Desk::new();
    let (started, pipeline) = desk.start(&desk.workbook("german-texts.xlsx"));
    assert_eq!(started.status, 0, "{}", started.stderr);
    assert_eq!(checks(&loaded(&pipeline)), truth(&CHECKS[..4]));
}

#[test]
fn start_on_a_file_that_cannot_be_read_writes_a_draft_that_asks() {
    let desk = Desk::new();
    let start = |name: &str| {
        let path = desk.path(name);
        let started = driftbook(&["start", path.to_str().unwrap()]);
        (started, path.with_extension("toml"))
    };
    desk.workbook("protected.xlsx");
    std::fs::write(desk.path("cut.xlsx"), b"PK\x03\x04 cut off").unwrap();
    std::fs::write(desk.path("junk.csv"), [0, 159, 146, 150, 0, 1]).unwrap();
    desk.file("empty.csv", "");
    for (name, words) in [
        ("protected.xlsx", "protected by a password"),
        ("cut.xlsx", "cannot be read as a workbook"),
        ("junk.csv", "binary data"),
        ("empty.csv", "the file is empty"),
    ] {
        let (started, pipeline) = start(name);
        assert_eq!(started.status, 0, "{name}: {}", started.stderr);
        let draft = std::fs::read_to_string(&pipeline).unwrap();
        assert!(
            draft.contains("file_not_read = ") && draft.contains(words),
            "{draft}"
        );
        let refused = desk.run(&pipeline);
        assert_eq!(refused.status, 2, "{name}: {}", refused.stderr);
        says!(refused.stderr, "file_not_read");
    }
    desk.file("empty.csv", "Item,Date,Error\nG-1,2021-03-04,0.1\n");
    let (_, pipeline) = start("empty.csv");
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    says_not!(draft, "\"? ");
    assert_eq!(desk.run(&pipeline).status, 0);
}

#[test]
fn workbooks_that_cannot_be_read_are_refused_in_words() {
    let desk = Desk::new();
    let plain = std::fs::read(desk.workbook("plain.xlsx")).unwrap();
    std::fs::write(desk.path("cut.xlsx"), &plain[..plain.len() / 2]).unwrap();
    let mut xls = std::fs::read(desk.workbook("plain.xls")).unwrap();
    xls.truncate(3_000);
    std::fs::write(desk.path("cut.xls"), &xls).unwrap();
    let large = "[checks]\nfiles = [\"large.xlsx\"]\nlargest_unpacked_mb = 2\n";
    desk.workbook("large.xlsx");
    desk.file("large.toml", large);
    desk.workbook("protected.xlsx");
    for (name, words) in [
        ("cut.xlsx", "cannot be read as a workbook"),
        ("cut.xls", "as a workbook"),
        ("large.toml", "unpacks to more than 2 MB"),
        ("protected.xlsx", "protected by a password"),
    ] {
        let done = desk.run(&desk.path(name));
        assert!(done.status > 0, "{name}");
        assert!(done.stderr.contains(words), "{name}: {}", done.stderr);
        assert!(!done.stderr.contains("panicked"), "{name}: {}", done.stderr);
        assert!(!desk.path("report").exists(), "{name}");
    }
    let told = driftbook(&[
        "verdict",
        "R-1",
        "0.3",
        "--date",
        "2026-01-01",
        "--records",
        desk.path("plain.xlsx").to_str().unwrap(),
        "--record",
        desk.path("plain.xlsx").to_str().unwrap(),
    ]);
    says!(told.stderr, "a workbook cannot be appended to");
}

/// Shapes of text, each with its truth, through `start` alone.
#[test]
fn tables_in_any_shape_of_text_give_back_what_was_put_in() {
    let three: [Truth; 3] = [
        ("G-1", "2021-03-02", 0.4),
        ("G-1", "2022-03-01", -1.3),
        ("G-2", "2022-03-05", 0.25),
    ];
    let shapes = [
        (
            "a title, blank rows, a sum and a footer",
            "Gauges of the invented laboratory;;;\n;;;\nItem;Date;Error;Unit\nG-1;2021-03-02;0.4;mm\n;;;\nG-1;2022-03-01;-1.3;mm\nG-2;2022-03-05;0.25;mm\nMean;;-0.22;\nPrinted on paper\n",
        ),
        (
            "a row of units and a title with commas",
            "Gauges, all of them, of 2022\n\nItem,Date,Error\n,yyyy-mm-dd,mm\nG-1,2021-03-02,0.4\nG-1,2022-03-01,-1.3\nG-2,2022-03-05,0.25\n",
        ),
        (
            "a row of units beside a column of outcomes",
            "Item,Date,Error,Result\n,,mm,\nG-1,2021-03-02,0.4,pass\nG-1,2022-03-01,-1.3,pass\nG-2,2022-03-05,0.25,pass\n",
        ),
        (
            "a header of two rows and a header that is repeated",
            "Item;Checked;As found;\n;;error;remark\nG-1;2021-03-02;0.4;\nG-1;2022-03-01;-1.3;\nItem;Checked;As found;\n;;error;remark\nG-2;2022-03-05;0.25;ok\n",
        ),
        (
            "Dutch words, tabs and decimal commas",
            "Kenmerk\tMeetdatum\tAfwijking [mm]\nG-1\t02-03-2021\t0,4\nG-1\t01-03-2022\t-1,3\nG-2\t25-03-2022\t0,25\n",
        ),
    ];
    for (what, text) in shapes {
        let desk = Desk::new();
        let (started, pipeline) = desk.start(&desk.file("gauges.csv", text));
        assert_eq!(started.status, 0, "{what}: {}", started.stderr);
        let mut expected = truth(&three);
        if what.starts_with("Dutch") {
            expected[2].1 = "2022-03-25".into();
        }
        let loaded = loaded(&pipeline);
        assert_eq!(checks(&loaded), expected, "{what}\n{}", started.stdout);
    }
}

#[test]
fn wide_tables_give_back_what_was_put_in() {
    let desk = Desk::new();
    let years = "Blocks of the invented laboratory\nItem;Lower;Upper;2020;2021;2022;Remark\n;µm;µm;µm;µm;µm;\n\
                 B-1;-0,5;0,5;0,10;0,12;;\nB-2;-0,5;0,5;x;0,02;-0,03;lent\nMean;;;0,1;0,07;-0,03;\n";
    let (started, pipeline) = desk.start(&desk.file("blocks.csv", years));
    assert_eq!(started.status, 0, "{}", started.stderr);
    says!(started.stdout, "unstated = \"07-01\"");
    let blocks = loaded(&pipeline);
    let expected: [Truth; 4] = [
        ("B-1", "2020-07-01", 0.1),
        ("B-1", "2021-07-01", 0.12),
        ("B-2", "2021-07-01", 0.02),
        ("B-2", "2022-07-01", -0.03),
    ];
    assert_eq!(checks(&blocks), truth(&expected));
    assert_eq!(blocks.histories.items[0].unit, "µm");
    assert_eq!(blocks.rows.read, blocks.rows.used + blocks.rows.rejected);
    let reject = &blocks.rejects[0];
    assert_eq!((reject.row, reject.value.as_str()), (5, "x"));
    says!(reject.reason, "\"2020\"");

    let pairs = "S/N,03/02/2020,,14/03/2021,,\n,found [mK],left [mK],found [mK],left [mK],U (k=2) [mK]\n\
                 T-1,1.0,0.1,0.4,,0.6\nT-2,,,4.1,0.0,0.6\n";
    let (started, pipeline) = desk.start(&desk.file("pairs.csv", pairs));
    assert_eq!(started.status, 0, "{}", started.stderr);
    let pairs = loaded(&pipeline);
    let expected: [Truth; 3] = [
        ("T-1", "2020-02-03", 1.0),
        ("T-1", "2021-03-14", 0.4),
        ("T-2", "2021-03-14", 4.1),
    ];
    assert_eq!(checks(&pairs), truth(&expected), "{}", started.stdout);
    assert_eq!(pairs.histories.columns.as_left[0], 0.1);
    assert_eq!(pairs.histories.columns.u[1..], [0.3, 0.3]);
}

/// One row a date, one column a point: the points and their nominal values are the headers'.
#[test]
fn tables_of_one_column_a_point_give_back_what_was_put_in() {
    let desk = Desk::new();
    let gauge = "Gauge log of the invented workshop\nGauge;Date;0 bar;5 bar;10 bar;Result;Remark\n\
                 G-1;03.02.2021;0,01;5,02;10,03;ok;\nG-1;15.02.2022;0,02;;10,05;ok;\n\
                 G-1;14.02.2023;;;;n.i.O.;glass broken\nG-1;20.02.2024;x;5,04;10,06;ok;\n";
    let (started, pipeline) = desk.start(&desk.file("gauge.csv", gauge));
    assert_eq!(started.status, 0, "{}", started.stderr);
    let text = std::fs::read_to_string(&pipeline).unwrap();
    says!(text, "points = [\"0 bar\", \"5 bar\", \"10 bar\"]");
    let read = loaded(&pipeline);
    let found: Vec<(String, String, f64)> = read
        .histories
        .iter()
        .flat_map(|history| {
            let dates = history.date.iter().zip(history.as_found);
            let day = |day: &f64| driftbook::records::date::iso(*day);
            let point = history.item.point.clone();
            dates.map(move |(date, found)| (point.clone(), day(date), (found * 1e3).round()))
        })
        .filter(|(_, _, found)| found.is_finite())
        .collect();
    let expected = [
        ("0 bar", "2021-02-03", 10.0),
        ("0 bar", "2022-02-15", 20.0),
        ("5 bar", "2021-02-03", 20.0),
        ("5 bar", "2024-02-20", 40.0),
        ("10 bar", "2021-02-03", 30.0),
        ("10 bar", "2022-02-15", 50.0),
        ("10 bar", "2024-02-20", 60.0),
    ];
    let expected: Vec<_> = expected
        .map(|(point, day, found)| (point.to_string(), day.to_string(), found))
        .into();
    assert_eq!(found, expected, "{}", started.stdout);
    assert!(read.histories.items.iter().all(|item| item.unit == "bar"));
    // The failure without a value is a check of its own; the pass beside the x is told.
    says!(started.stdout, "failures     1", "\"0 bar\"");

    let pairs = "Item,Date,0 °C found [mK],0 °C left [mK],U (k=2) 0 °C [mK],50 °C found [mK],50 °C left [mK]\n\
                 T-1,2021-03-02,1.0,0.1,0.4,5.0,0.5\nT-1,2022-03-02,0.4,,0.4,2.0,\n";
    let (started, pipeline) = desk.start(&desk.file("pairs.csv", pairs));
    assert_eq!(started.status, 0, "{}", started.stderr);
    let pairs = loaded(&pipeline);
    let columns = &pairs.histories.columns;
    assert_eq!(columns.as_found, [1.0, 0.4, 5.0, 2.0], "{}", started.stdout);
    assert_eq!((columns.as_left[0], columns.as_left[2]), (0.1, 0.5));
    assert_eq!(columns.u[..2], [0.2, 0.2]);
    assert_eq!(pairs.histories.items[1].point, "50 °C");
}

/// Outcomes alone, while columns of numbers stand beside them, are asked about.
#[test]
fn values_are_never_left_for_outcomes_unasked() {
    let desk = Desk::new();
    let text = "Item;Date;Left scale;Right scale;Result\nB-1;2021-03-02;0.4;0.1;pass\nB-1;2022-03-02;0.5;0.2;pass\n";
    driftbook(&["start", desk.file("scales.csv", text).to_str().unwrap()]);
    let asked = desk.run(&desk.path("scales.toml")).ended(2);
    says!(asked.stderr, "numbers_not_read", "Left scale, Right scale");
}

/// A message, `rejects.csv` and a spreadsheet number a row alike.
#[test]
fn rows_are_numbered_as_a_spreadsheet_shows_them() {
    let desk = Desk::new();
    let text =
        "Log of gauges\n\ninstrument,date,as_found\nG-1,2021-03-02,0.4\n\nG-1,2022-03-01,much\n";
    desk.run(&desk.file("log.csv", text)).well();
    let rejects = read_csv(&desk.path("report/rejects.csv")).rows;
    assert_eq!(
        (rejects[0]["row"].as_str(), rejects[0]["line"].as_str()),
        ("3", "6")
    );
}
