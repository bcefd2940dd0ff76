/*! Reading reference files in tests, and counting the digits that agree with them.

Files and their sources: tests/reference/README.md and the README of each folder.
*/

use serde_json::Value;

/// Text of a reference file.
pub(super) fn text(path: &str) -> String {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/");
    std::fs::read_to_string(format!("{root}{path}")).unwrap()
}

/// Parsed JSON of a reference file.
pub(super) fn json(path: &str) -> Value {
    serde_json::from_str(&text(path)).unwrap()
}

/// One column of a reference CSV; empty cells are NaN.
pub(super) fn column(path: &str, name: &str) -> Vec<f64> {
    cells(path, name)
        .iter()
        .map(|c| c.parse().unwrap_or(f64::NAN))
        .collect()
}

fn cells(path: &str, name: &str) -> Vec<String> {
    let text = text(path);
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap().split(',').collect();
    let index = header.iter().position(|h| *h == name).unwrap();
    let cell = |line: &str| line.split(',').nth(index).unwrap().to_string();
    lines.filter(|l| !l.is_empty()).map(cell).collect()
}

/// Whole days since the earliest date, and error rounded as the reference does.
pub(super) fn days_and_errors(path: &str) -> (Vec<f64>, Vec<f64>) {
    let day = |text: &String| {
        let date: chrono::NaiveDate = text[..10].parse().unwrap();
        f64::from(chrono::Datelike::num_days_from_ce(&date))
    };
    let days: Vec<f64> = cells(path, "date").iter().map(day).collect();
    let first = days.iter().copied().fold(f64::INFINITY, f64::min);
    let (found, nominal) = (column(path, "as_found"), column(path, "nominal"));
    let error = |(f, n): (&f64, &f64)| ((f - n) * 1e10).round() / 1e10;
    let errors = found.iter().zip(&nominal).map(error).collect();
    (days.iter().map(|d| d - first).collect(), errors)
}

/// Number in a reference, whether written as number or as text of more digits.
pub(super) fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .or_else(|| value.as_str().and_then(|text| text.parse().ok()))
        .unwrap_or(f64::NAN)
}

pub(super) fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(number).collect()
}

/// Digits that agree: log relative error, 15.95 where equal, as the StRD count them.
pub(super) fn digits(found: f64, certified: f64) -> f64 {
    let error = (found - certified).abs();
    if error == 0.0 {
        return 15.95;
    }
    let size = if certified == 0.0 {
        1.0
    } else {
        certified.abs()
    };
    -(error / size).log10()
}

/// Asserts `wanted` agreeing digits.
#[track_caller]
pub(super) fn agrees(what: &str, found: f64, certified: f64, wanted: f64) {
    let reached = digits(found, certified);
    assert!(
        reached >= wanted,
        "{what}: {found:e} against {certified:e}, {reached:.2} digits"
    );
}
