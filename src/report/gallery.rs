/*! Every chart at its hard cases, written to `target/report-gallery` to be looked at. */

use super::charts::*;
use super::page::{digest_page, group_page, index_page, instrument_page};
use crate::report::samples::{
    approved, control, digest, eventful, fleet, growth, history, resistor, scaled,
};
use crate::report::view::{
    BookView, CostCurve, GroupView, HistoryView, OtherAxis, RangeView, ReadingView,
};
use crate::thermometry::range::range_curve;
use std::path::PathBuf;

/// Eighty characters in four scripts.
const LONG_NAME: &str =
    "مقياس الحرارة ذو المقاومة · 标准铂电阻温度计 🌡 · Normalwiderstand Raum 12 Regal 3";

/// Folder of the pictures.
fn folder() -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("target/report-gallery");
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// Writes one picture after checking what holds for every SVG of ours.
fn keep(name: &str, draw: impl Fn() -> String) {
    let svg = draw();
    assert_eq!(svg, draw(), "{name}: the same bytes always");
    assert!(
        svg.contains("<title>") && svg.contains("<desc>") && svg.contains("viewBox"),
        "{name}"
    );
    assert!(!svg.contains("NaN") && !svg.contains("inf\""), "{name}");
    assert!(
        !svg.contains("<script") && svg.trim_end().ends_with("</svg>"),
        "{name}"
    );
    std::fs::write(folder().join(format!("{name}.svg")), svg).unwrap();
}

fn one(value: f64) -> HistoryView {
    let mut view = history(1);
    view.readings[0].value = value;
    view
}

#[test]
fn ranges() {
    for (name, change, high) in [
        ("range-up", 1.9, 660.0),
        ("range-down", -0.31, 420.0),
        ("range-unchanged", 0.03, 232.0),
        ("range-cold", 0.8, 30.0),
        ("range-zero", 0.0, 962.0),
    ] {
        keep(name, || {
            range_chart(&RangeView {
                name: "TH-105".into(),
                change,
                u: 0.04,
                points: range_curve(change, 0.04, (-40.0, high), 121),
            })
        });
    }
}

#[test]
fn histories() {
    for n in [0, 1, 2, 3, 5, 12, 40, 300, 1000, 20_000] {
        keep(&format!("history-{n}"), || history_chart(&history(n)));
    }
    keep("history-events", || history_chart(&eventful()));
    keep("history-resistor", || history_chart(&resistor(12)));
    keep("history-resistor-1000", || history_chart(&resistor(1000)));
    keep("history-huge", || history_chart(&scaled(12, 3e9, "Pa")));
    keep("history-tiny", || history_chart(&scaled(12, 4e-12, "°C")));
    keep("history-no-unit", || history_chart(&scaled(12, 1e-4, "")));
    keep("history-names", || {
        let mut view = history(12);
        view.finding = "<script>alert(1)</script> & a very long name of an instrument that somebody wrote in full with its room, shelf and purpose rises 1.9 mK a year; leaves tolerance about March 2027 unless it is adjusted before that".into();
        view.instrument = "<script>alert('x')</script>".into();
        view.point = "a point whose description also takes more room than anyone would expect of it, at 100 °C, in the second bath of room 12".into();
        history_chart(&view)
    });
    keep("history-one-at-the-limit", || history_chart(&one(12.0)));
    keep("history-no-tolerance", || {
        let mut view = history(12);
        view.tolerance.clear();
        history_chart(&view)
    });
    keep("history-wide-tolerance", || {
        let mut view = history(12);
        view.tolerance[0].upper = Some(5000.0);
        view.tolerance[0].lower = Some(-5000.0);
        history_chart(&view)
    });
    keep("history-usage", || {
        let mut view = history(12);
        view.usage_unit = Some("h".into());
        history_chart(&view)
    });
    keep("history-borrowed-overdue", || {
        let mut view = history(3);
        view.drift_from_class = true;
        view.as_of += 900.0;
        history_chart(&view)
    });
    keep("history-adjusted-always", || {
        let mut view = history(40);
        for reading in &mut view.readings {
            reading.event = "adjusted";
            reading.as_left = Some(0.0);
        }
        history_chart(&view)
    });
}

/// A thermometer's history in mK with mΩ at the right, and the reverse; 25.5 Ω changes by
/// 0.1017 mΩ a millikelvin at the triple point of water.
fn on_two_axes(mut view: HistoryView, unit: &str, other: &str, factor: f64) -> HistoryView {
    view.unit = unit.into();
    view.other_axis = Some(OtherAxis {
        unit: other.into(),
        factor,
    });
    view
}

#[test]
fn histories_on_two_axes() {
    for n in [0, 1, 2, 3, 12, 40, 300, 1000] {
        let view = || on_two_axes(history(n), "mK", "mΩ", 0.1017);
        keep(&format!("two-axes-{n}"), || history_chart(&view()));
        assert!(n != 40 || history_chart(&view()).len() < 40_000);
    }
    keep("two-axes-events", || {
        history_chart(&on_two_axes(eventful(), "mK", "mΩ", 0.1017))
    });
    keep("two-axes-reverse", || {
        let view = scaled(12, 0.1017, "mΩ");
        history_chart(&on_two_axes(view, "mΩ", "mK", 1.0 / 0.1017))
    });
    keep("two-axes-tiny", || {
        history_chart(&on_two_axes(history(12), "mK", "mΩ", 1e-6))
    });
    for factor in [f64::NAN, f64::INFINITY, 0.0, -1.0, f64::MAX] {
        let svg = history_chart(&on_two_axes(one(1e300), "mK", "mΩ", factor));
        assert!(svg.trim_end().ends_with("</svg>"));
    }
}

#[test]
fn absurd_numbers_are_drawn_without_a_panic() {
    let values = [
        f64::NAN,
        f64::INFINITY,
        f64::MAX,
        -f64::MAX,
        1e-300,
        0.0,
        -0.0,
    ];
    for value in values {
        for day in [f64::NAN, 0.0, -1e9, 1e9, f64::MAX] {
            let reading = ReadingView {
                day,
                value,
                u: value,
                as_left: Some(value),
                outlier: true,
                ..Default::default()
            };
            let view = HistoryView {
                readings: vec![reading; 3],
                as_of: day,
                due_day: Some(day),
                ..Default::default()
            };
            history_chart(&view);
        }
    }
}

#[test]
fn a_history_of_forty_checks_is_a_small_file() {
    assert!(history_chart(&history(40)).len() < 40_000);
}

#[test]
fn fleets() {
    for n in [0, 1, 60, 2000] {
        keep(&format!("actions-{n}"), || actions_chart(&fleet(n)));
        keep(&format!("due-{n}"), || due_chart(&fleet(n)));
        keep(&format!("intervals-{n}"), || intervals_chart(&fleet(n)));
    }
    let view = fleet(60);
    keep("workload", || workload_chart(&view.workload));
    keep("out-fleet", || {
        out_of_tolerance_chart("All groups", &view.out_of_tolerance)
    });
    keep("out-groups", || out_of_tolerance_by_group(&view.groups));
    keep("rates", || drift_rates_chart(&view.groups[0]));
    keep("reliability", || reliability_chart(&view.groups[0]));
    keep("cost", || {
        view.groups[0]
            .cost
            .as_ref()
            .map_or(String::new(), cost_chart)
    });
    let book: Vec<BookView> = (0..10)
        .map(|i| {
            if i == 4 {
                small(eventful())
            } else {
                small(history(3 + 2 * i))
            }
        })
        .collect();
    keep("book", || {
        let drawn: Vec<&BookView> = book_order(&book).iter().map(|i| &book[*i]).collect();
        book_chart("platinum thermometers", &drawn, &book)
    });
}

#[test]
fn controls() {
    for (name, n) in [("control-1", 1), ("control-30", 30), ("control-1000", 1000)] {
        keep(name, || control_chart(&control(n, 1.0)));
    }
    keep("control-far", || control_chart(&control(40, 1e6)));
    keep("control-tiny", || {
        let mut view = control(40, 1.0);
        for point in &mut view.points {
            point.value *= 1e-9;
            point.ewma = (1e-9 * point.ewma.0, 1e-9 * point.ewma.1);
        }
        view.centre = Some((0.0, 1e-9));
        view.unit = "V".into();
        control_chart(&view)
    });
    keep("control-uneven", || {
        let mut view = control(40, 1.0);
        for (i, point) in view.points.iter_mut().enumerate() {
            point.deviation = 1.6 / f64::from(1 + i as u32 * 7 % 5).sqrt();
        }
        control_chart(&view)
    });
    keep("control-none", || control_chart(&Default::default()));
}

#[test]
fn uncertainties_and_approvals() {
    for (name, factor, unit) in [
        ("growth", 1.0, "mK"),
        ("growth-tiny", 1e-9, "V"),
        ("growth-huge", 1e12, "Pa"),
        ("growth-no-unit", 1.0, ""),
    ] {
        keep(name, || growth_chart(&growth(factor, unit)));
    }
    keep("growth-name", || {
        let mut view = growth(1.0, "mK");
        view.name = LONG_NAME.into();
        view.in_force_due = Some(view.as_of - 30.0);
        view.due_day = None;
        growth_chart(&view)
    });
    keep("growth-none", || growth_chart(&Default::default()));
    keep("approved", || approved_chart(&approved()));
    keep("approved-late", || {
        let mut view = approved();
        view.name = LONG_NAME.into();
        view.as_of = view.after.due + 3.0;
        approved_chart(&view)
    });
    keep("approved-none", || approved_chart(&Default::default()));
    for n in [0, 1, 60, 2000] {
        keep(&format!("due-calendar-{n}"), || due_calendar(&fleet(n)));
    }
}

fn small(view: HistoryView) -> BookView {
    BookView {
        instrument: view.instrument,
        point: view.point,
        unit: view.unit,
        slug: view.slug,
        action: view.action,
        usage_unit: view.usage_unit,
        readings: view.readings,
        at_due: view.curve.last().map(|point| point.expected),
        curve: view.curve,
        tolerance: view.tolerance.last().cloned(),
    }
}

#[test]
fn empty_groups_are_drawn_without_a_panic() {
    let group = GroupView::default();
    for svg in [
        workload_chart(&Default::default()),
        out_of_tolerance_chart("All", &[]),
        out_of_tolerance_by_group(&[]),
        drift_rates_chart(&group),
        reliability_chart(&group),
        cost_chart(&CostCurve::default()),
        book_chart("none", &[], &[]),
    ] {
        assert!(svg.trim_end().ends_with("</svg>"));
    }
}

#[test]
fn pages() {
    let write = |name: &str, page: String| std::fs::write(folder().join(name), page).unwrap();
    std::fs::create_dir_all(folder().join("instruments")).unwrap();
    std::fs::create_dir_all(folder().join("groups")).unwrap();
    for n in [0, 60, 10_000] {
        write(&format!("index-{n}.html"), index_page(&fleet(n)));
    }
    let view = fleet(60);
    for row in &view.rows {
        let page = instrument_page(
            &HistoryView {
                slug: row.slug.clone(),
                ..eventful()
            },
            None,
        );
        write(&format!("instruments/{}.html", row.slug), page);
    }
    write("index.html", index_page(&view));
    let book: Vec<BookView> = (3..40).map(|n| small(history(n))).collect();
    write(
        "groups/platinum-thermometers.html",
        group_page(&view.groups[0], &book),
    );
    write("digest.html", digest_page(&digest()));
}
