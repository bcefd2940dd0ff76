/*! The book of closings: what closes nothing, what was found before it, lines written at once. */

use super::*;

#[test]
fn closings_that_close_nothing_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), "[cases]\nfile = \"cases.csv\"\n");
    let lines = [
        "UNKNOWN,,2021-03-01,A. Person,2022-01-01,nothing,,",
        "GOOD,,2021-03-01,A. Person,2022-01-01,nothing,,",
        "FAILED,,2021-03-01,A. Person,2030-01-01,in the future,,",
        "FAILED,,2021-03-01,,2022-01-01,nobody,,",
        "FAILED,,2021-03-01,A. Person,2021-01-01,before it was found,,",
        "FAILED,,2021-03-01,A. Person,2022-01-01,a broken chain,,0123",
    ];
    fs::write(
        folder.path().join("cases.csv"),
        BOOK.to_string() + &lines.join("\n"),
    )
    .unwrap();
    let (_, decisions, cases) = run(&pipeline);
    assert_eq!(cases[0]["state"], "open");
    let told = "and the line that closes it does not count (cases.csv, line 7)";
    let of_failed = decisions
        .iter()
        .find(|d| d["instrument"] == "FAILED")
        .unwrap();
    says!(of_failed["reason"], told);
    let warnings = read_csv(&folder.path().join("report/warnings.csv")).rows;
    let said: Vec<String> = warnings
        .iter()
        .map(|w| format!("{}: {}", w["source"], w["warning"]))
        .collect();
    for words in [
        "line 2: this closing closes nothing: no history is named UNKNOWN",
        "line 3: this closing closes nothing: GOOD has no finding and no signal of 2021-03-01",
        "line 4: this closing does not count: closed_on 2030-01-01 lies after the as-of date",
        "line 5: this closing does not count: expected who closed it",
        "line 7: the chain is broken",
    ] {
        assert!(said.iter().any(|s| s.contains(words)), "{words}: {said:#?}");
    }
}

#[test]
fn findings_before_the_book_count_as_closed_and_without_a_book_nothing_is_held() {
    let folder = tempfile::tempdir().unwrap();
    let before = "[cases]\nfile = \"cases.csv\"\nsince = \"2022-01-01\"\n";
    for (cases, state, open) in [(before, "before_book", "0"), ("", "not_kept", "")] {
        let pipeline = laboratory(folder.path(), cases);
        let (_, decisions, found) = run(&pipeline);
        assert_eq!(
            (
                found[0]["state"].as_str(),
                decisions[0]["open_cases"].as_str()
            ),
            (state, open)
        );
        let told = fs::read_to_string(folder.path().join("report/warnings.csv")).unwrap();
        let unkept = told
            .lines()
            .nth(1)
            .is_some_and(|first| first.starts_with("cases,"));
        assert_eq!(unkept, state == "not_kept", "{told}");
        for name in ["summary.md", "index.html"] {
            let page = fs::read_to_string(folder.path().join("report").join(name)).unwrap();
            let at_rest = page.contains("Nothing is out of tolerance");
            assert!(!(unkept && at_rest), "{name} forgets the failure");
            let sentence = page.contains("with no book that says who closed the case");
            assert!(sentence || !unkept, "{name} does not tell the failure");
        }
        close(&pipeline, "2021-03-01").ended(2);
        let done = driftbook(&["run", pipeline.to_str().unwrap(), "--force"]);
        assert_eq!(
            done.stdout.contains("\nFailures: "),
            unkept,
            "{}",
            done.stdout
        );
    }
}

#[test]
fn closings_made_at_once_are_all_kept() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), "[cases]\nfile = \"cases.csv\"\n");
    let checks = folder.path().join("checks.csv");
    let text = fs::read_to_string(&checks).unwrap();
    let mut text = text;
    for n in 0..6 {
        text += &format!("FAILED,,2024-0{}-15,1.5,0,0.01,-1,1,mm\n", n + 4);
    }
    fs::write(&checks, text).unwrap();
    std::thread::scope(|scope| {
        for n in 0..6 {
            let pipeline = &pipeline;
            scope.spawn(move || {
                close(pipeline, &format!("2024-0{}-15", n + 4)).well();
            });
        }
    });
    let (_, decisions, _) = run(&pipeline);
    assert_eq!(decisions[0]["open_cases"], "1");
    let warnings = read_csv(&folder.path().join("report/warnings.csv")).rows;
    assert!(
        warnings.iter().all(|w| !w["source"].contains("cases.csv")),
        "{warnings:?}"
    );
}

/// A run of the pipeline's own day does not see what is closed after it.
#[test]
fn a_closing_after_the_pipelines_day_says_that_its_runs_do_not_see_it_yet() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), "[cases]\nfile = \"cases.csv\"\n");
    let done = close_on(&pipeline, "2021-03-01", "2025-07-01").well();
    let words = "The pipeline is as of 2025-06-01: its runs see closings of later days once as_of lies on their day or later.";
    says!(done.stdout, words);
    assert_eq!(run(&pipeline).2[0]["state"], "open");
}

/// The records of the day of closing hold nothing of the finding: "it has none" misled.
#[test]
fn a_closing_before_its_finding_is_refused_by_its_dates() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), "[cases]\nfile = \"cases.csv\"\n");
    let wrong = close_on(&pipeline, "2021-03-01", "2021-02-01").ended(2);
    let words = "closed on 2021-02-01, before the finding of 2021-03-01";
    says!(wrong.stderr, words);
}
