/*! Shapes of raw exports that are not read as they stand: `start` says what they seem to be and how
they are read once mended. All are invented. */

use crate::desk::Desk;

/// What `start` tells of a file.
fn told(text: &str) -> String {
    let desk = Desk::new();
    let file = desk.file("raw.csv", text);
    let (done, _) = desk.start(&file);
    done.stdout + &done.stderr
}

#[test]
fn days_of_a_month_as_columns_are_told_from_repeats() {
    let days = |cell: &str| (1..=31).map(|_| cell).collect::<Vec<_>>().join(";");
    let headers: Vec<String> = (1..=31).map(|day| day.to_string()).collect();
    let header = headers.join(";");
    let text = format!(
        "Balance;Month;{header}\nB-1;2025-01;{}\nB-1;2025-03;{}\n",
        days("0,1"),
        days("0,2")
    );
    let told = told(&text);
    says!(
        told,
        "days_of_month: The headers 1 to 31 seem to be the days of a month",
        "write whole dates in their place, such as 2025-03-01 for 1"
    );
    says_not!(told, "more_readings");
}

#[test]
fn ratios_are_no_errors_and_no_nominal_values() {
    let text = "Flowmeter,Date,Reference (L/min),Ratio (reading/nominal),Tolerance\n\
        F-1,2021-03-02,10,1.0021,±0.5 %\nF-1,2022-03-14,10,1.0033,±0.5 %\n";
    says!(
        told(text),
        "ratio: \"Ratio (reading/nominal)\" seems to hold ratios"
    );
    let text = "Messgerät;Datum;Verhältnis Ist/Soll;untere Grenze;obere Grenze\n\
        F-1;02.03.2021;1,0021;0,995;1,005\nF-1;14.03.2022;1,0033;0,995;1,005\n";
    let told = told(text);
    says!(told, "ratio: \"Verhältnis Ist/Soll\" seems to hold ratios");
    says_not!(told, "Missing");
}

#[test]
fn dates_that_read_as_none_are_told_by_what_they_are() {
    let table = |dates: [&str; 3]| {
        let rows = dates.map(|date| format!("A-1;{date};0,4;±2\n")).concat();
        format!("Item;Date;Error [mV];Tol [mV]\n{rows}")
    };
    let several = told(&table(["2021-03-02", "14.03.2022", "03/04/2023"]));
    says!(
        several,
        "written in several ways (\"2021-03-02\", \"14.03.2022\", \"03/04/2023\")"
    );
    let era = told(&table(["02/03/2564", "14/03/2565", "17/03/2566"]));
    says!(era, "their years are of another calendar");
}

#[test]
fn a_time_that_is_none_is_told() {
    let text = "Clock;Date;Time;Error [ms];Limit ± [ms]\nC-1;2024-03-02;24:00;1;20\n\
        C-1;2024-03-02;00:10;2;20\nC-1;2024-03-03;12:05;4;20\nC-1;2024-03-03;08:05;6;20\n";
    says!(
        told(text),
        "\"Time\" is not read, since \"24:00\" is no time of day"
    );
}
