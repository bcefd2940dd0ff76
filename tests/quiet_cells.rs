/*! Cells, headers and names of files that a laboratory writes and a run reads, tells or refuses by name: none is taken
otherwise than meant without a word. All records are invented. */

use crate::desk::{Desk, checks, loaded};
use crate::quiet_losses::asked;

/// A minus behind the number was read without a word.
#[test]
fn a_minus_behind_numbers_is_told_with_their_count() {
    let desk = Desk::new();
    let log = desk.file(
        "log.csv",
        "Item;Date;Error [mV];Tol ±\nA;2022-03-04;1,32-;5\nA;2023-03-05;0,3;5\nA;2024-03-06;0,5-;5\n",
    );
    let (done, pipeline) = desk.start(&log);
    let words = "2 numbers have the minus behind the digits";
    says!(done.stdout, words, "(row 2, \"Error [mV]\": \"1,32-\")");
    let loaded = loaded(&pipeline);
    assert_eq!(loaded.histories.columns.as_found, [-1.32, 0.3, -0.5]);
    let told = loaded.warnings.iter().filter(|w| w.words.contains(words));
    assert_eq!(told.count(), 1);
}

/// An uncertainty in the last digits (JCGM 100:2008, 7.2.2), of which no cell says by which k it is expanded.
#[test]
fn an_uncertainty_in_the_last_digits_is_read_and_its_k_asked() {
    let rows = "A;2022-03-04;100,0086(28);0,5\nA;2023-03-05;99,9982(30);0,5\n";
    let text =
        format!("Item;Date;Reading [V];Tol ±;Nominal\n{rows}").replace(";0,5\n", ";0,5;100\n");
    let (marked, told) = asked(&text);
    assert_eq!(marked, ["coverage_factor"], "{told}");
    says!(told, "in brackets behind each value");
    let desk = Desk::new();
    let (_, pipeline) = desk.start(&desk.file("log.csv", &text));
    let columns = &loaded(&pipeline).histories.columns;
    assert_eq!(columns.as_found, [0.0086, -0.0018]);
    assert_eq!(columns.u, [0.0028, 0.003]);
    // Where nothing says so, the rows are rejected with the mend.
    let text = std::fs::read_to_string(&pipeline).unwrap();
    std::fs::write(&pipeline, text.replace("pairs = \"found_u\"\n", "")).unwrap();
    says!(
        desk.run(&pipeline).ended(1).stderr,
        "state pairs = \"found_u\""
    );
}

/// Steps of a display beside a part of the reading.
#[test]
fn digits_of_a_tolerance_need_the_step_of_the_display() {
    let desk = Desk::new();
    let log = desk.file(
        "log.csv",
        "Item,Date,Nominal [V],Reading [V],Spec\nA,2022-03-04,10,10.02,±(0.5 % rdg + 2 digits)\nA,2023-03-05,10,10.03,±(0.5 % rdg + 2 digits)\n",
    );
    let (done, pipeline) = desk.start(&log);
    says!(done.stdout, "state its step as resolution under [checks]");
    let text = std::fs::read_to_string(&pipeline).unwrap();
    let stated = "resolution = 0.01\n[checks.columns]";
    std::fs::write(&pipeline, text.replace("[checks.columns]", stated)).unwrap();
    assert_eq!(loaded(&pipeline).histories.columns.upper, [0.07, 0.07]);
}

/// The header of an interval in months, in a register that a person wrote by hand.
#[test]
fn an_interval_in_months_that_is_not_read_is_told_with_its_mend() {
    let desk = Desk::new();
    desk.file(
        "checks.csv",
        "instrument,date,as_found,u\nA,2022-03-04,0.1,0.1\nA,2023-03-05,0.2,0.1\n",
    );
    desk.file("register.csv", "instrument,interval (months)\nA,12\n");
    let tables = "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n";
    let pipeline = desk.file("lab.toml", tables);
    let told = loaded(&pipeline).warnings;
    let mend = "interval_days = \"interval (months)\"";
    let told: Vec<_> = told
        .iter()
        .filter(|w| w.words.contains("interval (months)"))
        .collect();
    assert_eq!(told.len(), 1);
    says!(told[0].words, mend, "interval_in = \"months\"");
    let mended = format!("{tables}interval_in = \"months\"\ncolumns = {{ {mend} }}\n");
    std::fs::write(&pipeline, mended).unwrap();
    assert_eq!(
        loaded(&pipeline).histories.items[0].interval_days,
        Some(365.0)
    );
}

/// A unit of the deviation beside that of the nominal value: the question had no answer that reads it.
#[test]
fn a_second_unit_may_be_that_of_the_errors() {
    let desk = Desk::new();
    let log = desk.file(
        "log.csv",
        "Item,Date,Set point,Unit,Deviation,Dev unit,Limit ±\nA,2022-03-04,10 V,V,0.3,mV,1\nA,2023-03-05,10 V,V,0.4,mV,1\nA,2022-03-04,100 mV,mV,5,µV,20\nA,2023-03-05,100 mV,mV,7,µV,20\n",
    );
    let (done, pipeline) = desk.start(&log);
    says!(
        done.stdout,
        "second_unit",
        "unit = \"Dev unit\" under columns"
    );
    let text = std::fs::read_to_string(&pipeline).unwrap();
    let text = text.replace("unit = \"Unit\"", "unit = \"Dev unit\"");
    std::fs::write(
        &pipeline,
        text.replace("not_read = [\"Dev unit\"]", "not_read = [\"Unit\"]"),
    )
    .unwrap();
    let items = loaded(&pipeline).histories.items;
    let units: Vec<_> = items
        .iter()
        .map(|item| (item.point.as_str(), item.unit.as_str()))
        .collect();
    assert_eq!(units, [("100 mV", "µV"), ("10 V", "mV")]);
}

/// Tables of two instruments side by side are refused by that name, and columns of one width by theirs.
#[test]
fn tables_that_no_setting_reads_are_refused_by_name() {
    let told = |text: &str| asked(text).1;
    let beside = "Gauge A,,,Gauge B,,\nDate,Error (bar),Limit,Date,Error (bar),Limit\n2021-01-05,0.1,0.2,2021-02-06,0.1,0.2\n2022-01-05,0.1,0.2,2022-02-06,0.1,0.2\n";
    says!(
        told(beside),
        "Tables of several instruments seem to stand side by side"
    );
    let wide = "INSTR     DATE       DEV(MV)\nAB100     2021-05-05    2.27\nAB100     2022-05-05    1.27\n";
    let angles = "Gauge,Date,Nominal,Indicated,MPE\nA,2021-02-11,10°00',10°02',±6'\nA,2022-02-11,10°00',10°03',±6'\n";
    says!(told(angles), "are two units in one number");
    let one_width = told(wide);
    assert!(
        one_width.contains("2 used")
            || one_width.contains("columns of one width have no delimiter"),
        "{one_width}"
    );
}

/// Checks whose day only the names of their files state.
#[test]
fn a_day_that_only_the_name_of_the_file_states_is_read_by_a_setting() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("months")).unwrap();
    for month in ["2025-03", "2025-06"] {
        let name = format!("months/{month}_checks.csv");
        desk.file(&name, "Gauge;Error [mV];Tol ±\nA;0,3;5\nB;0,4;5\n");
    }
    let (done, pipeline) = desk.start(&desk.path("months"));
    let setting = "date_in_file_name = \"%Y-%m-%d\" or \"first day of %Y-%m\"";
    says!(done.stdout, setting);
    let text = std::fs::read_to_string(&pipeline).unwrap();
    let stated = "date_in_file_name = \"first day of %Y-%m\"\n[checks.columns]";
    std::fs::write(&pipeline, text.replace("[checks.columns]", stated)).unwrap();
    let days = |day: &str, item: &str, found| (item.to_string(), day.to_string(), found);
    let expected = [
        days("2025-03-01", "A", 0.3),
        days("2025-06-01", "A", 0.3),
        days("2025-03-01", "B", 0.4),
        days("2025-06-01", "B", 0.4),
    ];
    assert_eq!(checks(&loaded(&pipeline)), expected);
    // A file whose name states none is refused, and none of its rows is dated by another.
    desk.file("months/notes.csv", "Gauge;Error [mV];Tol ±\nA;0,3;5\n");
    says!(
        desk.run(&pipeline).ended(1).stderr,
        "notes.csv",
        "its name states no day"
    );
}

/// A remark in a form of the word that no list has: the adjustment of which it speaks was lost without a word.
#[test]
fn a_remark_speaks_of_an_adjustment_by_the_beginning_of_a_word() {
    let rows = |remark: &str| {
        format!(
            "Instrument;Datum;Avvikelse [bar];Tolerans;Anmärkning\nM;2022-09-10;0,01;0,1;\nM;2023-09-12;0,15;0,1;{remark}\nM;2024-09-13;0,02;0,1;\n"
        )
    };
    for remark in [
        "justerades efter kontroll",
        "wyregulowana na miejscu",
        "nachjustierung",
    ] {
        let (marked, told) = asked(&rows(remark));
        assert_eq!(marked, ["events_in_remarks"], "{told}");
    }
    for remark in ["adjustable foot is loose", "display dirty"] {
        assert_eq!(asked(&rows(remark)).0, Vec::<String>::new(), "{remark}");
    }
}

/// The limit that a spreadsheet could not work out was taken for none: an error far below passed, as "0 % of the tolerance".
#[test]
fn an_error_in_the_place_of_a_limit_limits_nothing_and_is_no_open_side() {
    let folder = tempfile::tempdir().unwrap();
    let (file, out) = (folder.path().join("c.csv"), folder.path().join("out"));
    for error in ["#N/A", "#REF!", "Err:502"] {
        let rows = format!(
            "instrument,date,as_found,lower,upper,tolerance\nG2,2022-01-10,1.0,-5,5,\nG2,2024-01-10,-7.4,{error},5,\n\
             G3,2022-01-10,1.0,,,±5\nG3,2024-01-10,-7.4,,,{error}\n"
        );
        std::fs::write(&file, rows).unwrap();
        let run = [
            "run",
            file.to_str().unwrap(),
            "--out",
            out.to_str().unwrap(),
            "--as-of",
            "2024-06-01",
            "--force",
        ];
        let stopped = crate::tool::driftbook(&run).ended(2).stderr;
        let told = stopped.matches("(failure): an error of a spreadsheet stands");
        assert_eq!(told.count(), 2, "{stopped}");
    }
}
