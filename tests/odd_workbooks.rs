/*! Workbooks that are odd, hostile or broken: read right, or refused in words, within bounds. */

use crate::desk::{Desk, Truth, checks, loaded, truth};
use crate::make_workbook::{archive, ods, ods_of, rows, xlsx};
use crate::tool::{driftbook, root};

/// What the workbooks below hold: days 43000, 44000 and 45351 of the system of 1900.
const THREE: [Truth; 3] = [
    ("R-1", "2017-09-22", 0.4),
    ("R-1", "2020-06-18", 1.3),
    ("R-1", "2024-02-29", 1.9),
];

fn save(desk: &Desk, name: &str, bytes: &[u8]) -> std::path::PathBuf {
    std::fs::write(desk.path(name), bytes).unwrap();
    desk.path(name)
}

#[test]
fn days_without_the_format_of_a_date_are_read_by_the_workbooks_own_system() {
    let sheet = "Item|Date|Error [mK]\nR-1|43000|0.4\nR-1|44000|1.3\nR-1|45351|1.9\n";
    let days = |days: [&str; 3]| {
        let usual = ["43000", "44000", "45351"];
        let pairs = usual.iter().zip(days);
        pairs.fold(sheet.to_string(), |text, (from, to)| text.replace(from, to))
    };
    for (is_1904, text) in [
        (false, sheet.to_string()),
        (true, days(["41538", "42538", "43889"])),
    ] {
        let desk = Desk::new();
        let (started, pipeline) =
            desk.start(&save(&desk, "log.xlsx", &xlsx(&rows(&text), is_1904)));
        assert_eq!(started.status, 0, "{}", started.stderr);
        says!(started.stdout, "workbook's own system");
        assert_eq!(checks(&loaded(&pipeline)), truth(&THREE), "{is_1904}");
    }
    // An export does not say from when its days are counted; both readings lie in the past here.
    let desk = Desk::new();
    let old = days(["40000", "41000", "42351"]).replace('|', ",");
    driftbook(&["start", desk.file("log.csv", &old).to_str().unwrap()]);
    let asked = desk.run(&desk.path("log.toml")).ended(2);
    says!(asked.stderr, "date_system", "1904");
    // Without start the rows are rejected, with both readings.
    let plain = "instrument,date,as_found\nR-1,45351,0.4\n";
    let told = desk.run(&desk.file("plain.csv", plain)).stderr;
    assert!(
        told.contains("2024-02-29") && told.contains("2028-03-01"),
        "{told}"
    );
}

#[test]
fn true_dates_and_dates_stored_as_text_stand_in_one_column() {
    let desk = Desk::new();
    let text = "Item;Date;Error\nR-1;22.09.2017;0.4\nR-1;2020-06-18;1.3\nR-1;29.02.2024;1.9\n";
    let (_, pipeline) = desk.start(&desk.file("log.csv", text));
    assert_eq!(checks(&loaded(&pipeline)), truth(&THREE));
}

#[test]
fn workbooks_of_two_date_systems_are_read_together() {
    let desk = Desk::new();
    desk.workbook("plain.xlsx");
    desk.workbook("system-1904.xlsx");
    let text = "[checks]\nfiles = [\"plain.xlsx\", \"system-1904.xlsx\"]\n";
    let both = loaded(&desk.file("both.toml", text));
    // Every row of the second says the same as one of the first.
    assert_eq!((both.rows.used, both.rows.merged), (8, 8));
}

#[test]
fn two_columns_of_one_name_are_refused() {
    let desk = Desk::new();
    let text = "instrument,date,as_found,as_found\nR-1,2017-09-22,0.4,0.5\n";
    let done = desk.run(&desk.file("twice.csv", text)).ended(1);
    says!(done.stderr, "2 columns are called \"as_found\"");
    let unused = "instrument,date,as_found,note,note\nR-1,2017-09-22,0.4,a,b\n";
    assert_eq!(desk.run(&desk.file("notes.csv", unused)).status, 0);
}

/// Names that a spreadsheet, a terminal, a page or a path would take for more than names.
#[test]
fn hostile_names_stay_names() {
    let desk = Desk::new();
    let long = "A".repeat(50_000);
    let text = format!(
        "instrument,date,as_found,lower,upper\n=cmd|'/C calc'!A0,2017-09-22,0.4,-5,5\n\
         ../../up,2017-09-22,0.4,-5,5\n\u{1b}[31mred,2017-09-22,0.4,-5,5\n\
         <script>alert(1)</script>,2017-09-22,0.4,-5,5\n{long},2017-09-22,0.4,-5,5\n"
    );
    let file = desk.file("$(touch it) ; names.csv", &text);
    let started = driftbook(&["start", file.to_str().unwrap()]).well();
    says!(started.stdout, "names.toml'");
    let done = desk.run(&file.with_extension("toml")).well();
    let all = [&started.stdout, &started.stderr, &done.stdout, &done.stderr];
    assert!(all.iter().all(|text| !text.contains('\u{1b}')));
    let decisions = std::fs::read_to_string(desk.path("report/decisions.csv")).unwrap();
    let begins = |line: &str| line.starts_with(['=', '+', '-', '@']);
    assert!(!decisions.lines().any(begins), "{decisions}");
    let page = std::fs::read_to_string(desk.path("report/index.html")).unwrap();
    says_not!(page, "<script>alert");
    assert!(!desk.path("../up").exists());
}

/// One row of an .ods sheet.
fn row(cells: &str) -> String {
    format!("<table:table-row>{cells}</table:table-row>")
}

fn text(text: &str) -> String {
    format!(
        "<table:table-cell office:value-type=\"string\"><text:p>{text}</text:p></table:table-cell>"
    )
}

fn day(day: &str) -> String {
    format!(
        "<table:table-cell office:value-type=\"date\" office:date-value=\"{day}\"><text:p>x</text:p></table:table-cell>"
    )
}

fn percent(value: &str) -> String {
    format!(
        "<table:table-cell office:value-type=\"percentage\" office:value=\"{value}\"><text:p>x</text:p></table:table-cell>"
    )
}

#[test]
fn cells_merged_over_rows_and_per_cent_are_read_in_an_open_document() {
    let item = "<table:table-cell table:number-rows-spanned=\"3\" table:number-columns-spanned=\"1\" office:value-type=\"string\"><text:p>R-1</text:p></table:table-cell>";
    let covered = "<table:covered-table-cell/>";
    let sheet = [
        row(&text("Log of the invented laboratory")),
        "<table:table-row table:number-rows-repeated=\"3\"><table:table-cell/></table:table-row>"
            .into(),
        row(&[
            text("instrument"),
            text("date"),
            text("as_found"),
            text("unit"),
        ]
        .concat()),
        row(&[item, &day("2017-09-22"), &percent("0.004"), &text("%")].concat()),
        row(&[covered, &day("2020-06-18"), &percent("0.013"), &text("%")].concat()),
        row(&[covered, &day("2024-02-29"), &percent("0.019"), &text("%")].concat()),
    ];
    let desk = Desk::new();
    let loaded = loaded(&save(&desk, "log.ods", &ods(&sheet.concat())));
    assert_eq!(checks(&loaded), truth(&THREE));
    assert_eq!(loaded.histories.items[0].unit, "%");
    assert_eq!(loaded.histories.columns.source[0], (0, 6));
}

/// A reading that somebody struck out counted like any other, without a word.
#[test]
fn cells_that_are_struck_out_are_told() {
    let desk = Desk::new();
    let sheet =
        rows("instrument|date|as_found|u\nR-1|2017-09-22|0.4|0.1\nR-1|2020-06-18|1.3|0.1\n");
    let struck = sheet.replace("<c><v>1.3</v>", "<c s=\"1\"><v>1.3</v>");
    let told = "1 cell is struck out and read like any other: C3";
    let loaded_xlsx = loaded(&save(&desk, "log.xlsx", &xlsx(&struck, false)));
    let words = |loaded: &driftbook::records::Loaded| {
        loaded
            .warnings
            .iter()
            .map(|w| w.words.clone())
            .collect::<Vec<_>>()
            .join("\n")
    };
    says!(words(&loaded_xlsx), told);
    let style = "<office:automatic-styles><style:style style:name=\"ce1\"><style:text-properties style:text-line-through-style=\"solid\"/></style:style></office:automatic-styles>";
    let value = "<table:table-cell table:style-name=\"ce1\" office:value-type=\"float\" office:value=\"1.3\"><text:p>1.3</text:p></table:table-cell>";
    let header = ["instrument", "date", "as_found"].map(text).concat();
    let sheet = [
        row(&header),
        row(&[text("R-1"), day("2017-09-22"), text("0.4")].concat()),
        row(&[text("R-1"), day("2020-06-18"), value.into()].concat()),
    ];
    let book = ods_of(style, &sheet.concat());
    let loaded_ods = loaded(&save(&desk, "log.ods", &book));
    says!(words(&loaded_ods), told);
}

#[test]
fn formulas_without_results_and_macros_are_told_or_passed_over() {
    let desk = Desk::new();
    let sheet = "instrument|date|as_found|u\nR-1|2017-09-22|0.4|0.1\nR-1|2020-06-18|1.3|=2*0.1\nR-1|2024-02-29|=1+0.9|0.1\n";
    desk.run(&save(&desk, "log.xlsm", &xlsx(&rows(sheet), false)))
        .well();
    let told = std::fs::read_to_string(desk.path("report/warnings.csv")).unwrap();
    assert!(
        told.contains("2 cells hold formulas") && told.contains("D3, C4"),
        "{told}"
    );
    let rejects = std::fs::read_to_string(desk.path("report/rejects.csv")).unwrap();
    says!(rejects, "no value and no outcome");
}

#[test]
fn the_largest_cells_columns_and_rows_are_read() {
    let desk = Desk::new();
    // 32,767 signs are the most that a cell holds.
    let long = "x".repeat(32_767);
    let sheet = format!(
        "instrument|date|as_found|note\nR-1|2017-09-22|0.4|{long}\nR-1|2020-06-18|1.3|{long}\nR-1|2024-02-29|{long}|\n"
    );
    let read = loaded(&save(&desk, "long.xlsx", &xlsx(&rows(&sheet), false)));
    assert_eq!(checks(&read), truth(&THREE[..2]));
    assert!(
        read.rejects[0].value.len() < 300,
        "{}",
        read.rejects[0].value.len()
    );
    let far = |row: u32, cells: &str| format!("<row r=\"{row}\">{cells}</row>");
    let header = "<c t=\"inlineStr\"><is><t>instrument</t></is></c><c t=\"inlineStr\"><is><t>date</t></is></c><c r=\"XFD1\" t=\"inlineStr\"><is><t>as_found</t></is></c>";
    let last = "<c r=\"A1048576\" t=\"inlineStr\"><is><t>R-1</t></is></c><c r=\"B1048576\" t=\"inlineStr\"><is><t>2017-09-22</t></is></c><c r=\"XFD1048576\"><v>0.4</v></c>";
    let sheet = [far(1, header), far(1_048_576, last)].concat();
    let read = loaded(&save(&desk, "far.xlsx", &xlsx(&sheet, false)));
    assert_eq!(checks(&read), truth(&THREE[..1]));
    assert_eq!(read.histories.columns.source[0].1, 1_048_576);
}

#[test]
fn what_unpacks_to_too_much_is_refused_before_it_does() {
    let desk = Desk::new();
    let float = "<table:table-cell table:number-columns-repeated=\"16384\" office:value-type=\"float\" office:value=\"1\"><text:p>1</text:p></table:table-cell>";
    let bomb = format!(
        "<table:table-row table:number-rows-repeated=\"1048576\">{float}</table:table-row>"
    );
    let bytes = ods(&bomb);
    assert!(bytes.len() < 2_000, "{}", bytes.len());
    save(&desk, "repeats.ods", &bytes);
    let blanks = format!("<row><c><v>1</v></c></row>{}", " ".repeat(3_000_000));
    save(&desk, "blanks.xlsx", &xlsx(&blanks, false));
    // Directories that state more than four gigabytes of text, and half of one in a few bytes.
    for (name, size) in [("stated.xlsx", u32::MAX - 1), ("swollen.xlsx", 500_000_000)] {
        let mut stated = xlsx(
            &rows("instrument|date|as_found\nR-1|2017-09-22|0.4\n"),
            false,
        );
        let entry = memchr::memmem::rfind(&stated, b"PK\x01\x02").unwrap();
        stated[entry + 24..entry + 28].copy_from_slice(&size.to_le_bytes());
        save(&desk, name, &stated);
    }
    // One that states less than what is there: no more than that is unpacked.
    let mut less = xlsx(&format!("{}<row/>", " ".repeat(100_000)), false);
    let entry = memchr::memmem::rfind(&less, b"PK\x01\x02").unwrap();
    less[entry + 24..entry + 28].copy_from_slice(&100_u32.to_le_bytes());
    save(&desk, "less.xlsx", &less);
    desk.file(
        "blanks.toml",
        "[checks]\nfiles = [\"blanks.xlsx\"]\nlargest_unpacked_mb = 2\n",
    );
    for (name, words) in [
        ("repeats.ods", "unpacks to more than 1000 MB"),
        ("blanks.toml", "unpacks to more than 2 MB"),
        ("stated.xlsx", "unpacks to more than 1000 MB"),
        ("swollen.xlsx", "unpacks to 500 MB, "),
        ("less.xlsx", "as a workbook"),
    ] {
        let done = desk.run(&desk.path(name));
        assert!(done.status > 0, "{name}: {}", done.stdout);
        assert!(done.stderr.contains(words), "{name}: {}", done.stderr);
    }
}

/// A table of raw readings that claims too much is not unpacked to see whether it is one.
#[test]
fn readings_that_state_too_much_are_not_looked_at() {
    let demo = std::fs::read_to_string(root().join("data/demo/triple-point-readings.csv")).unwrap();
    let few: Vec<String> = demo
        .lines()
        .take(30)
        .map(|line| line.replace(',', "|"))
        .collect();
    let fair = xlsx(&rows(&(few.join("\n") + "\n")), false);
    let mut stated = fair.clone();
    let entry = memchr::memmem::rfind(&stated, b"PK\x01\x02").unwrap();
    stated[entry + 24..entry + 28].copy_from_slice(&u32::MAX.wrapping_sub(1).to_le_bytes());
    let desk = Desk::new();
    let (done, _) = desk.start(&save(&desk, "fair.xlsx", &fair));
    says!(done.stdout, "raw readings");
    let (done, _) = desk.start(&save(&desk, "stated.xlsx", &stated));
    let told = done.stdout + &done.stderr;
    says!(told, "unpacks to more than 1000 MB");
}

#[test]
fn sealed_and_broken_open_documents_are_refused_in_words() {
    let desk = Desk::new();
    let sealed = archive(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("content.xml", "\u{1}\u{2}sealed"),
        (
            "META-INF/manifest.xml",
            "<manifest:manifest xmlns:manifest=\"urn:oasis:names:tc:opendocument:xmlns:manifest:1.0\"><manifest:file-entry manifest:full-path=\"content.xml\"><manifest:encryption-data/></manifest:file-entry></manifest:manifest>",
        ),
    ]);
    save(&desk, "sealed.ods", &sealed);
    let whole = archive(&[
        ("mimetype", "application/vnd.oasis.opendocument.spreadsheet"),
        ("encrypted-package", "\u{1}\u{2}sealed"),
    ]);
    save(&desk, "whole.ods", &whole);
    // The first sectors of an .xls workbook that is obfuscated by XOR: BOF, then FilePass.
    let mut obfuscated = vec![0xD0, 0xCF, 0x11, 0xE0, 0xA1, 0xB1, 0x1A, 0xE1];
    obfuscated.resize(512, 0);
    obfuscated.extend([0x09, 0x08, 0x10, 0x00, 0x00, 0x06, 0x05, 0x00]);
    obfuscated.resize(532, 0);
    obfuscated.extend([0x2F, 0x00, 0x06, 0x00, 0x00, 0x00, 0x34, 0x12, 0x21, 0x43]);
    obfuscated.resize(5120, 0x99);
    save(&desk, "obfuscated.xls", &obfuscated);
    save(
        &desk,
        "cut.ods",
        &ods("<table:table-row><table:table-cell>"),
    );
    save(&desk, "empty.ods", &ods(""));
    for (name, words) in [
        ("sealed.ods", "protected by a password"),
        ("whole.ods", "protected by a password"),
        ("obfuscated.xls", "protected by a password"),
        ("cut.ods", "as a workbook"),
        ("empty.ods", "no sheet with a filled cell"),
    ] {
        let done = desk.run(&desk.path(name));
        assert!(done.status > 0, "{name}");
        assert!(done.stderr.contains(words), "{name}: {}", done.stderr);
        assert!(!done.stderr.contains("panicked"), "{name}: {}", done.stderr);
    }
}
