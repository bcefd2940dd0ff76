/*! Lines of the book that were edited, cut off, or written at once. */

use super::*;

#[test]
fn an_edited_or_removed_line_is_told_and_puts_nothing_in_force() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), REGISTER);
    for name in ["A", "B", "C"] {
        assert_eq!(approve(&pipeline, &[name, "--by", "Head"]).status, 0);
    }
    let book = folder.path().join("approvals.csv");
    let text = fs::read_to_string(&book).unwrap();
    fs::write(&book, text.replacen("A,,730,730", "A,,900,900", 1)).unwrap();
    let (rows, warnings) = run(&pipeline);
    assert_eq!(rows["A"]["in_force_days"], "365.0");
    assert_eq!(rows["C"]["in_force_days"], "730.0");
    assert!(
        warnings
            .iter()
            .any(|w| w.contains("line 3: the chain is broken")),
        "{warnings:?}"
    );
    let removed: Vec<&str> = text
        .lines()
        .filter(|line| !line.starts_with("B,"))
        .collect();
    fs::write(&book, removed.join("\n") + "\n").unwrap();
    let (_, warnings) = run(&pipeline);
    assert!(
        warnings
            .iter()
            .any(|w| w.contains("line 3: the chain is broken")),
        "{warnings:?}"
    );
}

/// A rejection that somebody edited is heeded no more, and the proposal that comes back says why.
#[test]
fn a_proposal_that_waits_names_the_lines_on_it_that_do_not_count() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), REGISTER);
    let reject = ["--reject", "--by", "Head", "--reason", "too early"];
    for name in ["A", "B"] {
        let asked: Vec<&str> = [name].into_iter().chain(reject).collect();
        assert_eq!(approve(&pipeline, &asked).status, 0);
    }
    assert_eq!(run(&pipeline).0["A"]["approval"], "rejected");
    let book = folder.path().join("approvals.csv");
    let text = fs::read_to_string(&book).unwrap();
    fs::write(&book, text.replacen("too early", "too late", 1)).unwrap();
    let (rows, _) = run(&pipeline);
    let of = |name: &str| {
        (
            rows[name]["approval"].as_str(),
            rows[name]["reason"].as_str(),
        )
    };
    for (name, place) in [
        ("A", "approvals.csv, line 2"),
        ("B", "approvals.csv, line 3"),
    ] {
        let (state, reason) = of(name);
        assert_eq!(state, "pending");
        let words =
            format!("The proposal waits for a person: {place} speaks of it and does not count");
        assert!(reason.contains(&words), "{reason}");
    }
    says_not!(of("C").1, "does not count");
}

#[test]
fn approvals_made_at_once_are_all_kept() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), REGISTER);
    std::thread::scope(|scope| {
        for name in ["A", "B", "C", "D", "E"] {
            let pipeline = &pipeline;
            scope.spawn(move || {
                approve(pipeline, &[name, "--by", "Head"]).well();
            });
        }
    });
    let (rows, warnings) = run(&pipeline);
    let approved = rows.values().filter(|row| row["approval"] == "approved");
    assert_eq!(approved.count(), 5, "{warnings:?}");
}

/// No line follows the last one, so that its chain cannot show that it is gone: the ledger of runs does,
/// in every later run, until the book stands as written.
#[test]
fn a_line_cut_off_at_the_end_is_missed_by_later_runs() {
    let folder = tempfile::tempdir().unwrap();
    let pipeline = laboratory(folder.path(), REGISTER);
    let book = folder.path().join("approvals.csv");
    for item in ["A", "B"] {
        approve(&pipeline, &[item, "--by", "A. Person"]).well();
    }
    let missed = |told: &[String]| {
        let gone = |words: &&String| words.contains("gone from its end");
        told.iter().filter(gone).count()
    };
    let (_, told) = run(&pipeline);
    assert_eq!(missed(&told), 0, "{told:?}");
    let whole = fs::read_to_string(&book).unwrap();
    let (rest, _) = whole.trim_end().rsplit_once('\n').unwrap();
    fs::write(&book, format!("{rest}\n")).unwrap();
    let (_, told) = run(&pipeline);
    assert!(
        told[0].contains("gone from its end") && told[0].contains("2024-06-01"),
        "{told:?}"
    );
    approve(&pipeline, &["C", "--by", "A. Person"]).well();
    let (_, told) = run(&pipeline);
    assert_eq!(missed(&told), 1, "a new line does not hide it: {told:?}");
    fs::remove_file(&book).unwrap();
    let (_, told) = run(&pipeline);
    assert_eq!(missed(&told), 1, "nor does the whole book's end: {told:?}");
}

/// `approve` refuses it; a line written by hand put a longer interval in force while a case was open, without a word.
#[test]
fn an_interval_that_grew_while_a_case_was_open_is_told() {
    let place = tempfile::tempdir().unwrap();
    let pipeline = laboratory(place.path(), REGISTER);
    let checks = place.path().join("checks.csv");
    let failed = fs::read_to_string(&checks).unwrap() + "A,,2024-04-02,1.4,0.01,-1,1,mm\n";
    fs::write(&checks, failed + "A,,2024-04-20,0.01,0.01,-1,1,mm\n").unwrap();
    let settings = fs::read_to_string(&pipeline).unwrap() + "[cases]\nfile = \"cases.csv\"\n";
    fs::write(&pipeline, settings).unwrap();
    let book = |days: u32, by: &str| {
        let header = "instrument,point,proposed_days,approved_days,decision,by,on,valid_until,reason,previous_sha256\n";
        let line = format!("{by},,,{days},other,H. Lab,2024-05-01,,by hand,\n");
        fs::write(
            place.path().join("approvals.csv"),
            header.to_string() + &line,
        )
        .unwrap();
        let (_, told) = run(&pipeline);
        told.into_iter().any(|words| {
            words.starts_with("A: 500 d were put in force by H. Lab on 2024-05-01, longer than the 365 d before, while the case of 2024-04-02 was open")
        })
    };
    assert!(book(500, "A"));
    assert!(!book(300, "A"), "a shorter one is nobody's risk");
    assert!(!book(500, "B"), "no case of its own");
}
