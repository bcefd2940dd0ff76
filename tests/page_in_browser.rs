/*! The page works in a browser: sorting, filters, keyboard, dark mode, small screen, print.

Runs a headless Chromium where one is installed and says so where there is none.
*/

use crate::headless::{browser, check, lines, run};
use driftbook::report::page::{digest_page, index_page, instrument_page};
use driftbook::report::{
    Action, DigestView, FleetRow, FleetView, HistoryView, ReadingView, SparkPoint,
};

fn fleet(rows: usize) -> FleetView {
    let actions = [
        Action::Withdraw,
        Action::Review,
        Action::Shorten,
        Action::Keep,
        Action::Extend,
    ];
    let row = |i: usize| FleetRow {
        instrument: if i == 7 {
            "<script>alert(1)</script>".into()
        } else {
            format!("TH-{i:04}")
        },
        point: "triple point of water".into(),
        group: format!("group {}", i % 5),
        unit: "mK".into(),
        slug: format!("TH-{i:04}"),
        has_page: true,
        checks: 12,
        status: if i % 11 == 3 {
            "outcomes only".into()
        } else {
            "estimated".into()
        },
        drift_per_year: Some((i * 7919 % 100) as f64 / 50.0 - 1.0),
        u_drift_per_year: Some(0.1),
        probability_in_tolerance: Some((i * 31 % 1000) as f64 / 1000.0),
        current_interval_days: Some(365.0),
        interval_days: Some(200.0 + (i % 400) as f64),
        due_day: (i % 13 != 5).then(|| 20_500.0 + (i * 104_729 % 900) as f64),
        action: actions[i % 5],
        cause: "by drift crossing".into(),
        reason: "Probability in tolerance at the due date is 97.1 %; the drift is +0.21 mK a year."
            .into(),
        spark: (0..8)
            .map(|k| SparkPoint {
                day: f64::from(k),
                error: (i * 37 % 11) as f64 + f64::from(k),
                begins: false,
            })
            .collect(),
        ..Default::default()
    };
    FleetView {
        as_of: 20_600.0,
        rows: (0..rows).map(row).collect(),
        ..Default::default()
    }
}

/// Opens a fleet's page inside the driving page and returns its lines.
fn drive(browser: &str, rows: usize, arguments: &[&str]) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("index.html"), index_page(&fleet(rows))).unwrap();
    lines(
        browser,
        folder.path(),
        "drive.html",
        &format!("rows={rows}"),
        arguments,
    )
}

#[test]
fn table_sorts_filters_and_obeys_the_keyboard() {
    let Some(browser) = browser() else { return };
    check(&drive(browser, 250, &[]));
}

#[test]
fn dark_mode_is_dark() {
    let Some(browser) = browser() else { return };
    let lines = drive(browser, 60, &["--blink-settings=preferredColorScheme=0"]);
    check(&lines);
    assert!(
        lines.iter().any(|line| line.contains("dark true")),
        "{lines:#?}"
    );
}

#[test]
fn twenty_thousand_histories_stay_usable() {
    let bytes = index_page(&fleet(20_000)).len();
    assert!(bytes < 5_000_000, "the page has {bytes} bytes");
    let Some(browser) = browser() else { return };
    let lines = drive(browser, 20_000, &[]);
    check(&lines);
    eprintln!("20,000 rows, {bytes} bytes: {}", lines[0]);
}

#[test]
fn pages_print_on_a4_and_letter() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    let reading = |i: usize| ReadingView {
        day: 17_000.0 + 200.0 * i as f64,
        value: i as f64,
        u: 0.4,
        ..Default::default()
    };
    let history = HistoryView {
        instrument: "TH-014".into(),
        readings: (0..12).map(reading).collect(),
        as_of: 19_500.0,
        ..Default::default()
    };
    let digest = DigestView {
        urgent: fleet(10).rows,
        ..Default::default()
    };
    let pages = [
        ("index.html", index_page(&fleet(60)), 8),
        ("instrument.html", instrument_page(&history, None), 3),
        ("digest.html", digest_page(&digest), 2),
    ];
    for (name, page, most) in pages {
        std::fs::write(folder.path().join(name), page).unwrap();
        let pdf = folder.path().join(format!("{name}.pdf"));
        let url = format!("file://{}/{name}", folder.path().display());
        let print = format!("--print-to-pdf={}", pdf.display());
        run(browser, &folder.path().join("profile"), &[&print], &url);
        let bytes = std::fs::read(&pdf).unwrap();
        let count = String::from_utf8_lossy(&bytes)
            .matches("/Type /Page\n")
            .count();
        assert!((1..=most).contains(&count), "{name}: {count} pages");
    }
}
