#[path = "guess_tests/asked.rs"]
mod asked;

use super::*;
use crate::records::cells::column::Column;
use crate::records::guess::doubt::Doubt;
use crate::records::guess::draft::Guess;
use crate::records::guess::sight::rows_of_each;

/// 2026-06-30.
const TODAY: f64 = 20_634.0;

fn guess_text(text: &[u8]) -> Guess {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("f.csv");
    std::fs::write(&path, text).unwrap();
    let sight = Sight {
        today: TODAY,
        apart: &[],
        stated: None,
        rows: rows_of_each(1),
    };
    look(&path, sight).unwrap().checks
}

fn header(guess: &Guess, column: Column) -> &str {
    guess
        .columns
        .iter()
        .find(|g| g.column == column)
        .map_or("", |g| &g.header)
}

#[test]
fn a_table_is_found_below_its_title_and_above_its_units() {
    for text in [
        "Gauges of 2024;;;\n;;;\nItem;Date;Error;U\nG-1;2024-02-03;0.4;0.2\nG-1;2025-02-03;0.5;0.2\nMean;;0.45;\n",
        "Gauges, of the year\nItem;Date;Error;U\n;;mm;mm\nG-1;2024-02-03;0.4;0.2\nG-1;2025-02-03;0.5;0.2\n",
    ] {
        let found = guess_text(text.as_bytes());
        assert!(found.missing().is_empty(), "{found:?}");
        assert_eq!(header(&found, Column::Date), "Date");
        assert!(
            found.notes.iter().any(|n| n.contains("\"Gauges")),
            "{found:?}"
        );
    }
    let two = guess_text(b"Item;Checked;As found;;Limits;\n;;error;U (k=2);lower;upper\nG-1;2024-02-03;0.4;0.2;-1;1\n");
    assert_eq!(header(&two, Column::U), "As found U (k=2)");
    assert_eq!(header(&two, Column::Upper), "Limits upper");
}

/// The first record under a header is no second row of it, whatever words it holds.
#[test]
fn a_record_of_words_is_no_header() {
    let found = guess_text(b"Item;Date;Outcome;Event\nG-1;2024-02-03;pass;adjusted\n");
    assert_eq!(header(&found, Column::Event), "Event");
    let wide = guess_text(b"Item;2020;2021;2022\nM-1;pass;FAIL;pass\nM-2;pass;pass;pass\n");
    assert_eq!(header(&wide, Column::Instrument), "Item");
    let settings = wide.wide.unwrap();
    assert_eq!(
        (settings.in_tolerance.as_deref(), settings.as_found),
        (Some(""), None)
    );
}

#[test]
fn a_german_export_is_understood() {
    let text = "Inventar-Nr.;Prüfdatum;Messwert [mΩ];U (k=2);Einheit;Prüfer\n\
                N-1;13.02.2024;100,02;0,01;mΩ;Team 2\nN-1;01.03.2025;100,03;0,01;mΩ;Team 1\n";
    let latin1: Vec<u8> = text.replace('Ω', "O").chars().map(|c| c as u8).collect();
    for (bytes, encoding) in [
        (text.as_bytes().to_vec(), Encoding::Utf8),
        (latin1, Encoding::Latin1),
    ] {
        let found = guess_text(&bytes);
        assert_eq!(
            (found.encoding, found.delimiter),
            (encoding, Delimiter::Semicolon)
        );
        assert!(found.decimal_comma);
        assert_eq!(found.date_format, "%d.%m.%Y");
        assert_eq!(found.coverage_factor, 2.0);
        assert_eq!(header(&found, Column::Instrument), "Inventar-Nr.");
        assert_eq!(header(&found, Column::Date), "Prüfdatum");
        assert!(header(&found, Column::AsFound).starts_with("Messwert"));
        assert_eq!(found.ignored, ["Prüfer"]);
    }
}

#[test]
fn day_or_month_first_is_decided_by_evidence() {
    let rows = |a: &str, b: &str| format!("asset,date,error\nA,{a},1\nA,{b},2\n").into_bytes();
    assert_eq!(
        guess_text(&rows("01/13/2024", "02/01/2024")).date_format,
        "%m/%d/%Y"
    );
    assert_eq!(
        guess_text(&rows("13/01/2024", "01/02/2024")).date_format,
        "%d/%m/%Y"
    );
    let both = guess_text(&rows("01/02/2024", "03/01/2024"));
    assert_eq!(both.date_format, "%m/%d/%Y");
    assert!(
        both.doubts
            .iter()
            .any(|d| d.words.contains("day and month could be exchanged")),
        "{:?}",
        both.doubts
    );
}

#[test]
fn headers_that_say_nothing_are_read_by_content() {
    let found = guess_text(b"c1,c2,c3,c4\nR1,2024-01-01,28.1,28\nR1,2024-02-01,28.2,28\n");
    assert_eq!(header(&found, Column::Instrument), "c1");
    assert_eq!(header(&found, Column::Date), "c2");
    assert_eq!(header(&found, Column::AsFound), "c3");
    assert!(found.missing().is_empty());
    assert_eq!(
        found
            .doubts
            .iter()
            .filter(|d| d.words.starts_with("No header says"))
            .count(),
        3
    );
}

#[test]
fn what_cannot_be_found_is_named() {
    let found = guess_text(b"a,b\n1,2\n");
    assert_eq!(found.missing(), [Column::Instrument, Column::Date]);
}

/// Day 45351 is 2024-02-29 counted from 1900, and 2028-03-01 counted from 1904.
#[test]
fn numbers_of_days_are_dates_where_header_and_numbers_agree() {
    let of = |header: &str, days: [&str; 3]| {
        let rows: String = days.iter().map(|day| format!("G-1;{day};0.5\n")).collect();
        guess_text(format!("Item;{header};Error\n{rows}").as_bytes())
    };
    let past = of("Date", ["43000", "44000", "45351"]);
    assert_eq!(past.date_format, "serial 1900");
    assert!(past.doubts.is_empty(), "{:?}", past.doubts);
    assert!(past.notes.iter().any(|n| n.contains("lie in the future")));
    let either = of("Date", ["36000", "37000", "38000.25"]);
    assert_eq!(either.doubts[0].name, "date_system");
    assert_eq!(either.doubts[0].choices.len(), 2);
    let mixed = of("Date", ["43000", "2024-02-29", "45351"]);
    assert_eq!(mixed.date_format, "serial 1900");
    for (header, days) in [
        ("Value", ["43000", "44000", "45351"]),
        ("Date", ["2021", "2022", "2023"]),
        ("Date", ["1", "2", "3"]),
    ] {
        assert_eq!(of(header, days).date_format, "", "{header}");
    }
}

#[test]
fn sources_and_certificates_are_known_by_their_headers_in_several_languages() {
    for (source, assigned, u_assigned) in [
        ("Laboratory", "Certified value", "u certificate"),
        ("Rückführung", "Kalibrierwert", "u Kalibrierwert"),
        ("Laboratoire", "Valeur certifiée", "u certificat"),
        ("Trazabilidad", "Valor certificado", "u certificado"),
    ] {
        let text = format!(
            "Item;Date;Error;u;{source};{assigned};{u_assigned}\nG-1;2021-02-03;0.4;0.2;A;;\n\
             G-1;2022-02-03;0.4;0.2;A;;\nG-1;2023-02-03;;;B;0.3;0.1\nG-1;2024-02-03;0.5;0.2;B;;\n"
        );
        let found = guess_text(text.as_bytes());
        assert_eq!(header(&found, Column::AsFound), "Error");
        assert_eq!(header(&found, Column::U), "u");
        assert_eq!(header(&found, Column::Source), source);
        assert_eq!(header(&found, Column::Assigned), assigned);
        assert_eq!(header(&found, Column::UAssigned), u_assigned);
    }
    // The only value is the reading, each certificate of its own number is no source, and U is expanded.
    let found = guess_text(
        b"Item;Date;Certified value;U certificate;Laboratory\nG-1;2021-02-03;0.4;0.2;K-1\nG-1;2022-02-03;0.5;0.2;K-2\n",
    );
    assert_eq!(header(&found, Column::AsFound), "Certified value");
    for none in [Column::Assigned, Column::UAssigned, Column::Source] {
        assert_eq!(header(&found, none), "");
    }
}

#[test]
fn readings_up_and_down_are_two_readings() {
    let text = "Gauge,Cal date,Test pressure (bar),Reading up (bar),Reading down (bar)\n\
                PG-1,2025-01-01,5,5.01,5.02\nPG-1,2026-01-01,5,5.02,5.04\n";
    let guess = guess_text(text.as_bytes());
    assert_eq!(header(&guess, Column::Nominal), "Test pressure (bar)");
    let mut doubts = guess.doubts.iter();
    let down =
        |doubt: &Doubt| doubt.name == "more_readings" && doubt.words.contains("Reading down");
    assert!(doubts.any(down), "{:?}", guess.doubts);
}

/// The largest drift or error that is allowed says not on which side.
#[test]
fn a_largest_drift_is_no_upper_limit() {
    let text = "Probe,Date,Error (mK),Max. drift since cal. (mK)\nA,2025-01-01,0.2,2\nA,2026-01-01,0.3,2\n";
    let guess = guess_text(text.as_bytes());
    assert_eq!(header(&guess, Column::Upper), "");
    let mut doubts = guess.doubts.iter();
    assert!(
        doubts.any(|doubt| doubt.name == "limits_not_read"),
        "{:?}",
        guess.doubts
    );
}

/// A unit that no list knows stands in brackets behind the number that counts readings.
#[test]
fn readings_are_counted_before_any_unit() {
    let text = "Wrench,Date,Target,Reading 1 [ozf],Reading 2 [ozf]\nA,2025-01-01,20,20.1,20.2\nA,2026-01-01,20,20.1,20.3\n";
    let guess = guess_text(text.as_bytes());
    let mut doubts = guess.doubts.iter();
    assert!(
        doubts.any(|doubt| doubt.name == "more_readings"),
        "{:?}",
        guess.doubts
    );
}

#[test]
fn the_day_of_the_test_is_not_that_of_the_delivery() {
    let table = |second: &str| {
        guess_text(
            format!("Serial,Date in,{second},Error\nA,2025-01-01,2025-01-09,0.1\nA,2026-01-01,2026-01-09,0.2\n")
                .as_bytes(),
        )
    };
    assert_eq!(header(&table("Date of test"), Column::Date), "Date of test");
    let open = table("Date out");
    let asked = open.asks("other_date");
    assert!(asked, "{:?}", open.doubts);
}

#[test]
fn limits_of_another_quantity_are_none_of_the_error() {
    let of = |headers: &str| {
        let text =
            format!("Item,Date,{headers}\nA,2025-01-01,0.1,0.16,0.2\nA,2026-01-01,0.2,0.16,0.2\n");
        guess_text(text.as_bytes())
    };
    let blocks = of("Deviation (µm),Tolerance variation (µm),Limit deviation (µm)");
    assert_eq!(header(&blocks, Column::Tolerance), "Limit deviation (µm)");
    let open = of("Deviation (µm),Tolerance variation (µm),f_o (µm)");
    assert_eq!(header(&open, Column::Tolerance), "");
    assert!(open.asks("limits_not_read"));
    let own = of("Repeatability (mg),Tolerance repeatability (mg),Load (g)");
    assert_eq!(
        header(&own, Column::Tolerance),
        "Tolerance repeatability (mg)"
    );
    // The share of the tolerance that an error takes.
    let share = of("Error (V),% of tol,Limit ± (V)");
    assert_ne!(header(&share, Column::Tolerance), "% of tol");
    let signed =
        guess_text(b"Item,Date,Error,Tol used\nA,2025-01-01,0.1,20\nA,2026-01-01,-0.2,-40\n");
    assert_eq!(header(&signed, Column::Tolerance), "");
}

#[test]
fn the_coverage_factor_is_that_of_the_header() {
    let of = |header: &str| {
        let text =
            format!("Item,Date,Error,{header}\nA,2025-01-01,0.1,0.16\nA,2026-01-01,0.2,0.16\n");
        let guess = guess_text(text.as_bytes());
        let asked = guess.asks("coverage_factor");
        (guess.coverage_factor, asked)
    };
    assert_eq!(of("U (k=2)"), (2.0, false));
    assert_eq!(of("U (k = 2.37)"), (2.37, false));
    assert_eq!(of("\"U (k=2,1)\""), (2.1, false));
    assert_eq!(of("u(y) k=1"), (1.0, false));
    assert_eq!(of("Uncertainty k=2 (bar)"), (2.0, false));
    assert_eq!(of("U95"), (2.0, true));
}

#[test]
fn yes_below_adjusted_is_an_event_that_is_known() {
    let of = |word: &str| {
        let text =
            format!("Item,Date,Error,Adjusted\nA,2025-01-01,0.1,\nA,2026-01-01,0.2,{word}\n");
        let guess = guess_text(text.as_bytes());
        guess
            .to_check
            .iter()
            .any(|line| line.contains("read as no event"))
    };
    assert!(!of("yes") && !of("no") && of("zero trim by hand"));
}

#[test]
fn parts_of_a_span_are_errors_beside_nominal_values() {
    let guess = guess_text(b"Tag,Date,Nominal (bar),Error (% span),Tol\nA,2025-01-01,5,0.1,0.3\nA,2026-01-01,5,0.2,0.3\n");
    assert_eq!(guess.off, [Column::Nominal]);
}

/// Limits in the unit of the errors are plain numbers, also where that is a part of the range.
#[test]
fn parts_of_a_range_are_one_unit_however_they_are_written() {
    use crate::records::cells::unit::same_unit;
    assert!(same_unit("% FS", "%FS") && same_unit("% of span", "% range"));
    assert!(!same_unit("% FS", "%") && !same_unit("% FS", "ppm FS"));
    assert!(!same_unit("% FS", "% of reading"));
}

#[test]
fn what_is_adjusted_is_answered_by_yes_and_no() {
    let of = |event: &str| {
        let text = format!("Item,Date,Error,{event}\nA,2025-01-01,0.1,N\nA,2026-01-01,0.2,Y\n");
        let guess = guess_text(text.as_bytes());
        guess.asks("event_answers")
    };
    assert!(!of("Adjusted (Y/N)") && !of("Adjusted?"));
    assert!(of("Intervention (Y/N)"));
}

#[test]
fn a_deviation_from_the_nominal_value_is_no_nominal_value() {
    let guess = guess_text(
        b"Item,Date,Deviation from nominal (mK),Tol\nA,2025-01-01,0.1,1\nA,2026-01-01,0.2,1\n",
    );
    assert_eq!(header(&guess, Column::Nominal), "");
    assert_eq!(
        header(&guess, Column::AsFound),
        "Deviation from nominal (mK)"
    );
}

/// Tables of databases write the words of their headers together.
#[test]
fn words_that_are_written_together_are_known() {
    let text = "AssetID,CalDate,Nominal,AsFound,AsLeft,LowerLimit,UpperLimit,ExpUnc,InTolerance,dU/dT mV\n\
                V1,2025-01-05,10,10.001,,-0.1,0.1,0.02,true,1\nV1,2026-01-05,10,10.002,,-0.1,0.1,0.02,true,1\n";
    let guess = guess_text(text.as_bytes());
    for (column, own) in [
        (Column::Instrument, "AssetID"),
        (Column::Date, "CalDate"),
        (Column::AsFound, "AsFound"),
        (Column::AsLeft, "AsLeft"),
        (Column::Lower, "LowerLimit"),
        (Column::Upper, "UpperLimit"),
        (Column::U, "ExpUnc"),
        (Column::InTolerance, "InTolerance"),
    ] {
        assert_eq!(header(&guess, column), own);
    }
}
