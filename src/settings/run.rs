/*! `[run]`: how a run uses the machine; nothing here changes what it says. */

use super::system_memory;
use serde::{Deserialize, Serialize};

crate::settings! {
    /// How a run uses the machine.
    pub struct RunSettings in "run" {
        /// Memory to keep within, such as "8 GB" (MB, GB, TB: powers of 1000): records that are estimated to need more are run in parts of whole classes, with the same result; reading them (about 100 bytes a check and 500 a history), or one large class, may still take more, which is told; up to 130 MB come on top for the program itself, the page and the joining of tables. Absent = half of the machine's, or of what the process or its container may take (ulimit -v, control groups) where that is less.
        memory: Option<Size> = None,
    }
}

/// A number of bytes, written with a unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Size(u64);

/// A text that is no number with a unit of bytes.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("expected a size such as \"8 GB\" or \"500 MB\", found \"{0}\"")]
pub struct NoSize(String);

const UNITS: [(&str, u64); 3] = [
    ("MB", 1_000_000),
    ("GB", 1_000_000_000),
    ("TB", 1_000_000_000_000),
];

impl TryFrom<String> for Size {
    type Error = NoSize;

    fn try_from(text: String) -> Result<Self, NoSize> {
        let read = |(unit, bytes): &(&str, u64)| {
            let number: f64 = text.trim().strip_suffix(unit)?.trim_end().parse().ok()?;
            let size = number * *bytes as f64;
            (1.0..1e18).contains(&size).then_some(Self(size as u64))
        };
        UNITS
            .iter()
            .find_map(read)
            .ok_or_else(|| NoSize(text.clone()))
    }
}

impl From<Size> for String {
    fn from(size: Size) -> String {
        let megabytes = size.0 as f64 / UNITS[0].1 as f64;
        format!("{megabytes} {}", UNITS[0].0)
    }
}

impl RunSettings {
    /// True where a person states how much memory a run may take.
    pub(crate) fn states_memory(&self) -> bool {
        self.memory.is_some()
    }

    /// Bytes that a run may take; without bound where neither the file nor the system tells.
    pub(crate) fn memory(&self) -> u64 {
        let stated = self.memory.map(|size| size.0);
        let half = || system_memory::allowed().map(|bytes| bytes / 2);
        stated.or_else(half).unwrap_or(u64::MAX)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_has_a_unit() {
        let read = |text: &str| Size::try_from(text.to_string()).map(|size| size.0);
        assert_eq!(read("8 GB"), Ok(8_000_000_000));
        assert_eq!(read("1.5MB"), Ok(1_500_000));
        for wrong in ["8", "8 gib", "GB", "-1 GB", "0 MB", "nan GB", "1e99 TB", ""] {
            assert!(read(wrong).is_err(), "{wrong}");
        }
        assert_eq!(String::from(Size(1_500_000)), "1.5 MB");
    }
}
