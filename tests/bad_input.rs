/*! Bad input gets a clear sentence: file, line or row, value, and the mend. */

use chrono::NaiveDate;
use driftbook::records::{Loaded, load};
use driftbook::settings::{PlanRequest, plan};
use std::path::Path;

/// Plans and loads `path` as of 2026-06-30; the error as a person would read it.
fn read(path: &Path) -> Result<Loaded, String> {
    let plan = plan(&PlanRequest::new(
        Some(path.to_path_buf()),
        Some("2026-06-30".into()),
        NaiveDate::from_ymd_opt(2026, 7, 1).unwrap(),
    ))
    .map_err(|e| e.to_string())?;
    load(&plan.request()).map_err(|e| e.to_string())
}

fn read_bytes(bytes: &[u8]) -> Result<Loaded, String> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("records.csv");
    std::fs::write(&path, bytes).unwrap();
    read(&path)
}

#[test]
fn unreadable_records_say_what_and_how_to_mend_it() {
    let long = [
        b"instrument,date,as_found\n".to_vec(),
        vec![b'9'; 5_000_000],
    ]
    .concat();
    let latin1 = b"instrument,date,as_found\nM\xFCller,2020-01-01,1\n".to_vec();
    // No line below the mark is a row, so that it could be the text of one field.
    let open_quote = [
        b"instrument,date,as_found\n\"A,2020-01-01,1\n".to_vec(),
        b"B,no date,1\n".repeat(100_000),
    ]
    .concat();
    let cases: [(&[u8], &[&str]); 9] = [
        (
            b"",
            &["records.csv", "the file is empty", "Expected a header line"],
        ),
        (b"instrument,date,as_found\n", &["a header but no row"]),
        (
            b"\x7fELF\x02\0\0\0\xff",
            &["binary data", "Export the records as CSV"],
        ),
        (&long, &["line 2", "longer than"]),
        (
            &latin1,
            &["line 2 (row 1), byte 2", "0xFC", "encoding = \"latin-1\""],
        ),
        (
            b"instrument^date^as_found\nA^2020-01-01^1\n",
            &["is the delimiter right?"],
        ),
        (
            b"Instument,date,as_found\nA,2020-01-01,1\n",
            &["no column \"instrument\"", "\"Instument\""],
        ),
        (
            b"instrument,date,as_found\nA,x,1\nB,y,1\n",
            &[
                "all 2 rows were rejected",
                "row 2, column \"date\", value \"x\"",
            ],
        ),
        (&open_quote, &["row 1", "longer than", "quotation mark"]),
    ];
    for (bytes, expected) in cases {
        let told = read_bytes(bytes).unwrap_err();
        for part in expected {
            says!(told, part);
        }
    }
}

#[test]
fn missing_files_are_told() {
    let told = read(Path::new("no/such/records.csv")).unwrap_err();
    assert!(
        told.contains("no/such/records.csv") && told.contains("no such file"),
        "{told}"
    );
    let told = read(Path::new("no/such/pipeline.toml")).unwrap_err();
    assert!(
        told.contains("no/such/pipeline.toml") && told.contains("no such file"),
        "{told}"
    );
}

#[test]
fn odd_but_usable_histories_are_read_whole() {
    let header = "instrument,date,as_found,u\n";
    let cases = [
        ("one row", "A,2020-01-01,1,0.1\n".to_string(), 1),
        (
            "all on one day",
            "A,2020-01-01,1,0.1\nA,2020-01-01,2,0.1\nA,2020-01-01,3,0.1\n".to_string(),
            3,
        ),
        (
            "constant",
            (1..=9).map(|d| format!("A,2020-01-0{d},5,0.1\n")).collect(),
            9,
        ),
        (
            "u = 0",
            "A,2020-01-01,1,0\nA,2021-01-01,1,0\n".to_string(),
            2,
        ),
        (
            "year 0001",
            "A,0001-01-01,1,0.1\nA,2021-01-01,1,0.1\n".to_string(),
            2,
        ),
    ];
    for (name, rows, used) in cases {
        let loaded = read_bytes((header.to_string() + &rows).as_bytes()).unwrap();
        assert_eq!(
            (loaded.rows.used, loaded.rows.rejected),
            (used, 0),
            "{name}"
        );
    }
}

#[test]
fn the_published_histories_are_read_whole() {
    for (file, rows) in [("standard-resistor", 1000), ("kilogram", 217)] {
        let path = format!("{}/data/reference/{file}.toml", env!("CARGO_MANIFEST_DIR"));
        let loaded = read(Path::new(&path)).unwrap();
        assert_eq!((loaded.rows.read, loaded.rows.used), (rows, rows), "{file}");
        assert_eq!(loaded.histories.len(), 1, "{file}");
    }
}

#[test]
fn row_order_and_file_cuts_change_nothing() {
    let mut rows: Vec<String> = (0..60)
        .map(|i| {
            format!(
                "I{},2020-01-{:02}T10:{:02},{}\n",
                i % 7,
                1 + i % 28,
                i,
                i * 3 % 11
            )
        })
        .collect();
    let values = |loaded: &Loaded| {
        let h = &loaded.histories;
        let names: Vec<String> = h.items.iter().map(|i| i.instrument.clone()).collect();
        (
            names,
            h.offsets.clone(),
            h.columns.date.clone(),
            h.columns.as_found.clone(),
        )
    };
    let whole = |rows: &[String]| {
        values(
            &read_bytes(("instrument,date,as_found\n".to_string() + &rows.concat()).as_bytes())
                .unwrap(),
        )
    };
    let first = whole(&rows);
    rows.reverse();
    assert_eq!(whole(&rows), first);
    let folder = tempfile::tempdir().unwrap();
    for (i, part) in rows.chunks(13).enumerate() {
        let text = "instrument,date,as_found\n".to_string() + &part.concat();
        std::fs::write(folder.path().join(format!("{i}.csv")), text).unwrap();
    }
    assert_eq!(values(&read(folder.path()).unwrap()), first);
}

/// The error was that of whichever file a thread met first.
#[test]
fn of_several_unreadable_files_the_first_is_named() {
    let folder = tempfile::tempdir().unwrap();
    for file in 10..40 {
        let path = folder.path().join(format!("{file}.csv"));
        let rows = "R-1,2021-03-02,0.4\n".repeat(if file == 10 { 20_000 } else { 1 });
        std::fs::write(path, format!("instrument,day,as_found\n{rows}")).unwrap();
    }
    for _ in 0..10 {
        let refused = read(folder.path()).unwrap_err();
        says!(refused, "10.csv");
    }
}
