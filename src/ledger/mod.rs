/*! What stands between two runs: where a period's report goes, the ledger of runs, the run
that already stands, what was kept of the last one, and which pages need no new drawing.

Only files are read here, never a clock: "earlier" means an earlier as-of date.
*/

pub(crate) mod before;
pub(crate) mod books;
pub(crate) mod build;
pub(crate) mod check_bytes;
pub(crate) mod data_changes;
pub(crate) mod earlier;
pub(crate) mod gone;
mod gone_failures;
pub(crate) mod known_failures;
pub(crate) mod memory;
pub(crate) mod places;
mod previous;
pub(crate) mod questions;
pub(crate) mod relative;
pub(crate) mod runs;
pub(crate) mod stamps;
pub(crate) mod standing;
pub(crate) mod state;

pub(crate) use build::{BUILD, build};
pub use runs::{LEDGER, Ledger};

use crate::records::reading::source::sha256;
use sha2::{Digest, Sha256};

/// Folder inside the run folder for what the next run looks at.
pub(crate) const KEPT: &str = "kept";

/// First 128 bits of the SHA-256 of `text`: they tell any two apart.
pub(crate) fn fingerprint(text: &[u8]) -> u128 {
    let hash = Sha256::digest(text);
    let first = hash.first_chunk().copied().unwrap_or_default();
    u128::from_be_bytes(first)
}

/// SHA-256 of the settings in force, hexadecimal. The as-of date is told beside them everywhere: a
/// pipeline file that pins it has the same settings from month to month.
pub(crate) fn settings_sha256(settings: &crate::settings::file::Settings) -> String {
    let dateless = crate::settings::file::Settings {
        as_of: None,
        ..settings.clone()
    };
    let text = serde_json::to_string(&dateless).unwrap_or_default();
    sha256(text.as_bytes())
}

#[cfg(test)]
mod tests {
    use super::settings_sha256;
    use crate::settings::file::Settings;

    /// A digest said every month "The settings are not those of the run compared with".
    #[test]
    fn a_pinned_date_makes_no_other_settings() {
        let pinned = |day: &str| Settings {
            as_of: Some(day.into()),
            ..Settings::default()
        };
        let (may, june) = (pinned("2026-05-31"), pinned("2026-06-30"));
        assert_eq!(settings_sha256(&may), settings_sha256(&june));
        let mut other = june.clone();
        other.intervals.reliability_target = 0.99;
        assert_ne!(settings_sha256(&june), settings_sha256(&other));
    }
}
