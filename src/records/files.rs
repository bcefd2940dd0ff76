/*! Files, globs and folders become one sorted list of files. */

use std::path::{Path, PathBuf};

/// Endings of files that a folder is searched for.
const ENDINGS: [&str; 4] = ["csv", "tsv", "txt", "parquet"];

/// Files that `entry` names, relative to `base`, sorted by path; folders are searched
/// with all their folders. `Err` says in words what is missing.
pub fn expand(entry: &str, base: &Path) -> Result<Vec<PathBuf>, String> {
    let path = base.join(entry);
    if path.is_file() {
        return Ok(vec![path]);
    }
    if path.is_dir() {
        let mut found = Vec::new();
        walk(&path, &mut found).map_err(|e| format!("cannot list the folder: {e}"))?;
        return non_empty(found, "no CSV or Parquet file in this folder");
    }
    if !entry.contains(['*', '?', '[']) {
        let looked = path.display().to_string();
        return Err(match looked == entry {
            true => "no such file or folder".to_string(),
            false => format!("no such file or folder: {looked}"),
        });
    }
    let pattern = Path::new(&glob::Pattern::escape(&base.to_string_lossy())).join(entry);
    let paths = glob::glob(&pattern.to_string_lossy()).map_err(|e| format!("bad pattern: {e}"))?;
    let found = paths.flatten().filter(|p| p.is_file()).collect();
    non_empty(found, "no file matches this pattern")
}

/// True where the file holds Parquet, by its first bytes.
pub fn is_parquet(path: &Path) -> bool {
    use std::io::Read;
    let mut magic = [0u8; 4];
    std::fs::File::open(path).is_ok_and(|mut f| f.read_exact(&mut magic).is_ok())
        && &magic == b"PAR1"
}

/// `path` as a person would write it: relative to `base` where it lies below, with slashes.
pub fn shown(path: &Path, base: &Path) -> String {
    let short = path.strip_prefix(base).unwrap_or(path);
    short.to_string_lossy().replace('\\', "/")
}

fn non_empty(mut found: Vec<PathBuf>, otherwise: &str) -> Result<Vec<PathBuf>, String> {
    found.sort();
    found.dedup();
    if found.is_empty() {
        Err(otherwise.to_string())
    } else {
        Ok(found)
    }
}

fn walk(folder: &Path, found: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let (path, name) = (entry.path(), entry.file_name());
        let hidden = name.to_string_lossy().starts_with(['.', '_']);
        if hidden {
            continue;
        }
        // A linked folder is not entered: a link to a parent would never end.
        if entry.file_type()?.is_dir() {
            walk(&path, found)?;
        } else if path.is_file() && has_known_ending(&path) {
            found.push(path);
        }
    }
    Ok(())
}

fn has_known_ending(path: &Path) -> bool {
    path.extension()
        .is_some_and(|e| ENDINGS.iter().any(|known| e.eq_ignore_ascii_case(known)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folders_are_searched_and_sorted() {
        let folder = tempfile::tempdir().unwrap();
        for name in [
            "b/2.csv",
            "b/1.parquet",
            "a.csv",
            "notes.md",
            ".hidden/x.csv",
            "c/d/e.TSV",
        ] {
            let path = folder.path().join(name);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, "x").unwrap();
        }
        let names = |entry: &str| -> Vec<String> {
            let files = expand(entry, folder.path()).unwrap();
            files.iter().map(|f| shown(f, folder.path())).collect()
        };
        assert_eq!(names("."), ["a.csv", "b/1.parquet", "b/2.csv", "c/d/e.TSV"]);
        assert_eq!(names("b/*"), ["b/1.parquet", "b/2.csv"]);
        assert_eq!(names("a.csv"), ["a.csv"]);
        assert!(
            expand("none.csv", folder.path())
                .unwrap_err()
                .contains("no such file")
        );
        assert!(
            expand("*.xls", folder.path())
                .unwrap_err()
                .contains("no file matches")
        );
    }
}
