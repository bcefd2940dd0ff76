/*! Which build of the program is running: a version number alone does not tell two builds apart. */

use sha2::{Digest, Sha256};
use std::path::Path;
use std::sync::OnceLock;

/// File of the kept folder that names the build which made the report.
pub const BUILD: &str = "build.txt";

/// Hexadecimal digits that are told of the hash.
const DIGITS: usize = 16;

/// First digits of the SHA-256 of the program's own file; where the system does not let it be
/// read, the version stands for it.
pub fn build() -> &'static str {
    static BUILD: OnceLock<String> = OnceLock::new();
    BUILD.get_or_init(|| {
        own_file().map_or_else(
            || env!("CARGO_PKG_VERSION").into(),
            |bytes| {
                let hash = Sha256::digest(bytes);
                let digits: String = hash.iter().map(|byte| format!("{byte:02x}")).collect();
                digits[..DIGITS].into()
            },
        )
    })
}

/// The running file itself, also where another was put in its place meanwhile (Linux).
fn own_file() -> Option<Vec<u8>> {
    let own = std::fs::read("/proc/self/exe").ok();
    own.or_else(|| std::fs::read(std::env::current_exe().ok()?).ok())
}

/// The build that made the report with this kept folder; `None` where it does not tell.
pub fn build_of(kept: &Path) -> Option<String> {
    let text = std::fs::read_to_string(kept.join(BUILD)).ok()?;
    Some(text.trim().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_build_is_told_by_its_own_bytes() {
        assert_eq!(build().len(), DIGITS);
        assert!(build().chars().all(|digit| digit.is_ascii_hexdigit()));
        let place = tempfile::tempdir().unwrap();
        assert_eq!(build_of(place.path()), None);
        std::fs::write(place.path().join(BUILD), format!("{}\n", build())).unwrap();
        assert_eq!(build_of(place.path()).as_deref(), Some(build()));
    }
}
