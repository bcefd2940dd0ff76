/*! Records without a column of instruments: each file, or each sheet, is one instrument's own. */

use super::desk::{Desk, Truth, checks, loaded, truth};
use super::make_workbook::{rows, xlsx_of};
use super::tool::driftbook;

const FIRST: &str = "Date;Error [mK];Tol ±\n2023-03-04;0.4;5\n2024-03-04;1.3;5\n";
const SECOND: &str = "Date;Error [mK];Tol ±\n2023-03-05;-0.2;5\n2024-03-05;-0.1;5\n";

const TRUTH: [Truth; 4] = [
    ("TH-014", "2023-03-04", 0.4),
    ("TH-014", "2024-03-04", 1.3),
    ("TH-015", "2023-03-05", -0.2),
    ("TH-015", "2024-03-05", -0.1),
];

#[test]
fn files_that_have_the_names_of_their_instruments_are_asked_about_and_read_so() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("records")).unwrap();
    desk.file("records/TH-014.csv", FIRST);
    desk.file("records/TH-015.csv", SECOND);
    let (started, pipeline) = desk.start(&desk.path("records"));
    says!(
        started.stdout,
        "column_instrument: No column names the instruments",
        "2: TH-014, TH-015"
    );
    assert_eq!(checks(&loaded(&pipeline)), truth(&TRUTH));
    desk.run(&pipeline).well();
}

#[test]
fn sheets_that_have_the_names_of_their_instruments_are_asked_about_and_read_so() {
    let desk = Desk::new();
    let sheet = |text: &str| rows(&text.replace(';', "|"));
    let (first, second) = (sheet(FIRST), sheet(SECOND));
    // A sheet without dates is none of a further instrument.
    let notes = rows("Remark|By\nmoved to the new room|kb\n");
    let book = xlsx_of(
        &[("TH-014", &first), ("TH-015", &second), ("Notes", &notes)],
        false,
    );
    std::fs::write(desk.path("log.xlsx"), book).unwrap();
    let (started, pipeline) = desk.start(&desk.path("log.xlsx"));
    says!(started.stdout, "instrument_from = \"sheet\"");
    assert_eq!(checks(&loaded(&pipeline)), truth(&TRUTH));
}

/// A sheet a year: its name is a time, where a column of words could name the instruments.
#[test]
fn sheets_of_years_are_no_instruments() {
    let desk = Desk::new();
    let sheet = |text: &str| rows(text);
    let first = sheet("Weight|Date|Error [mg]\nW-1|2023-03-04|0.4\nW-2|2023-03-05|-0.2\n");
    let second = sheet("Weight|Date|Error [mg]\nW-1|2024-03-04|1.3\nW-2|2024-03-05|-0.1\n");
    let book = xlsx_of(&[("2023", &first), ("2024", &second)], false);
    std::fs::write(desk.path("weights.xlsx"), book).unwrap();
    let (started, _) = desk.start(&desk.path("weights.xlsx"));
    says!(
        started.stdout,
        "\"Weight\" is taken, the first column of words",
        "2: W-1, W-2"
    );
}

/// A file a month, each instrument once in each, and a footer that counts: checks, and no register.
#[test]
fn a_folder_of_months_is_checks() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("months")).unwrap();
    for month in 1..7 {
        let header = match month {
            1..4 => "Sensor;Check date;Deviation (mK);Limit ±(mK);Remark\n",
            _ => "Sensor;Check date;Deviation (mK);Limit ±(mK);Operator;Remark\n",
        };
        let more = if month < 4 { "" } else { ";km" };
        let mut text = header.to_string();
        for sensor in ["P-1", "P-2", "P-3"] {
            text += &format!("{sensor};2025-{month:02}-11;0,{month};2,0{more};\n");
        }
        text += "Number of checks;3;;;\n";
        desk.file(&format!("months/2025-{month:02}.csv"), &text);
    }
    let (started, pipeline) = desk.start(&desk.path("months"));
    says!(started.stdout, "18 used in 3");
    desk.run(&pipeline).well();
}

#[test]
fn a_column_of_words_may_name_the_instruments_or_the_file_does() {
    let desk = Desk::new();
    let with_names = |name: &str| {
        let line = |line: &str| {
            format!(
                "{line};{}\n",
                if line.starts_with('D') { "By" } else { name }
            )
        };
        FIRST.lines().map(line).collect::<String>()
    };
    desk.file("TH-014.csv", &with_names("kb"));
    let (started, _) = desk.start(&desk.path("TH-014.csv"));
    let asked = "\"By\" is taken, the first column of words. Or the instrument has the name of its file, \"TH-014\" (instrument_from = \"file\")?";
    assert!(started.stdout.contains(asked), "{}", started.stdout);
}

#[test]
fn a_text_has_no_sheets_to_name_its_instruments() {
    let desk = Desk::new();
    desk.file("TH-014.csv", FIRST);
    let plan = desk.file(
        "lab.toml",
        "[checks]\nfiles = [\"TH-014.csv\"]\ninstrument_from = \"sheet\"\n",
    );
    let run = desk.run(&plan);
    assert_ne!(run.status, 0);
    says!(run.stderr, "the file is no workbook");
}

/// A workbook of two sheets under one header, and a third under another.
fn three_sheets(desk: &Desk) -> std::path::PathBuf {
    let sheet = |text: &str| rows(&text.replace(';', "|"));
    let (first, second) = (sheet(FIRST), sheet(SECOND));
    let third = sheet("When;Deviation [µK];Limit ±\n2023-03-06;700;5000\n");
    let sheets = [("TH-014", &*first), ("TH-015", &second), ("TH-016", &third)];
    std::fs::write(desk.path("log.xlsx"), xlsx_of(&sheets, false)).unwrap();
    desk.path("log.xlsx")
}

#[test]
fn a_sheet_under_another_header_is_asked_about() {
    let desk = Desk::new();
    let (started, _) = desk.start(&three_sheets(&desk));
    let asked = "sheets_not_read: Sheets that seem to hold checks under other headers are not read: \"TH-016\".";
    assert!(started.stdout.contains(asked), "{}", started.stdout);
}

#[test]
fn a_sheet_that_another_form_reads_is_asked_about_no_more() {
    let desk = Desk::new();
    let (_, pipeline) = desk.start(&three_sheets(&desk));
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    let mut kept = draft.lines().filter(|l| !l.starts_with("sheets_not_read"));
    let other = "[[checks.other]]\nfiles = [\"log.xlsx\"]\nsheets = [\"TH-016\"]\ninstrument_from = \"sheet\"\n[checks.other.columns]\ndate = \"When\"\nas_found = \"Deviation [µK]\"\ntolerance = \"Limit ±\"\n";
    let text = kept
        .by_ref()
        .fold(String::new(), |text, line| text + line + "\n")
        + other;
    std::fs::write(&pipeline, text).unwrap();
    let (again, _) = desk.start(&desk.path("log.xlsx"));
    says_not!(again.stdout, "sheets_not_read");
    let mut truth = truth(&TRUTH);
    truth.push(("TH-016".into(), "2023-03-06".into(), 700.0));
    assert_eq!(checks(&loaded(&pipeline)), truth);
}

#[test]
fn forms_that_name_other_sheets_share_a_workbook_and_a_sheet_that_none_names_is_told() {
    let desk = Desk::new();
    three_sheets(&desk);
    let first = "[checks]\nfiles = [\"log.xlsx\"]\nsheets = [\"TH-014\", \"TH-015\"]\ninstrument_from = \"sheet\"\n[checks.columns]\ndate = \"Date\"\nas_found = \"Error [mK]\"\ntolerance = \"Tol ±\"\n";
    let other = "[[checks.other]]\nfiles = [\"log.xlsx\"]\nsheets = [\"TH-016\"]\ninstrument_from = \"sheet\"\n[checks.other.columns]\ndate = \"When\"\nas_found = \"Deviation [µK]\"\n";
    let told = "\"TH-016\"";
    let alone = desk.file("alone.toml", first);
    let run = desk.run(&alone);
    let note =
        "sheets that are not named under sheets are not read, although they seem to hold checks";
    // It lacks both columns of the first form, and is called like the sheets that are read.
    assert!(
        run.stderr.contains(note) && run.stderr.contains(told),
        "{}",
        run.stderr
    );
    let named = first.replace("\"TH-014\", \"TH-015\"", "\"TH-014\"");
    let run = desk.run(&desk.file("named.toml", &named));
    says!(run.stderr, "\"TH-015\", \"TH-016\"");
    let both = desk.file("both.toml", &format!("{first}{other}"));
    let mut truth = truth(&TRUTH);
    truth.push(("TH-016".into(), "2023-03-06".into(), 700.0));
    assert_eq!(checks(&loaded(&both)), truth);
}

#[test]
fn a_cell_above_the_table_names_its_instrument() {
    let desk = Desk::new();
    let card = |name: &str, serial: &str, text: &str| {
        let body = text.replace("0.4", "0,4").replace("1.3", "1,3");
        let body = body.replace("-0.2", "-0,2").replace("-0.1", "-0,1");
        format!("Calibration record;;;\nInstrument:;{name};Serial no.: {serial};\n\n{body}")
    };
    std::fs::create_dir(desk.path("records")).unwrap();
    desk.file("records/2023-1.csv", &card("TH-014", "11", FIRST));
    desk.file("records/2023-2.csv", &card("TH-015", "12", SECOND));
    let (started, pipeline) = desk.start(&desk.path("records"));
    let asked =
        "the cell \"Instrument\" above it names, here \"TH-014\" (instrument_from = \"cell\")";
    assert!(started.stdout.contains(asked), "{}", started.stdout);
    assert_eq!(checks(&loaded(&pipeline)), truth(&TRUTH));
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    let by_serial = draft.replace(
        "instrument_cell = \"Instrument\"",
        "instrument_cell = \"serial no.:\"",
    );
    std::fs::write(&pipeline, &by_serial).unwrap();
    let names: Vec<String> = checks(&loaded(&pipeline))
        .into_iter()
        .map(|c| c.0)
        .collect();
    assert_eq!(names, ["11", "11", "12", "12"]);
    std::fs::write(&pipeline, by_serial.replace("serial no.:", "Tag")).unwrap();
    let run = desk.run(&pipeline).ended(1);
    says!(run.stderr, "no cell above the table says \"Tag\"");
}

#[test]
fn a_verdict_is_recorded_into_the_file_of_its_instrument_alone() {
    let desk = Desk::new();
    let file = desk.file("TH-014.csv", FIRST);
    let (_, pipeline) = desk.start(&file);
    desk.file("TH-015.csv", FIRST);
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    let both = draft.replace("[\"TH-014.csv\"]", "[\"TH-014.csv\", \"TH-015.csv\"]");
    assert_ne!(both, draft);
    std::fs::write(&pipeline, both).unwrap();
    let record = |into: &std::path::Path| {
        let (records, into) = (pipeline.to_str().unwrap(), into.to_str().unwrap());
        let check = [
            "verdict",
            "TH-014",
            "0.9",
            "--u",
            "0.2",
            "--date",
            "2025-03-04",
        ];
        driftbook(&[&check[..], &["--records", records, "--record", into]].concat())
    };
    let other = record(&desk.path("TH-015.csv"));
    says!(other.stderr, "it holds the checks of TH-015");
    let own = record(&file);
    says!(own.stderr, "the check states u");
    desk.file(
        "TH-014.csv",
        &FIRST
            .replace("Tol ±\n", "Tol ±;u\n")
            .replace(";5\n", ";5;0.2\n"),
    );
    record(&file).well();
    let text = std::fs::read_to_string(&file).unwrap();
    assert!(text.ends_with("2025-03-04;0.9;;0.2\n"), "{text}");
    says!(record(&file).stderr, "is recorded already");
}
