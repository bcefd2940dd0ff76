use super::*;
use crate::report::ToleranceStep;

/// Shares of the tolerance when due, of both signs and of limits that differ; one has no tolerance and one no forecast.
#[test]
fn most_of_the_tolerance_used_when_due_comes_first() {
    let view = |name: &str, at_due: Option<f64>, limits: Option<(f64, f64)>| BookView {
        instrument: name.into(),
        at_due,
        tolerance: limits.map(|(lower, upper)| ToleranceStep::new(0.0, Some(lower), Some(upper))),
        readings: vec![ReadingView {
            day: 20_000.0,
            ..ReadingView::default()
        }],
        ..BookView::default()
    };
    let views = [
        view("a fifth", Some(0.2), Some((-1.0, 1.0))),
        view("no forecast", None, Some((-1.0, 1.0))),
        view("beyond", Some(-2.4), Some((-2.0, 2.0))),
        view("no tolerance", Some(9.0), None),
        view("half", Some(5.0), Some((-10.0, 10.0))),
    ];
    let order = book_order(&views);
    let names: Vec<&str> = order.iter().map(|i| &*views[*i].instrument).collect();
    assert_eq!(
        names,
        ["beyond", "half", "a fifth", "no forecast", "no tolerance"]
    );
    let shown: Vec<&BookView> = order.iter().map(|i| &views[*i]).collect();
    let svg = book_chart("gauges", &shown, &views);
    let places: Vec<_> = names
        .iter()
        .map(|name| svg.find(&format!(">{name}<")).unwrap())
        .collect();
    assert!(places.is_sorted(), "{places:?}");
    let told = "last 0.00 on 2024-10-04; a fifth";
    says!(svg, told);
}

#[test]
fn a_history_of_outcomes_alone_is_a_strip_of_marks() {
    let reading = |(i, out): (usize, &bool)| ReadingView {
        day: 18_000.0 + 365.0 * i as f64,
        value: f64::NAN,
        out_of_tolerance: *out,
        ..ReadingView::default()
    };
    let outcomes = [false, false, true, false];
    let view = BookView {
        instrument: "MA-004".into(),
        readings: outcomes.iter().enumerate().map(reading).collect(),
        ..BookView::default()
    };
    let svg = book_chart("masses", &[&view], std::slice::from_ref(&view));
    assert_eq!(svg.matches("<polygon").count(), 1, "{svg}");
    let squares = svg.matches("<rect").count();
    assert!(squares >= 3, "{svg}");
    says!(svg, ">in<", ">out<", "only outcomes were kept");
    // No scale of values, no limit.
    assert!(
        !svg.contains("#B4491A\" stroke-width") && !svg.contains(">0.5<"),
        "{svg}"
    );
}
