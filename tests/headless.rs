/*! A headless Chromium for the tests of the pages; they say so where none is installed. */

use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// Names under which systems install the browser.
const BROWSERS: [&str; 4] = ["chromium", "chromium-browser", "chrome", "google-chrome"];

/// A browser that starts, or a line that says that the test was skipped.
pub fn browser() -> Option<&'static str> {
    let starts = |name: &&&str| {
        Command::new(name)
            .arg("--version")
            .output()
            .is_ok_and(|o| o.status.success())
    };
    let found = BROWSERS.iter().find(starts).copied();
    if found.is_none() {
        eprintln!("skipped: no headless Chromium is installed");
    }
    found
}

/// A browser that has not ended by then hangs, and is started again.
const LONGEST: Duration = Duration::from_secs(300);
/// As often as this at most.
const STARTS: usize = 3;

/// Runs the browser on `url` with `arguments`; its standard output.
pub fn run(browser: &str, profile: &Path, arguments: &[&str], url: &str) -> String {
    let output = (0..STARTS).find_map(|start| {
        let own = profile.join(start.to_string());
        ended(browser, &own, arguments, url)
    });
    assert!(output.is_some(), "{browser} hung {STARTS} times on {url}");
    output.unwrap()
}

fn ended(browser: &str, profile: &Path, arguments: &[&str], url: &str) -> Option<String> {
    let output = tempfile::NamedTempFile::new().unwrap();
    let mut running = Command::new(browser)
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--allow-file-access-from-files",
        ])
        .args(["--virtual-time-budget=60000", "--window-size=1300,1000"])
        .arg(format!("--user-data-dir={}", profile.display()))
        .args(arguments)
        .arg(url)
        .stdout(output.reopen().unwrap())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let start = Instant::now();
    while running.try_wait().unwrap().is_none() {
        if start.elapsed() > LONGEST {
            running.kill().unwrap();
            running.wait().unwrap();
            eprintln!("{browser} hung on {url} and was stopped");
            return None;
        }
        sleep(Duration::from_millis(20));
    }
    let bytes = std::fs::read(output.path()).unwrap();
    Some(String::from_utf8_lossy(&bytes).into_owned())
}

/// Opens `tests/browser/DRIVER` beside the pages in `folder` and returns the lines it wrote.
pub fn lines(
    browser: &str,
    folder: &Path,
    driver: &str,
    query: &str,
    arguments: &[&str],
) -> Vec<String> {
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser");
    std::fs::copy(own.join(driver), folder.join(driver)).unwrap();
    let url = format!("file://{}/{driver}?{query}", folder.display());
    let mut arguments = arguments.to_vec();
    arguments.push("--dump-dom");
    let profile = tempfile::tempdir().unwrap();
    let dom = run(browser, profile.path(), &arguments, &url);
    let log = dom
        .split("<pre id=\"log\">")
        .nth(1)
        .and_then(|rest| rest.split("</pre>").next());
    log.unwrap_or(&dom).lines().map(str::to_string).collect()
}

/// Every check of a driver went well, and it came to its end.
pub fn check(lines: &[String]) {
    let failed: Vec<&String> = lines
        .iter()
        .filter(|line| line.starts_with("FAILED"))
        .collect();
    assert!(failed.is_empty(), "{failed:#?}");
    assert_eq!(lines.last().map(String::as_str), Some("end"), "{lines:#?}");
}
