/*! A person decides on a page of the report; the file it saves is signed into the book. */

use crate::headless::{browser, check, lines};
use crate::tool::{Done, driftbook, read_csv};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// Gauges that hardly move, one with a name that a spreadsheet would take for a formula, and one
/// that failed in 2018 and has passed since.
fn laboratory(folder: &Path) -> PathBuf {
    let mut text = String::from("instrument,point,date,as_found,as_left,u,lower,upper,unit\n");
    let wiggle = [0.02, -0.01, 0.03, -0.02, 0.01, 0.02, -0.03, 0.01, 0.0, 0.01];
    for name in ["A", "B, or C", "=C", "D", "FAILED"] {
        for (i, value) in wiggle.iter().enumerate() {
            let found = if name == "FAILED" && i == 3 {
                1.5
            } else {
                *value
            };
            text += &format!(
                "\"{name}\",1 mm,{}-03-01,{found},{value},0.01,-1,1,mm\n",
                2015 + i
            );
        }
    }
    fs::write(folder.join("checks.csv"), text).unwrap();
    let register = ["A", "B, or C", "=C", "D"].map(|name| format!("\"{name}\",g,365,1000\n"));
    let register = register.concat() + "FAILED,h,365,1000\n";
    let header = "instrument,group,interval_days,cap_days\n";
    fs::write(folder.join("register.csv"), header.to_string() + &register).unwrap();
    let pipeline = folder.join("lab.toml");
    let settings = "as_of = \"2024-06-01\"\n[checks]\nfiles = [\"checks.csv\"]\n[register]\nfile = \"register.csv\"\n[cases]\nfile = \"cases.csv\"\n[output]\ncharts = \"all\"\n";
    fs::write(&pipeline, settings).unwrap();
    pipeline
}

fn run(pipeline: &Path) -> BTreeMap<String, BTreeMap<String, String>> {
    let out = pipeline.with_file_name("report");
    let (file, to) = (pipeline.to_str().unwrap(), out.to_str().unwrap());
    driftbook(&["run", file, "--quiet", "--out", to]).well();
    let rows = read_csv(&out.join("decisions.csv")).rows;
    rows.into_iter()
        .map(|row| (row["instrument"].clone(), row))
        .collect()
}

/// Hands the saved text to `driftbook COMMAND --from`.
fn signed(pipeline: &Path, command: &str, text: &str) -> Done {
    let file = pipeline.with_file_name("saved.csv");
    fs::write(&file, text).unwrap();
    let (file, records) = (file.to_str().unwrap(), pipeline.to_str().unwrap());
    driftbook(&[command, "--from", file, "--records", records])
}

/// What the form of `page` would save after `choices`, and that all it showed was well.
fn saved(browser: &str, folder: &Path, page: &str, book: &str, choices: &[&str]) -> String {
    let escaped = |text: &str| {
        let each = text.bytes().map(|byte| match byte {
            b'0'..=b'9' | b'a'..=b'z' | b'A'..=b'Z' => char::from(byte).to_string(),
            other => format!("%{other:02X}"),
        });
        each.collect::<String>()
    };
    let mut query = format!(
        "page={}&book={book}&by=Head%20of%20%22lab%22&on=2024-05-01",
        escaped(page)
    );
    for choice in choices {
        query += &format!("&choice={}", escaped(choice));
    }
    let seen = lines(browser, folder, "decide.html", &query, &[]);
    check(&seen);
    let text = seen
        .iter()
        .find_map(|line| line.strip_prefix("saved "))
        .unwrap();
    let text = text
        .replace("&amp;", "&")
        .replace("&lt;", "<")
        .replace("&gt;", ">");
    serde_json::from_str(&text).unwrap()
}

fn told<'a>(rows: &'a BTreeMap<String, BTreeMap<String, String>>, name: &str) -> [&'a str; 2] {
    ["approval", "in_force_days"].map(|column| rows[name][column].as_str())
}

#[test]
fn what_a_page_saves_is_signed_into_the_books() {
    let Some(browser) = browser() else { return };
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path());
    let before = run(&pipeline);
    assert_eq!(told(&before, "A"), ["pending", "365.0"]);
    assert_eq!(before["FAILED"]["open_cases"], "1");
    let report = folder.path().join("report");
    let choices = [
        "A:approved",
        "B, or C:rejected:two checks more; \"then\" again, perhaps",
        "'=C:other:400.5:a loan",
    ];
    let text = saved(
        browser,
        folder.path(),
        "report/index.html",
        "approvals",
        &choices,
    );
    let header = "instrument,point,proposed_days,approved_days,decision,by,on,valid_until,reason\n";
    assert!(text.starts_with(header), "{text}");
    says!(
        text,
        "A,1 mm,730,730,approved,\"Head of \"\"lab\"\"\",2024-05-01,,\n"
    );
    let done = signed(&pipeline, "approve", &text).well();
    says!(done.stdout, "3 lines written");
    // The same file again: what it saw is no longer proposed.
    signed(&pipeline, "approve", &text).ended(2);
    let text = saved(
        browser,
        folder.path(),
        "report/index.html",
        "cases",
        &["FAILED:close:two certificates, recalled:NC-7"],
    );
    signed(&pipeline, "close", &text).well();
    let after = run(&pipeline);
    assert_eq!(told(&after, "A"), ["approved", "730.0"]);
    assert_eq!(told(&after, "B, or C"), ["rejected", "365.0"]);
    assert_eq!(told(&after, "'=C"), ["approved", "400.5"]);
    assert_eq!(told(&after, "D"), ["pending", "365.0"]);
    assert_eq!(after["FAILED"]["open_cases"], "0");
    let book = fs::read_to_string(folder.path().join("approvals.csv")).unwrap();
    says!(book, "two checks more; \"\"then\"\" again, perhaps");
    // On the page of one instrument.
    let page = fs::read_dir(report.join("instruments")).unwrap();
    let mut names = page.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let name = names.find(|name| name.starts_with('D')).unwrap();
    let page = format!("report/instruments/{name}");
    let text = saved(
        browser,
        folder.path(),
        &page,
        "approvals",
        &["D:other:500:one loan a year"],
    );
    signed(&pipeline, "approve", &text).well();
    assert_eq!(told(&run(&pipeline), "D"), ["approved", "500.0"]);
}

#[test]
fn a_saved_file_is_followed_as_a_whole_or_refused_by_its_rows() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path());
    let header = "instrument,point,proposed_days,approved_days,decision,by,on,valid_until,reason\n";
    for (rows, why) in [
        (
            "A,1 mm,600,600,approved,Head,2024-05-01,,\n",
            "row 2: the row says 600 d, the records now propose 730 d",
        ),
        (
            "A,1 mm,730,730,approved,,2024-05-01,,\n",
            "expected who decides",
        ),
        ("A,1 mm,730,,rejected,Head,2024-05-01,,\n", "expected why"),
        (
            "A,1 mm,730,,maybe,Head,2024-05-01,,\n",
            "decision \"maybe\": expected approved, rejected or other",
        ),
        (
            "A,1 mm,730,730,approved,Head,2999-05-01,,\n",
            "lies in the future",
        ),
        (
            "NONE,,730,730,approved,Head,2024-05-01,,\n",
            "no history is named NONE",
        ),
    ] {
        let done = signed(&pipeline, "approve", &format!("{header}{rows}")).ended(2);
        says!(done.stderr, why);
    }
    let both = "instrument,point,interval_days,approval,proposed_days,decision,by\nA,1 mm,730,approved,730,rejected,Head\n";
    let done = signed(&pipeline, "approve", both);
    says!(done.stderr, "which one decides?");
    assert!(!folder.path().join("approvals.csv").exists());
    let header = "instrument,point,finding,closed_by,closed_on,action,reference\n";
    let good = "FAILED,1 mm,2018-03-01,Head,2024-05-01,recalled,\n";
    for (rows, why) in [
        (
            good.repeat(2).as_str(),
            "is closed by another row too: keep one",
        ),
        (
            "FAILED,1 mm,2019-03-01,Head,2024-05-01,recalled,\n",
            "it has those of 2018-03-01",
        ),
        (
            "FAILED,1 mm,2018-03-01,,2024-05-01,recalled,\n",
            "expected who closes it",
        ),
        (
            "FAILED,1 mm,2018-03-01,Head,2024-05-01,,\n",
            "expected what was done",
        ),
        (
            "FAILED,1 mm,2018-03-01,Head,2017-05-01,recalled,\n",
            "before the finding of 2018-03-01",
        ),
        (
            "FAILED,1 mm,2018-03-01,Head,2999-05-01,recalled,\n",
            "lies in the future",
        ),
        (
            "NONE,,2018-03-01,Head,2024-05-01,recalled,\n",
            "no history is named NONE",
        ),
    ] {
        let done = signed(&pipeline, "close", &format!("{header}{good}{rows}")).ended(2);
        says!(done.stderr, why);
    }
    assert_eq!(run(&pipeline)["FAILED"]["open_cases"], "1");
    assert_eq!(
        signed(&pipeline, "close", &format!("{header}{good}")).status,
        0
    );
    assert_eq!(run(&pipeline)["FAILED"]["open_cases"], "0");
}
