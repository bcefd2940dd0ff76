use super::*;
use crate::records::{Event, Outcome, RegisterSettings, Reject, Tolerance, testing};

/// Writes the files into a fresh folder and loads them as of 2026-06-30.
fn load_files(files: &[(&str, &str)], settings: &ChecksSettings) -> Result<Loaded, LoadError> {
    testing::load_files(files, (settings, &RegisterSettings::default()))
}

fn load_text(text: &str) -> Loaded {
    load_files(&[("f.csv", text)], &ChecksSettings::default()).unwrap()
}

fn reasons(loaded: &Loaded) -> Vec<(u32, &str, &str, &str)> {
    let of = |r: &'_ Reject| {
        (
            r.row_below_header(loaded),
            r.column.to_string(),
            r.value.clone(),
            r.reason.to_string(),
        )
    };
    let owned: Vec<_> = loaded.rejects.iter().map(of).collect();
    owned
        .into_iter()
        .map(|(row, c, v, r)| (row, &*c.leak(), &*v.leak(), &*r.leak()))
        .collect()
}

fn adds_up(loaded: &Loaded) {
    let rows = loaded.rows;
    assert_eq!(
        rows.read,
        rows.used + rows.merged + rows.rejected,
        "{rows:?}"
    );
    assert_eq!(rows.rejected as usize, loaded.rejects.len());
    assert_eq!(rows.used as usize, loaded.histories.columns.as_found.len());
}

#[test]
fn rows_become_sorted_histories() {
    let loaded = load_text(
        "instrument,point,date,as_found,nominal,as_left,u,lower,upper,event\n\
         B,,2021-01-01,0.2,,,,,,\n\
         A,100 °C,2022-01-01T12:00,100.03,100,100.01,0.01,-0.05,0.05,adjusted\n\
         A,100 °C,2021-01-01,100.02,100,,0.01,-0.02,0.02,\n",
    );
    adds_up(&loaded);
    let histories = &loaded.histories;
    assert_eq!(histories.len(), 2);
    let a = histories.get(0);
    assert_eq!(
        (a.item.instrument.as_str(), a.item.point.as_str()),
        ("A", "100 °C")
    );
    assert_eq!(a.date, [18_628.0, 18_993.5]);
    assert_eq!(a.as_found, [0.02, 0.03]);
    assert_eq!(a.as_left[1], 0.01);
    assert!(a.as_left[0].is_nan());
    assert_eq!(a.event, [Event::None, Event::Adjusted]);
    assert_eq!(a.source, [(0, 4), (0, 3)]);
    assert_eq!(a.item.tolerance, Tolerance::new(-0.05, 0.05));
    assert_eq!(a.outcome, [Outcome::In, Outcome::In]);
    assert_eq!(histories.get(1).outcome, [Outcome::Unknown]);
}

#[test]
fn every_unusable_row_says_why() {
    let loaded = load_text(
        "instrument,date,as_found,u,lower,upper,in_tolerance\n\
         ,2021-01-01,1,,,,\n\
         A,01.02.2021,1,,,,\n\
         A,2026-07-01,1,,,,\n\
         A,2021-01-01,x,,,,\n\
         A,2021-01-01,inf,,,,\n\
         A,2021-01-01,1,-0.1,,,\n\
         A,2021-01-01,1,,2,1,\n\
         A,2021-01-01,,,,,maybe\n\
         A,2021-01-01,,,,,\n\
         A,2021-01-01,1\n\
         A,0001-01-01,1,,,,\n\
         A,9999-12-31,1,,,,\n\
         A,2026-06-30T23:59,1,0,,,\n",
    );
    adds_up(&loaded);
    let found = reasons(&loaded);
    let expected = [
        (
            1,
            "instrument",
            "",
            "no instrument; where a name stands only in the first row of its block, name the column in fill_down under [checks], and that of the date where it stands once too",
        ),
        (2, "date", "01.02.2021", "not a date: expected YYYY-MM-DD"),
        (3, "date", "2026-07-01", "after the as-of date 2026-06-30"),
        (4, "as_found", "x", "not a number"),
        (5, "as_found", "inf", "not a finite number"),
        (6, "u", "-0.1", "an uncertainty cannot be negative"),
        (
            7,
            "lower",
            "2",
            "the lower limit 2 is not below the upper limit 1",
        ),
        (8, "in_tolerance", "maybe", "neither true nor false"),
        (9, "as_found", "", "no value and no outcome"),
        (
            10,
            "",
            "A,2021-01-01,1",
            "the row has 3 fields, the header 7 fields",
        ),
        (12, "date", "9999-12-31", "after the as-of date 2026-06-30"),
    ];
    assert_eq!(found.len(), expected.len());
    for (found, expected) in found.iter().zip(expected) {
        assert_eq!(
            (found.0, found.1, found.2),
            (expected.0, expected.1, expected.2)
        );
        assert!(found.3.starts_with(expected.3), "{found:?}");
    }
    assert_eq!(loaded.rows.used, 2);
}

#[test]
fn other_units_are_converted_or_rejected() {
    let loaded = load_text(
        "instrument,date,as_found,u,unit\nA,2021-01-01,1,,mΩ\nA,2021-01-02,1,,m\u{2126}\nA,2021-01-03,0.0012,0.0003,Ω\nA,2021-01-04,1,,\nA,2021-01-05,1,,mK\n",
    );
    adds_up(&loaded);
    assert_eq!(loaded.rows.used, 4);
    assert_eq!(loaded.histories.columns.as_found, [1.0, 1.0, 1.2, 1.0]);
    assert_eq!(loaded.histories.columns.u[2], 0.3);
    let words = "1 row is in Ω and read in mΩ (row 4: 0.0012 Ω is 1.2 mΩ)";
    assert!(
        loaded.warnings.iter().any(|w| w.words == words),
        "{:?}",
        loaded.warnings
    );
    assert_eq!(loaded.rejects[0].row, 6);
    says!(loaded.rejects[0].reason, "\"mΩ\"");
    assert_eq!(loaded.histories.items[0].unit, "mΩ");
}

#[test]
fn copies_are_merged_and_repeats_stay() {
    let header = "instrument,date,as_found\n";
    let day = "A,2021-01-01,1\n";
    let timed = "A,2021-01-02T10:00,1\n";
    // One file: equal readings of a day are repeats, of a minute are copies.
    let one = load_text(&[header, day, day, timed, timed].concat());
    adds_up(&one);
    assert_eq!((one.rows.used, one.rows.merged), (3, 1));
    // Overlapping exports: the fuller file counts.
    let first = [header, day, day].concat();
    let second = [header, day, day, day, "B,2021-01-01,1\n"].concat();
    let files = [("1.csv", first.as_str()), ("2.csv", second.as_str())];
    let both = load_files(&files, &ChecksSettings::default()).unwrap();
    adds_up(&both);
    assert_eq!((both.rows.used, both.rows.merged), (4, 2));
    // Same minute, different values: kept and told.
    let odd = load_text(&[header, timed, "A,2021-01-02T10:00,2\n"].concat());
    assert_eq!(odd.rows.used, 2);
    says!(odd.warnings[0].words, "same date and time 2021-01-02 10:00");
}

#[test]
fn a_contradicted_outcome_is_told_and_the_numbers_win() {
    let loaded = load_text(
        "instrument,date,as_found,upper,in_tolerance\nA,2021-01-01,3,2,yes\nA,2022-01-01,,2,OUT\n",
    );
    assert_eq!(
        loaded.histories.columns.outcome,
        [Outcome::Out, Outcome::Out]
    );
    says!(loaded.warnings[0].words, "the numbers count");
}

#[test]
fn nothing_usable_is_an_error() {
    let error = |text: &str| {
        load_files(&[("f.csv", text)], &ChecksSettings::default())
            .unwrap_err()
            .to_string()
    };
    says!(error("instrument,date,as_found\n"), "a header but no row");
    says!(error(""), "the file is empty");
    let all = error("instrument,date,as_found\nA,x,1\n");
    assert!(all.contains("the only row was rejected") && all.contains("row 2, column \"date\""));
}

#[test]
fn own_headers_words_and_marks_are_read() {
    let mut settings = ChecksSettings {
        decimal_comma: Some(true),
        date_format: "%d.%m.%Y".into(),
        coverage_factor: 2.0,
        empty: vec!["n/a".into()],
        ..ChecksSettings::default()
    };
    settings.events.insert("getrimmt".into(), Event::Adjusted);
    settings.columns.instrument = "Gerät".into();
    settings.columns.date = "Datum".into();
    settings.columns.as_found = "Abweichung".into();
    settings.columns.u = "U".into();
    settings.columns.event = "Ereignis".into();
    let text = "\u{feff}Gerät;Datum;Abweichung;U;Ereignis\nA;30.06.2026;0,5;0,2;getrimmt\nA;29.06.2026;-1;n/a;poliert\n";
    let loaded = load_files(&[("f.csv", text)], &settings).unwrap();
    adds_up(&loaded);
    let a = loaded.histories.get(0);
    assert_eq!((a.as_found, a.u[1]), ([-1.0, 0.5].as_slice(), 0.1));
    assert_eq!(a.event, [Event::None, Event::Adjusted]);
    says!(loaded.warnings[0].words, "unknown event \"poliert\"");
}

/// Settings that name no column of times, of rows as left or of void rows mean none, not one without a header.
#[test]
fn a_column_without_a_header_is_none_that_a_setting_names() {
    let text = "instrument,date,as_found,\nA,2020-01-01,0.1,abc\nA,2021-01-01,0.2,\nA,2022-01-01,0.3,12:30\n";
    let loaded = load_text(text);
    assert_eq!(reasons(&loaded), []);
    assert_eq!(loaded.histories.get(0).date, [18262.0, 18628.0, 18993.0]);
}
