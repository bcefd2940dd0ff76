/*! The pictures of docs/charts.md: one a kind, of invented data.

`DRAW_DOCS=1 cargo test --release --lib pictures` draws them anew into `docs/charts`.
*/

use super::*;
use crate::report::samples::{approved, control, eventful, fleet, growth, history};
use crate::report::view::{BookView, HistoryView};
use std::path::Path;

/// Every kind by the name of its file.
fn pictures() -> Vec<(&'static str, String)> {
    let small = fleet(60);
    let group = &small.groups[0];
    let book: Vec<BookView> = (0..6).map(|i| book_of(history(3 + 3 * i))).collect();
    let shown: Vec<&BookView> = book_order(&book).iter().map(|i| &book[*i]).collect();
    let cost = group.cost.clone().unwrap_or_default();
    vec![
        ("history", history_chart(&eventful())),
        ("growth", growth_chart(&growth(1.0, "mK"))),
        ("approved", approved_chart(&approved())),
        ("control", control_chart(&control(30, 1.0))),
        ("cost", cost_chart(&cost)),
        ("actions", actions_chart(&small)),
        ("due", due_chart(&small)),
        ("due-calendar", due_calendar(&small)),
        ("workload", workload_chart(&small.workload)),
        ("intervals", intervals_chart(&small)),
        (
            "out-of-tolerance",
            out_of_tolerance_chart("All groups", &small.out_of_tolerance),
        ),
        ("groups", out_of_tolerance_by_group(&small.groups)),
        ("reliability", reliability_chart(group)),
        ("drift-rates", drift_rates_chart(group)),
        ("book", book_chart(&group.name, &shown, &book)),
    ]
}

fn book_of(view: HistoryView) -> BookView {
    BookView {
        at_due: view.curve.last().map(|point| point.expected),
        tolerance: view.tolerance.last().cloned(),
        instrument: view.instrument,
        unit: view.unit,
        action: view.action,
        readings: view.readings,
        curve: view.curve,
        ..Default::default()
    }
}

#[test]
fn every_kind_has_its_picture_in_the_docs() {
    let docs = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs");
    let folder = docs.join("charts");
    let page = std::fs::read_to_string(docs.join("charts.md")).unwrap();
    for (name, svg) in pictures() {
        let file = folder.join(format!("{name}.svg"));
        if std::env::var_os("DRAW_DOCS").is_some() {
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(&file, svg).unwrap();
        }
        assert!(
            page.contains(&format!("(charts/{name}.svg)")),
            "docs/charts.md has no {name}"
        );
        assert!(
            file.exists(),
            "docs/charts/{name}.svg is missing: DRAW_DOCS=1 draws it"
        );
    }
}
