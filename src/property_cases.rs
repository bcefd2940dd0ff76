/*! On how many random cases the tests of properties are run, and where the cases that failed are kept. */

use proptest::test_runner::{Config, FileFailurePersistence};

/// Folder of the cases that failed, each file by the path of its test: they are run again before any others.
const FAILED_CASES: FileFailurePersistence =
    FileFailurePersistence::SourceParallel("tests/proptest-regressions");

pub(crate) fn cases(count: u32) -> Config {
    Config {
        cases: count,
        failure_persistence: Some(Box::new(FAILED_CASES)),
        ..Config::default()
    }
}

/// As many cases as the library takes of itself.
pub(crate) fn usual() -> Config {
    cases(Config::default().cases)
}
