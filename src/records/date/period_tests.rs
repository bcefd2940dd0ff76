use super::*;

#[test]
fn quarters_weeks_and_half_years_are_read_as_they_are_written() {
    let first = |period: Period, text: &str| period.days(text).map(|[day, _]| day.to_string());
    for text in [
        "2024 T2",
        "T2 2024",
        "Q2 2024",
        "2024-Q2",
        "2024Q2",
        "Q2/2024",
        "2Q 2024",
        "2Q24",
        "Q2 24",
        "Q2'24",
        "24-Q2",
        "2. Quartal 2024",
        "II. Quartal 2024",
        "Quartal 2/2024",
        "2024/Q2",
        "2nd quarter 2024",
        "2e trimestre 2024",
        "2º trimestre de 2024",
        "II kw. 2024",
        "2024年第2四半期",
        "K2 2024",
        "Q02 2024",
    ] {
        let read = first(Period::Quarter, text);
        assert_eq!(read.as_deref(), Some("2024-04-01"), "{text}");
    }
    for text in [
        "2022-W10",
        "2022W10",
        "W10 2022",
        "W10/22",
        "KW 10/2022",
        "KW10 22",
        "10. KW 2022",
        "Week 10, 2022",
        "2022 wk 10",
        "Semaine 10 2022",
        "S10 2022",
    ] {
        let read = first(Period::Week, text);
        assert_eq!(read.as_deref(), Some("2022-03-07"), "{text}");
    }
    for text in ["H2 2024", "2H24", "2. Halbjahr 2024", "2024 S2", "2024-H2"] {
        let read = first(Period::HalfYear, text);
        assert_eq!(read.as_deref(), Some("2024-07-01"), "{text}");
    }
    let last = |period: Period, text: &str| period.days(text).map(|[_, day]| day.to_string());
    assert_eq!(
        last(Period::Quarter, "Q4 2024").as_deref(),
        Some("2024-12-31")
    );
    // 2020 has 53 weeks (ISO 8601), 2021 has not.
    assert_eq!(
        last(Period::Week, "2020-W53").as_deref(),
        Some("2021-01-03")
    );
    assert_eq!(first(Period::Week, "2021-W53"), None);
}

#[test]
fn what_is_no_period_is_none() {
    for text in [
        "",
        "2024",
        "Q5 2024",
        "Q 2024",
        "T 1 2024",
        "2024-01-02",
        "2024-01-02T10:00",
        "03/2024",
        "2022-W10-3",
        "24 KW 10",
        "10W 2022",
        "TH-2024",
        "T1 2024 T2",
        "IV/2024",
        "R-1",
        "1 2 2024",
        "Q1 FY24",
        "Quartal",
        "+Q1 2024",
        "Q1 99999",
    ] {
        let read: Vec<Period> = Period::ALL
            .into_iter()
            .filter(|period| period.days(text).is_some())
            .collect();
        assert_eq!(read, [], "{text}");
    }
    for (text, periods) in [
        ("KW 3/2024", vec![Period::Quarter, Period::Week]),
        ("S1 2024", vec![Period::Week, Period::HalfYear]),
    ] {
        let all = Period::ALL.into_iter();
        let read: Vec<Period> = all.filter(|period| period.days(text).is_some()).collect();
        assert_eq!(read, periods, "{text}");
    }
}
