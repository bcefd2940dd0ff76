use super::super::spare::remove_spare;
use super::*;
use crate::records::reading::own_report::RECORD;

/// A report with one page, put in place of what stands in `target`.
fn make(target: &Path, page: &str, replaced: Replaced) -> Published {
    let staging = begun(target, page);
    staging.publish(replaced).unwrap()
}

/// The same, not yet put in place.
fn begun(target: &Path, page: &str) -> Staging {
    let staging = Staging::open(target, &[]).unwrap();
    let charts = staging.path().join("charts");
    fs::create_dir(&charts).unwrap();
    fs::write(charts.join("a.svg"), page).unwrap();
    let files = OwnFiles::of(staging.path(), &[RECORD]).unwrap();
    let record = serde_json::json!({"driftbook": "0", "files": files});
    fs::write(staging.path().join(RECORD), record.to_string()).unwrap();
    staging
}

fn page(folder: &Path) -> String {
    fs::read_to_string(folder.join("charts/a.svg")).unwrap()
}

fn names(place: &Path) -> Vec<String> {
    let entries = fs::read_dir(place).unwrap().map(Result::unwrap);
    let mut names: Vec<String> = entries
        .map(|entry| entry.file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn a_dropped_run_leaves_the_last_one() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("out");
    make(&target, "first", Replaced::Removed);
    let second = begun(&target, "half");
    let busy = Staging::open(&target, &[]);
    assert!(matches!(busy, Err(FolderError::Busy(_))));
    drop(second);
    assert_eq!(page(&target), "first");
    make(&target, "third", Replaced::Removed);
    assert_eq!(page(&target), "third");
    assert_eq!(names(place.path()), ["out"]);
}

/// What a killed run left of a month that no run comes back to goes with the next run; what is
/// being written, and what is not the program's, stays.
#[test]
fn what_is_left_beside_other_folders_goes() {
    let place = tempfile::tempdir().unwrap();
    let target = |month: &str| place.path().join(month);
    let killed = begun(&target("may"), "half");
    let left = place.path().join(".april.writing-1");
    fs::create_dir(&left).unwrap();
    fs::write(left.join("1.parquet"), "half").unwrap();
    mark(&left).unwrap();
    let dear = place.path().join(".march.writing-1");
    fs::create_dir(&dear).unwrap();
    fs::write(dear.join("thesis.doc"), "dear").unwrap();
    make(&target("june"), "page", Replaced::Removed);
    let stay = [".march.writing-1", ".may.lock", ".may.writing-1", "june"];
    assert_eq!(names(place.path()), stay);
    assert_eq!(names(&dear), ["thesis.doc"]);
    drop(killed);
    assert_eq!(names(place.path()), [".march.writing-1", "june"]);
}

#[test]
fn a_spare_has_the_pages_of_the_report_before() {
    const PAGES: Replaced = Replaced::Spared(&["charts"]);
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("out");
    let spare = sibling(&target, "spare");
    make(&target, "first", PAGES);
    make(&target, "second", PAGES);
    assert_eq!(page(&spare), "first");
    make(&target, "third", PAGES);
    assert_eq!(page(&spare), "second");
    remove_spare(&target);
    assert!(!spare.exists());
    make(&target, "fourth", PAGES);
    make(&target, "fifth", Replaced::Removed);
    assert_eq!(names(place.path()), ["out"]);
}

#[test]
fn a_spare_that_is_somebody_s_stays() {
    const PAGES: Replaced = Replaced::Spared(&["charts"]);
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("out");
    let spare = sibling(&target, "spare");
    fs::create_dir(&spare).unwrap();
    fs::write(spare.join("thesis.doc"), "dear").unwrap();
    for replaced in [PAGES, PAGES, Replaced::Removed] {
        assert_eq!(make(&target, "page", replaced).notes, Vec::<String>::new());
    }
    remove_spare(&target);
    assert_eq!(names(&spare), ["thesis.doc"]);
    assert_eq!(names(place.path()), [".out.spare", "out"]);
}

/// A report that somebody moved to where a spare would lie: all of it is listed, and it stays.
#[test]
fn a_whole_report_is_no_spare() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("out");
    let whole = begun(&target, "kept");
    fs::write(whole.path().join("decisions.csv"), "x").unwrap();
    let files = OwnFiles::of(whole.path(), &[]).unwrap();
    let record = serde_json::json!({"driftbook": "0", "files": files});
    fs::write(whole.path().join(RECORD), record.to_string()).unwrap();
    whole.publish(Replaced::Removed).unwrap();
    let spare = sibling(&target, "spare");
    fs::rename(&target, &spare).unwrap();
    for replaced in [Replaced::Spared(&["charts"]), Replaced::Removed] {
        make(&target, "page", replaced);
    }
    remove_spare(&target);
    assert_eq!(names(&spare), ["charts", "decisions.csv", RECORD]);
    assert_eq!(page(&spare), "kept");
}

#[test]
fn a_folder_that_belongs_to_something_else_is_refused() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("out");
    let refused = |target: &Path| Staging::open(target, &[]).unwrap_err().to_string();
    fs::write(place.path().join("thesis.doc"), "dear").unwrap();
    says!(refused(place.path()), "thesis.doc");
    make(&target, "page", Replaced::Removed);
    fs::write(target.join("charts/photo.jpg"), "dear").unwrap();
    says!(refused(&target), "charts/photo.jpg");
    fs::remove_file(target.join("charts/photo.jpg")).unwrap();
    let inputs = [target.join("charts/a.svg")];
    let words = Staging::open(&target, &inputs).unwrap_err().to_string();
    says!(words, "which this run reads");
    fs::write(target.join(RECORD), "{\"driftbook\": \"0.0.1\"}").unwrap();
    says!(refused(&target), "does not list its files");
    assert_eq!(page(&target), "page");
}

#[test]
fn what_comes_into_the_folder_during_the_run_stops_it() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("out");
    make(&target, "first", Replaced::Removed);
    let second = begun(&target, "second");
    fs::write(target.join("thesis.doc"), "dear").unwrap();
    let words = second.publish(Replaced::Removed).unwrap_err().to_string();
    says!(words, "thesis.doc");
    assert_eq!(page(&target), "first");
    assert_eq!(names(place.path()), ["out"]);
}

#[cfg(unix)]
#[test]
fn a_link_stands_for_what_it_points_to() {
    let place = tempfile::tempdir().unwrap();
    let (link, behind) = (place.path().join("link"), place.path().join("behind"));
    std::os::unix::fs::symlink("behind", &link).unwrap();
    let words = Staging::open(&link, &[]).unwrap_err().to_string();
    says!(words, "link to nothing");
    fs::create_dir(&behind).unwrap();
    for page in ["first", "second"] {
        assert_eq!(
            make(&link, page, Replaced::Removed).notes,
            Vec::<String>::new()
        );
    }
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(page(&behind), "second");
    let detour = behind.join("charts/../../behind");
    make(&detour, "third", Replaced::Removed);
    assert_eq!(page(&behind), "third");
    assert_eq!(names(place.path()), ["behind", "link"]);
}

#[test]
fn a_lock_that_is_somebody_s_file_stays() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("out");
    let lock = sibling(&target, "lock");
    fs::write(&lock, "dear").unwrap();
    let words = Staging::open(&target, &[]).unwrap_err().to_string();
    says!(words, ".out.lock");
    #[cfg(unix)]
    {
        let dear = place.path().join("dear");
        fs::rename(&lock, &dear).unwrap();
        std::os::unix::fs::symlink(&dear, &lock).unwrap();
        assert!(Staging::open(&target, &[]).is_err());
        assert_eq!(fs::read_to_string(&dear).unwrap(), "dear");
    }
}
