/*! Which build of the program is running: a version number alone does not tell two builds apart. */

use crate::records::reading::plain_file;
use crate::records::reading::plain_file::LARGEST_TEXT_MB;
use std::path::Path;

/// File of the kept folder that names the build which made the report.
pub(crate) const BUILD: &str = "build.txt";

/// A hash of the program's sources, its dependencies and how it was compiled; see `src/build.rs`.
pub(crate) fn build() -> &'static str {
    env!("DRIFTBOOK_BUILD")
}

/// The build that made the report with this kept folder; `None` where it does not tell.
pub(crate) fn build_of(kept: &Path) -> Option<String> {
    let text = plain_file::read_text(&kept.join(BUILD), LARGEST_TEXT_MB).ok()?;
    Some(text.trim().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_build_is_told_in_hexadecimal_digits_and_read_back() {
        assert_eq!(build().len(), 16);
        assert!(build().chars().all(|digit| digit.is_ascii_hexdigit()));
        let place = tempfile::tempdir().unwrap();
        assert_eq!(build_of(place.path()), None);
        std::fs::write(place.path().join(BUILD), format!("{}\n", build())).unwrap();
        assert_eq!(build_of(place.path()).as_deref(), Some(build()));
    }
}
