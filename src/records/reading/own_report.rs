/*! A folder that this program wrote: its tables are results, never records of checks. */

use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

/// Durations and memory: the one file of a report that differs between equal runs.
pub(crate) const TIMINGS: &str = "timings.json";

/// The run record of a report, which tells its folder from any other.
pub(crate) const RECORD: &str = "run.json";

/// First key of a run record.
const MARK: &str = "\"driftbook\"";

/// Bytes in which the first key stands.
const MARK_WITHIN: u64 = 64;

/// True where `folder` has a run record, of a finished report or of one in the making.
pub(crate) fn is_report(folder: &Path) -> bool {
    let record = folder.join(RECORD);
    if !fs::symlink_metadata(&record).is_ok_and(|data| data.is_file()) {
        return false;
    }
    let mut first = Vec::new();
    let read = File::open(&record).and_then(|file| file.take(MARK_WITHIN).read_to_end(&mut first));
    let text = String::from_utf8_lossy(&first);
    let own = text.trim_start().strip_prefix('{').map(str::trim_start);
    read.is_ok() && own.is_some_and(|text| text.starts_with(MARK))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_is_told_by_its_record() {
        let place = tempfile::tempdir().unwrap();
        assert!(!is_report(place.path()));
        for (text, is_own) in [
            ("{\n  \"driftbook\": \"0.1.0\",\n", true),
            ("{\"driftbook\":\"0.1.0\"}", true),
            ("{\"inputs\": [], \"driftbook\": 1}", false),
            ("", false),
        ] {
            fs::write(place.path().join(RECORD), text).unwrap();
            assert_eq!(is_report(place.path()), is_own, "{text}");
        }
    }
}
