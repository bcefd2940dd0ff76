/*! A run killed at any moment leaves the previous report whole and the ledger readable, and the
next run mends what is left over. */

use crate::laboratory::Laboratory;
use driftbook::ledger::{LEDGER, Ledger};
use rand::{RngExt, SeedableRng};
use std::collections::BTreeMap;
use std::path::Path;
use std::time::{Duration, Instant};

/// Times the run is killed.
const KILLS: usize = 200;
const SEED: u64 = 7;

/// Every file of the report with its bytes, the timings aside.
fn whole(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut files = crate::laboratory::files(folder);
    files.remove("timings.json");
    files
}

#[test]
fn killed_at_any_moment_it_leaves_a_whole_report_and_a_readable_ledger() {
    let lab = Laboratory::new("reports/monthly");
    let timed = |as_of: &str| {
        let started = Instant::now();
        assert!(lab.run(&["--as-of", as_of]).success());
        started.elapsed()
    };
    let folder = lab.folder().join("reports/monthly");
    let first = timed("2026-05-31");
    let may = whole(&folder);
    // The quicker of two: other tests may have held one up.
    let takes = timed("2026-06-30").min(first);
    let june = whole(&folder);
    let ledger = lab.folder().join("reports").join(LEDGER);
    let mut random = rand_pcg::Pcg64::seed_from_u64(SEED);
    let mut killed = 0;
    for _ in 0..KILLS {
        // Forced: a report that stands would end the run at once.
        let mut child = lab.start(&["--as-of", "2026-06-30", "--force"]);
        let moment = takes.mul_f64(1.1 * random.random::<f64>());
        std::thread::sleep(moment.max(Duration::from_millis(1)));
        killed += usize::from(child.try_wait().unwrap().is_none());
        let _ = child.kill();
        child.wait().unwrap();
        assert_eq!(
            whole(&folder).keys().collect::<Vec<_>>(),
            june.keys().collect::<Vec<_>>()
        );
        assert!(whole(&folder) == june, "the report that stood was touched");
        let read = Ledger::read(&ledger);
        assert!(read.problems.is_empty(), "{:?}", read.problems);
    }
    assert!(
        killed > KILLS / 4,
        "only {killed} runs were under way when they were killed"
    );
    assert!(lab.run(&["--as-of", "2026-05-31", "--force"]).success());
    let left: Vec<String> = std::fs::read_dir(lab.folder().join("reports"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.starts_with('.'))
        .collect();
    assert!(left.is_empty(), "left over: {left:?}");
    assert_eq!(
        whole(&folder).get("decisions.csv"),
        may.get("decisions.csv")
    );
}
