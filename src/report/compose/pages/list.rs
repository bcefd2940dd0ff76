/*! The list of pages that a report keeps, and what each was made from. */

use crate::files::run_error::RunError;
use crate::records::reading::plain_file::{self, LARGEST_MB};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::Path;

/// Name of the list of pages and their keys in [`KEPT`](crate::ledger::KEPT).
const LIST: &str = "pages.csv";

/// A file of a report and the hash of everything it is made from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Page {
    /// The file, from the report's folder.
    pub file: String,
    /// The hash.
    pub key: u128,
}

/// The list of pages that a report keeps.
#[derive(Debug, Clone, Default)]
pub(crate) struct PageList(String);

impl PageList {
    /// Reads the list in `kept`; `None` where there is none.
    pub(crate) fn read(kept: &Path) -> Option<Self> {
        let text = plain_file::read_text(&kept.join(LIST), LARGEST_MB);
        text.ok().map(Self)
    }

    /// Key by file.
    pub(crate) fn keys(&self) -> HashMap<&str, u128> {
        let pairs = self.0.lines().skip(1).filter_map(|l| l.rsplit_once(','));
        pairs
            .filter_map(|(file, key)| Some((file, u128::from_str_radix(key, 16).ok()?)))
            .collect()
    }

    /// Writes the list to `kept`; slugs hold no comma and no quotation mark.
    ///
    /// # Errors
    /// A file that cannot be written.
    pub(crate) fn write(pages: &[Page], kept: &Path) -> Result<(), RunError> {
        let mut text = "file,key\n".to_string();
        for Page { file, key } in pages {
            let _ = writeln!(text, "{file},{key:032x}");
        }
        std::fs::write(kept.join(LIST), text).map_err(|why| RunError::write(LIST, why))
    }
}
