/*! What such exports leave open and `start` asks about. */

use super::*;

#[test]
fn a_tolerance_in_per_cent_alone_is_asked_about() {
    let desk = Desk::new();
    let text = "Repère\tDate d'étalonnage\tValeur nominale\tErreur d'indication\tEMT\tConformité\n\
        MAN-7\t03/02/2022\t10 bar\t12 mbar\t0,5 %\tconforme\n\
        MAN-7\t16/02/2023\t10 bar\t61 mbar\t0,5 %\tnon conforme\n";
    let units = std::iter::once(0xfeff).chain(text.encode_utf16());
    let bytes: Vec<u8> = units.flat_map(u16::to_le_bytes).collect();
    let (asked, told, pipeline) = started(&desk, "fr.csv", &bytes);
    assert_eq!(asked, ["per_cent_of"], "{told}");
    let expected = [("MAN-7", "2022-02-03", 12.0), ("MAN-7", "2023-02-16", 61.0)];
    let read = loaded(&pipeline);
    assert_eq!(checks(&read), truth(&expected), "{told}");
    let limits = (&read.histories.columns.lower, &read.histories.columns.upper);
    assert_eq!(limits, (&vec![-50.0; 2], &vec![50.0; 2]), "{told}");
}

/// The units of both columns are the same two, in other rows: read as one, U is a thousand times too
/// large.
#[test]
fn a_unit_of_its_own_beside_the_uncertainty_is_asked_about() {
    let desk = Desk::new();
    let text = "Instrument,Date,Error,Error unit,Uncertainty (k=2),Unc unit\n\
        CAL-1,2021-06-01,0.12,mV,30,µV\n\
        CAL-1,2022-06-07,180,µV,30,µV\n\
        CAL-1,2023-06-05,0.25,mV,30,µV\n";
    let (asked, told, _) = started(&desk, "units.csv", text.as_bytes());
    assert_eq!(asked, ["second_unit"], "{told}");
}

#[test]
fn what_was_left_and_the_other_limit_are_asked_about_where_no_word_is_known() {
    let desk = Desk::new();
    let text = "Item,Date,Error [mV],Condition after work [mV],Upper bound,Bound below\n\
        C-1,2021-03-05,0.5,0.5,2,-2\nC-1,2022-03-16,2.4,0.1,2,-2\n";
    let (asked, told, _) = started(&desk, "left.csv", text.as_bytes());
    assert_eq!(asked, ["left_not_read", "other_limit"], "{told}");
}

#[test]
fn answers_are_asked_about_where_no_limits_judge() {
    let desk = Desk::new();
    let text = "Item,Date,Error [mV],Usable\n\
        C-1,2021-03-05,0.5,yes\nC-1,2022-03-16,2.4,no\nC-1,2023-03-16,0.4,yes\n";
    let (asked, told, _) = started(&desk, "usable.csv", text.as_bytes());
    assert_eq!(asked, ["outcomes_not_read"], "{told}");
}

#[test]
fn columns_that_count_on_from_the_one_that_is_read_are_asked_about() {
    let desk = Desk::new();
    let text = "Asset\tDate\tRdg 1\tRdg 2\tRef\tUnit\n\
        SB-1\t2022-02-03\t10.0002\t10.0003\t10\tmm\n\
        SB-1\t2023-02-07\t10.0004\t10.0005\t10\tmm\n";
    let (asked, told, _) = started(&desk, "bars.tsv", text.as_bytes());
    assert_eq!(asked, ["more_readings"], "{told}");
}

#[test]
fn years_beside_unit_and_tolerance_are_asked_for_their_day_alone() {
    let desk = Desk::new();
    let text = "Etalon;Einheit;Toleranz;2020;2021;2022;2023\n\
        N-1;mg;± 0,5;0,10;0,14;;0,21\nN-2;mg;± 0,2;-0,02;-0,03;-0,05;-0,30\n";
    let (asked, told, pipeline) = started(&desk, "n.csv", text.as_bytes());
    assert_eq!(asked, ["header_days"], "{told}");
    assert_eq!(loaded(&pipeline).rows.used, 7);
}

/// A column whose header says that it is what was found is asked about though some of its cells are
/// no numbers; without an answer no run counts the outcomes alone.
#[test]
fn values_among_words_are_asked_about_where_outcomes_would_count_alone() {
    let desk = Desk::new();
    let text = "Gerät;Datum;Korrektion [µm];Befund\nL-1;12.03.2021;1,2;pass\nL-1;13.03.2022;-0,4;pass\n\
                L-1;13.03.2023;siehe Blatt;fail\nL-1;14.03.2024;verstellt;fail\n";
    std::fs::write(desk.path("a.csv"), text).unwrap();
    let path = desk.path("a.csv");
    let done = crate::tool::driftbook(&["start", path.to_str().unwrap()]);
    says!(done.stdout, "numbers_not_read");
    desk.run(&path.with_extension("toml")).ended(2);
}

#[test]
fn units_that_end_a_header_count_and_what_a_per_cent_is_of_is_read_or_asked() {
    let rows = |header: &str| {
        format!(
            "Asset,Date,Nominal,Reading,{header}\n\
             V7,2021-03-14,10,10.01,0.5\nV7,2021-03-14,100,100.2,0.5\n\
             V7,2022-03-15,10,10.02,0.5\nV7,2022-03-15,100,100.3,0.5\n"
        )
    };
    let upper = |pipeline: &PathBuf| -> Vec<f64> {
        let read = loaded(pipeline);
        let limits = read.histories.items.iter();
        limits
            .map(|item| item.tolerance.map_or(f64::NAN, |t| t.upper()))
            .collect()
    };
    let desk = Desk::new();
    std::fs::write(desk.path("open.csv"), rows("Tol %")).unwrap();
    let (done, pipeline) = desk.start(&desk.path("open.csv"));
    let told = done.stdout + &done.stderr;
    says!(told, "per cent of the reading, or of the range?");
    // Who answers that it was taken right has the limits of the draft.
    says!(
        told,
        "per_cent_of: ",
        "until that is answered: of the reading"
    );
    assert_eq!(upper(&pipeline), [0.05, 0.5]);
    for (name, header) in [
        ("a.csv", "Tol (% of reading)"),
        ("b.csv", "Tolerance % rdg"),
    ] {
        let (asks, told, pipeline) = started(&desk, name, rows(header).as_bytes());
        assert_eq!(asks, [""; 0], "{header}: {told}");
        assert_eq!(upper(&pipeline), [0.05, 0.5], "{header}");
    }
    // What the per cent is of is not known: no limit rather than a wrong one.
    std::fs::write(desk.path("c.csv"), rows("Tol (% of cake)")).unwrap();
    let (done, _) = desk.start(&desk.path("c.csv"));
    let told = done.stdout + &done.stderr;
    says!(told, "per cent of what?");
    let text = "Asset,Date,Nominal,Error % of reading,Unit\nV7,2021-03-14,10,0.5,V\n";
    let (_, _, pipeline) = started(&desk, "d.csv", text.as_bytes());
    assert_eq!(loaded(&pipeline).histories.columns.as_found, [0.05]);
}

#[test]
fn a_second_column_of_units_is_asked_about_where_it_states_others() {
    let desk = Desk::new();
    let text = "Asset,Date,Value,Unit,Nominal,Nominal unit,Tol\n\
        V7,2021-03-14,100.2,mV,0.1,V,0.5\nV7,2022-03-15,100.3,mV,0.1,V,0.5\n";
    let (_, told, _) = started(&desk, "two.csv", text.as_bytes());
    says!(told, "second_unit: \"Nominal unit\" is not read");
    let one = text.replace(",0.1,V,", ",100,mV,");
    let (asks, told, _) = started(&desk, "one.csv", one.as_bytes());
    assert_eq!(asks, [""; 0], "{told}");
}

#[test]
fn limits_of_values_beside_errors_without_nominal_values_are_asked_about() {
    let desk = Desk::new();
    let text = "Asset,Date,Deviation (mV),LSL,USL\n\
        V7,2021-03-14,0.5,99.5,100.5\nV7,2022-03-15,0.6,99.5,100.5\n";
    std::fs::write(desk.path("far.csv"), text).unwrap();
    let (done, pipeline) = desk.start(&desk.path("far.csv"));
    let told = done.stdout + &done.stderr;
    says!(told, "limits of the value beside errors");
    let run = desk.run(&pipeline);
    assert!(
        run.status > 0 && run.stderr.contains("limits_are"),
        "{}",
        run.stderr
    );
    let drafted = std::fs::read_to_string(&pipeline).unwrap();
    let stated = drafted.replace("[checks]\n", "[checks]\nlimits_are = \"error\"\n");
    let answered = stated.replace("limits_are = '? ", "limits_are = 'right: ");
    let answered = answered.replace("limits_are = \"? ", "limits_are = \"right: ");
    let answered = answered.replace("\"\"\"? ", "\"\"\"right: ");
    std::fs::write(&pipeline, answered).unwrap();
    assert_eq!(loaded(&pipeline).rows.used, 2);
}
