/*! Files, patterns and folders become one sorted list of files. */

mod search;

use super::own_report::is_report;
use super::plain_file;
pub(crate) use search::{FoundFiles, NoFiles};
use search::{Part, Search, parts};
use std::io::Read;
use std::path::{Path, PathBuf};

/// Files that `entry` names, relative to `base`; folders are searched with all their folders.
///
/// # Errors
/// What is missing.
pub(crate) fn find(entry: &str, base: &Path) -> Result<FoundFiles, NoFiles> {
    let path = base.join(entry);
    if path.exists() || !entry.contains(['*', '?', '[']) {
        return find_path(&path).map_err(|why| match path.to_str() == Some(entry) {
            true => why,
            false => NoFiles::At {
                what: Box::new(why),
                place: path.clone(),
            },
        });
    }
    let mut parts = parts(entry)?;
    if parts.last() == Some(&Part::AnyFolders) {
        parts.push(Part::Any(None));
    }
    Search::default().of(base, &parts, NoFiles::NoMatch)
}

/// The file at `path`, or those in the folder there.
///
/// # Errors
/// What is missing.
pub(crate) fn find_path(path: &Path) -> Result<FoundFiles, NoFiles> {
    if !path.exists() {
        return Err(NoFiles::Nothing);
    }
    if !path.is_dir() {
        return match path.is_file() {
            true => Ok(FoundFiles {
                files: vec![path.to_path_buf()],
                ..FoundFiles::default()
            }),
            false => Err(NoFiles::Device),
        };
    }
    if is_report(path) {
        return Err(NoFiles::Report);
    }
    let parts = [Part::AnyFolders, Part::Any(None)];
    Search::of_tables().of(path, &parts, NoFiles::NoTable)
}

/// True where the file holds Parquet, by its first bytes.
pub(crate) fn is_parquet(path: &Path) -> bool {
    let mut magic = [0u8; 4];
    plain_file::open(path).is_ok_and(|mut f| f.read_exact(&mut magic).is_ok()) && &magic == b"PAR1"
}

/// Where a path really leads, links followed; the path as it stands where nothing is there.
pub(crate) fn resolved(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_path_buf())
}

/// `path` as a person would write it: relative to `base` where it lies below, with slashes.
pub(crate) fn shown(path: &Path, base: &Path) -> String {
    let short = path.strip_prefix(base).unwrap_or(path);
    short.to_string_lossy().replace('\\', "/")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A folder with these files.
    fn folder(names: &[&str]) -> tempfile::TempDir {
        let folder = tempfile::tempdir().unwrap();
        for name in names {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, "{\"driftbook\": \"0\"}").unwrap();
        }
        folder
    }

    fn names(entry: &str, folder: &Path) -> Vec<String> {
        let found = find(entry, folder).unwrap();
        found.files.iter().map(|f| shown(f, folder)).collect()
    }

    #[test]
    fn folders_are_searched_and_sorted() {
        let place = folder(&[
            "b/2.csv",
            "b/1.parquet",
            "a.csv",
            "notes.md",
            ".hidden/x.csv",
            "_old/x.csv",
            "c/d/e.TSV",
        ]);
        let names = |entry: &str| names(entry, place.path());
        assert_eq!(names("."), ["a.csv", "b/1.parquet", "b/2.csv", "c/d/e.TSV"]);
        assert_eq!(names("b/*"), ["b/1.parquet", "b/2.csv"]);
        assert_eq!(names("a.csv"), ["a.csv"]);
        assert_eq!(names("**/*.csv"), ["_old/x.csv", "a.csv", "b/2.csv"]);
        assert_eq!(names("*/?.csv"), ["_old/x.csv", "b/2.csv"]);
        assert_eq!(names(".hidden/*"), [".hidden/x.csv"]);
        assert_eq!(names("c/**"), ["c/d/e.TSV"]);
        let refusal = |entry: &str| find(entry, place.path()).unwrap_err().to_string();
        says!(refusal("none.csv"), "no such file");
        says!(refusal("*.xls"), "no file matches");
        says!(refusal("[a.csv"), "bad pattern");
    }

    #[test]
    fn a_report_is_no_records_and_told() {
        let place = folder(&[
            "a.csv",
            "out/run.json",
            "out/decisions.csv",
            "out/charts/x.csv",
        ]);
        for entry in [".", "**/*.csv", "*/*.csv"] {
            match find(entry, place.path()) {
                Ok(found) => {
                    assert_eq!(found.files.len(), 1, "{entry}");
                    assert!(found.left_out[0].ends_with("is a report of this program"));
                }
                Err(why) => {
                    let refusal = why.to_string();
                    says!(refusal, "is a report of this program");
                }
            }
        }
        let refusal = find("out", place.path()).unwrap_err().to_string();
        says!(refusal, "a report, not records");
    }

    #[cfg(unix)]
    #[test]
    fn loops_of_links_end() {
        let place = folder(&["a/1.csv", "b/2.csv"]);
        for (link, to) in [
            ("a/x", "../b"),
            ("b/y", "../a"),
            ("a/self", "."),
            ("up", ".."),
        ] {
            std::os::unix::fs::symlink(to, place.path().join(link)).unwrap();
        }
        let left_out = find("**/*.csv", place.path()).unwrap().left_out;
        assert_eq!(left_out.len(), 4, "{left_out:?}");
        let names = |entry: &str| names(entry, place.path());
        assert_eq!(names("**/*.csv"), ["a/1.csv", "b/2.csv"]);
        assert_eq!(names("."), ["a/1.csv", "b/2.csv"]);
        assert_eq!(names("a/x/*.csv"), ["a/x/2.csv"], "named by the person");
        std::fs::remove_file(place.path().join("up")).unwrap();
        let many = "*/".repeat(40) + "*.csv";
        assert!(names(&many).len() < 10);
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn names_that_are_not_utf_8_are_found() {
        use std::ffi::OsStr;
        use std::os::unix::ffi::OsStrExt;
        let place = tempfile::tempdir().unwrap();
        let path = place.path().join(OsStr::from_bytes(b"caf\xE9.csv"));
        std::fs::write(&path, "x").unwrap();
        assert_eq!(find_path(&path).unwrap().files, std::slice::from_ref(&path));
        assert_eq!(find("*.csv", place.path()).unwrap().files, [path]);
    }
}
