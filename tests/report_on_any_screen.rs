/*! The demo's report fits its screens and its sheets, obeys the keyboard, and keeps a choice on the way back. */

use crate::headless::{browser, check, lines, run};
use crate::tool::driftbook;
use std::fs;
use std::path::{Path, PathBuf};

/// The demo's report in `folder`.
fn report(folder: &Path) -> PathBuf {
    let out = folder.join("report");
    let done = driftbook(&["run", "--quiet", "--out", out.to_str().unwrap()]);
    assert_eq!(done.status, 0, "{}", done.stderr);
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
    let query = format!(
        "rows=72&checks={checks}&overlay={overlay}&page={checks}&page={overlay}&page=control.html&page=digest.html"
    );
    check(&lines(browser, &report, "screens.html", &query, &[]));
}

#[test]
fn the_demo_prints_on_few_sheets() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    let report = report(folder.path());
    let sheets = |page: &str| {
        let pdf = folder.path().join("page.pdf");
        let url = format!("file://{}/{page}", report.display());
        let print = format!("--print-to-pdf={}", pdf.display());
        run(browser, &folder.path().join("profile"), &[&print], &url);
        let bytes = fs::read(&pdf).unwrap();
        fs::remove_file(&pdf).unwrap();
        String::from_utf8_lossy(&bytes)
            .matches("/Type /Page\n")
            .count()
    };
    let index = sheets("index.html");
    assert!((1..=8).contains(&index), "index: {index} sheets");
    // One of each family: the others of it have the same parts.
    let mut instruments = pages(&report, "instruments");
    instruments.dedup_by_key(|page| page.trim_start_matches("instruments/")[..2].to_string());
    for page in instruments {
        assert_eq!(sheets(&page), 1, "{page}");
    }
}
