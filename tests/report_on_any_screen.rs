/*! The demo's report fits its screens and its sheets, obeys the keyboard, and keeps a choice on the way back. */

use crate::headless::{browser, check, lines, run};
use crate::tool::driftbook;
use std::fs;
use std::path::{Path, PathBuf};

/// The demo's report in `folder`.
fn report(folder: &Path) -> PathBuf {
    let out = folder.join("report");
    driftbook(&["run", "--quiet", "--out", out.to_str().unwrap()]).well();
    out
}

/// The pages of `place` in a report, in order.
fn pages(report: &Path, place: &str) -> Vec<String> {
    let entries = fs::read_dir(report.join(place)).unwrap();
    let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut pages: Vec<String> = names
        .filter(|name| name.ends_with(".html"))
        .map(|name| format!("{place}/{name}"))
        .collect();
    pages.sort();
    pages
}

/// The first page of `place` that holds `text`.
fn holding(report: &Path, place: &str, text: &str) -> String {
    let holds = |page: &String| {
        let html = fs::read_to_string(report.join(page)).unwrap();
        html.contains(text)
    };
    pages(report, place).into_iter().find(holds).unwrap()
}

#[test]
fn a_report_fits_screens_and_obeys_the_keyboard() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    let report = report(folder.path());
    let checks = holding(&report, "instruments", "id=\"targets\"");
    let overlay = holding(&report, "groups", "id=\"overlay\"");
    let printed: String = ["instruments", "groups", "cases"]
        .iter()
        .flat_map(|place| pages(&report, place))
        .map(|page| format!("&paper={page}"))
        .collect();
    let query = format!(
        "rows=72&checks={checks}&overlay={overlay}&page={checks}&page={overlay}&page=control.html&page=digest.html&paper=index.html{printed}"
    );
    check(&lines(browser, &report, "screens.html", &query, &[]));
}

/// Sheets of A4 on which `page` of a report prints: a copy beside it says so to the browser, which has no other way to hear it.
fn sheets(browser: &str, report: &Path, page: &str) -> usize {
    let html = fs::read_to_string(report.join(page)).unwrap();
    let policy = html
        .find("<meta http-equiv=\"Content-Security-Policy\"")
        .unwrap();
    let end = policy + html[policy..].find('>').unwrap() + 1;
    let size = "<style>@page{size:A4}</style></head>";
    let copy = format!("{}{}", &html[..policy], &html[end..]).replacen("</head>", size, 1);
    let file = report.join(page).with_file_name("printed.html");
    fs::write(&file, copy).unwrap();
    let pdf = file.with_extension("pdf");
    let print = format!("--print-to-pdf={}", pdf.display());
    let profile = tempfile::tempdir().unwrap();
    let url = format!("file://{}", file.display());
    run(browser, profile.path(), &[&print], &url);
    let bytes = fs::read(&pdf).unwrap();
    fs::remove_file(&pdf).unwrap();
    fs::remove_file(&file).unwrap();
    String::from_utf8_lossy(&bytes)
        .matches("/Type /Page\n")
        .count()
}

#[test]
fn the_demo_prints_on_few_sheets() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    let report = report(folder.path());
    for page in [".", "instruments", "groups", "cases"]
        .iter()
        .flat_map(|place| pages(&report, place))
    {
        // Letters beyond the plain ones are written by their numbers (CSS Syntax, section 4.3.7).
        let html = fs::read_to_string(report.join(&page)).unwrap();
        let foot = html
            .split("@bottom-left{content:\"")
            .nth(1)
            .and_then(|rest| rest.split('"').next());
        let dated = foot.is_some_and(|foot| {
            foot.ends_with(r"as of 2026\00002d 06\00002d 30") && foot.len() > 40
        });
        assert!(
            dated && html.contains("counter(page) \" / \" counter(pages)"),
            "{page}: {foot:?}"
        );
    }
    let index = sheets(browser, &report, "index.html");
    assert!((1..=8).contains(&index), "index: {index} sheets");
    // Of each family the page with the most words about its decision, beside those with open cases.
    let all = pages(&report, "instruments");
    let text = |page: &String| fs::read_to_string(report.join(page)).unwrap();
    let mut chosen: Vec<&String> = all
        .iter()
        .filter(|page| text(page).contains("Close the case"))
        .collect();
    for family in all.chunk_by(|a, b| a[..14] == b[..14]) {
        chosen.extend(
            family
                .iter()
                .max_by_key(|page| text(page).split("Numbers</h2>").next().map_or(0, str::len)),
        );
    }
    assert!(chosen.len() > 6, "{chosen:?}");
    for page in chosen {
        assert_eq!(sheets(browser, &report, page), 1, "{page}");
    }
}

/// To renew it: copy the file of the demo's report.
#[test]
fn the_picture_of_the_readme_is_the_demos() {
    let folder = tempfile::tempdir().unwrap();
    let report = report(folder.path());
    let drawn = fs::read(report.join("charts/TH-003_triple-point-of-water.svg")).unwrap();
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/history-chart.svg");
    assert!(
        fs::read(own).unwrap() == drawn,
        "docs/history-chart.svg is not of this program"
    );
}
