/*! Paths as the ledger names them: seen from its own folder, so that the whole may be moved. */

use std::path::{Component, Path, PathBuf};

/// `path` as seen from `place`, with slashes; both are made absolute first.
pub(crate) fn relative(path: &Path, place: &Path) -> String {
    let whole = |path: &Path| -> PathBuf {
        let mut plain = PathBuf::new();
        for part in std::path::absolute(path)
            .unwrap_or_else(|_| path.into())
            .components()
        {
            match part {
                Component::ParentDir => {
                    plain.pop();
                }
                Component::CurDir => {}
                other => plain.push(other),
            }
        }
        plain
    };
    let (path, place) = (whole(path), whole(place));
    let shared = path
        .components()
        .zip(place.components())
        .take_while(|(a, b)| a == b)
        .count();
    let up = place.components().skip(shared).map(|_| "..".to_string());
    let down = path.components().skip(shared);
    let down = down.map(|part| part.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<_>>().join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_told_from_the_ledger() {
        let shown = relative(Path::new("/a/p/x/../monthly.toml"), Path::new("/a/reports"));
        assert_eq!(shown, "../p/monthly.toml");
        assert_eq!(
            relative(Path::new("/a/r/2026-06"), Path::new("/a/r")),
            "2026-06"
        );
    }
}
