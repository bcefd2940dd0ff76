/*! Every kind of page keeps the rules of accessibility, and no text in it is cut, lies on other text or under a mark. */

use crate::desk::Desk;
use crate::headless::{browser, check, lines};
use crate::tool::driftbook;
use driftbook::report::page::{index_page, instrument_page};
use driftbook::report::{
    Action, CurvePoint, FleetRow, FleetView, HistoryView, ReadingView, ToleranceStep,
};
use std::fs;
use std::path::Path;

/// Copies `page` of a report beside the audit, without the policy that lets no foreign script in.
fn open_to_audit(text: &str) -> String {
    let policy = text
        .find("<meta http-equiv=\"Content-Security-Policy\"")
        .unwrap();
    let end = policy + text[policy..].find('>').unwrap() + 1;
    let open = format!("{}{}", &text[..policy], &text[end..]);
    open.replace("</body>", "<script src=\"axe.min.js\"></script></body>")
}

/// What the audit writes of `pages` (name, HTML) at a width in pixels.
fn audited(browser: &str, pages: &[(String, String)], width: u32, mode: &[&str]) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser/axe/axe.min.js");
    fs::copy(own, folder.path().join("axe.min.js")).unwrap();
    let mut query = format!("width={width}");
    for (name, text) in pages {
        fs::write(folder.path().join(name), open_to_audit(text)).unwrap();
        query += &format!("&page={name}");
    }
    lines(browser, folder.path(), "audit.html", &query, mode)
}

/// Audits `pages` on a desk and on a telephone, light and dark, and at two widths between.
fn audit(browser: &str, pages: &[(String, String)]) {
    const CHECKS_OF_A_PAGE: usize = 4;
    let light: &[&str] = &[];
    let dark: &[&str] = &["--blink-settings=preferredColorScheme=0"];
    for (width, mode) in [
        (1440, light),
        (1440, dark),
        (1024, light),
        (720, dark),
        (400, light),
        (400, dark),
    ] {
        let seen = audited(browser, pages, width, mode);
        check(&seen);
        assert_eq!(seen.len(), CHECKS_OF_A_PAGE * pages.len() + 1, "{seen:#?}");
    }
}

#[test]
fn the_audit_sees_what_is_wrong() {
    let Some(browser) = browser() else { return };
    let page = |body: &str| {
        format!(
            "<!DOCTYPE html><html lang=\"en\"><head><meta http-equiv=\"Content-Security-Policy\" content=\"\"><title>t</title></head>\
             <body><main><h1>t</h1>{body}</main></body></html>"
        )
    };
    for (body, expected) in [
        (
            "<figure><svg viewBox=\"0 0 100 50\" width=\"100\"><text x=\"5\" y=\"20\">one</text><text x=\"9\" y=\"22\">two</text></svg></figure>",
            "on each other: \"one\" and \"two\"",
        ),
        (
            "<figure><svg viewBox=\"0 0 100 50\" width=\"100\"><text x=\"80\" y=\"20\">beyond the edge</text></svg></figure>",
            "cut: \"beyond the edge\"",
        ),
        (
            "<figure><svg viewBox=\"0 0 100 50\" width=\"100\"><text x=\"5\" y=\"20\">a label</text><circle cx=\"15\" cy=\"16\" r=\"3\"/></svg></figure>",
            "a circle on \"a label\"",
        ),
        ("<p style=\"color:#aaa\">pale</p>", "color-contrast"),
        (
            "<p style=\"overflow:hidden;width:20px;white-space:nowrap\">hidden by its box</p>",
            "hidden by its box",
        ),
        (
            "<div style=\"width:3000px\">wide</div>",
            "no sideways scrolling (3",
        ),
    ] {
        let pages = [("wrong.html".to_string(), page(body))];
        let seen = audited(browser, &pages, 400, &[]);
        let failed = seen.iter().filter(|line| line.starts_with("FAILED"));
        assert!(
            failed
                .clone()
                .any(|line| line.replace("&lt;", "<").contains(expected)),
            "{expected}: {seen:#?}"
        );
    }
}

#[test]
fn every_kind_of_page_passes_the_audit() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("report");
    driftbook(&["run", "--quiet", "--out", out.to_str().unwrap()]).well();
    let mut pages = Vec::new();
    // Of a folder with many pages the first of each family.
    for place in ["", "groups", "instruments", "cases"] {
        let mut names: Vec<String> = fs::read_dir(out.join(place))
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .filter(|name| name.ends_with(".html"))
            .collect();
        names.sort();
        if ["instruments", "cases"].contains(&place) {
            names.dedup_by_key(|name| name[..2].to_string());
        }
        for name in names {
            let text = fs::read_to_string(out.join(place).join(&name)).unwrap();
            pages.push((
                format!("{place}-{name}")
                    .trim_start_matches('-')
                    .to_string(),
                text,
            ));
        }
    }
    assert!(pages.len() > 8, "{}", pages.len());
    audit(browser, &pages);
}

/// A history of `n` checks every 30 days whose errors are of the size `unit`.
fn history(n: usize, unit: f64, name: &str) -> HistoryView {
    let day = |i: usize| 17_000.0 + 30.0 * i as f64;
    let reading = |i: usize| ReadingView {
        day: day(i),
        value: unit * (0.02 * i as f64 + (i * 7919 % 100) as f64 / 100.0),
        u: 0.2 * unit,
        source: Some((0, i as u32 + 2)),
        ..ReadingView::default()
    };
    let point = |i: usize| CurvePoint {
        day: day(i),
        expected: unit * 0.02 * i as f64,
        confidence: (-unit, unit * (1.0 + 0.02 * i as f64)),
        prediction: (-2.0 * unit, unit * (2.0 + 0.02 * i as f64)),
        in_tolerance: Some(0.999 - 0.1 * i as f64 / (n + 12) as f64),
        ..CurvePoint::default()
    };
    let last = day(n - 1);
    HistoryView {
        instrument: name.into(),
        point: "triple point of water".into(),
        unit: "mK".into(),
        finding: format!("{name} rises; proposed due date 2030-01-01"),
        readings: (0..n).map(reading).collect(),
        sources: [(0, "checks.csv".to_string())].into(),
        curve: (0..n + 12).map(point).collect(),
        tolerance: vec![ToleranceStep {
            from: 17_000.0,
            lower: Some(-5.0 * unit),
            upper: Some(5.0 * unit),
        }],
        as_of: last + 60.0,
        last_calibration: Some(last),
        due_day: Some(last + 420.0),
        in_force_due: Some(last + 365.0),
        current_interval_days: Some(365.0),
        interval_days: Some(420.0),
        waits: true,
        serves: true,
        action: Action::Extend,
        model: "state".into(),
        level: 0.95,
        target: Some(0.95),
        targets: vec![
            (0.9, 500.0, true),
            (0.95, 420.0, true),
            (0.99, 300.0, false),
        ],
        ..HistoryView::default()
    }
}

const LONG: &str =
    "A name of eighty characters, as some laboratories write it into their registers!";

fn hard_cases() -> Vec<(String, HistoryView)> {
    let plain = |n: usize| history(n, 1.0, "TH-014");
    let mut cases: Vec<(String, HistoryView)> = [1, 2, 3, 30, 1_000, 5_000]
        .map(|n| (format!("{n}-checks"), plain(n)))
        .into();
    let mut add = |name: &str, view: HistoryView| cases.push((name.to_string(), view));
    let mut wild = plain(30);
    wild.readings[12].value = 4_000.0;
    wild.readings[12].outlier = true;
    add("wild-outlier", wild);
    add("tiny", history(30, 1e-9, "TH-014"));
    add("huge", history(30, 1e12, "TH-014"));
    for (name, text) in [
        ("long-name", LONG),
        (
            "right-to-left",
            "\u{5de}\u{5d3}\u{5d7}\u{5d5}\u{5dd} \u{5d0}\u{5d7}\u{5ea}",
        ),
        (
            "chinese",
            "\u{6807}\u{51c6}\u{94c2}\u{7535}\u{963b}\u{6e29}\u{5ea6}\u{8ba1}",
        ),
        ("emoji", "\u{1f321}\u{fe0f} probe \u{1f9ca}"),
    ] {
        add(name, history(30, 1.0, text));
    }
    let mut adjusted = plain(30);
    for i in (2..26).step_by(2) {
        adjusted.readings[i].event = "adjusted";
        adjusted.readings[i].as_left = Some(0.0);
    }
    add("twelve-adjustments", adjusted);
    let mut one_sided = plain(30);
    one_sided.tolerance[0].lower = None;
    add("one-sided", one_sided);
    let mut changed = plain(30);
    let from = changed.readings[15].day;
    changed.tolerance.push(ToleranceStep {
        from,
        lower: Some(-2.0),
        upper: Some(2.0),
    });
    add("changed-tolerance", changed);
    cases
}

#[test]
fn hard_cases_are_drawn_whole_and_apart() {
    let Some(browser) = browser() else { return };
    let mut pages: Vec<(String, String)> = hard_cases()
        .into_iter()
        .map(|(name, view)| (format!("{name}.html"), instrument_page(&view, None)))
        .collect();
    let row = |i: usize| FleetRow {
        instrument: format!("{LONG}-{i}"),
        point: "\u{5de}\u{5d3}\u{5d7}\u{5d5}\u{5dd}".into(),
        group: LONG.into(),
        unit: "mK".into(),
        slug: format!("row-{i}"),
        has_page: true,
        action: [
            Action::Withdraw,
            Action::Review,
            Action::Shorten,
            Action::Keep,
            Action::Extend,
        ][i % 5],
        reason: LONG.repeat(3),
        cause: LONG.into(),
        status: "estimated".into(),
        probability_in_tolerance: Some(0.9),
        probability_when_due: Some(0.6 + i as f64 / 1_000.0),
        current_interval_days: Some(365.0),
        interval_days: Some(300.0 + i as f64),
        due_day: Some(20_500.0 + i as f64),
        proposed_due: Some(20_600.0),
        ..FleetRow::default()
    };
    let fleet = FleetView {
        as_of: 20_600.0,
        rows: (0..300).map(row).collect(),
        ..FleetView::default()
    };
    pages.push(("three-hundred.html".into(), index_page(&fleet)));
    audit(browser, &pages);
}

/// Six checks each of 300 instruments, some with names in other scripts or of eighty characters, and their register.
fn large_group() -> [String; 2] {
    let names = [
        LONG,
        "\u{5de}\u{5d3}\u{5d7}\u{5d5}\u{5dd}",
        "\u{6807}\u{51c6}",
    ];
    let mut checks = String::from("instrument,date,as_found,u,unit,lower,upper\n");
    let mut register = String::from("instrument,group,interval_days\n");
    for i in 0..300 {
        let name = names.get(i % 7).unwrap_or(&"G");
        register += &format!("\"{name}-{i}\",gauges,365\n");
        for year in 0..6 {
            let scatter = ((i * 31 + year * 7919) % 101) as f64 / 50.0 - 1.0;
            let value = 0.004 * (i % 50) as f64 * year as f64 + 0.2 * scatter;
            let month = 1 + i % 12;
            checks += &format!(
                "\"{name}-{i}\",20{}-{month:02}-14,{value:.3},0.1,mK,-1,1\n",
                18 + year
            );
        }
    }
    [checks, register]
}

#[test]
fn the_page_of_a_group_of_three_hundred_passes_the_audit() {
    let Some(browser) = browser() else { return };
    let desk = Desk::new();
    let [checks, register] = large_group();
    desk.file("checks.csv", &checks);
    desk.file("register.csv", &register);
    let settings = "[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n";
    desk.run(&desk.file("lab.toml", settings)).well();
    let out = desk.path("report");
    let read = |name: &str| fs::read_to_string(out.join(name)).unwrap();
    let group = read("groups/gauges.html");
    says!(group, "the other 276");
    audit(
        browser,
        &[
            ("group.html".into(), group),
            ("index.html".into(), read("index.html")),
        ],
    );
}
