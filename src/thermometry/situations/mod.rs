/*! Situations that a thermometrist knows, each with the verdict that an experienced one would give.

Common practice, no source, where nothing else is said. Numbers are mK at the triple point of water.
*/

mod readings;
mod shared;
mod thermometers;

use super::testing::{Bench, Row};

const A: (&str, f64) = ("TH-1", 25.5);
const B: (&str, f64) = ("TH-2", 25.48);
const C: (&str, f64) = ("TH-3", 25.52);
const DAYS: [&str; 8] = [
    "2026-01-05",
    "2026-02-02",
    "2026-03-02",
    "2026-04-06",
    "2026-05-04",
    "2026-06-01",
    "2026-07-06",
    "2026-08-03",
];

/// Three thermometers of a good bench, TH-3 as check standard; rated to 660 °C, measured in cell C-1.
fn bench() -> Bench {
    let own = "u_triple_point_ohm = 0.000002\nmeasured_in = \"C-1\"\nmaximum_c = 660\n";
    Bench::large()
        .thermometer(A.0, A.1, own)
        .thermometer(B.0, B.1, own)
        .thermometer(C.0, C.1, &format!("{own}check_standard = true"))
}

/// One session a month: the changes of TH-1, TH-2 and TH-3.
fn year(months: &[[f64; 3]]) -> Bench {
    year_with(months, |_, _| ())
}

/// The same with the rows of each month changed.
fn year_with(months: &[[f64; 3]], change: impl Fn(usize, &mut Row)) -> Bench {
    let mut bench = bench();
    for (month, mk) in months.iter().enumerate() {
        let read = [(A.0, A.1, mk[0]), (B.0, B.1, mk[1]), (C.0, C.1, mk[2])];
        let name = format!("S-{month}");
        bench = bench.session_with(&name, DAYS[month], &read, |row| change(month, row));
    }
    bench
}

fn set(row: &mut Row, instrument: &str, column: &'static str, value: &str) {
    if row.get("instrument").map(String::as_str) == Some(instrument) {
        row.insert(column, value.into());
    }
}

/// What is advised about TH-1 at the end of August.
fn advised(bench: &Bench) -> String {
    bench.findings("2026-08-31").report_on(A.0).advised()
}

fn begins(advice: &str, word: &str) {
    assert!(
        advice.starts_with(word),
        "expected {word}, was told: {advice}"
    );
}

fn says(advice: &str, words: &str) {
    assert!(advice.contains(words), "expected {words:?} in: {advice}");
}
