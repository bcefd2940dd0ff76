use super::*;

fn found(headers: &[&str]) -> Option<Wide> {
    by(headers, None)
}

fn by(headers: &[&str], system: Option<System>) -> Option<Wide> {
    // 2026-11-28.
    let today = 20_785.0;
    let headers: Vec<String> = headers.iter().map(|h| h.to_string()).collect();
    wide(&headers, Clock { system, today })
}

#[test]
fn numbers_of_days_are_dates_where_all_are_and_no_column_has_dates() {
    let recent = found(&["Item", "45231", "45597"]).unwrap();
    assert_eq!(recent.settings.date_format, "serial 1900");
    assert!(recent.doubts.is_empty() && recent.to_check[0].contains("2023-11-01"));
    let older = found(&["Item", "43000 found", "43000 left", "43400 found"]).unwrap();
    assert_eq!(older.settings.as_left.as_deref(), Some("left"));
    assert_eq!(older.doubts[0].choices.len(), 2);
    let stated = by(&["Item", "43000", "43401"], Some(System::From1904)).unwrap();
    assert_eq!(stated.settings.date_format, "serial 1904");
    assert!(stated.doubts.is_empty());
    let round = found(&["Item", "45200", "45600"]).unwrap();
    says!(round.doubts[0].words, "may be points");
    for points in [
        ["Item", "20000", "30000", "Date"],
        ["Item", "45231", "45597", "300"],
        ["Item", "45597", "45231", "45598"],
        ["Item", "69999", "70001", "Unit"],
    ] {
        assert_eq!(found(&points), None, "{points:?}");
    }
}

#[test]
fn years_months_and_days_are_told_with_what_stands_beside_them() {
    let years = found(&["Item", "2020", "2021", "2022"]).unwrap();
    assert_eq!(years.settings.date_format, "%Y");
    assert_eq!(years.settings.as_found.as_deref(), Some(""));
    says!(years.doubts[0].words, "month and day");
    let pairs = found(&[
        "Gerät",
        "2020 gefunden",
        "U 2020",
        "2021 gefunden",
        "U 2021",
    ]);
    assert_eq!(pairs.unwrap().settings.u.as_deref(), Some("U"));
    let left = found(&["S/N", "3.2.2020 found", "3.2.2020 left", "14.3.2021 found"]).unwrap();
    assert_eq!(left.settings.date_format, "%d.%m.%Y");
    assert_eq!(left.settings.as_left.as_deref(), Some("left"));
    assert!(left.doubts.is_empty(), "{:?}", left.doubts);
}

#[test]
fn quarters_weeks_and_half_years_are_dates_whose_day_is_asked() {
    let quarters = found(&["Étalon", "2024 T1", "2024 T2", "2024 T3"]).unwrap();
    assert_eq!(quarters.settings.date_format, "first day of quarter");
    assert_eq!(quarters.settings.as_found.as_deref(), Some(""));
    let [doubt] = quarters.doubts.as_slice() else {
        panic!("{:?}", quarters.doubts)
    };
    assert_eq!((doubt.name, doubt.choices.len()), ("header_days", 2));
    says!(doubt.choices[1].words, "2024-03-31");
    let weeks = found(&["Item", "KW 2/24 found", "KW 2/24 left", "KW 30/24 found"]).unwrap();
    assert_eq!(weeks.settings.date_format, "first day of week");
    assert_eq!(weeks.settings.as_left.as_deref(), Some("left"));
    // Both a half-year and a week.
    let either = found(&["Item", "S1 2024", "S2 2024"]).unwrap();
    assert_eq!(either.doubts[0].choices.len(), 4, "{:?}", either.doubts);
    let halves = found(&["Item", "H1 2024", "H2 2024"]).unwrap();
    assert_eq!(halves.settings.date_format, "first day of half-year");
}

#[test]
fn long_tables_are_not_wide() {
    assert_eq!(found(&["Item", "Date", "Error", "Due 2024"]), None);
    assert_eq!(found(&["R-1", "2020-01-01", "2021-01-01", "0.3"]), None);
    assert_eq!(found(&["Item", "Date", "Budget 2023", "Budget 2024"]), None);
    let notes = [
        "Item",
        "Date",
        "Error",
        "Note 2021",
        "Note 2022",
        "Note 2023",
    ];
    assert_eq!(found(&notes), None);
}
