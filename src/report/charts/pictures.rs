/*! The pictures of docs/charts.md: one a kind, of invented data.

`DRAW_DOCS=1 cargo test --release --lib pictures` draws them anew into `docs/charts`.
*/

use super::*;
use crate::report::samples::{Noise, approved, control, eventful, fleet, growth, history};
use crate::report::view::{Action, BookView, HistoryView, RangeView, YearMark, YearView};
use crate::simulate::replay::{Coverage, ForecasterResult, ReplayResult};
use crate::simulate::scores::brier;
use crate::thermometry::range::range_curve;
use std::path::Path;

/// Every kind by the name of its file.
fn pictures() -> Vec<(&'static str, String)> {
    let small = fleet(60);
    let group = &small.groups[0];
    let book: Vec<BookView> = (0..6).map(one_of_six).collect();
    let shown: Vec<&BookView> = book_order(&book).iter().map(|i| &book[*i]).collect();
    let cost = group.cost.clone().unwrap_or_default();
    let mut large = fleet(2000);
    for (i, row) in large.rows.iter_mut().enumerate() {
        let days = row.interval_days.as_mut();
        if let Some(days) = days {
            *days += 7.0 * (i % 29) as f64;
        }
    }
    // Two that differ.
    let mut other = book_of(history(9));
    for reading in &mut other.readings {
        reading.value *= -0.4;
    }
    for point in &mut other.curve {
        point.expected *= -0.4;
    }
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
        ("due-many", due_chart(&large)),
        ("intervals-many", intervals_chart(&large)),
        ("overlay", alone(overlay(&[shown[0], &other]).unwrap().svg)),
        ("year", year_chart(&year())),
        ("range", range_chart(&range())),
        ("coverage", coverage_chart(&replayed(), 0.95)),
        (
            "calibration",
            calibration_chart("state", &replayed().forecasters[0].in_tolerance),
        ),
        ("excess", excess()),
    ]
}

/// The picture of two with the part of the page's style that shows them.
fn alone(svg: String) -> String {
    const OWN: [&str; 5] = [
        ":root{",
        "@media screen and (prefers-color-scheme:dark){:root",
        ".over",
        ".a .",
        ".b .",
    ];
    let page = include_str!("../page/style.css");
    let own = |line: &&str| OWN.iter().any(|start| line.starts_with(start));
    let style: String = page.lines().filter(own).collect();
    svg.replacen(
        "<g class=\"over",
        &format!("<style>{style}</style><g class=\"over"),
        1,
    )
}

/// A thermometer's invented year: R at the triple point rises, W and the check standard do not.
fn year() -> YearView {
    let mut noise = Noise(7);
    let day = |month: f64| 20_460.0 + 30.4 * month;
    let mut marks = |from: f64, rise: f64, u: f64, every: usize| -> Vec<YearMark> {
        (0..12)
            .step_by(every)
            .map(|month| YearMark {
                day: day(month as f64),
                value: from + rise * month as f64 + u * noise.next().unwrap_or(0.0),
                u,
                counts: month != 4,
            })
            .collect()
    };
    let line = |month: f64| (day(month), 0.05 * month - 0.06, 0.05 * month + 0.06);
    let mut self_heating = marks(0.3, 0.0, 0.01, 1);
    self_heating.iter_mut().for_each(|mark| mark.u = f64::NAN);
    YearView {
        name: "TH-101".into(),
        advice: "anneal".into(),
        finding: "changed by +0.550 mK, more than 0.4 mK".into(),
        limits: Some((0.4, 1.5)),
        sessions: marks(0.0, 0.05, 0.04, 1),
        band: (0..12).map(|month| line(f64::from(month))).collect(),
        values: vec![(20_400.0, 0.0)],
        events: Vec::new(),
        standard: vec![("TH-103".into(), marks(0.0, 0.0, 0.04, 1))],
        ratios: vec![(
            "W, melting point of gallium".into(),
            marks(0.0, 0.0, 0.06, 3),
        )],
        self_heating,
        cells: vec![
            (20_460.0, 20_612.0, "C-3".into()),
            (20_642.0, 20_795.0, "C-7".into()),
        ],
    }
}

fn range() -> RangeView {
    let (change, u) = (0.8, 0.04);
    RangeView {
        name: "TH-101".into(),
        change,
        u,
        points: range_curve(change, u, (-40.0, 420.0), 121),
    }
}

/// Invented forecasts of two models: the first holds, the second is too sure far ahead.
fn replayed() -> ReplayResult {
    let cell = |label: &str, count: u64, share: f64| {
        let inside = (share * count as f64).round() as u64;
        Coverage {
            label: label.into(),
            count,
            inside,
            limits: crate::stats::proportion_limits(inside, count, 0.95),
            width: f64::NAN,
            crps: f64::NAN,
            interval_score: f64::NAN,
        }
    };
    let model = |name: &str, shares: [f64; 4]| ForecasterResult {
        name: name.into(),
        next: cell("next check", 400, shares[0]),
        by_horizon: [("half a year", 220), ("a year", 180), ("two years", 90)]
            .iter()
            .zip(&shares[1..])
            .map(|((label, count), share)| cell(label, *count, *share))
            .collect(),
        in_tolerance: brier((0..400).map(|i| {
            let forecast = 1.0 - 0.5 * f64::from(i % 20) / 20.0;
            (i, forecast, f64::from(i * 7919 % 101) < 101.0 * forecast)
        })),
        by_known: Vec::new(),
        by_group: Vec::new(),
        misses: None,
    };
    ReplayResult {
        forecasters: vec![
            model("state", [0.95, 0.96, 0.95, 0.94]),
            model("line", [0.93, 0.93, 0.88, 0.81]),
        ],
        methods: Vec::new(),
        differences: Vec::new(),
        words: Vec::new(),
    }
}

/// Invented costs of four ways to set intervals.
fn excess() -> String {
    let row = |name: &str, mean: f64, kinds: [f64; 3], own: bool| ExcessRow {
        name: name.into(),
        mean,
        error: 0.08 * mean,
        kinds: kinds.into(),
        own,
        published: !own,
    };
    let rows = [
        row("least cost", 9.0, [5.0, 8.0, 14.0], true),
        row("reliability", 24.0, [12.0, 22.0, 38.0], false),
        row("staircase", 61.0, [30.0, 55.0, 98.0], false),
        row("one interval for all", 140.0, [60.0, 130.0, 230.0], false),
    ];
    excess_chart(
        "The policy costs 9 % above perfect knowledge, others 24 to 140 %",
        "bar: mean over the kinds of instrument, with twice its error; rings: each kind",
        &rows,
    )
}

/// One of six that differ; the fourth is out of tolerance, the fifth had events.
fn one_of_six(i: usize) -> BookView {
    let mut view = book_of(match i {
        4 => eventful(),
        i => history(6 + 2 * i),
    });
    view.instrument = format!("TH-{:03}", 11 + i);
    let factor = [0.4, -0.7, 0.9, 2.1, 1.0, -0.2][i];
    for reading in &mut view.readings {
        reading.value *= factor;
        reading.out_of_tolerance = reading.value.abs() > 12.0;
    }
    for point in &mut view.curve {
        point.expected *= factor;
    }
    view.at_due = view.at_due.map(|error| factor * error);
    if i == 3 {
        view.action = Action::Withdraw;
    }
    view
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

/// Who does not see a picture of a fleet or of its groups hears its values.
#[test]
fn pictures_of_fleets_tell_their_values() {
    for (name, values) in [
        ("actions", "Intervals to extend: "),
        ("intervals", "Intervals to extend: "),
        ("due", "; ▲ "),
        ("due-many", "overdue: "),
        ("due-calendar", " coming, "),
        ("workload", " as proposed; "),
        ("out-of-tolerance", " of 30 ("),
        ("groups", "masses: "),
        ("reliability", " at risk; "),
        ("drift-rates", ", informed "),
    ] {
        let pictures = pictures();
        let (_, svg) = pictures.iter().find(|(own, _)| *own == name).unwrap();
        let told = svg.split_once("<desc").unwrap().1;
        let told = told.split_once("</desc>").unwrap().0;
        assert!(told.contains(values), "{name}: {told}");
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
