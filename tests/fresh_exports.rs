/*! Exports in ten habits, each invented, as a new user brings them: what `start` takes them for,
what it asks, and what is read once that is answered. */

#[path = "fresh_exports/asked.rs"]
mod asked;

use crate::desk::{Desk, checks, loaded, truth};
use std::path::PathBuf;

/// The names of the doubts that a draft marks, in order.
fn asked(pipeline: &PathBuf, text: &str) -> Vec<String> {
    let drafted = std::fs::read_to_string(pipeline).unwrap_or_default();
    let right = |line: &&str| line.contains("right: ");
    let lines = drafted.lines().filter(right);
    let names: Vec<String> = lines
        .map(|line| line.split(' ').next().unwrap_or("").to_string())
        .collect();
    says_not!(text, "Not read yet");
    names
}

/// Writes a file, starts on it, and gives what it asked, what it told and the pipeline file.
fn started(desk: &Desk, name: &str, bytes: &[u8]) -> (Vec<String>, String, PathBuf) {
    std::fs::write(desk.path(name), bytes).unwrap();
    let (done, pipeline) = desk.start(&desk.path(name));
    let told = done.stdout + &done.stderr;
    (asked(&pipeline, &told), told, pipeline)
}

fn windows(text: &str) -> Vec<u8> {
    let byte = |c: char| u8::try_from(u32::from(c)).unwrap();
    text.chars().map(byte).collect()
}

#[test]
fn a_german_register_of_checks_with_words_for_both_needs_no_answer() {
    let desk = Desk::new();
    let text = "Prüfmittelüberwachung (erfunden);;;;;;\n;;;;;;\n\
        Inventar-Nr.;Prüfdatum;Messwert vor Justage;Messwert nach Justage;Sollwert;Toleranz;Befund\n\
        ;;kPa;kPa;kPa;kPa;\n\
        M-01;14.03.2022;100,12;;100;± 0,30;i. O.\n\
        M-01;18.03.2024;100,35;100,02;100;± 0,30;n. i. O. - justiert\n\
        Mittelwert;;100,07;;;;\n";
    let (asked, told, pipeline) = started(&desk, "de.csv", &windows(text));
    assert_eq!(asked, [""; 0], "{told}");
    says!(told, "1 adjusted");
    let read = loaded(&pipeline);
    let found: Vec<f64> = read.histories.columns.as_found.clone();
    near!(found[1], 0.35, 1e-12);
}

#[test]
fn a_function_and_a_nominal_value_make_the_points_together() {
    let desk = Desk::new();
    let text = "Equipo;Fecha de calibración;Magnitud;Valor de referencia [V];Lectura [V];Límite inferior [mV];Límite superior [mV];Resultado\n\
        MMD-3;15/07/2021;DCV;1,000;1,0002;-0,5;0,5;cumple\n\
        MMD-3;15/07/2021;DCV;10,000;10,0011;-5;5;cumple\n\
        MMD-3;15/07/2021;ACV;10,000;10,0040;-10;10;cumple\n\
        MMD-3;21/07/2022;DCV;1,000;1,0003;-0,5;0,5;cumple\n\
        MMD-3;21/07/2022;DCV;10,000;10,0019;-5;5;cumple\n\
        MMD-3;21/07/2022;ACV;10,000;10,0110;-10;10;no cumple\n";
    let (asked, told, pipeline) = started(&desk, "es.csv", text.as_bytes());
    assert_eq!(asked, [""; 0], "{told}");
    let read = loaded(&pipeline);
    let points: Vec<&str> = read.histories.items.iter().map(|i| &*i.point).collect();
    assert_eq!(points, ["ACV 10 V", "DCV 1 V", "DCV 10 V"]);
}

#[test]
fn a_polish_correction_has_its_sign_turned() {
    let desk = Desk::new();
    let text = "Nr inwentarzowy|Data wzorcowania|Wartość nominalna|Poprawka|Wynik\n\
        W-11|2021-05-11|100 g|0,12 mg|zgodny\n\
        W-11|2022-05-18|100 g|0,15 mg|niezgodny\n";
    let (asked, told, pipeline) = started(&desk, "pl.csv", text.as_bytes());
    assert_eq!(asked, [""; 0], "{told}");
    let expected = [("W-11", "2021-05-11", -0.12), ("W-11", "2022-05-18", -0.15)];
    assert_eq!(checks(&loaded(&pipeline)), truth(&expected), "{told}");
}

#[test]
fn a_japanese_record_is_read_point_by_point() {
    let desk = Desk::new();
    let text = "校正記録（架空）\n\
        管理番号,校正日,基準値(℃),指示値(℃),拡張不確かさ(k=2)(℃),許容差(℃),判定,備考\n\
        T-101,2022年4月12日,0,0.03,0.04,±0.10,合格,\n\
        T-101,2022年4月12日,100,100.05,0.04,±0.10,合格,\n\
        T-101,2023年4月18日,0,0.05,0.04,±0.10,合格,\n\
        T-101,2023年4月18日,100,100.13,0.04,±0.10,不合格,調整\n";
    let (asked, told, pipeline) = started(&desk, "ja.csv", text.as_bytes());
    assert_eq!(asked, ["events_in_remarks"], "{told}");
    let read = loaded(&pipeline);
    let points: Vec<&str> = read.histories.items.iter().map(|i| &*i.point).collect();
    assert_eq!(points, ["0 ℃", "100 ℃"]);
    assert_eq!(read.histories.columns.u, [0.02; 4]);
}

#[test]
fn p_and_f_are_outcomes_where_nothing_else_is_kept() {
    let desk = Desk::new();
    let text = "Tool No,Date Tested,P/F,Comments\n\
        TW-1,1/15/24,P,\nTW-1,7/16/24,P,\nTW-1,1/20/25,F,replaced spring\nTW-1,2/3/25,P,\n";
    let (asked, told, _) = started(&desk, "tools.csv", text.as_bytes());
    assert_eq!(asked, ["events_in_remarks"], "{told}");
    says!(told, "failures     1");
}

/// Written by Windows-1250, of which every byte is a letter of Windows-1252 too.
#[test]
fn letters_of_central_europe_are_read() {
    let desk = Desk::new();
    let text = "Nr przyrz¹du;Data wzorcowania;B³¹d [mV];B³¹d graniczny [mV]\n\
        WV-7;11.05.2021;1,2;5\nWV-7;16.05.2022;2,1;5\n";
    let (asked, told, pipeline) = started(&desk, "pl1250.csv", &windows(text));
    assert_eq!(asked, [""; 0], "{told}");
    says!(told, "read as windows-1250 (encoding): \"Nr przyrządu\"");
    let expected = [("WV-7", "2021-05-11", 1.2), ("WV-7", "2022-05-16", 2.1)];
    let read = loaded(&pipeline);
    assert_eq!(checks(&read), truth(&expected), "{told}");
    assert_eq!(read.histories.columns.upper, [5.0; 2]);
}

#[test]
fn repeats_in_columns_are_read_as_their_mean_and_a_slip_among_them_is_told() {
    let desk = Desk::new();
    let text = "Asset,Date,Rdg 1 [mm],Rdg 2 [mm],Rdg 3 [mm],Ref,Tol\n\
        SB-1,2021-02-03,10.0002,10.0003,10.0001,10,±0.002 mm\n\
        SB-1,2022-02-03,10.0004,10.0005,10.0006,10,±0.002 mm\n\
        SB-1,2023-02-03,10.0006,10.0005,,10,±0.002 mm\n\
        SB-1,2024-02-03,10.0007,10.0008,10.0090,10,±0.002 mm\n\
        SB-1,2025-02-03,10.0009,10.0010,10.0008,10,±0.002 mm\n";
    let (asked, told, pipeline) = started(&desk, "bars.csv", text.as_bytes());
    assert_eq!(asked, ["more_readings"], "{told}");
    let stated = r#"repeated_in = ["Rdg 2 [mm]", "Rdg 3 [mm]"]"#;
    assert!(told.contains(stated), "{told}");
    let draft = std::fs::read_to_string(&pipeline).unwrap();
    let answered = draft.replace("[checks.columns]", &format!("{stated}\n[checks.columns]"));
    std::fs::write(&pipeline, answered).unwrap();
    let read = loaded(&pipeline);
    let found = read.histories.columns.as_found.as_slice();
    // By hand, in mm; of the last but one 10.0035 is 10 + (7 + 8 + 90)/3 · 10⁻⁴.
    assert_eq!(found, [0.0002, 0.0005, 0.00055, 0.0035, 0.0009]);
    let done = desk.run(&pipeline);
    // Pooled with 2 + 2 + 1 + 2 + 2 = 9 degrees of freedom: variances of 1, 1, 0.5, 2269 and 1 · 10⁻⁸ mm².
    let pooled = "standard deviation of 0.00225 mm (SB-1, 9 degrees of freedom)";
    assert!(done.stderr.contains(pooled), "{}", done.stderr);
    let slip = "the repeats of the check of 2024-02-03 (row 5) scatter";
    assert!(done.stderr.contains(slip), "{}", done.stderr);
}

#[test]
fn found_and_left_in_one_cell_are_both_read() {
    let desk = Desk::new();
    let text = "Gauge,Cal Date,As Found / As Left,MPE,Work done\n\
        P-9,2021-06-01,0.4 / 0.4,±1.0 kPa,none\n\
        P-9,2022-06-07,0.9 / 0.1,±1.0 kPa,adjusted\n";
    let (asked, told, pipeline) = started(&desk, "p9.csv", text.as_bytes());
    assert_eq!(asked, ["unit_of_readings"], "{told}");
    let read = loaded(&pipeline);
    assert_eq!(read.histories.columns.as_found, [0.4, 0.9], "{told}");
    assert_eq!(read.histories.columns.as_left, [0.4, 0.1], "{told}");
}

#[test]
fn files_may_each_have_their_own_words_for_rows_as_left() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("d")).unwrap();
    for (item, left) in [("A-1", "As left"), ("B-1", "Left")] {
        let text = format!(
            "Item,Date,Error mK,State\n{item},2021-03-04,0.5,As found\n\
            {item},2021-03-04,0.1,{left}\n{item},2022-03-05,0.6,As found\n"
        );
        desk.file(&format!("d/{item}.csv"), &text);
    }
    let (done, pipeline) = desk.start(&desk.path("d"));
    let read = loaded(&pipeline);
    let told = done.stdout + &done.stderr;
    assert_eq!(
        read.histories.columns.as_found,
        [0.5, 0.6, 0.5, 0.6],
        "{told}"
    );
    let left = &read.histories.columns.as_left;
    assert_eq!((left[0], left[2]), (0.1, 0.1), "{told}");
}

#[test]
fn a_tolerance_below_and_one_above_are_two_limits() {
    let desk = Desk::new();
    let text = "Equipment ID,Cal Date,As Found,Tol -,Tol +,Unit,Results\n\
        TC-22,02/14/2022,0.6,-2.0,1.0,K,Pass\nTC-22,02/20/2023,1.1,-2.0,1.0,K,Fail / Adjusted\n";
    let (asked, told, pipeline) = started(&desk, "tc.csv", text.as_bytes());
    assert_eq!(asked, [""; 0], "{told}");
    let columns = loaded(&pipeline).histories.columns.clone();
    assert_eq!(
        (columns.lower, columns.upper),
        (vec![-2.0; 2], vec![1.0; 2])
    );
}

/// What was edited between two runs of one date is in the digest of the second, and of the same
/// made anew.
#[test]
fn an_edit_on_the_same_day_is_in_the_digest() {
    let desk = Desk::new();
    let text = "instrument,date,as_found,u,lower,upper,unit\n\
        D-1,2022-03-01,0.2,0.1,-5,5,um\nD-1,2023-03-01,0.3,0.1,-5,5,um\nD-1,2024-03-01,0.4,0.1,-5,5,um\n";
    let file = desk.file("checks.csv", text);
    let digest = || std::fs::read_to_string(desk.path("report/digest.md")).unwrap();
    assert_eq!(desk.run(&file).status, 0);
    says!(digest(), "First run");
    desk.file(
        "checks.csv",
        &text.replace("2023-03-01,0.3", "2023-03-01,0.9"),
    );
    assert_eq!(desk.run(&file).status, 0);
    let edited = digest();
    let words = "1 of the 3 checks that the first run of this date rested on reads otherwise now";
    says!(edited, words);
    std::fs::remove_file(desk.path("report/warnings.csv")).unwrap();
    assert_eq!(desk.run(&file).status, 0, "made anew");
    assert_eq!(digest(), edited);
}

/// A warning that holds of many rows is one line with a count.
#[test]
fn the_same_warning_is_one_line_with_a_count() {
    let desk = Desk::new();
    let folder = desk.path("months");
    std::fs::create_dir(&folder).unwrap();
    for month in 1..=3 {
        let text =
            format!("Invented records\ninstrument,date,as_found\nD-1,2022-0{month}-01,0.2\n");
        std::fs::write(folder.join(format!("{month}.csv")), text).unwrap();
    }
    assert_eq!(desk.run(&folder).status, 0);
    let told = crate::tool::read_csv(&desk.path("report/warnings.csv"));
    let same = told
        .rows
        .iter()
        .filter(|row| row["warning"].contains("stands above the table"));
    let counts: Vec<&str> = same.map(|row| row["count"].as_str()).collect();
    assert_eq!(counts, ["3"]);
}

/// A folder in which several files cannot be read for one reason says the reason once.
#[test]
fn files_that_cannot_be_read_alike_are_told_in_one_line() {
    let desk = Desk::new();
    let folder = desk.path("year");
    std::fs::create_dir(&folder).unwrap();
    let good = "instrument,date,as_found,unit,lower,upper\nM-01,2024-03-14,0.1,mV,-1,1\nM-01,2025-03-14,0.2,mV,-1,1\n";
    std::fs::write(folder.join("good.csv"), good).unwrap();
    for month in 1..=5 {
        std::fs::write(folder.join(format!("2024-0{month}.xlsx")), "no workbook").unwrap();
    }
    let done = crate::tool::driftbook(&["start", folder.to_str().unwrap()]);
    let pipeline = std::fs::read_to_string(folder.with_extension("toml")).unwrap();
    let told = done.stdout + &done.stderr;
    assert_eq!(told.matches("Not read:").count(), 1, "{told}");
    says!(told, "5 files (");
    // No run begins while nobody says that they hold no checks.
    says!(
        pipeline,
        "files_not_read = \"? ",
        "files = [\"year/good.csv\"]"
    );
}

#[test]
fn a_second_table_below_the_first_is_never_read_by_its_header() {
    let desk = Desk::new();
    let text = "Asset,Date,Error (V),Tol (V)\nV7,2021-03-14,0.12,0.5\nV7,2022-03-15,0.13,0.5\n\
        \nAsset,Date,Correction (mV),Tol (mV)\nV8,2021-03-14,120,500\nV8,2022-03-15,130,500\n";
    std::fs::write(desk.path("two.csv"), text).unwrap();
    let (done, pipeline) = desk.start(&desk.path("two.csv"));
    let told = done.stdout + &done.stderr;
    let expected = "row 5 is the header of another table";
    says!(told, expected);
    let run = desk.run(&pipeline);
    assert!(
        run.status > 0 && run.stderr.contains(expected),
        "{}",
        run.stderr
    );
}

#[test]
fn remarks_with_a_year_make_no_wide_table_of_a_long_one() {
    let desk = Desk::new();
    let text = "Asset,Date,Error (mV),Tol (mV),Note 2021,Note 2022,Note 2023\n\
        A,2021-03-14,0.1,1,7,8,9\nA,2022-03-15,0.2,1,7,8,9\n";
    let (asks, told, pipeline) = started(&desk, "notes.csv", text.as_bytes());
    assert_eq!(asks, [""; 0], "{told}");
    assert_eq!(loaded(&pipeline).histories.columns.as_found, [0.1, 0.2]);
}

#[test]
fn what_was_meant_less_what_was_read_is_a_correction() {
    let desk = Desk::new();
    for (name, header) in [
        ("a.csv", "Abw. (Soll-Ist)"),
        ("b.csv", "Deviation (nominal \u{2212} reading)"),
    ] {
        let text = format!(
            "Asset;Date;{header};Tol\n\
             V7;14.03.2021;-0,003;0,01\nV7;15.03.2022;-0,0045;0,01\n"
        );
        let (asks, told, pipeline) = started(&desk, name, text.as_bytes());
        assert_eq!(asks, [""; 0], "{told}");
        assert_eq!(
            loaded(&pipeline).histories.columns.as_found,
            [0.003, 0.0045]
        );
    }
}

/// Rows that another command writes, added to a file with `>>`: the later header has the contract's own names, and the
/// checks above it were set aside as if they were titles.
#[test]
fn checks_above_a_second_header_are_never_titles() {
    let desk = Desk::new();
    let text = "instrument,date,error,lower,upper\nM1,2024-03-14,0.12,-1,1\nM1,2025-03-15,0.13,-1,1\n\
        instrument,date,as_found,u,u_common,source\n\"M1\",2026-03-14,0.14,0.001,0.015,\"M1\"\n";
    std::fs::write(desk.path("checks.csv"), text).unwrap();
    let expected = "row 1 heads a table of its own";
    let run = desk.run(&desk.path("checks.csv"));
    assert!(
        run.status > 0 && run.stderr.contains(expected),
        "{}",
        run.stderr
    );
}
