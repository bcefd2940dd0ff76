/*! A file that somebody gave other headers after `start` had looked at it: refused with a mend, or told. */

use super::desk::{Desk, loaded};
use super::tool::driftbook;

const HEADER: &str = "Item;Date;Found (mK);U (k=2);Tol (mK);Remarks\n";
const ROWS: &str = "A;2023-03-04;1,3;0,4;±5;\nA;2024-03-05;1,9;0,4;±5;\nA;2025-03-03;2,2;0,4;±5;\n";

/// A desk with a log and the pipeline file that `start` wrote of it.
fn desk() -> (Desk, String) {
    let desk = Desk::new();
    desk.file("log.csv", &format!("{HEADER}{ROWS}"));
    let (_, pipeline) = desk.start(&desk.path("log.csv"));
    (desk, pipeline.to_string_lossy().into_owned())
}

/// What a run says of the log where it begins with `header` and has `rows`.
fn said(desk: &Desk, pipeline: &str, header: &str, rows: &str) -> String {
    desk.file("log.csv", &format!("{header}{rows}"));
    let made = driftbook(&["run", pipeline, "--as-of", "2025-06-01"]);
    made.stderr
}

/// A row of units that came later gave the uncertainty, whose header states no unit, one that was a thousand times smaller.
#[test]
fn a_row_of_units_that_contradicts_the_header_is_refused() {
    let (desk, pipeline) = desk();
    let with_units = format!("{HEADER};;µK;µK;µK;\n");
    let said = said(&desk, &pipeline, &with_units, ROWS);
    assert!(said.contains("states µK for \"Found (mK)\""), "{said}");
}

/// The mend named the new header alone, and who followed it had every uncertainty halved.
#[test]
fn another_coverage_factor_in_the_header_is_refused_until_it_is_stated() {
    let (desk, pipeline) = desk();
    let header = HEADER.replace("k=2", "k=1");
    let first = said(&desk, &pipeline, &header, ROWS);
    assert!(first.contains("u = \"U (k=1)\" under columns"), "{first}");
    let text = std::fs::read_to_string(&pipeline).unwrap();
    let mapped = text.replace("u = \"U (k=2)\"", "u = \"U (k=1)\"");
    std::fs::write(&pipeline, &mapped).unwrap();
    let second = said(&desk, &pipeline, &header, ROWS);
    assert!(
        second.contains("states k = 1, and coverage_factor = 2"),
        "{second}"
    );
    let stated = mapped.replace("coverage_factor = 2.0", "coverage_factor = 1.0");
    std::fs::write(&pipeline, stated).unwrap();
    let third = said(&desk, &pipeline, &header, ROWS);
    assert!(!third.contains("error"), "{third}");
}

/// The mend named the column of outcomes where a header of readings had got another unit.
#[test]
fn the_nearest_header_is_named_before_one_of_another_kind() {
    let (desk, pipeline) = desk();
    let header = HEADER
        .replace("Found (mK)", "Found (µK)")
        .replace("Remarks", "Result");
    let near = said(&desk, &pipeline, &header, ROWS);
    assert!(near.contains("as_found = \"Found (µK)\""), "{near}");
    let header = header.replace("Found (µK)", "Correction (mK)");
    let turned = said(&desk, &pipeline, &header, ROWS);
    assert!(turned.contains("as_found_is = \"correction\""), "{turned}");
    let header = HEADER.replace("Date", "Cal. date");
    let by_words = said(&desk, &pipeline, &header, ROWS);
    assert!(by_words.contains("date = \"Cal. date\""), "{by_words}");
}

/// What stood in a column that came later was left out without a word: whether a reading is void, or its own k.
#[test]
fn a_later_column_is_told_and_one_that_was_left_out_is_not() {
    let (desk, pipeline) = desk();
    let (desk, pipeline) = (&desk, pipeline.as_ref());
    let told = || {
        let warnings = loaded(pipeline).warnings;
        let of_columns = warnings.into_iter().map(|w| w.words);
        of_columns
            .filter(|words| words.contains("is not read"))
            .collect::<Vec<_>>()
    };
    assert_eq!(told(), [""; 0]);
    for (column, cell, expected) in [
        ("State", "void", "column \"State\""),
        ("k", "1", "coverage_factor = \"k\""),
    ] {
        let header = HEADER.replace("Remarks", &format!("Remarks;{column}"));
        let rows = ROWS.replace("±5;", &format!("±5;;{cell}"));
        desk.file("log.csv", &format!("{header}{rows}"));
        let later = told();
        assert!(later.len() == 1 && later[0].contains(expected), "{later:?}");
    }
}

/// A canonical table whose column of values got another name was read by its outcomes alone, without a word.
#[test]
fn values_under_a_name_of_their_own_are_not_left_out_beside_outcomes() {
    let desk = Desk::new();
    let table = "instrument,date,error,u,lower,upper,in_tolerance\nA,2024-03-01,1,0.1,-3,3,pass\nA,2025-03-01,1.2,0.1,-3,3,pass\n";
    desk.file("log.csv", table);
    let run = |columns: &str| {
        let text = format!("[checks]\nfiles = [\"log.csv\"]\n[checks.columns]\n{columns}\n");
        let pipeline = desk.file("log.toml", &text);
        driftbook(&["run", pipeline.to_str().unwrap(), "--as-of", "2025-06-01"])
    };
    let refused = run("").ended(1);
    says!(
        refused.stderr,
        "only outcomes are read",
        "as_found = \"error\""
    );
    run("as_found = false").well();
    run("as_found = \"error\"").well();
}
