/*! When a file was last touched, as the file system tells it: as long as that is the same, so is the
file, and need not be read to know it.

The time of the last change of a file's entry (`st_ctime`, POSIX) cannot be set by a program, as
that of its content can. A file that was touched just before it was looked at has no stamp: a
second change in the same tick of the clock would not show.
*/

use crate::records::reading::files;
use crate::settings::plan::Plan;
use std::collections::BTreeMap;
use std::path::Path;

/// Seconds for which a file must have been left alone: above the tick of any usual file system.
#[cfg(unix)]
const SETTLED_SECONDS: u64 = 2;

/// The stamp of a file; `None` where it cannot be told.
#[cfg(unix)]
pub(crate) fn stamp(path: &Path) -> Option<String> {
    use std::os::unix::fs::MetadataExt;
    use std::time::{Duration, SystemTime};
    let data = std::fs::metadata(path).ok()?;
    let seconds = u64::try_from(data.ctime()).ok()?;
    let settled = SystemTime::UNIX_EPOCH + Duration::from_secs(seconds + SETTLED_SECONDS);
    (settled < SystemTime::now()).then(|| {
        format!(
            "{} bytes, file {} on {}, content {}.{:09}, entry {}.{:09}",
            data.len(),
            data.ino(),
            data.dev(),
            data.mtime(),
            data.mtime_nsec(),
            data.ctime(),
            data.ctime_nsec()
        )
    })
}

/// The stamp of a file; `None` where it cannot be told.
#[cfg(not(unix))]
pub(crate) fn stamp(_: &Path) -> Option<String> {
    None
}

/// The stamps of the records and the register of `plan`, by the paths that are shown.
pub(crate) fn of_plan(plan: &Plan) -> BTreeMap<String, String> {
    let paths = plan.checks.iter().chain(&plan.register);
    paths
        .filter_map(|path| Some((files::shown(path, &plan.base), stamp(path)?)))
        .collect()
}
